package coil

import "math"

// moment returns the integral of t J1(t) from zero to x, for x >= 0, to about 1e-14
// of its largest value up to there.
func moment(x float64) float64 {
	switch {
	case x < 1e-3:
		return x * x * x * (1./6 - x*x/80)
	case x > 50:
		// By the Struve functions: 1 + x (J1 s0 - J0 s1), where π s0/2 and π s1/2 are
		// H0 - Y0 and H1 - Y1 by their series in 1/x. The terms shrink until e^-x.
		var s0, s1 float64
		xx := x * x
		for u, t, k := 1/x, 1.0, 0.0; math.Abs(t) > 1e-17; k++ {
			s0 += u
			s1 += t
			u *= -(2*k + 1) * (2*k + 1) / xx
			t *= -(2*k - 1) * (2*k + 1) / xx
		}
		return 1 + x*(math.J1(x)*s0-math.J0(x)*s1)
	}
	// x J2 + 2 (J3 + J5 + ...), all by recurrence downward, which is stable, and
	// scaled by J0 + 2 (J2 + J4 + ...) = 1.
	var norm, odd, j2 float64
	above, here := 0.0, 1e-300
	for n := 2*int(x/2) + 42; n > 0; n-- {
		// here is Jn.
		switch {
		case n%2 == 0:
			norm += 2 * here
		case n > 1:
			odd += 2 * here
		}
		if n == 2 {
			j2 = here
		}
		above, here = here, 2*float64(n)/x*here-above
	}
	return (x*j2 + odd) / (norm + here)
}
