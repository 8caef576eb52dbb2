package response

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// bandPass rises with 12 dB per octave up to 100 Hz and falls likewise from 5 kHz.
func bandPass(f float64) complex128 {
	hp, lp := complex(0, f/100), complex(0, f/5000)
	return hp * hp / (1 + hp/0.9 + hp*hp) / (1 + lp/0.6 + lp*lp)
}

// A filter seen only in its middle goes on as it does outside, in level and, with
// the same slopes, in phase.
func TestExtendAnalytic(t *testing.T) {
	slopes := Slopes{Low: 12, High: -12}
	c := Curve{Hz: LogGrid(100/math.Pow(2, 1.5), 5000*math.Pow(2, 1.5), 80), HasPhase: true}
	for _, f := range c.Hz {
		c.H = append(c.H, bandPass(f))
	}
	wide, err := c.Extend(5, 100*units.Kilohertz, slopes)
	if err != nil {
		t.Fatal(err)
	}
	if wide.HasPhase || wide.Hz[0] != 5 || wide.Hz[len(wide.Hz)-1] != 100000 {
		t.Errorf("phase %v, from %v to %v Hz", wide.HasPhase, wide.Hz[0], wide.Hz[len(wide.Hz)-1])
	}
	for i, f := range wide.Hz {
		if d := DB(wide.H[i] / complex(cmplx.Abs(bandPass(f)), 0)); !(math.Abs(d) <= 0.25) || f > 36 && f < 14000 && !(math.Abs(d) <= 1e-12) {
			t.Errorf("%.4g Hz: off by %.2g dB", f, d)
		}
	}
	before, err := c.MinimumPhase(slopes)
	if err != nil {
		t.Fatal(err)
	}
	after, err := wide.MinimumPhase(slopes)
	if err != nil {
		t.Fatal(err)
	}
	h := make([]complex128, len(c.Hz))
	if err := after.Resample(h, c.Hz); err != nil {
		t.Fatal(err)
	}
	for i, f := range c.Hz {
		if f < 60 || f > 10000 {
			continue
		}
		if d := Phase(h[i] / before.H[i]); !(math.Abs(d) <= 0.2) {
			t.Errorf("%.4g Hz: phase moved by %.2g°", f, d)
		}
	}
}

// A power law goes on exactly; an extension that reaches nowhere changes nothing.
func TestExtendPowerLaw(t *testing.T) {
	c := Curve{Hz: LogGrid(100, 1000, 20), Taken: Taken{Mounting: HalfSpace}}
	for _, f := range c.Hz {
		c.H = append(c.H, complex(f*f*f, 0))
	}
	wide, err := c.Extend(20, 20000, Slopes{Low: 18, High: 18})
	if err != nil || wide.Taken != c.Taken {
		t.Fatal(wide.Taken, err)
	}
	for i, f := range wide.Hz {
		if d := real(wide.H[i])/(f*f*f) - 1; !(math.Abs(d) <= 1e-10) {
			t.Errorf("%.4g Hz: off by %.2g", f, d)
		}
		if i > 0 && !(f/wide.Hz[i-1] <= math.Exp2(1./24)*(1+1e-9)) && f/wide.Hz[i-1] > c.Hz[1]/c.Hz[0]*(1+1e-9) {
			t.Errorf("step from %v to %v Hz", wide.Hz[i-1], f)
		}
	}
	same, err := c.Extend(200, 900, Slopes{})
	if d := cmp.Diff(c, same, golden.Approx(1e-15, 0)); err != nil || d != "" {
		t.Errorf("%v %s", err, d)
	}
	for want, f := range map[string]func() (Curve, error){
		"extend to 0 Hz":  func() (Curve, error) { return c.Extend(0, 1, Slopes{}) },
		"extend to +Inf":  func() (Curve, error) { return c.Extend(1, units.Frequency(math.Inf(1)), Slopes{}) },
		"low end":         func() (Curve, error) { return c.Extend(1, 2, Slopes{Low: math.NaN()}) },
		"a curve of 0 po": func() (Curve, error) { return Curve{}.Extend(1, 2, Slopes{}) },
	} {
		if _, err := f(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
}
