package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/units"
)

// twoWay returns a woofer, a tweeter and, with the tweeter late by delay and gain
// dB added, their sum: second-order roll-offs that cross at 2.5 kHz, with a bump each.
func twoWay(hz []float64, delay, gain, sign float64) (a, b, both Curve) {
	for _, c := range []*Curve{&a, &b, &both} {
		c.Hz, c.H = hz, make([]complex128, len(hz))
	}
	a.HasPhase, b.HasPhase = true, true
	for i, f := range hz {
		s := func(f0 float64) complex128 { return complex(0, f/f0) }
		low := 1 / (1 + s(2800)/0.9 + s(2800)*s(2800)) * (1 + s(3500)/1.2 + s(3500)*s(3500)) / (1 + s(3500)/0.8 + s(3500)*s(3500))
		high := 0.9 * s(1500) * s(1500) / (1 + s(1500)/0.8 + s(1500)*s(1500))
		a.H[i], b.H[i] = low, high
		sum := low + complex(sign, 0)*high*cmplx.Exp(complex(0, -2*math.Pi*f*delay))
		both.H[i] = complex(FromDB(gain)*cmplx.Abs(sum), 0)
	}
	return a, b, both
}

// rough adds errors of so many dB, independent from point to point, to levels.
func rough(c Curve, db float64, rng *rand.Rand) Curve {
	h := make([]complex128, len(c.H))
	for i, v := range c.H {
		h[i] = v * complex(FromDB(db*rng.NormFloat64()), 0)
	}
	c.H = h
	return c
}

// Levels without errors give the delay back within 0.01 mm of path, whatever the gain
// and the polarity, also if the tables stand on other frequencies.
func TestRelativeDelayOfCleanSweeps(t *testing.T) {
	const within = 0.0003
	fine := LogGrid(200, 20000, 160)
	coarse := LogGrid(200, 20000, 96)
	for _, sign := range []float64{1, -1} {
		for _, gain := range []float64{0, -0.7, 3} {
			for delay := -200e-6; delay <= 200e-6; delay += 23e-6 {
				a, b, _ := twoWay(fine, delay, gain, sign)
				_, _, both := twoWay(coarse, delay, gain, sign)
				o, err := RelativeDelay(a, b, both, 1200, 5000, within)
				if err != nil {
					t.Errorf("%g µs: %v", delay*1e6, err)
					continue
				}
				if off := math.Abs(float64(o.Delay) - delay); !(off <= 1e-5/343) || !(off <= 3*float64(o.SD)) {
					t.Errorf("%g µs, sign %g: off by %.3g µs, SD %v", delay*1e6, sign, off*1e6, o.SD)
				}
				if o.Inverted != (sign < 0) || !(math.Abs(o.Gain-gain) <= 1e-3) || !(o.Residual <= 1e-3) || len(o.Rivals) != 0 {
					t.Errorf("%g µs, sign %g, %g dB: %+v", delay*1e6, sign, gain, o)
				}
			}
		}
	}
}

// With errors of level the truth lies within two of the stated uncertainties in
// about 95 of 100 trials, also where the sum has a deep null.
func TestRelativeDelayUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	hz := LogGrid(1000, 6000, 110)
	for _, c := range []struct{ db, delay float64 }{{0.1, 40e-6}, {0.3, 40e-6}, {0.5, 40e-6}, {0.3, 180e-6}, {0.3, -60e-6}} {
		for _, all := range []bool{false, true} {
			const trials = 300
			inside, spread := 0, []float64(nil)
			var sds []float64
			for range trials {
				a, b, both := twoWay(hz, c.delay, 0.5, 1)
				both = rough(both, c.db, rng)
				if all {
					a, b = rough(a, c.db, rng), rough(b, c.db, rng)
				}
				o, err := RelativeDelay(a, b, both, 1200, 5000, 0.0003)
				if err != nil {
					t.Fatal(err)
				}
				off := float64(o.Delay) - c.delay
				if math.Abs(off) <= 2*float64(o.SD) {
					inside++
				}
				spread, sds = append(spread, off), append(sds, float64(o.SD))
			}
			t.Logf("%+v all %v: %.1f %% inside, real %.3g µs, said %.3g µs, bias %.3g", c, all, 100*float64(inside)/trials,
				stat.StdDev(spread, nil)*1e6, stat.Mean(sds, nil)*1e6, stat.Mean(spread, nil)*1e6)
		}
	}
}

var _ = errors.New
var _ = strings.Contains
var _ = units.Metre

func BenchmarkRelativeDelay(b *testing.B) {
	first, second, both := twoWay(LogGrid(200, 20000, 160), 80e-6, 0.5, 1)
	for b.Loop() {
		if _, err := RelativeDelay(first, second, both, 1200, 5000, 0.0005); err != nil {
			b.Fatal(err)
		}
	}
}
