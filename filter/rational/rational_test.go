package rational

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
)

// polynomials used by several tests, ascending powers of s.
var (
	lr4 = []float64{1, 2 * math.Sqrt2, 4, 2 * math.Sqrt2, 1}

	cases = []struct {
		name     string
		num, den []float64
	}{
		{"constant", []float64{3}, []float64{-2}},
		{"integrator", []float64{5}, []float64{0, 1}},
		{"differentiator", []float64{0, 0, 2}, []float64{7}},
		{"one pole", []float64{1}, []float64{1, 3e-4}},
		{"closed box", []float64{0, 0, 1}, []float64{1e5, 400, 1}},
		{"squared Butterworth", []float64{1}, lr4},
		{"squared, eighth order", []float64{1}, square(Polynomial([]complex128{
			cmplx.Rect(1, math.Pi*5/8), cmplx.Rect(1, -math.Pi*5/8),
			cmplx.Rect(1, math.Pi*7/8), cmplx.Rect(1, -math.Pi*7/8)}, 1))},
		{"vented box, factors of s", []float64{0, 0, 0, 0, 1}, []float64{6e9, 7e7, 2e5, 500, 1}},
		{"common factors of s", []float64{0, 0, 2, 1}, []float64{0, 3, 1}},
		{"double real", []float64{1}, []float64{1, 2, 1}},
		{"fourfold real", []float64{1, 1}, []float64{1, 4, 6, 4, 1}},
		{"wide apart", []float64{1}, Polynomial([]complex128{-1, -30, -1e3, -4e4, -1e6}, 3)},
		{"ten from 1e5 to 1e6", []float64{1}, Polynomial(ladderOfRoots(10), 1)},
		{"zeros off the axis", []float64{4, 0, 1}, []float64{1, 0.2, 3, 0.1, 1, 2}},
		{"leading zeros", []float64{1, 0, 0}, []float64{1, 1, 0, 0, 0}},
		{"unstable", []float64{1}, []float64{1, -0.1, 1}},
	}
)

func ladderOfRoots(n int) []complex128 {
	r := make([]complex128, n)
	for i := range r {
		r[i] = complex(-1e5*float64(i+1), 0)
	}
	return r
}

// The factored form against Horner's rule on the coefficients it came from,
// within what rounding leaves of the latter.
func TestAtAgainstPolynomials(t *testing.T) {
	for _, c := range cases {
		f, err := FromPolynomials(c.num, c.den)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if err := f.Check(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		for e := -2.0; e <= 8; e += 0.125 {
			s := complex(0, math.Pow(10, e))
			n, d := evaluate(c.num, s), evaluate(c.den, s)
			slack := 1e-12 + 4e-16*(moduli(c.num, cmplx.Abs(s))/cmplx.Abs(n)+moduli(c.den, cmplx.Abs(s))/cmplx.Abs(d))
			if got, want := f.At(s), n/d; !(cmplx.Abs(got-want) <= slack*cmplx.Abs(want)) {
				t.Errorf("%s: at %v: got %v, want %v", c.name, s, got, want)
			}
		}
	}
}

func TestAtHz(t *testing.T) {
	f := Func{Poles: []complex128{-2 * math.Pi * 100}, Gain: 2 * math.Pi * 100}
	if got, want := f.AtHz(100), complex(0.5, -0.5); !(cmplx.Abs(got-want) <= 1e-15) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Multiple roots come out as such, to the last digits, instead of a blur of
// radius 1e-8 (double) to 1e-4 (fourfold).
func TestMultipleRoots(t *testing.T) {
	h := math.Sqrt2 / 2
	for _, c := range []struct {
		name string
		poly []float64
		want []complex128
	}{
		{"LR4", lr4, []complex128{complex(-h, h), complex(-h, h), complex(-h, -h), complex(-h, -h)}},
		{"LR4 at 16 kHz", []float64{math.Pow(1e5, 4), 2 * math.Sqrt2 * 1e15, 4e10, 2 * math.Sqrt2 * 1e5, 1},
			[]complex128{complex(-1e5*h, 1e5*h), complex(-1e5*h, 1e5*h), complex(-1e5*h, -1e5*h), complex(-1e5*h, -1e5*h)}},
		{"triple", []float64{8, 12, 6, 1}, []complex128{-2, -2, -2}},
		{"fourfold", []float64{1, 4, 6, 4, 1}, []complex128{-1, -1, -1, -1}},
		{"two double pairs", square([]float64{9, 6, 6, 1, 1}), slices.Concat(roots(t, []float64{9, 6, 6, 1, 1}), roots(t, []float64{9, 6, 6, 1, 1}))},
		{"double and single", []float64{2, 5, 4, 1}, []complex128{-1, -1, -2}},
		{"close but apart", Polynomial([]complex128{-1, -1.01}, 1), []complex128{-1, -1.01}},
	} {
		got := roots(t, c.poly)
		for _, w := range c.want {
			i := nearest(got, w)
			if i < 0 || !(cmplx.Abs(got[i]-w) <= 1e-12*cmplx.Abs(w)) {
				t.Errorf("%s: no root at %v left in %v", c.name, w, got)
				continue
			}
			got = slices.Delete(got, i, i+1)
		}
		if len(got) != 0 {
			t.Errorf("%s: also got %v", c.name, got)
		}
	}
}

func roots(t *testing.T, poly []float64) []complex128 {
	t.Helper()
	f, err := FromPolynomials([]float64{1}, poly)
	if err != nil {
		t.Fatal(err)
	}
	return f.Poles
}

func square(p []float64) []float64 {
	out := make([]float64, 2*len(p)-1)
	for i, a := range p {
		for j, b := range p {
			out[i+j] += a * b
		}
	}
	return out
}

func nearest(roots []complex128, z complex128) int {
	best := -1
	for i, r := range roots {
		if best < 0 || cmplx.Abs(r-z) < cmplx.Abs(roots[best]-z) {
			best = i
		}
	}
	return best
}

// Random stable functions: expanding and factoring again gives the same
// response, and the group delay is the slope of the phase.
func TestRandom(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		f := Func{Gain: 1}
		for range 1 + rnd.IntN(4) {
			p := complex(-math.Exp(4*rnd.Float64()), math.Exp(4*rnd.Float64()))
			f.Poles = append(f.Poles, p, cmplx.Conj(p))
		}
		for range rnd.IntN(3) {
			f.Zeros = append(f.Zeros, complex(20*rnd.NormFloat64(), 0))
		}
		f = f.Scaled(1e4)
		if err := f.Check(); err != nil || !f.Stable() {
			t.Fatal(err, f)
		}
		num, den := f.Polynomials()
		g, err := FromPolynomials(num, den)
		if err != nil {
			t.Fatal(err)
		}
		w := 1e4 * math.Exp(4*rnd.Float64())
		s := complex(0, w)
		if a, b := f.At(s), g.At(s); !(cmplx.Abs(a-b) <= 1e-11*cmplx.Abs(a)) {
			t.Errorf("%v: response %v before, %v after", f, a, b)
		}
		step := 1e-3 * w
		slope := func(h float64) float64 {
			return -cmplx.Phase(f.At(complex(0, w+h))/f.At(complex(0, w-h))) / (2 * h)
		}
		// Richardson's extrapolation of the central difference.
		want := (4*slope(step/2) - slope(step)) / 3
		if got := f.GroupDelay(w / (2 * math.Pi)); !(math.Abs(got-want) <= 1e-6*math.Abs(want)+1e-12) {
			t.Errorf("%v at %v rad/s: group delay %v, slope of the phase %v", f, w, got, want)
		}
	}
}

func TestDelayRows(t *testing.T) {
	golden.Run(t, "testdata/delay.csv", func(t *testing.T, r golden.Row) {
		q := r.Num(t, "Q", "1")
		f, err := FromPolynomials([]float64{0, 0, 1}, []float64{1, 1 / q, 1})
		if err != nil {
			t.Fatal(err)
		}
		const hz = 1 / (2 * math.Pi) // 1 rad/s
		// Five-point rule for the slope, good to h⁴ = 1e-12.
		delay := func(x float64) float64 { return f.GroupDelay(x * hz) }
		slope := func(x float64) float64 {
			const h = 1e-3
			return (8*(delay(x+h)-delay(x-h)) - (delay(x+2*h) - delay(x-2*h))) / (12 * h)
		}
		top := 0.0
		if slope(0.1) > 0 { // else the delay falls from DC on
			lo, hi := 0.1, 2.0
			for range 60 {
				if mid := (lo + hi) / 2; slope(mid) > 0 {
					lo = mid
				} else {
					hi = mid
				}
			}
			top = lo
		}
		switch r.Calculation {
		case "delay at DC":
			r.Check(t, delay(0))
		case "delay at corner":
			r.Check(t, delay(1))
		case "greatest delay":
			r.Check(t, delay(top))
		case "frequency of greatest delay":
			r.Check(t, top)
		default:
			r.Unknown(t)
		}
	})
}

func TestTransformations(t *testing.T) {
	f := Func{Zeros: []complex128{-3, 0}, Poles: []complex128{-1, complex(-2, 5), complex(-2, -5), 0, -0.1}, Gain: 7}
	g := Func{Zeros: []complex128{2, 3, 4}, Poles: []complex128{-1}, Gain: -2}
	for _, s := range []complex128{complex(0, 0.3), complex(0, 4), complex(1.5, -2)} {
		for _, c := range []struct {
			name      string
			got, want complex128
		}{
			{"Mul", f.Mul(g).At(s), f.At(s) * g.At(s)},
			{"Scaled", f.Scaled(1e5).At(s * 1e5), f.At(s)},
			{"Scaled, more zeros", g.Scaled(1e5).At(s * 1e5), g.At(s)},
			{"HighPass", f.HighPass().At(s), f.At(1 / s)},
			{"HighPass, more zeros", g.HighPass().At(s), g.At(1 / s)},
			{"HighPass twice", f.HighPass().HighPass().At(s), f.At(s)},
		} {
			if !(cmplx.Abs(c.got-c.want) <= 1e-13*cmplx.Abs(c.want)) {
				t.Errorf("%s at %v: got %v, want %v", c.name, s, c.got, c.want)
			}
		}
	}
	for _, h := range []Func{f.HighPass(), g.HighPass(), f.Scaled(0.3), f.Mul(g)} {
		if err := h.Check(); err != nil {
			t.Error(err)
		}
	}
	f.Mul(g).Zeros[0] = 99
	if f.Zeros[0] != -3 {
		t.Error("Mul shares the roots of its operands")
	}
}

// High orders at high frequencies stay in range.
func TestRange(t *testing.T) {
	p := make([]complex128, 60)
	for i := range p {
		p[i] = -1e5
	}
	f := Func{Poles: p, Gain: math.Pow(1e5, 60)}
	if got, want := cmplx.Abs(f.At(complex(0, 1e5))), math.Pow(2, -30); !(math.Abs(got-want) <= 1e-12*want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestOnRoots(t *testing.T) {
	f := Func{Zeros: []complex128{0, complex(0, 2), complex(0, -2)}, Poles: []complex128{complex(0, 1), complex(0, -1), -1}, Gain: 1}
	if got := f.At(complex(0, 1)); !cmplx.IsInf(got) || cmplx.IsNaN(got) {
		t.Errorf("on a pole: got %v, want infinity", got)
	}
	if got := f.At(complex(0, 2)); got != 0 {
		t.Errorf("on a zero: got %v, want 0", got)
	}
	// Only the pole at −1 turns the phase gradually.
	if got, want := f.GroupDelay(1/(2*math.Pi)), 0.5; !(math.Abs(got-want) <= 1e-15) {
		t.Errorf("group delay: got %v, want %v", got, want)
	}
	if got := (Func{}).At(1); got != 0 {
		t.Errorf("zero value: got %v, want 0", got)
	}
}

func TestFromPolynomialsErrors(t *testing.T) {
	for _, c := range []struct {
		num, den []float64
		want     string
	}{
		{[]float64{1}, nil, "rational: denominator []: must not be zero"},
		{[]float64{1}, []float64{0, 0}, "rational: denominator [0 0]: must not be zero"},
		{[]float64{1, math.NaN()}, []float64{1}, "rational: numerator: coefficient of s^1 NaN: must be finite"},
		{[]float64{1}, []float64{1, 2, math.Inf(-1)}, "rational: denominator: coefficient of s^2 -Inf: must be finite"},
		{[]float64{1}, []float64{1e-300, 1e300, 1e-300}, "rational: denominator: coefficients too far apart"},
		{[]float64{1e300}, []float64{1e-300}, "rational: gain +Inf: must be finite"},
	} {
		f, err := FromPolynomials(c.num, c.den)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%v / %v: got %v, %v, want %q", c.num, c.den, f, err, c.want)
		}
	}
	if f, err := FromPolynomials(nil, []float64{1, 1}); err != nil || f.At(1) != 0 {
		t.Errorf("zero numerator: got %v, %v, want the zero function", f, err)
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		f    Func
		want string
	}{
		{Func{Gain: math.NaN()}, "rational: gain NaN: must be finite"},
		{Func{Zeros: []complex128{cmplx.Inf()}}, "rational: zero 0 at (+Inf+Infi) rad/s: must be finite"},
		{Func{Poles: []complex128{-1, complex(-1, 2)}}, "rational: pole 1 at (-1+2i) rad/s: must stand with its conjugate"},
		{Func{Poles: []complex128{complex(-1, 2), complex(-1, -2), complex(-1, 2)}}, "rational: pole 0"},
	} {
		if err := c.f.Check(); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%v: got %v, want %q", c.f, err, c.want)
		}
	}
}

func TestStable(t *testing.T) {
	for _, c := range []struct {
		poles []complex128
		want  bool
	}{
		{nil, true},
		{[]complex128{-1, complex(-1e-9, 4), complex(-1e-9, -4)}, true},
		{[]complex128{-1, 0}, false},
		{[]complex128{-1, 1}, false},
		{[]complex128{complex(math.NaN(), 0)}, false},
	} {
		if got := (Func{Poles: c.poles, Gain: 1}).Stable(); got != c.want {
			t.Errorf("%v: got %v", c.poles, got)
		}
	}
}

func TestStep(t *testing.T) {
	h := math.Sqrt2 / 2
	b2 := []complex128{complex(-h, h), complex(-h, -h)}
	for _, c := range []struct {
		name string
		f    Func
		want func(t float64) float64
	}{
		{"constant", Func{Gain: 3}, func(float64) float64 { return 3 }},
		{"integrator", Func{Poles: []complex128{0}, Gain: 2}, func(t float64) float64 { return 2 * t }},
		{"one pole", Func{Poles: []complex128{-1}, Gain: 1}, func(t float64) float64 { return -math.Expm1(-t) }},
		{"high-pass", Func{Zeros: []complex128{0}, Poles: []complex128{-1}, Gain: 1}, func(t float64) float64 { return math.Exp(-t) }},
		{"Butterworth 2", Func{Poles: b2, Gain: 1}, func(t float64) float64 {
			return 1 - math.Exp(-h*t)*(math.Cos(h*t)+math.Sin(h*t))
		}},
		{"closed box", Func{Zeros: []complex128{0, 0}, Poles: b2, Gain: 1}, func(t float64) float64 {
			return math.Exp(-h*t) * (math.Cos(h*t) - math.Sin(h*t))
		}},
		{"double pole", Func{Zeros: []complex128{0, 0}, Poles: []complex128{-1, -1}, Gain: 1}, func(t float64) float64 {
			return (1 - t) * math.Exp(-t)
		}},
		{"fourfold pole", Func{Poles: []complex128{-1, -1, -1, -1}, Gain: 1}, func(t float64) float64 {
			return 1 - math.Exp(-t)*(1+t+t*t/2+t*t*t/6)
		}},
		{"all-pass", Func{Zeros: []complex128{1}, Poles: []complex128{-1}, Gain: -1}, func(t float64) float64 {
			return 1 - 2*math.Exp(-t)
		}},
		{"unstable", Func{Poles: []complex128{1}, Gain: 1}, math.Expm1},
	} {
		for _, at := range []float64{0, 1e-6, 0.1, 1, 3, 17} {
			want := c.want(at)
			// The same at 1e5 times the frequency.
			for _, w := range []float64{1, 1e5} {
				got := c.f.Scaled(w).Step(at / w)
				if !(math.Abs(got-want) <= 1e-13*max(1, math.Abs(want))) {
					t.Errorf("%s at %v, scaled by %v: got %v, want %v", c.name, at, w, got, want)
				}
			}
		}
		if got := c.f.Step(-1e-9); got != 0 {
			t.Errorf("%s before the step: got %v", c.name, got)
		}
	}
}

func TestStepRows(t *testing.T) {
	golden.Run(t, "testdata/step.csv", func(t *testing.T, r golden.Row) {
		num := []float64{0, 0, 1}
		if strings.HasPrefix(r.Calculation, "low-pass") {
			num = []float64{1}
		}
		f, err := FromPolynomials(num, []float64{1, 1 / r.Num(t, "Q", "1"), 1})
		if err != nil {
			t.Fatal(err)
		}
		low, _ := top(func(t float64) float64 { return -f.Step(t) }, 0, 20)
		_, high := top(f.Step, low, 40)
		switch r.Calculation {
		case "high-pass, first undershoot":
			r.Check(t, -f.Step(low))
		case "high-pass, following overshoot":
			r.Check(t, high)
		case "low-pass, overshoot":
			_, high := top(f.Step, 0, 40)
			r.Check(t, high-1)
		default:
			r.Unknown(t)
		}
	})
}

// top returns where f is greatest from lo to hi, and its value there.
func top(f func(float64) float64, lo, hi float64) (at, value float64) {
	const step = 0.25
	at = lo
	for x := lo; x <= hi; x += step {
		if f(x) > f(at) {
			at = x
		}
	}
	a, b := max(lo, at-step), min(hi, at+step)
	for range 60 {
		l, r := a+(b-a)/3, b-(b-a)/3
		if f(l) < f(r) {
			a = l
		} else {
			b = r
		}
	}
	return a, f(a)
}

// A vented box with a subsonic filter and an ultrasonic pole, against the
// differential equation integrated by the classical Runge–Kutta method.
func TestStepAgainstDifferentialEquation(t *testing.T) {
	den := []float64{1, 2.6, 3.4, 2.6, 1}
	den = append(den, 0)
	for k := 5; k > 0; k-- { // times (s + 40)
		den[k] = 40*den[k] + den[k-1]
	}
	den[0] *= 40
	num := []float64{0, 0, 0, 0, 40}
	f, err := FromPolynomials(num, den)
	if err != nil {
		t.Fatal(err)
	}
	// x⁽⁵⁾ = 1 − Σ den[k] x⁽ᵏ⁾, y = Σ num[k] x⁽ᵏ⁾
	slope := func(x [5]float64) (d [5]float64) {
		copy(d[:4], x[1:])
		d[4] = 1
		for k := range x {
			d[4] -= den[k] * x[k]
		}
		return d
	}
	add := func(x, d [5]float64, h float64) [5]float64 {
		for k := range x {
			x[k] += h * d[k]
		}
		return x
	}
	const h = 1.0 / 1024
	var x [5]float64
	for i := 1; i <= 10*1024; i++ {
		a := slope(x)
		b := slope(add(x, a, h/2))
		c := slope(add(x, b, h/2))
		d := slope(add(x, c, h))
		x = add(add(add(add(x, a, h/6), b, h/3), c, h/3), d, h/6)
		if i%512 == 0 {
			if got, want := f.Step(float64(i)*h), 40*x[4]; !(math.Abs(got-want) <= 2e-8) {
				t.Errorf("at %v: got %v, integrated %v", float64(i)*h, got, want)
			}
		}
	}
}

func TestStepImproper(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic for more zeros than poles")
		}
	}()
	Func{Zeros: []complex128{0}, Gain: 1}.Step(1)
}

// Whatever the coefficients, the roots give them back, or there is an error.
func FuzzFromPolynomials(f *testing.F) {
	f.Add(1.0, 2.0, 1.0, 0.0, 0.0)
	f.Add(1.0, 4.0, 6.0, 4.0, 1.0)
	f.Add(1e20, 2.8e15, 4e10, 2.8e5, 1.0)
	f.Add(1.0, 0.0, 0.0, 0.0, -1.0)
	f.Add(0.0, 1e-300, 3.0, 1e300, 0.0)
	f.Fuzz(func(t *testing.T, a, b, c, d, e float64) {
		p := []float64{a, b, c, d, e}
		for _, v := range p {
			if v != 0 && !(math.Abs(v) > 1e-60 && math.Abs(v) < 1e60) {
				return // multiplied out again, roots might leave the range
			}
		}
		h, err := FromPolynomials([]float64{1}, p)
		if err != nil {
			return
		}
		if err := h.Check(); err != nil {
			t.Fatalf("%v: %v", p, err)
		}
		n := len(h.Poles)
		got := Polynomial(h.Poles, p[n])
		bound := make([]complex128, n)
		for i, r := range h.Poles {
			bound[i] = complex(-cmplx.Abs(r), 0)
		}
		size := Polynomial(bound, math.Abs(p[n]))
		for k := range got {
			if !(math.Abs(got[k]-p[k]) <= 1e-12*size[k]) {
				t.Errorf("%v: roots %v give %v", p, h.Poles, got)
			}
		}
	})
}

func BenchmarkAt(b *testing.B) {
	f, err := FromPolynomials([]float64{0, 0, 0, 0, 1}, []float64{6e9, 7e7, 2e5, 500, 1})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f.AtHz(50)
	}
}

func BenchmarkGroupDelay(b *testing.B) {
	f, err := FromPolynomials([]float64{0, 0, 0, 0, 1}, []float64{6e9, 7e7, 2e5, 500, 1})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f.GroupDelay(50)
	}
}

func BenchmarkFromPolynomials(b *testing.B) {
	num, den := []float64{0, 0, 0, 0, 1}, []float64{6e9, 7e7, 2e5, 500, 1}
	for b.Loop() {
		if _, err := FromPolynomials(num, den); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStep(b *testing.B) {
	f, err := FromPolynomials([]float64{0, 0, 0, 0, 1}, []float64{6e9, 7e7, 2e5, 500, 1})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f.Step(0.01)
	}
}

// Roots of unity, whose polynomial is all rounding but for two terms, are found to the
// last digits for any order.
func TestRootsOfUnity(t *testing.T) {
	for n := 1; n <= 24; n++ {
		for _, sign := range []float64{1, -1} {
			c := make([]float64, n+1)
			c[0], c[n] = sign, 1
			f, err := FromPolynomials([]float64{1}, c)
			if err != nil {
				t.Errorf("s^%d%+g: %v", n, sign, err)
				continue
			}
			if len(f.Poles) != n {
				t.Errorf("s^%d%+g: %d poles", n, sign, len(f.Poles))
			}
			for i, p := range f.Poles {
				if d := cmplx.Abs(cmplx.Pow(p, complex(float64(n), 0)) + complex(sign, 0)); !(d <= 1e-13) {
					t.Errorf("s^%d%+g: pole %v is off by %.2g", n, sign, p, d)
				}
				for _, q := range f.Poles[:i] {
					if cmplx.Abs(p-q) < 0.2 {
						t.Errorf("s^%d%+g: twice %v", n, sign, p)
					}
				}
			}
		}
	}
}
