package rational

import (
	"math"
	"math/cmplx"
	"testing"
)

func TestImpulse(t *testing.T) {
	third := complex(-0.5, math.Sqrt(3)/2)
	for _, c := range []struct {
		name string
		f    Func
		want func(t float64) float64
	}{
		{"constant", Func{Gain: 3}, func(float64) float64 { return 0 }},
		{"one pole", Func{Poles: []complex128{-2}, Gain: 5}, func(t float64) float64 { return 5 * math.Exp(-2*t) }},
		{"integrator", Func{Poles: []complex128{0}, Gain: 4}, func(float64) float64 { return 4 }},
		{"high-pass", Func{Zeros: []complex128{0}, Poles: []complex128{-3}, Gain: 2}, func(t float64) float64 { return -6 * math.Exp(-3*t) }},
		{"fourfold pole", Func{Poles: []complex128{-1, -1, -1, -1}, Gain: 1}, func(t float64) float64 { return t * t * t / 6 * math.Exp(-t) }},
		{"closed box of Q 1/2", Func{Zeros: []complex128{0, 0}, Poles: []complex128{-1, -1}, Gain: 1}, func(t float64) float64 { return (t - 2) * math.Exp(-t) }},
		{"resonance", Func{Poles: []complex128{third, cmplx.Conj(third)}, Gain: 1}, func(t float64) float64 {
			return math.Exp(-t/2) * math.Sin(math.Sqrt(3)/2*t) * 2 / math.Sqrt(3)
		}},
		{"unstable", Func{Poles: []complex128{1}, Gain: 1}, math.Exp},
	} {
		for _, at := range []float64{0, 1e-6, 0.1, 1, 3, 17} {
			want := c.want(at)
			for _, w := range []float64{1, 1e5} { // the same, faster and higher
				got := c.f.Scaled(w).Impulse(at/w) / w
				if !(math.Abs(got-want) <= 2e-13*max(1, math.Abs(want))) {
					t.Errorf("%s at %v, scaled by %v: got %v, want %v", c.name, at, w, got, want)
				}
			}
		}
		if got := c.f.Impulse(-1e-9); got != 0 {
			t.Errorf("%s before the impulse: got %v", c.name, got)
		}
	}
}

// A box with leak and a low-pass behind it: the impulse response is the slope of the
// step response, and its transform with the impulse at 0 is the function.
func TestImpulseAgainstStepAndTransform(t *testing.T) {
	f, err := FromPolynomials([]float64{0, 0, 0, 0, 1, 0.3}, []float64{1, 2.6, 3.4, 2.9, 1.5, 0.3})
	if err != nil {
		t.Fatal(err)
	}
	const h = 1e-3
	for at := 0.1; at < 20; at += 0.7 {
		slope := (8*(f.Step(at+h)-f.Step(at-h)) - (f.Step(at+2*h) - f.Step(at-2*h))) / (12 * h)
		if got := f.Impulse(at); !(math.Abs(got-slope) <= 1e-10) {
			t.Errorf("at %v: got %v, slope of the step %v", at, got, slope)
		}
	}
	for _, s := range []complex128{1, 0.3 + 1i, 0.2 + 3i} {
		// Simpson's rule over what has died away at the end.
		const n, end = 4000, 80.0
		sum := complex(f.Impulse(0), 0)
		for i := 1; i <= n; i++ {
			at := end * float64(i) / n
			weight := complex([]float64{2, 4}[i%2], 0)
			if i == n {
				weight = 1
			}
			sum += weight * complex(f.Impulse(at), 0) * cmplx.Exp(-s*complex(at, 0))
		}
		got := sum*complex(end/n/3, 0) + complex(f.Gain, 0)
		if want := f.At(s); !(cmplx.Abs(got-want) <= 1e-6) {
			t.Errorf("transform at %v: got %v, want %v", s, got, want)
		}
	}
}

func TestImpulseImproper(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic for more zeros than poles")
		}
	}()
	Func{Zeros: []complex128{0}, Gain: 1}.Impulse(-1)
}
