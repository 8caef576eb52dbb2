package rational

import (
	"fmt"
	"math"
)

// FromPolynomials returns num(s)/den(s) in factored form. Coefficients stand
// in ascending powers of s: num[k] belongs to s^k. Trailing zeros (the highest
// powers) are ignored; factors of s are found exactly, and those common to
// both cancel.
//
// The roots multiplied out again give the coefficients back to rounding, so
// the response is as good as the coefficients are. The roots themselves are
// as sharp as the coefficients hold them: 1e-13 for a Bessel of order 8, but
// multiple roots are blurred, double ones to about 1e-8. A blur that does not
// exceed rounding is removed, so that a squared polynomial of low order gives
// exact double roots.
//
// The error says which coefficient is not finite, that the denominator is
// zero, or that the coefficients are too far apart to be scaled.
func FromPolynomials(num, den []float64) (Func, error) {
	n0, zeros, ng, err := factor("numerator", num)
	if err != nil {
		return Func{}, err
	}
	d0, poles, dg, err := factor("denominator", den)
	if err != nil {
		return Func{}, err
	}
	if dg == 0 {
		return Func{}, fmt.Errorf("rational: denominator %v: must not be zero", den)
	}
	if ng == 0 {
		return Func{}, nil
	}
	for range n0 - min(n0, d0) {
		zeros = append(zeros, 0)
	}
	for range d0 - min(n0, d0) {
		poles = append(poles, 0)
	}
	f := Func{Zeros: zeros, Poles: poles, Gain: ng / dg}
	if err := f.Check(); err != nil {
		return Func{}, err
	}
	return f, nil
}

// factor returns the number of factors of s, the other roots and the leading
// coefficient, which is 0 for the zero polynomial.
func factor(what string, c []float64) (origin int, roots []complex128, lead float64, err error) {
	for k, v := range c {
		if !finite(v) {
			return 0, nil, 0, fmt.Errorf("rational: %s: coefficient of s^%d %v: must be finite", what, k, v)
		}
	}
	for len(c) > 0 && c[len(c)-1] == 0 {
		c = c[:len(c)-1]
	}
	if len(c) == 0 {
		return 0, nil, 0, nil
	}
	for c[origin] == 0 {
		origin++
	}
	roots, err = findRoots(c[origin:])
	if err != nil {
		err = fmt.Errorf("rational: %s: %w", what, err)
	}
	return origin, roots, c[len(c)-1], err
}

// Polynomials returns numerator and denominator, coefficients in ascending
// powers of s; the denominator has the leading coefficient 1.
func (f Func) Polynomials() (num, den []float64) {
	return Polynomial(f.Zeros, f.Gain), Polynomial(f.Poles, 1)
}

// Polynomial expands gain·Π(s − roots[i]) into coefficients in ascending
// powers of s. Roots off the real axis must stand in conjugate pairs; the
// imaginary parts that rounding leaves are dropped.
func Polynomial(roots []complex128, gain float64) []float64 {
	c := expand(roots)
	out := make([]float64, len(c))
	for k, v := range c {
		out[k] = gain * real(v)
	}
	return out
}

func expand(roots []complex128) []complex128 {
	c := make([]complex128, 1, len(roots)+1)
	c[0] = 1
	for _, r := range roots {
		c = append(c, 0)
		for k := len(c) - 1; k > 0; k-- {
			c[k] = c[k-1] - mul(r, c[k])
		}
		c[0] = mul(c[0], -r)
	}
	return c
}

// evaluate returns the polynomial with coefficients c, in ascending powers,
// at s by Horner's rule.
func evaluate(c []float64, s complex128) complex128 {
	var v complex128
	for k := len(c) - 1; k >= 0; k-- {
		v = mul(v, s) + complex(c[k], 0)
	}
	return v
}

// mul returns a·b with each product rounded, which keeps the compiler from
// fusing it with the sum: whether roots are merged hangs on the last digits,
// and is to be the same on all processors.
func mul(a, b complex128) complex128 {
	return complex(
		float64(real(a)*real(b))-float64(imag(a)*imag(b)),
		float64(real(a)*imag(b))+float64(imag(a)*real(b)),
	)
}

// derivative returns the coefficients of dp/ds.
func derivative(c []float64) []float64 {
	out := make([]float64, max(len(c)-1, 1))
	for k := 1; k < len(c); k++ {
		out[k-1] = float64(k) * c[k]
	}
	return out
}

// moduli returns Σ|c_k||s|^k, to which the rounding error of Horner's rule is
// proportional.
func moduli(c []float64, s float64) float64 {
	var v float64
	for k := len(c) - 1; k >= 0; k-- {
		v = float64(v*s) + math.Abs(c[k])
	}
	return v
}
