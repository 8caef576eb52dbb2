package golden

import (
	"math"
	"testing"
)

// Whatever rows are accepted can be failed: each passes its own value and refuses
// what is not finite, or further off than its tolerance.
func FuzzParse(f *testing.F) {
	for _, row := range []string{
		"a,x,k=1 mm;ends=free,2.50,m,,Someone 1900,read,", "b,x,,2.5,m,1e-9 rel,Someone 1900,derived,", "c,x,k=,-0,1,0.05 abs,Someone 1900,from memory,why",
		"d,x,k=1;k=2,1e3,Hz,,Someone,read,", "e,x,=,1e-400,1,,Someone,read,", "\"f\"\"\",x,k=1 m s,7,1,,\"A, B\",common practice,",
		"h,x,,Inf,1,,S,read,", "i,x,,2,1,Inf abs,S,read,why", "j,x,,1e300,1,1e300 rel,S,read,why", "k,x,,0e400,1,,S,read,", "# remark\ng,x,;;,1,1,0 abs,S,read,",
	} {
		f.Add(head + row + "\n")
	}
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := Parse("f", text)
		if err != nil {
			if rows != nil {
				t.Fatalf("rows beside %v", err)
			}
			return
		}
		t.Setenv(RecordVariable, "") // these rows are nobody's
		for _, r := range rows {
			fails := func(got float64) bool {
				tb := &recorder{TB: t}
				r.Check(tb, got)
				return tb.failed
			}
			v, off := r.Value.Float(), 2*r.allowed()+1e-9*math.Abs(r.Value.Float())+math.SmallestNonzeroFloat64
			if fails(v) || !fails(v+off) || !fails(v-off) || !fails(math.NaN()) || !fails(math.Inf(1)) || !fails(math.Inf(-1)) {
				t.Fatalf("%+v cannot pass or cannot fail", r)
			}
			for _, in := range r.Inputs() {
				if !r.Has(in.Name) || r.Word(t, in.Name) != in.text || in.Unit != "" && r.Num(t, in.Name, in.Unit) != r.Num(t, in.Name, in.Unit) {
					t.Fatalf("input %+v", in)
				}
			}
		}
	})
}
