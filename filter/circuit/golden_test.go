package circuit

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/golden"
)

// driver is Re + jωLe + (Res || Lces || Cmes).
type driver struct{ re, le, res, lces, cmes float64 }

func (d driver) impedance(hz float64) complex128 {
	w := 2 * math.Pi * hz
	return complex(d.re, w*d.le) + 1/complex(1/d.res, w*d.cmes-1/(w*d.lces))
}

func TestCircuitsGolden(t *testing.T) {
	woofer := driver{re: 5.8, le: 0.65e-3, res: 38, lces: 28e-3, cmes: 310e-6}
	tweeter := driver{re: 5.4, le: 0.05e-3, res: 9, lces: 0.9e-3, cmes: 42e-6}
	circuits := map[string]string{
		"S1": `in mid C 10 µF; 0.02 Ω; tan δ 0.0005
			mid 0 L 0.56 mH; 0.22 Ω
			in mid load woofer
			mid 0 load tweeter`,
		"S2": `in a C 6.8 µF
			a b L 0.47 mH; 0.2 Ω
			b 0 C 15 µF; 0.05 Ω
			a 0 L 0.82 mH; 0.3 Ω
			in b load woofer
			b 0 load tweeter`,
		"bridge": `in a R 3.3 Ω
			in b C 22 µF; 0.05 Ω
			a 0 L 1.2 mH; 0.4 Ω
			b 0 R 5.6 Ω
			a b load woofer`,
	}
	golden.Run(t, "testdata/circuits.csv", func(t *testing.T, r golden.Row) {
		var c Circuit
		if err := c.UnmarshalText([]byte(circuits[r.Word(t, "circuit")])); err != nil {
			t.Fatal(err)
		}
		hz := []float64{r.Num(t, "f", "Hz")}
		loads := [][]complex128{{woofer.impedance(hz[0])}, {tweeter.impedance(hz[0])}}[:len(c.Loads)]
		var got Response
		if err := c.Solve(&got, hz, loads...); err != nil {
			t.Fatal(err)
		}
		h := func() complex128 {
			for k, l := range c.Loads {
				if l.Name == r.Word(t, "load") {
					return got.H[k][0]
				}
			}
			t.Fatalf("no load %s", r.Word(t, "load"))
			return 0
		}
		switch degrees := 180 / math.Pi; r.Calculation {
		case "gain":
			r.Check(t, 20*math.Log10(cmplx.Abs(h())))
		case "phase":
			r.Check(t, cmplx.Phase(h())*degrees)
		case "modulus of input impedance":
			r.Check(t, cmplx.Abs(got.Zin[0]))
		case "phase of input impedance":
			r.Check(t, cmplx.Phase(got.Zin[0])*degrees)
		case "power in part":
			at := make([]complex128, len(loads))
			for k := range at {
				at[k] = loads[k][0]
			}
			s, err := c.State(hz[0], at...)
			if err != nil {
				t.Fatal(err)
			}
			for k, p := range s.Parts {
				if ladder.Letter(k) == r.Word(t, "part") {
					v := r.Num(t, "V", "V")
					r.Check(t, p.Power*v*v)
				}
			}
		default:
			r.Unknown(t)
		}
	})
}
