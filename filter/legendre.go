package filter

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/rational"
)

// Legendre returns the optimum low-pass of order n = 1 to 12: the steepest
// all-pole response at its half-power point, 1 rad/s, of those that fall
// steadily. Its |H(jω)|⁻² − 1 is a polynomial in ω² built from Legendre
// polynomials. Responses are good to 1e-12 up to order 9 and to 1e-10 up to 12.
//
// A. Papoulis, "Optimum filters with monotonic response", Proceedings of the
// IRE 46 (1958); for even orders also M. Fukada, 1959.
func Legendre(n int) (rational.Func, error) {
	if err := checkOrder("Legendre", n); err != nil {
		return rational.Func{}, err
	}
	// |H|⁻² = 1 + L(ω²) with ω² = −s² factors over x = −s² = ω².
	c := optimum(n)
	c[0]++
	f, err := rational.FromPolynomials([]float64{1}, c)
	if err != nil {
		return rational.Func{}, fmt.Errorf("filter: Legendre order %d: %w", n, err)
	}
	poles := make([]complex128, n)
	for i, x := range f.Poles {
		p := cmplx.Sqrt(-x) // Re ≥ 0: the mirrored pole
		poles[i] = complex(-real(p), imag(p))
	}
	return lowPass(poles), nil
}

// optimum returns L(x), ascending powers of x = ω², with L(0) = 0, L(1) = 1.
func optimum(n int) []float64 {
	// With v = Σ aᵢPᵢ over i ≤ k, L(ω²) is the integral of v² (n = 2k+1), or of
	// (t+1)v² (n = 2k+2), over t from −1 to 2ω²−1. All aᵢ are in proportion
	// to 2i+1; for even n, only those of k's parity are there.
	k := (n - 1) / 2
	step, norm := 1, 1/(math.Sqrt2*float64(k+1))
	if n%2 == 0 {
		step, norm = 2, 1/math.Sqrt(float64((k+1)*(k+2)))
	}
	// In x, with t = 2x−1, Pᵢ(t) is Σ (−1)^(i+j) C(i,j) C(i+j,j) x^j.
	v := make([]float64, k+1)
	for i := k; i >= 0; i -= step {
		c := 1.0
		if i%2 == 1 {
			c = -1
		}
		for j := 0; j <= i; j++ {
			v[j] += float64(2*i+1) * c
			c *= -float64((i-j)*(i+j+1)) / float64((j+1)*(j+1))
		}
	}
	square := make([]float64, 2*k+1)
	for i, a := range v {
		for j, b := range v {
			square[i+j] += a * b
		}
	}
	if n%2 == 0 { // times t+1 = 2x
		square = append([]float64{0}, square...)
		norm *= math.Sqrt2
	}
	// dt = 2dx
	l := make([]float64, n+1)
	for j, a := range square {
		l[j+1] = 2 * norm * norm * a / float64(j+1)
	}
	return l
}
