package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/internal/golden"
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
// about 95 of 100 trials: in phase, where levels say least of the delay, and with a
// deep null; with errors in the sum or in all three; also where a finer table only
// interpolates between the points that were measured.
func TestRelativeDelayUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	measured := LogGrid(1000, 6000, 80)
	finer := LogGrid(1100, 5900, 240)
	const trials = 100
	all, inside := 0, 0
	for _, c := range []struct {
		db, delay   float64
		three, fine bool
	}{
		{0.1, 40e-6, true, false}, {0.5, 40e-6, false, false}, {0.3, 180e-6, true, false}, {0.3, -60e-6, true, false},
		{0.3, 180e-6, false, true},
	} {
		here := 0
		var off, said []float64
		for range trials {
			a, b, both := twoWay(measured, c.delay, 0.5, 1)
			both = rough(both, c.db, rng)
			if c.three {
				a, b = rough(a, c.db, rng), rough(b, c.db, rng)
			}
			if c.fine {
				h := make([]complex128, len(finer))
				if err := both.Resample(h, finer); err != nil {
					t.Fatal(err)
				}
				both.Hz, both.H = finer, h
			}
			o, err := RelativeDelay(a, b, both, 1200, 5000, 0.00025)
			if err != nil {
				t.Fatalf("%+v: %v", c, err)
			}
			off, said = append(off, float64(o.Delay)-c.delay), append(said, float64(o.SD))
			if math.Abs(off[len(off)-1]) <= 2*float64(o.SD) {
				here++
			}
		}
		all, inside = all+trials, inside+here
		real, mean := stat.StdDev(off, nil), stat.Mean(said, nil)
		t.Logf("%+v: %d of %d inside; spread %.2f µs, stated %.2f µs", c, here, trials, real*1e6, mean*1e6)
		if here < 88 { // 95 less three of its own standard deviations
			t.Errorf("%+v: the truth lies inside in %d of %d trials", c, here, trials)
		}
		if !(mean >= 0.8*real && mean <= 3*real) {
			t.Errorf("%+v: spread %.3g µs, stated %.3g µs", c, real*1e6, mean*1e6)
		}
	}
	if share := float64(inside) / float64(all); !(share >= 0.93 && share <= 0.995) {
		t.Errorf("the truth lies inside in %.1f %% of all trials", 100*share)
	}
}

// A second road to delay and uncertainty: brute force over delay and gain, and the
// width at which the sum of squares has risen by its own variance.
func TestRelativeDelayAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	hz := LogGrid(1200, 5000, 110)
	a, b, both := twoWay(hz, 150e-6, 0.4, -1)
	both = rough(both, 0.2, rng)
	o, err := RelativeDelay(a, b, both, 1200, 5000, 0.0003)
	if err != nil {
		t.Fatal(err)
	}
	// The best gain for a delay, in closed form, and what it leaves.
	sum := func(delay float64) float64 {
		var mm, ms, ss float64
		for i, f := range hz {
			whole := cmplx.Abs(a.H[i]) + cmplx.Abs(b.H[i])
			s := cmplx.Abs(a.H[i]-b.H[i]*cmplx.Exp(complex(0, -2*math.Pi*f*delay))) / whole
			m := real(both.H[i]) / whole
			mm, ms, ss = mm+m*m, ms+m*s, ss+s*s
		}
		return mm - ms*ms/ss
	}
	best := 0.
	for delay := -300e-6; delay <= 300e-6; delay += 0.01e-6 {
		if sum(delay) < sum(best) {
			best = delay
		}
	}
	if !(math.Abs(float64(o.Delay)-best) <= 0.011e-6) {
		t.Errorf("%.4f µs, by brute force %.4f µs", float64(o.Delay)*1e6, best*1e6)
	}
	least := sum(best)
	// Curvature by differences: the variance of a parameter is 2σ² over it.
	const h = 2e-6
	curvature := (sum(best+h) - 2*least + sum(best-h)) / (h * h)
	plain := math.Sqrt(2 * least / float64(len(hz)-2) / curvature)
	if ratio := float64(o.SD) / plain; !(ratio >= 0.95 && ratio <= 1.5) { // more where misfits hang together by chance
		t.Errorf("SD %v, from curvature %.3g µs", o.SD, plain*1e6)
	}
	if !(math.Abs(o.Residual-20/math.Ln10*math.Sqrt(least/float64(len(hz)))/FromDB(o.Gain)) <= 1e-6) {
		t.Errorf("residual %v dB", o.Residual)
	}
}

// Levels of all three up or down, both drivers later together, frequencies scaled, or
// the drivers exchanged: the answer follows.
func TestRelativeDelayIsEquivariant(t *testing.T) {
	hz := LogGrid(1000, 6000, 110)
	a, b, both := twoWay(hz, 70e-6, 0.4, 1)
	both = rough(both, 0.2, rand.New(rand.NewPCG(3, 5)))
	find := func(a, b, both Curve, k float64) Offset {
		t.Helper()
		o, err := RelativeDelay(a, b, both, units.Frequency(1200*k), units.Frequency(5000*k), units.Time(0.0003/k))
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	base := find(a, b, both, 1)
	times := func(c Curve, k, delay float64) Curve {
		h := make([]complex128, len(c.H))
		for i, v := range c.H {
			h[i] = v * cmplx.Rect(k, -2*math.Pi*c.Hz[i]*delay)
		}
		c.H = h
		return c
	}
	scaled := func(c Curve) Curve {
		f := make([]float64, len(c.Hz))
		for i, v := range c.Hz {
			f[i] = v / 10
		}
		c.Hz = f
		return c
	}
	for _, c := range []struct {
		name  string
		got   Offset
		delay float64
	}{
		{"louder", find(times(a, 3, 0), times(b, 3, 0), times(both, 3, 0), 1), float64(base.Delay)},
		{"later", find(times(a, 1, 55e-6), times(b, 1, 55e-6), both, 1), float64(base.Delay)},
		{"b later", find(a, times(b, 1, 20e-6), both, 1), float64(base.Delay) - 20e-6},
		{"exchanged", find(b, a, both, 1), -float64(base.Delay)},
		{"a decade lower", find(scaled(a), scaled(b), scaled(both), 0.1), 10 * float64(base.Delay)},
	} {
		k := 1.
		if c.name == "a decade lower" {
			k = 10
		}
		if !(math.Abs(float64(c.got.Delay)-c.delay) <= 1e-9*k) || !(math.Abs(float64(c.got.SD)/float64(base.SD)/k-1) <= 1e-3) ||
			!(math.Abs(c.got.Gain-base.Gain) <= 1e-6) {
			t.Errorf("%s: %+v, want %v s as of %+v", c.name, c.got, c.delay, base)
		}
	}
	if o := find(a, times(b, -1, 0), both, 1); !o.Inverted || !(math.Abs(float64(o.Delay-base.Delay)) <= 1e-12) {
		t.Errorf("turned over: %+v", o)
	}
}

// Drivers in phase without delay: levels have no slope there, and can only fall to
// either side. The stated uncertainty holds all the same.
func TestRelativeDelayInPhase(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	hz := LogGrid(1000, 4000, 110)
	a, both := Curve{Hz: hz, HasPhase: true}, Curve{Hz: hz}
	for _, f := range hz {
		a.H, both.H = append(a.H, cmplx.Rect(1, f/1000)), append(both.H, complex(2*math.Cosh(f/4000), 0))
		a.H[len(a.H)-1] *= complex(math.Cosh(f/4000), 0)
	}
	clean, err := RelativeDelay(a, a, both, 1000, 4000, 300e-6)
	if err != nil || !(math.Abs(float64(clean.Delay)) <= float64(clean.SD)) || !(clean.SD <= 3e-6) || clean.Inverted {
		t.Errorf("%+v, %v", clean, err)
	}
	inside := 0
	for range 100 {
		o, err := RelativeDelay(a, a, rough(both, 0.3, rng), 1000, 4000, 300e-6)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(o.Delay)) <= 2*float64(o.SD) && o.SD <= 25e-6 {
			inside++
		}
	}
	if t.Logf("%d of 100 inside", inside); inside < 88 {
		t.Errorf("the truth lies inside in %d of 100 trials", inside)
	}
}

// In a narrow band a whole period more explains rough levels nearly as well, and a
// half with the polarity changed; one of them is the truth, within its own uncertainty.
func TestRelativeDelayRivals(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	hz := LogGrid(2000, 3000, 300)
	const delay = 60e-6
	ambiguous, missed := 0, 0
	for range 20 {
		a, b, both := twoWay(hz, delay, 0, 1)
		both = rough(both, 0.3, rng)
		o, err := RelativeDelay(a, b, both, 2200, 2800, 0.0006)
		if err != nil {
			t.Fatal(err)
		}
		if len(o.Rivals) > 0 {
			ambiguous++
		}
		found := false
		for _, r := range append([]Rival{{o.Delay, o.Inverted, o.Residual}}, o.Rivals...) {
			found = found || !r.Inverted && math.Abs(float64(r.Delay)-delay) <= 25e-6
			if r.Residual < o.Residual {
				t.Errorf("a rival fits better: %+v", o)
			}
		}
		if !found {
			missed++
		}
	}
	if ambiguous < 10 || missed > 2 {
		t.Errorf("ambiguous in %d of 20, truth missed in %d", ambiguous, missed)
	}
}

func TestRelativeDelayRefuses(t *testing.T) {
	hz := LogGrid(200, 20000, 96)
	a, b, both := twoWay(hz, 60e-6, 0, 1)
	level := a.magnitude()
	nan := math.NaN()
	panel := func(c Curve, t Taken) Curve { c.Taken = t; return c }
	faint := b
	faint.H = make([]complex128, len(b.H))
	for i, v := range b.H {
		faint.H[i] = v * 1e-6
	}
	rng := rand.New(rand.NewPCG(1, 2))
	quiet := panel(faint, Taken{})
	for i := range quiet.H {
		quiet.H[i] *= 100 // 80 dB down
	}
	for _, c := range []struct {
		name       string
		a, b, both Curve
		lo, hi     units.Frequency
		within     units.Time
		want       string
	}{
		{"no phase", level, b, both, 1200, 5000, 1e-3, "the first driver has no phase: must be given its minimum phase first"},
		{"no phase", a, b.magnitude(), both, 1200, 5000, 1e-3, "the second driver has no phase"},
		{"band", a, b, both, 100, 5000, 1e-3, "response: delay: band 100 Hz to 5000 Hz: must lie within the 200 Hz to 20000 Hz in which the curve of the first driver is valid"},
		{"gate", a, b, Curve{Hz: hz, H: both.H, From: 1500}, 1200, 5000, 1e-3, "in which the curve of both is valid"},
		{"downward", a, b, both, 5000, 1200, 1e-3, "must run upward"},
		{"NaN", a, b, both, units.Frequency(nan), 1200, 1e-3, "must run upward"},
		{"NaN", a, b, both, 1200, units.Frequency(nan), 1e-3, "must run upward"},
		{"within", a, b, both, 1200, 5000, 0, "response: delay: within 0 ms: must be positive"},
		{"within", a, b, both, 1200, 5000, units.Time(nan), "must be positive"},
		{"within", a, b, both, 1200, 5000, 1, "must be from 0 ms to 20 ms"},
		{"few", a, b, both, 1200, 1500, 1e-3, "points of the curve of both: must hold at least 12"},
		{"empty", a, Curve{}, both, 1200, 5000, 1e-3, "the second driver: response: a curve of 0 points"},
		{"mounting", panel(a, Taken{Mounting: OnPanel}), panel(b, Taken{Mounting: OnPanel}), panel(both, Taken{Mounting: OnFloor}), 1200, 5000, 1e-3, "both taken \"on the floor, 1 V, 1 m\": must be taken as the first driver was"},
		{"voltage", a, panel(b, Taken{Voltage: 2}), both, 1200, 5000, 1e-3, "must be taken as the first driver was"},
		{"distance", a, b, panel(both, Taken{Distance: 2}), 1200, 5000, 1e-3, "must be taken as the first driver was"},
		{"near", panel(a, Taken{Mounting: NearCone}), b, both, 1200, 5000, 1e-3, "must be taken where both drivers are heard"},
		{"end", a, b, both, 1200, 5000, 30e-6, "must lie inside ±30 µs"},
		{"one driver alone", a, faint, a.magnitude(), 1200, 5000, 300e-6, "holds no information on the delay"},
		{"80 dB between them", a, quiet, rough(a.magnitude(), 0.3, rng), 1200, 5000, 300e-6, "holds no information on the delay"},
	} {
		o, err := RelativeDelay(c.a, c.b, c.both, c.lo, c.hi, c.within)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %+v, error %v, want %s", c.name, o, err, c.want)
		}
	}
}

// Where the levels tell some of the delays apart, but not how far the best may go
// beyond those that were tried, there is no answer either.
func TestRelativeDelayWithoutEnd(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 1))
	within := 10e-6 * (1 + 9*rng.Float64())
	delay := within * (2*rng.Float64() - 1)
	a, b, both := twoWay(LogGrid(1000, 6000, 110), delay, 0, 1)
	both = rough(both, 0.1+1.5*rng.Float64(), rng)
	o, err := RelativeDelay(a, b, both, 1500, 4500, units.Time(within))
	if err == nil || !strings.Contains(err.Error(), "holds no information on the delay") {
		t.Errorf("%+v, %v", o, err)
	}
}

func TestGoldenOffset(t *testing.T) {
	golden.Run(t, "testdata/offset.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "depth of the acoustic centre":
			d, err := CentreDepth(units.Length(r.Num(t, "apex", "mm"))*units.Millimetre, units.Length(r.Num(t, "proud", "mm"))*units.Millimetre)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, d.In(units.Millimetre))
		case "relative delay":
			fc, c := r.Num(t, "crossover", "Hz"), r.Num(t, "speed", "m/s")
			level := FromDB(r.Num(t, "level", "dB"))
			delay := r.Num(t, "path", "mm") / 1000 / c
			denominator := map[string]func(s complex128) complex128{
				"LR4": func(s complex128) complex128 { d := 1 + complex(math.Sqrt2, 0)*s + s*s; return d * d },
				"B3":  func(s complex128) complex128 { return (1 + s) * (1 + s + s*s) },
			}[r.Word(t, "alignment")]
			order := map[string]int{"LR4": 4, "B3": 3}[r.Word(t, "alignment")]
			hz := LogGrid(fc/2, fc*2, 120)
			a, b, both := Curve{Hz: hz, HasPhase: true}, Curve{Hz: hz, HasPhase: true}, Curve{Hz: hz}
			for _, f := range hz {
				s := complex(0, f/fc)
				low, high := 1/denominator(s), 1/denominator(s)
				for range order {
					high *= s
				}
				a.H, b.H = append(a.H, low), append(b.H, high)
				both.H = append(both.H, complex(cmplx.Abs(low+high*cmplx.Exp(complex(0, -2*math.Pi*f*delay)))*level, 0))
			}
			o, err := RelativeDelay(a, b, both, units.Frequency(fc/2), units.Frequency(fc*2), 300*units.Microsecond)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, o.Delay.In(units.Microsecond))
			// Drivers in phase look the same from either side, and drivers a quarter of a
			// turn apart with one of them turned over.
			if !(len(o.Rivals) == 1 && math.Abs(float64(o.Rivals[0].Delay+o.Delay)) < 1e-10 && o.Rivals[0].Inverted == (order == 3)) {
				t.Errorf("rivals %+v", o.Rivals)
			}
		default:
			r.Unknown(t)
		}
	})
}

// Depth ahead of the panel and behind the flange: from the drawing's edge, both ways.
func TestCentreDepth(t *testing.T) {
	for apex := 0.; apex <= 0.1; apex += 0.013 {
		for proud := -0.01; proud <= 0.02; proud += 0.003 {
			d, err := CentreDepth(units.Length(apex), units.Length(proud))
			if panel := apex - float64(d); err != nil || !(math.Abs(panel-proud) <= 1e-15) {
				t.Errorf("apex %v, proud %v: %v, %v", apex, proud, d, err)
			}
		}
	}
	for _, c := range [][2]units.Length{{-0.01, 0}, {units.Length(math.NaN()), 0}, {0.05, units.Length(math.NaN())}, {0.05, units.Length(math.Inf(1))}} {
		var e *units.RangeError
		if _, err := CentreDepth(c[0], c[1]); !errors.As(err, &e) {
			t.Errorf("%v: error %v, want a *units.RangeError", c, err)
		}
	}
}

func BenchmarkRelativeDelay(b *testing.B) {
	first, second, both := twoWay(LogGrid(200, 20000, 160), 80e-6, 0.5, 1)
	for b.Loop() {
		if _, err := RelativeDelay(first, second, both, 1200, 5000, 0.0005); err != nil {
			b.Fatal(err)
		}
	}
}
