package box_test

import (
	"math"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The search on the circuit finds the peak of the closed form, and both find where
// the response, sampled finely, is highest.
func TestPeakAgainstClosedForm(t *testing.T) {
	for _, q := range []float64{0.8, 1, 1.5, 4} {
		d, _ := normalised(t, 5*q, q/1.6)
		c, err := box.ClosedFor(d, q, air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		s := box.System{Driver: d, Enclosure: c}
		al, err := c.Alignment(d, air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		f, db := al.Peak()
		at, found := s.Peak()
		if !(math.Abs(found-db) <= 1e-10) || !(math.Abs(float64(at/f)-1) <= 1e-6) {
			t.Errorf("Qtc %g: %g dB at %v, closed form %g dB at %v", q, found, at, db, f)
		}
		top, where := math.Inf(-1), 0.0
		for x := 0.5; x < 20; x *= 1.001 {
			if g := s.Gain(units.Frequency(x) * al.Fc); g > top {
				top, where = g, x*float64(al.Fc)
			}
		}
		if !(top <= db+1e-10 && top >= db-1e-3) || !(math.Abs(where/float64(f)-1) <= 1e-3) {
			t.Errorf("Qtc %g: samples reach %g dB at %g Hz, the peak is %g dB at %v", q, top, where, db, f)
		}
	}
}

// The pass band of a system is the sensitivity of its driver's sheet, by way of the
// efficiency; and far above resonance the circuit comes to it.
func TestReferenceIsSensitivity(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 343}
	s := box.System{Driver: woofer, Enclosure: box.Closed{Vb: 0.02}, Air: a}
	level := box.Point{Pressure: complex(2.83*s.Reference(), 0)}.Level()
	if want := woofer.SPL283(a); !(math.Abs(float64(level-want)) <= 1e-12*float64(want)) {
		t.Errorf("level %v, sheet %v", level, want)
	}
	if g := s.Gain(1e6); !(math.Abs(g) <= 1e-6) {
		t.Errorf("gain far above resonance: %g dB", g)
	}
}
