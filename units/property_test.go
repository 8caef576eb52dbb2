package units

import "testing"

// A leading zero changes nothing, in fractions neither: it does not make them octal.
func TestLeadingZeros(t *testing.T) {
	for _, pair := range [][2]string{
		{"010/16 in", "10/16 in"}, {"3/010 in", "3/10 in"}, {"08/9 in", "8/9 in"}, {"5/08 in", "5/8 in"},
		{"007 1/008 in", "7 1/8 in"}, {"010 in", "10 in"}, {"08.50 in", "8.5 in"}, {"010e02 in", "10e2 in"}, {"03' 04\"", "3' 4\""},
	} {
		got, err := Parse[Length](pair[0])
		want, wantErr := Parse[Length](pair[1])
		if got != want || err != nil || wantErr != nil {
			t.Errorf("%s: %v, %v; %s: %v, %v", pair[0], got, err, pair[1], want, wantErr)
		}
	}
}
