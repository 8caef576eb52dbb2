package align

import "math"

// bisect returns where over turns true between lo, where it is false, and hi.
func bisect(lo, hi float64, over func(float64) bool) float64 {
	for {
		mid := lo + (hi-lo)/2
		if mid <= min(lo, hi) || mid >= max(lo, hi) {
			return mid
		}
		if over(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
}

// positiveRoots returns the positive roots of the polynomial, ascending powers, at which
// its sign changes, in rising order. Between neighbouring roots of its derivative a
// polynomial has one such root or none, so that bisection finds all of them to rounding,
// also where coefficients that ought to be zero are only nearly so.
func positiveRoots(c []float64) []float64 {
	n := len(c) - 1
	for n > 0 && c[n] == 0 {
		n--
	}
	if n == 0 {
		return nil
	}
	value := func(x float64) float64 {
		v := 0.0
		for k := n; k >= 0; k-- {
			v = float64(v*x) + c[k]
		}
		return v
	}
	slope := make([]float64, n)
	far := 0.0
	for k := range n {
		slope[k] = float64(k+1) * c[k+1]
		far = max(far, math.Abs(c[k]/c[n]))
	}
	far++ // Cauchy's bound of all roots
	var roots []float64
	lo := 0.0
	for _, hi := range append(positiveRoots(slope), far) {
		if hi = min(hi, far); value(lo) < 0 != (value(hi) < 0) {
			below := value(lo) < 0
			roots = append(roots, bisect(lo, hi, func(x float64) bool { return value(x) < 0 != below }))
		}
		lo = hi
	}
	return roots
}
