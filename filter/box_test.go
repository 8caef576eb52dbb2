package filter_test

import (
	"math/cmplx"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The lumped elements of a driver in a box against the box itself, solved as a
// mechanical and acoustical circuit.
func TestMovingCoilIsDriverInBox(t *testing.T) {
	driver := ts.Driver{
		Re: 5.8, Bl: 6.6, Mms: 0.0152, Cms: 0.00117, Rms: 0.77, Sd: 0.0136,
		Coil: ts.Coil{Leb: 0.3e-3, Le: 0.9e-3, Rss: 12},
	}
	standard := air.Standard()
	m := filter.MovingCoil{
		Re: driver.Re, Le: 0.3e-3, L2: 0.9e-3, R2: 12,
		Fs: driver.Fs(), Qes: driver.Qes(), Qms: driver.Qms(),
	}
	const vb = 25 * units.Litre
	for _, c := range []struct {
		fb units.Frequency
		ql float64
	}{{39, 7}, {52, 0}, {28, 20}} {
		m.Fb, m.QL, m.Alpha = c.fb, c.ql, float64(driver.Vas(standard)/vb)
		s := box.System{Driver: driver, Enclosure: box.Vented{Vb: vb, Fb: c.fb, QL: c.ql}, Air: standard}
		for _, f := range []units.Frequency{5, 20, 39, 45, 80, 300, 2000, 20000} {
			got, want := m.Impedance(float64(f)), s.At(f).Impedance
			if !(cmplx.Abs(got-want) <= 1e-9*cmplx.Abs(want)) {
				t.Errorf("tuned to %v at %v: elements %v, box %v", c.fb, f, got, want)
			}
		}
	}
}
