// Package rational holds rational transfer functions in factored form.
//
// A [Func] keeps zeros, poles and a gain, because that is the form in which a
// transfer function is accurate: cascading joins lists, changing frequency
// scales roots, and the group delay is an exact sum over them. Coefficients
// lose digits in all three. They come in through [FromPolynomials] and leave
// through [Func.Polynomials].
//
// The time dependence is e^{+jωt}, s is in radians per second, and frequencies
// are in hertz. The package imports only the standard library.
package rational

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

// Func is the transfer function
//
//	H(s) = Gain · Π(s − Zeros[i]) / Π(s − Poles[i])
//
// with roots in rad/s. Roots off the real axis stand in exact conjugate pairs,
// in any order; see [Func.Check]. A Func without roots is the constant Gain,
// so the zero value is 0 at every frequency. Gain is not the gain at any
// particular frequency: it carries the unit that the roots leave over.
type Func struct {
	Zeros, Poles []complex128
	Gain         float64
}

// At returns H(s). Exactly on a pole it returns [cmplx.Inf], also where a zero
// coincides with the pole: common roots are not cancelled.
func (f Func) At(s complex128) complex128 {
	// One zero against one pole, so that the product stays near the size of
	// the result and high orders at high frequencies do not overflow.
	h := complex(f.Gain, 0)
	for i, p := range f.Poles {
		d := s - p
		if d == 0 {
			return cmplx.Inf()
		}
		if i < len(f.Zeros) {
			h *= (s - f.Zeros[i]) / d
		} else {
			h /= d
		}
	}
	for i := len(f.Poles); i < len(f.Zeros); i++ {
		h *= s - f.Zeros[i]
	}
	return h
}

// AtHz returns H(j2πf) at the frequency hz in hertz.
func (f Func) AtHz(hz float64) complex128 { return f.At(complex(0, 2*math.Pi*hz)) }

// GroupDelay returns −d arg H/dω in seconds at the frequency hz in hertz. It
// is exact: each root a + jb contributes ∓a/(a² + (ω − b)²), plus for zeros
// and minus for poles. Roots on the imaginary axis turn the phase by a step
// and contribute nothing, even at the frequency of the step.
func (f Func) GroupDelay(hz float64) float64 {
	w := 2 * math.Pi * hz
	var t float64
	for _, p := range f.Poles {
		t -= slope(p, w)
	}
	for _, z := range f.Zeros {
		t += slope(z, w)
	}
	return t
}

// slope returns −d arg(jω − r)/dω.
func slope(r complex128, w float64) float64 {
	a, x := real(r), w-imag(r)
	if a == 0 {
		return 0
	}
	return a / (float64(a*a) + float64(x*x))
}

// Mul returns the cascade f·g. Common roots are not cancelled.
func (f Func) Mul(g Func) Func {
	return Func{
		Zeros: slices.Concat(f.Zeros, g.Zeros),
		Poles: slices.Concat(f.Poles, g.Poles),
		Gain:  f.Gain * g.Gain,
	}
}

// Scaled returns H(s/w): everything happens at w times the frequency. With w in
// rad/s it brings a prototype for 1 rad/s to its corner. w must be positive.
func (f Func) Scaled(w float64) Func {
	return Func{
		Zeros: scaled(f.Zeros, w),
		Poles: scaled(f.Poles, w),
		Gain:  f.Gain * math.Pow(w, float64(len(f.Poles)-len(f.Zeros))),
	}
}

func scaled(roots []complex128, w float64) []complex128 {
	out := make([]complex128, len(roots))
	for i, r := range roots {
		out[i] = complex(real(r)*w, imag(r)*w)
	}
	return out
}

// HighPass returns H(1/s), which turns a low-pass normalised at 1 rad/s into
// the high-pass that mirrors it on a logarithmic frequency axis. Applied
// twice it returns the function it started from.
func (f Func) HighPass() Func {
	gain := complex(f.Gain, 0)
	var out Func
	for _, z := range f.Zeros {
		if z != 0 {
			gain *= -z
			out.Zeros = append(out.Zeros, 1/z)
		}
	}
	for _, p := range f.Poles {
		if p != 0 {
			gain /= -p
			out.Poles = append(out.Poles, 1/p)
		}
	}
	// Each factor (1/s − r) leaves one s in the denominator.
	switch n := len(f.Poles) - len(f.Zeros); {
	case n > 0:
		out.Zeros = append(out.Zeros, make([]complex128, n)...)
	case n < 0:
		out.Poles = append(out.Poles, make([]complex128, -n)...)
	}
	out.Gain = real(gain)
	return out
}

// Stable says whether every pole lies to the left of the imaginary axis, so
// that what the function does to a short signal dies away.
func (f Func) Stable() bool {
	for _, p := range f.Poles {
		if !(real(p) < 0) {
			return false
		}
	}
	return true
}

// Check returns an error unless the gain and all roots are finite and the
// roots off the real axis stand in exact conjugate pairs, which makes the
// response to a real signal real.
func (f Func) Check() error {
	if !finite(f.Gain) {
		return fmt.Errorf("rational: gain %v: must be finite", f.Gain)
	}
	if err := checkRoots("zero", f.Zeros); err != nil {
		return err
	}
	return checkRoots("pole", f.Poles)
}

func checkRoots(what string, roots []complex128) error {
	count := func(z complex128) (n int) {
		for _, r := range roots {
			if r == z {
				n++
			}
		}
		return n
	}
	for i, r := range roots {
		switch {
		case !finite(real(r)) || !finite(imag(r)):
			return fmt.Errorf("rational: %s %d at %v rad/s: must be finite", what, i, r)
		case count(r) != count(cmplx.Conj(r)):
			return fmt.Errorf("rational: %s %d at %v rad/s: must stand with its conjugate", what, i, r)
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
