package port

import "testing"

// Only the words that are written are read, and what is refused changes nothing.
func FuzzMouth(f *testing.F) {
	for m := Free; m <= InDuct; m++ {
		f.Add(m.String())
	}
	for _, s := range []string{"", "Free", " free", "free\n", "along a  wall", "Mouth(7)", "0", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m := Mouth(99)
		if err := m.UnmarshalText([]byte(text)); err != nil {
			if m != 99 {
				t.Fatalf("%q refused, but read as %v", text, m)
			}
			return
		}
		if back, err := m.MarshalText(); err != nil || string(back) != text {
			t.Fatalf("%q read as %v, written %q, %v", text, m, back, err)
		}
	})
}
