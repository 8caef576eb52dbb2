package outside

import (
	"fmt"
	"math/cmplx"
	"testing"
)

func TestCircuits(t *testing.T) {
	drivers := cases[Drivers](t, "drivers")
	c := cases[Circuits](t, "circuits")
	r := recording(t, "circuits")
	for _, l := range c.Circuits {
		m, err := l.Model()
		if err != nil {
			t.Fatal(err)
		}
		loads := make([][]complex128, len(l.Loads))
		for k, load := range l.Loads {
			loads[k] = Ladder{ID: l.ID, Driver: load.Driver, Ohms: load.Ohms}.load(t, drivers, c.Hz)
		}
		for i, f := range c.Hz {
			at := make([]complex128, len(loads))
			for k := range at {
				at[k] = loads[k][i]
			}
			s, err := m.State(f, at...)
			if err != nil {
				t.Fatal(err)
			}
			r.check(fmt.Sprintf("%s: current at %v Hz", l.ID, f), Relative(s.Current, r.curve(l.ID, "current")[i]), near)
			stress := func(name, volts, amperes string, v, a complex128, power float64) {
				what := fmt.Sprintf("%s: %s at %v Hz: ", l.ID, name, f)
				wantV, wantI := r.curve(l.ID, volts)[i], r.curve(l.ID, amperes)[i]
				r.check(what+"voltage", Relative(v, wantV), near)
				r.check(what+"current", Relative(a, wantI), near)
				// Re VI* is a small difference where a part stores more than it burns.
				burnt := real(wantV * cmplx.Conj(wantI))
				r.check(what+"power", Scaled(complex(power, 0), complex(burnt, 0), cmplx.Abs(wantV*wantI)), near)
			}
			for k, p := range s.Parts {
				stress(fmt.Sprint("part ", k+1), fmt.Sprint("v", k), fmt.Sprint("i", k), p.Voltage, p.Current, p.Power)
			}
			for k, p := range s.Loads {
				stress(fmt.Sprint("load ", k+1), fmt.Sprint("load", k), fmt.Sprint("load current", k), p.Voltage, p.Current, p.Power)
			}
		}
	}
}
