package filter

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/filter/rational"
)

// allPassDenominator returns the low-pass denominator P of a three-way set with
// crossover frequencies r apart, in ascending powers of s in units of their geometric
// mean, and the gain K of the middle way, K sⁿ over the product of P and its mirror
// image with the leading coefficient 1.
//
// Normalised at its own corner P begins and ends with 1, so it has the coefficients
// a_j √r^j, and the mirrored Q = sⁿP(1/s) has them in reverse order. Over PQ the sum is
//
//	N = Q + sⁿP ± √rⁿ K sⁿ, and N(s)N(−s) = PQ(s) PQ(−s)
//
// is to hold. Both sides are even in s, alike at both ends and mirrored about the
// middle, so n equations are left for as many unknowns, a₁ … a₍ₙ₋₁₎ and K.
func allPassDenominator(n int, r float64, inverted bool) (p []float64, k float64, err error) {
	sign, root := 1.0, math.Sqrt(r)
	if inverted {
		sign = -1
	}
	power := func(j int) float64 { return math.Pow(root, float64(j)) }
	// Newton's iteration starts from the family that the set approaches as r grows.
	p, k = classical(n), power(n)
	for j := range p {
		p[j] *= power(j)
	}
	for range 50 {
		q := slices.Clone(p)
		slices.Reverse(q)
		denominator := times(p, q)
		sum := plus(q, shifted(n, p...))
		sum[n] += sign * power(n) * k
		residue := mat.NewVecDense(n, nil)
		residue.SubVec(even(sum, sum, n), even(denominator, denominator, n))
		jacobian := mat.NewDense(n, n, nil)
		column := mat.NewVecDense(n, nil)
		for j := 1; j < n; j++ {
			// One coefficient of P is one of Q, too.
			dSum := plus(shifted(n-j, 1), shifted(n+j, 1))
			dDenominator := plus(shifted(j, q...), shifted(n-j, p...))
			column.SubVec(even(dSum, sum, n), even(dDenominator, denominator, n))
			column.ScaleVec(2, column)
			jacobian.SetCol(j-1, column.RawVector().Data)
		}
		column.ScaleVec(2*sign*power(n), even(shifted(n, 1), sum, n))
		jacobian.SetCol(n-1, column.RawVector().Data)
		var step mat.VecDense
		if step.SolveVec(jacobian, residue) != nil {
			break
		}
		largest := math.Abs(step.AtVec(n-1) / k)
		k -= step.AtVec(n - 1)
		for j := 1; j < n; j++ {
			largest = max(largest, math.Abs(step.AtVec(j-1)/p[j]))
			p[j] -= step.AtVec(j - 1)
		}
		if largest <= 1e-13 && k > 0 {
			return p, k, nil
		}
	}
	return nil, 0, fmt.Errorf("filter: no three-way set of order %d was found for crossover frequencies %v apart", n, r)
}

// classical returns the denominator of Butterworth (odd n) or Linkwitz-Riley.
func classical(n int) []float64 {
	if n%2 == 1 {
		return rational.Polynomial(onEllipse(n, 1, 1), 1)
	}
	half := onEllipse(n/2, 1, 1)
	return rational.Polynomial(slices.Concat(half, half), 1)
}

// even returns the coefficients of s², s⁴ … s^(2n) of a(s)b(−s).
func even(a, b []float64, n int) *mat.VecDense {
	out := mat.NewVecDense(n, nil)
	for i, x := range a {
		for j, y := range b {
			if k := i + j; k%2 == 0 && k > 0 && k <= 2*n {
				if j%2 == 1 {
					y = -y
				}
				out.SetVec(k/2-1, out.AtVec(k/2-1)+float64(x*y))
			}
		}
	}
	return out
}

func times(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] += float64(x * y)
		}
	}
	return out
}

// shifted returns sⁿ times a polynomial.
func shifted(n int, p ...float64) []float64 { return slices.Concat(make([]float64, n), p) }
