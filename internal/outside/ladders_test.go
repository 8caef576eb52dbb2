package outside

import (
	"fmt"
	"math/cmplx"
	"testing"

	"example.com/halfspace/units"
)

func TestLadders(t *testing.T) {
	for _, name := range []string{"ladders", "ladders_resistive"} {
		t.Run(name, func(t *testing.T) { testLadders(t, name) })
	}
}

func testLadders(t *testing.T, name string) {
	drivers := cases[Drivers](t, "drivers")
	c := cases[Ladders](t, name)
	r := recording(t, name)
	for _, l := range c.Ladders {
		n, err := Network(l.Arms)
		if err != nil {
			t.Fatal(err)
		}
		load := l.load(t, drivers, c.Hz)
		h, zin := make([]complex128, len(load)), make([]complex128, len(load))
		n.Solve(h, zin, c.Hz, load)
		r.same(l.ID, "load", h)
		for i := range zin {
			zin[i] = 1 / zin[i]
		}
		r.same(l.ID, "current", zin)
		for i, f := range c.Hz {
			s, err := n.State(f, load[i])
			if err != nil {
				t.Fatal(err)
			}
			stress := func(name, volts, amperes string, v, a complex128, power float64) {
				what := fmt.Sprintf("%s: %s at %v Hz: ", l.ID, name, f)
				wantV, wantI := r.curve(l.ID, volts)[i], r.curve(l.ID, amperes)[i]
				r.check(what+"voltage", Relative(v, wantV), near)
				r.check(what+"current", Relative(a, wantI), near)
				// Re VI* is a small difference where a part stores more than it burns.
				burnt := real(wantV * cmplx.Conj(wantI))
				r.check(what+"power", Scaled(complex(power, 0), complex(burnt, 0), cmplx.Abs(wantV*wantI)), near)
			}
			r.check(fmt.Sprintf("%s: current at %v Hz", l.ID, f), Relative(s.Current, r.curve(l.ID, "current")[i]), near)
			stress("load", "load", "load current", s.Load.Voltage, s.Load.Current, s.Load.Power)
			for k, p := range s.Parts {
				stress(fmt.Sprint("part ", k+1), fmt.Sprint("v", k), fmt.Sprint("i", k), p.Voltage, p.Current, p.Power)
			}
		}
	}
}

// load is the impedance a ladder works into, from the model of the driver.
func (l Ladder) load(t *testing.T, drivers Drivers, hz []float64) []complex128 {
	z := make([]complex128, len(hz))
	for i, f := range hz {
		if l.Driver == "" {
			z[i] = complex(l.Ohms, 0)
			continue
		}
		s, err := Box{ID: l.ID, Driver: l.Driver, Kind: "baffle"}.System(drivers)
		if err != nil {
			t.Fatal(err)
		}
		z[i] = s.At(units.Frequency(f)).Impedance
	}
	return z
}
