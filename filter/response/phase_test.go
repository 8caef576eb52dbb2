package response

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/interp"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// levels returns the magnitudes of f at hz, without phase.
func levels(hz []float64, f rational.Func) Curve {
	c := Curve{Hz: hz}
	for _, v := range hz {
		c.H = append(c.H, complex(cmplx.Abs(f.AtHz(v)), 0))
	}
	return c
}

// at returns f with its corner, of 1 rad/s, at hz.
func at(t *testing.T, f rational.Func, err error, hz float64) rational.Func {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return f.Scaled(2 * math.Pi * hz)
}

// near returns the phase, in degrees, by whole turns as near to another as can be.
func near(phase, other float64) float64 { return other + math.Remainder(phase-other, 360) }

func TestGoldenPhase(t *testing.T) {
	wide := LogGrid(1e-3, 1e3, 80)
	golden.Run(t, "testdata/phase.csv", func(t *testing.T, r golden.Row) {
		var f rational.Func
		var err error
		switch r.Calculation {
		case "minimum phase of a constant slope":
			n := r.Num(t, "slope", "1") // in decibels per octave
			c := Curve{Hz: wide}
			for _, v := range wide {
				c.H = append(c.H, complex(math.Pow(v, n/6), 0))
			}
			m, err := c.MinimumPhase(Slopes{n, n})
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, near(Phase(m.H[100]), r.Value.Float()))
			return
		case "minimum phase of a Butterworth filter":
			f, err = filter.Butterworth(int(r.Num(t, "order", "1")))
		case "minimum phase of a second-order filter", "group delay of a second-order filter":
			f, err = filter.SecondOrder(r.Num(t, "Q", "1"))
		default:
			r.Unknown(t)
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		s := Slopes{High: -6 * float64(len(f.Poles))}
		if r.Word(t, "kind") == "high-pass" {
			f, s = f.HighPass(), Slopes{Low: -s.High}
		}
		grid := wide
		if r.Calculation == "group delay of a second-order filter" {
			grid = LogGrid(0.1, 10, 2000) // a derivative wants points closer together
		}
		c := levels(grid, f.Scaled(2*math.Pi))
		m, err := c.MinimumPhase(s)
		if err != nil {
			t.Fatal(err)
		}
		hz := r.Num(t, "f/fc", "1")
		if r.Calculation == "group delay of a second-order filter" {
			delay, err := m.GroupDelay()
			if err != nil {
				t.Fatal(err)
			}
			var over interp.AkimaSpline
			if err := over.Fit(grid, delay); err != nil {
				t.Fatal(err)
			}
			r.Check(t, 2*math.Pi*over.Predict(hz))
			return
		}
		h := make([]complex128, 1)
		if err := m.Resample(h, []float64{hz}); err != nil {
			t.Fatal(err)
		}
		r.Check(t, near(Phase(h[0]), r.Value.Float()))
	})
}

// The closed forms of filters, from a table that ends an octave and a half beyond
// their corners. The limits are a little above what is reached; the doc comment of
// MinimumPhase gives them.
func TestMinimumPhaseOfFilters(t *testing.T) {
	hz := LogGrid(20, 20000, 80)
	const low, high = 57, 7000
	low2, err := filter.Butterworth(2)
	b2 := at(t, low2, err, high)
	low4, err := filter.Butterworth(4)
	b4 := at(t, low4, err, high)
	low1, err := filter.Butterworth(1)
	b1 := at(t, low1, err, high)
	bessel, err := filter.Bessel(4, filter.MagnitudeNorm)
	s4 := at(t, bessel, err, high)
	peak, err := filter.SecondOrder(3)
	q3 := at(t, peak, err, high)
	for _, c := range []struct {
		name  string
		f     rational.Func
		s     Slopes
		limit float64 // degrees, 100 Hz to 6 kHz
	}{
		{"Butterworth 1", b1, Slopes{0, -6}, 0.04},
		{"Butterworth 2", b2, Slopes{0, -12}, 0.1},
		{"Butterworth 4", b4, Slopes{0, -24}, 0.01},
		{"Bessel 4", s4, Slopes{0, -24}, 0.4},
		{"Q = 3", q3, Slopes{0, -12}, 0.1},
		{"closed box", at(t, low2.HighPass(), nil, low), Slopes{12, 0}, 0.06},
		{"vented box", at(t, low4.HighPass(), nil, low), Slopes{24, 0}, 0.01},
		{"Bessel 4, high-pass", at(t, bessel.HighPass(), nil, low), Slopes{24, 0}, 0.3},
		{"band-pass", at(t, low2.HighPass(), nil, 200).Mul(at(t, bessel, nil, 3000)), Slopes{12, -24}, 0.03},
		{"peaky band-pass", at(t, peak.HighPass(), nil, 200).Mul(at(t, peak, nil, 2000)), Slopes{12, -12}, 0.03},
	} {
		m, err := levels(hz, c.f).MinimumPhase(c.s)
		if err != nil {
			t.Fatal(err)
		}
		var worst, where float64
		for i, f := range hz {
			if d := math.Abs(Phase(m.H[i] / c.f.AtHz(f))); f >= 100 && f <= 6000 && !(d <= worst) {
				worst, where = d, f
			}
		}
		t.Logf("%-20s within %.4f°, at %.0f Hz", c.name, worst, where)
		if !(worst <= c.limit) {
			t.Errorf("%s: off by %.4f° at %.0f Hz, limit %g°", c.name, worst, where, c.limit)
		}
	}
}

// A level that is flat at both ends needs no slopes, so the Hilbert transform of
// its logarithm on a linear axis, folded over the real cepstrum, gives the same.
func TestMinimumPhaseAgainstCepstrum(t *testing.T) {
	level := func(f float64) float64 { // nepers
		bump := func(height, centre, width float64) float64 {
			u := math.Log(f/centre) / width
			return height * math.Exp(-u*u)
		}
		if f == 0 {
			return 0
		}
		return bump(0.7, 1000, 0.5) + bump(-1, 3000, 0.3) + bump(0.4, 500, 1)
	}
	const n, half = 1 << 18, 400_000. // bins, and half the sampling rate
	fft := fourier.NewFFT(n)
	a := make([]complex128, n/2+1)
	for i := range a {
		a[i] = complex(level(half*float64(i)/(n/2)), 0)
	}
	cepstrum := fft.Sequence(nil, a)
	for i := range cepstrum {
		switch {
		case i > 0 && i < n/2:
			cepstrum[i] *= 2
		case i > n/2:
			cepstrum[i] = 0
		}
	}
	folded := fft.Coefficients(nil, cepstrum)

	c := Curve{Hz: LogGrid(10, 100e3, 200)}
	for _, f := range c.Hz {
		c.H = append(c.H, complex(math.Exp(level(f)), 0))
	}
	m, err := c.MinimumPhase(Slopes{})
	if err != nil {
		t.Fatal(err)
	}
	for i := 70; i < 7000; i += 13 {
		f := half * float64(i) / (n / 2)
		h := make([]complex128, 1)
		if err := m.Resample(h, []float64{f}); err != nil {
			t.Fatal(err)
		}
		want := imag(folded[i]) / n * 180 / math.Pi
		if got := Phase(h[0]); !(math.Abs(got-want) <= 0.01) {
			t.Errorf("%.1f Hz: %.4f°, by the cepstrum %.4f°", f, got, want)
		}
	}
}

// A table as irregular as any, against the other form of Bode's integral,
// φ = 1/π ∫ (A(u+v) − A(u))/sinh v dv, summed point by point.
func TestMinimumPhaseAgainstQuadrature(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	for range 3 {
		c := Curve{}
		f := 20.
		for i := range 60 {
			a := 0.
			if i > 15 && i < 45 { // flat ends go on flat, whatever continues them
				a = rng.NormFloat64() / 2
			}
			c.Hz, c.H = append(c.Hz, f), append(c.H, complex(math.Exp(a), 0))
			f *= 1 + 0.2*rng.Float64() + 0.02
		}
		m, err := c.MinimumPhase(Slopes{})
		if err != nil {
			t.Fatal(err)
		}
		u, a := c.logs()
		var spline interp.AkimaSpline
		if err := spline.Fit(u, a); err != nil {
			t.Fatal(err)
		}
		for i := 5; i < len(u); i += 7 {
			const step, reach = 2e-4, 20
			sum := 0.
			for k := range int(reach / step) { // midpoints, both sides at once
				v := (float64(k) + 0.5) * step
				sum += (spline.Predict(u[i]+v) - spline.Predict(u[i]-v)) / math.Sinh(v) * step
			}
			want := sum / math.Pi * 180 / math.Pi
			if got := Phase(m.H[i]); !(math.Abs(got-want) <= 0.01) {
				t.Errorf("%.1f Hz: %.4f°, by quadrature %.4f°", c.Hz[i], got, want)
			}
		}
	}
}

// The closed forms of the integrals against their series.
func TestPhaseIntegrals(t *testing.T) {
	for _, z := range []float64{1e-9, 1e-5, 0.99e-4, 1.01e-4, 1e-3, 0.1, 0.5, 0.9, 0.99} {
		var straight, decaying float64
		for k := 1.; k < 4001; k += 2 {
			p := 2 / math.Pi * math.Pow(z, k)
			straight += p / (k * k)
			decaying += p / (k * (k + 2))
		}
		s, d := tail(z)
		if !(math.Abs(s-straight) <= 1e-12 && math.Abs(d-decaying) <= 1e-12) {
			t.Errorf("z = %g: %v and %v, want %v and %v", z, s, d, straight, decaying)
		}
	}
	if s, d := tail(1); !(math.Abs(s-math.Pi/4) <= 1e-15 && math.Abs(d-1/math.Pi) <= 1e-15) {
		t.Errorf("z = 1: %v and %v, want π/4 and 1/π", s, d)
	}
}

func TestMinimumPhaseProperties(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	random := func() Curve {
		c := Curve{}
		f, a := 20., 0.
		for range 100 {
			c.Hz, c.H = append(c.Hz, f), append(c.H, complex(math.Exp(a), 0))
			f *= 1.02 + 0.1*rng.Float64()
			a += 0.2 * rng.NormFloat64()
		}
		return c
	}
	phases := func(c Curve, s Slopes) []float64 {
		t.Helper()
		m, err := c.MinimumPhase(s)
		if err != nil {
			t.Fatal(err)
		}
		if !m.HasPhase {
			t.Error("no phase")
		}
		p := make([]float64, len(m.H))
		for i, h := range m.H {
			p[i] = Phase(h)
			if !(math.Abs(cmplx.Abs(h)-cmplx.Abs(c.H[i])) <= 1e-14*cmplx.Abs(h)) {
				t.Errorf("magnitude %v became %v", c.H[i], h)
			}
		}
		return p
	}
	same := func(what string, got, want []float64, tolerance float64) {
		t.Helper()
		for i := range want {
			if d := math.Remainder(got[i]-want[i], 360); !(math.Abs(d) <= tolerance) {
				t.Errorf("%s: point %d: %v°, want %v°", what, i+1, got[i], want[i])
				return
			}
		}
	}
	for range 5 {
		c := random()
		s := Slopes{Low: 24 * rng.Float64(), High: -24 * rng.Float64()}
		base := phases(c, s)

		gain, inverse, twice, mirror, phased := Curve{Hz: c.Hz}, Curve{Hz: c.Hz}, Curve{Hz: c.Hz}, Curve{}, Curve{Hz: c.Hz, HasPhase: true}
		var negative, double, reversed []float64
		for i, h := range c.H {
			gain.H = append(gain.H, 37*h)
			inverse.H = append(inverse.H, 1/h)
			twice.H = append(twice.H, h*h)
			phased.H = append(phased.H, h*cmplx.Rect(1, float64(i)))
			j := len(c.H) - 1 - i
			mirror.Hz, mirror.H = append(mirror.Hz, 1e6/c.Hz[j]), append(mirror.H, c.H[j])
			negative = append(negative, -base[i])
			double = append(double, 2*base[i])
			reversed = append(reversed, -base[j])
		}
		same("gain", phases(gain, s), base, 1e-8)
		same("inverse", phases(inverse, Slopes{-s.Low, -s.High}), negative, 1e-8)
		same("squared", phases(twice, Slopes{2 * s.Low, 2 * s.High}), double, 1e-8)
		same("octaves reversed", phases(mirror, Slopes{-s.High, -s.Low}), reversed, 1e-8)
		same("phase given", phases(phased, s), base, 1e-8)
	}

	// The phase of a product is the sum, of a gain 0, of f^n n times 90°.
	hz := LogGrid(20, 20000, 80)
	b2, err := filter.Butterworth(2)
	low := at(t, b2, err, 2000)
	q3, err := filter.SecondOrder(3)
	high := at(t, q3.HighPass(), err, 300)
	one, two := phases(levels(hz, low), Slopes{0, -12}), phases(levels(hz, high), Slopes{12, 0})
	var sum []float64
	for i := range one {
		sum = append(sum, one[i]+two[i])
	}
	same("product", phases(levels(hz, low.Mul(high)), Slopes{12, -12}), sum, 0.02)
	for n := -3.; n <= 3; n += 0.5 {
		c, want := Curve{Hz: hz}, []float64(nil)
		for _, f := range hz {
			c.H, want = append(c.H, complex(5*math.Pow(f, n), 0)), append(want, 90*n)
		}
		same(fmt.Sprintf("f^%g", n), phases(c, Slopes{6 * n, 6 * n}), want, 1e-8)
	}
	// So has a table of two points.
	same("two points", phases(Curve{Hz: []float64{10, 100}, H: []complex128{1, 10}}, Slopes{6, 6}), []float64{90, 90}, 1e-8)
}

// The spread is what the four corners reach.
func TestMinimumPhaseSpread(t *testing.T) {
	b2, err := filter.Butterworth(2)
	c := levels(LogGrid(20, 20000, 20), at(t, b2, err, 2000))
	s, by := Slopes{3, -12}, Slopes{6, -9}
	m, spread, err := c.MinimumPhaseSpread(s, by)
	if err != nil {
		t.Fatal(err)
	}
	most := make([]float64, len(spread))
	for _, corner := range []Slopes{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
		off, err := c.MinimumPhase(Slopes{s.Low + corner.Low*by.Low, s.High + corner.High*by.High})
		if err != nil {
			t.Fatal(err)
		}
		for i, h := range off.H {
			most[i] = max(most[i], math.Abs(Phase(h/m.H[i])))
		}
	}
	for i := range spread {
		if !(math.Abs(spread[i]-most[i]) <= 1e-9) {
			t.Errorf("%.0f Hz: %v°, corners reach %v°", c.Hz[i], spread[i], most[i])
		}
	}
	if p := Plausible(); p != (Slopes{6, 6}) {
		t.Errorf("plausible is %v", p)
	}
}

// Noise on the last points must not throw the phase about.
func TestMinimumPhaseUnderNoise(t *testing.T) {
	hz := LogGrid(20, 20000, 80)
	b2, err := filter.Butterworth(2)
	f := at(t, b2, err, 7000)
	rng := rand.New(rand.NewPCG(4, 2))
	var squares, n float64
	for range 10 {
		c := levels(hz, f)
		for i := range c.H {
			c.H[i] *= complex(FromDB(0.5*rng.NormFloat64()), 0)
		}
		m, err := c.MinimumPhase(Slopes{0, -12})
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range hz {
			if v >= 100 && v <= 6000 {
				d := Phase(m.H[i] / f.AtHz(v))
				squares += d * d
				n++
			}
		}
	}
	// The Hilbert transform of white noise is as strong: 0.5 dB is 3.3°.
	if rms := math.Sqrt(squares / n); !(rms <= 4 && rms >= 2) {
		t.Errorf("0.5 dB of noise gives %.2f° RMS", rms)
	}
}

// Half a table finer than the cells comes through.
func TestMinimumPhaseOfUnevenTables(t *testing.T) {
	b2, err := filter.Butterworth(2)
	f := at(t, b2, err, 2000)
	for name, hz := range map[string][]float64{
		"linear":    linear(20, 20000, 500),
		"one close": append(LogGrid(20, 999.9999999, 80), LogGrid(1000, 20000, 80)...),
	} {
		m, err := levels(hz, f).MinimumPhase(Slopes{0, -12})
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range hz {
			if d := Phase(m.H[i] / f.AtHz(v)); v > 100 && v < 10000 && !(math.Abs(d) <= 0.02) {
				t.Errorf("%s: %.1f Hz: off by %.4f°", name, v, d)
			}
		}
	}
}

func linear(lo, hi float64, n int) []float64 {
	hz := make([]float64, n+1)
	for i := range hz {
		hz[i] = lo + (hi-lo)*float64(i)/float64(n)
	}
	return hz
}

// What lies below From is not used.
func TestMinimumPhaseBelowFrom(t *testing.T) {
	hz := LogGrid(20, 20000, 80)
	b2, err := filter.Butterworth(2)
	c := levels(hz, at(t, b2, err, 2000))
	c.From = 200
	c.Taken = Taken{Mounting: HalfSpace}
	want, err := c.MinimumPhase(Slopes{0, -12})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range hz {
		if f < 199 {
			c.H[i] *= 7
		}
	}
	got, err := c.MinimumPhase(Slopes{0, -12})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.H) != 161 || math.Abs(got.Hz[0]-200) > 1e-9 || got.From != c.From || got.Taken != c.Taken {
		t.Fatalf("%d points from %v Hz, valid from %v, taken %v", len(got.H), got.Hz[0], got.From, got.Taken)
	}
	for i := range got.H {
		if got.H[i] != want.H[i] {
			t.Fatalf("%v Hz: %v, want %v", got.Hz[i], got.H[i], want.H[i])
		}
	}
	c.From = 19990
	if _, err := c.MinimumPhase(Slopes{}); err == nil {
		t.Error("one valid point is enough")
	}
}

func TestEndSlopes(t *testing.T) {
	hz := LogGrid(20, 20000, 80)
	b2, err := filter.Butterworth(2)
	b4, err4 := filter.Butterworth(4)
	f := at(t, b4.HighPass(), err4, 200).Mul(at(t, b2, err, 2000))
	s, err := levels(hz, f).EndSlopes(0.5)
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(s.Low-24) <= 0.01 && math.Abs(s.High+12) <= 0.01) {
		t.Errorf("slopes %v, want 24 and -12", s)
	}
	// The line is that of the points within the octaves and of no others.
	c := Curve{Hz: []float64{10, 20, 40, 1000, 2000}, H: []complex128{1, 2, 400, 30, 15}}
	if s, err = c.EndSlopes(1); err != nil || !(math.Abs(s.Low-6) <= 1e-12 && math.Abs(s.High+6) <= 1e-12) {
		t.Errorf("slopes %v, %v, want 6 and -6", s, err)
	}
	for _, octaves := range []float64{0, -1, math.NaN(), math.Inf(1), 0.5} {
		var limit *units.RangeError
		if _, err := c.EndSlopes(octaves); !errors.As(err, &limit) {
			t.Errorf("%v octaves: %v", octaves, err)
		}
	}
	if _, err := (Curve{}).EndSlopes(1); err == nil {
		t.Error("no points have slopes")
	}
}

func TestMinimumPhaseRefuses(t *testing.T) {
	good := Curve{Hz: []float64{10, 100}, H: []complex128{1, 10}}
	for _, c := range []struct {
		c     Curve
		s, by Slopes
		want  string
	}{
		{good, Slopes{Low: math.NaN()}, Slopes{}, "response: slope, low end (dB per octave) NaN: must be from -600 to 600"},
		{good, Slopes{High: math.Inf(-1)}, Slopes{}, "response: slope, high end (dB per octave) -Inf: must be from -600 to 600"},
		{good, Slopes{}, Slopes{High: 601}, "response: error of slope, high end (dB per octave) 601: must be from -600 to 600"},
		{Curve{}, Slopes{}, Slopes{}, "response: a curve of 0 points: must have at least two"},
		{Curve{Hz: []float64{1e-300, 1e300}, H: []complex128{1, 1}, HasPhase: true}, Slopes{}, Slopes{},
			"response: frequencies 1e-300 Hz to 1e+300 Hz: must have a finite ratio"},
	} {
		_, _, err := c.c.MinimumPhaseSpread(c.s, c.by)
		if err == nil || err.Error() != c.want {
			t.Errorf("%v: %v, want %s", c.s, err, c.want)
		}
	}
}

func BenchmarkMinimumPhase(b *testing.B) {
	for _, n := range []int{241, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			c := Curve{}
			for i := range n {
				f := 20 * math.Pow(1000, float64(i)/float64(n-1))
				c.Hz = append(c.Hz, f)
				c.H = append(c.H, complex(cmplx.Abs(lowPass(2, f)), 0))
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := c.MinimumPhase(Slopes{High: -12}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
