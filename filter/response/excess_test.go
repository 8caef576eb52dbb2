package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// late returns f behind a delay, upside down if so said.
func late(hz []float64, f rational.Func, seconds float64, inverted bool) Curve {
	c := Curve{Hz: hz, HasPhase: true}
	for _, v := range hz {
		h := f.AtHz(v) * cmplx.Rect(1, -2*math.Pi*v*seconds)
		if inverted {
			h = -h
		}
		c.H = append(c.H, h)
	}
	return c
}

// tweeter is a band-pass like one: second order at 300 Hz, fourth at 7 kHz.
func tweeter(t *testing.T) (rational.Func, Slopes) {
	t.Helper()
	b2, err := filter.Butterworth(2)
	low := at(t, b2.HighPass(), err, 300)
	b4, err := filter.Butterworth(4)
	return low.Mul(at(t, b4, err, 7000)), Slopes{12, -24}
}

// A pure delay behind a minimum-phase filter comes back within a microsecond, and
// so does the polarity.
func TestExcessDelay(t *testing.T) {
	f, s := tweeter(t)
	for _, c := range []struct{ hz, delays []float64 }{
		{LogGrid(20, 20000, 60), []float64{-100e-6, 0, 3e-6, 1.1e-3}},
		{linear(20, 20000, 400), []float64{73.1e-6}},
	} {
		for _, delay := range c.delays {
			for _, inverted := range []bool{false, true} {
				lag, err := late(c.hz, f, delay, inverted).ExcessDelay(500, 5000, s, Plausible())
				if err != nil {
					t.Fatal(err)
				}
				if !(math.Abs(float64(lag.Delay)-delay) <= 0.1e-6) || lag.Inverted != inverted {
					t.Errorf("%v, inverted %v; want %v µs, %v", lag.Delay, lag.Inverted, delay*1e6, inverted)
				}
				if !(math.Abs(lag.Intercept) <= 0.1 && lag.Residual <= 0.1 && lag.SD >= 0 && lag.SD <= 0.1e-6) {
					t.Errorf("%+v: more doubt than there is reason for", lag)
				}
			}
		}
	}
}

// The rest times the minimum phase is the curve.
func TestExcessPhase(t *testing.T) {
	f, s := tweeter(t)
	c := late(LogGrid(20, 20000, 40), f, 50e-6, true)
	c.From, c.Taken = 50, Taken{Mounting: HalfSpace}
	e, err := c.ExcessPhase(s)
	if err != nil {
		t.Fatal(err)
	}
	m, err := c.MinimumPhase(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(e.H) != len(m.H) || e.From != 50 || e.Taken != (Taken{}) || !e.HasPhase {
		t.Fatalf("%d points from %v, taken %v", len(e.H), e.From, e.Taken)
	}
	skipped := len(c.H) - len(e.H)
	if !(e.Hz[0] >= 50 && c.Hz[skipped-1] < 50) {
		t.Errorf("starts at %v Hz", e.Hz[0])
	}
	for i, h := range e.H {
		if d := cmplx.Abs(h*m.H[i]-c.H[skipped+i]) / cmplx.Abs(m.H[i]); !(d <= 1e-12) {
			t.Errorf("%.0f Hz: %v times %v is not %v", e.Hz[i], h, m.H[i], c.H[skipped+i])
		}
		// By the closed form: -180° less the delay.
		if d := Phase(-h * cmplx.Rect(1, 2*math.Pi*e.Hz[i]*50e-6)); e.Hz[i] > 100 && e.Hz[i] < 6000 && !(math.Abs(d) <= 0.3) {
			t.Errorf("%.0f Hz: excess phase off by %v°", e.Hz[i], d)
		}
	}
}

// In 95 of 100 tables with independent noise of phase the delay is within two
// standard deviations.
func TestExcessDelayKnowsItsScatter(t *testing.T) {
	f, s := tweeter(t)
	hz := LogGrid(100, 20000, 20)
	rng := rand.New(rand.NewPCG(5, 5))
	const trials = 200
	var inside int
	var sd, squares float64
	for range trials {
		c := late(hz, f, 120e-6, false)
		for i := range c.H {
			c.H[i] *= cmplx.Rect(1, 3*math.Pi/180*rng.NormFloat64())
		}
		lag, err := c.ExcessDelay(500, 5000, s, Slopes{})
		if err != nil {
			t.Fatal(err)
		}
		d := float64(lag.Delay) - 120e-6
		if math.Abs(d) <= 2*float64(lag.SD) {
			inside++
		}
		sd += float64(lag.SD) / trials
		squares += d * d / trials
	}
	// 200 trials at 95 % give 190 ± 3.
	if inside < 180 || inside > 199 {
		t.Errorf("%d of %d within two standard deviations", inside, trials)
	}
	if r := sd / math.Sqrt(squares); !(r > 0.85 && r < 1.15) {
		t.Errorf("stated standard deviation is %.2f of the scatter", r)
	}
}

// The spread is how far the fit moves at the worst corner.
func TestExcessDelaySpread(t *testing.T) {
	f, s := tweeter(t)
	c := late(LogGrid(20, 20000, 40), f, 50e-6, false)
	by := Slopes{4, 5}
	lag, err := c.ExcessDelay(500, 5000, s, by)
	if err != nil {
		t.Fatal(err)
	}
	most := 0.
	for _, corner := range []Slopes{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		off, err := c.ExcessDelay(500, 5000, Slopes{s.Low + corner.Low*by.Low, s.High + corner.High*by.High}, Slopes{})
		if err != nil {
			t.Fatal(err)
		}
		if off.Spread != 0 {
			t.Errorf("spread %v without errors of slope", off.Spread)
		}
		most = max(most, math.Abs(float64(off.Delay-lag.Delay)))
	}
	if !(math.Abs(float64(lag.Spread)-most) <= 1e-12) || most < 1e-6 {
		t.Errorf("spread %v, corners reach %v s", lag.Spread, most)
	}
}

// Flight time left in makes a nonsense that the residual shows.
func TestExcessDelayTooLong(t *testing.T) {
	f, s := tweeter(t)
	lag, err := late(LogGrid(20, 20000, 20), f, 3e-3, false).ExcessDelay(500, 5000, s, Slopes{})
	if err != nil {
		t.Fatal(err)
	}
	if lag.Residual < 30 {
		t.Errorf("%+v: looks trustworthy", lag)
	}
}

func TestExcessRefuses(t *testing.T) {
	f, s := tweeter(t)
	hz := LogGrid(20, 20000, 20)
	c := late(hz, f, 0, false)
	gated := c
	gated.From = 600
	for name, err := range map[string]error{
		"no phase":         second(levels(hz, f).ExcessDelay(500, 5000, s, Slopes{})),
		"no phase, excess": second(levels(hz, f).ExcessPhase(s)),
		"no phase, delay":  second(levels(hz, f).GroupDelay()),
		"outside":          second(c.ExcessDelay(10, 5000, s, Slopes{})),
		"upside down":      second(c.ExcessDelay(5000, 500, s, Slopes{})),
		"below From":       second(gated.ExcessDelay(500, 5000, s, Slopes{})),
		"NaN":              second(c.ExcessDelay(units.Frequency(math.NaN()), 5000, s, Slopes{})),
		"two points":       second(c.ExcessDelay(1000, 1200, s, Slopes{})),
		"slope":            second(c.ExcessDelay(500, 5000, Slopes{Low: math.NaN()}, Slopes{})),
		"error of slope":   second(c.ExcessDelay(500, 5000, s, Slopes{Low: math.NaN()})),
		"no curve":         second(Curve{HasPhase: true}.GroupDelay()),
		"no curve, excess": second(Curve{HasPhase: true}.ExcessPhase(s)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	var limit *units.RangeError
	if _, err := c.ExcessDelay(1000, 1200, s, Slopes{}); !errors.As(err, &limit) ||
		err.Error() != "response: band 1 kHz to 1.2 kHz: must hold at least 3 points of the table; it holds 2" {
		t.Error(err)
	}
}

func second[T any](_ T, err error) error { return err }

// Against the exact sum over the roots, and a pure delay exactly.
func TestGroupDelay(t *testing.T) {
	f, _ := tweeter(t)
	hz := LogGrid(20, 20000, 200)
	delay, err := late(hz, f, 1e-4, true).GroupDelay()
	if err != nil {
		t.Fatal(err)
	}
	scale := 0.
	for _, v := range hz {
		scale = max(scale, f.GroupDelay(v))
	}
	for i, v := range hz[1 : len(hz)-1] {
		if d := delay[i+1] - f.GroupDelay(v) - 1e-4; !(math.Abs(d) <= 2e-3*scale) {
			t.Errorf("%.0f Hz: off by %.3g of the greatest", v, d/scale)
		}
	}
	delay, err = late(LogGrid(20, 20000, 20), rational.Func{Gain: 2}, 150e-6, false).GroupDelay()
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range delay {
		if !(math.Abs(d-150e-6) <= 1e-14) {
			t.Errorf("point %d: %v s, want 150 µs", i+1, d)
		}
	}
}
