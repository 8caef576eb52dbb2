package baffle

import "math"

// struve1 returns the Struve function H1(x) for x >= 0, to 1e-13 of its value. The
// three ways to it are 12.1.4, 12.1.20 and 12.1.31 of M. Abramowitz and I. A. Stegun,
// Handbook of Mathematical Functions, 1964; from memory, and checked against each other.
func struve1(x float64) float64 {
	sum := 0.0
	switch {
	case x < 3:
		// 2/π (x²/(1²·3) − x⁴/(1²·3²·5) + ...)
		term := x * x
		for m := 3.0; m < 40; m += 2 {
			sum += term / m
			term *= -x * x / (m * m)
		}
		return 2 / math.Pi * sum
	case x < 40:
		// 2/π (1 − J0) + 4/π Σ J2k/(4k² − 1), the Bessel functions by recursion
		// downwards from where they vanish, scaled so that J0 + 2 Σ J2k is 1.
		after, at, all := 0.0, 1e-300, 0.0
		for n := 2 * (int(x)/2 + 30); n > 0; n-- {
			if n%2 == 0 {
				all += 2 * at
				sum += 4 * at / float64(n*n-1)
			}
			after, at = at, 2*float64(n)/x*at-after
		}
		all += at
		return (2 + (sum-2*at)/all) / math.Pi
	}
	// Y1 + 2/π (1 + 1/x² − 3/x⁴ + ...)
	term := 2.0
	for m := 0.5; m < 16; m++ {
		sum += term
		term *= m * (1 - m) * 4 / (x * x)
	}
	return math.Y1(x) + sum/math.Pi
}
