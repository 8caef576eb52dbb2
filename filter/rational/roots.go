package rational

import (
	"errors"
	"math"
	"math/cmplx"
)

// epsilon is the distance from 1 to the next float64.
const epsilon = 0x1p-52

var (
	errScale    = errors.New("coefficients too far apart to find the roots")
	errConverge = errors.New("roots did not converge")
)

// findRoots returns the roots of the polynomial c, ascending powers, with
// c[0] and the last coefficient not zero. Roots off the real axis stand in
// exact conjugate pairs, side by side.
func findRoots(c []float64) ([]complex128, error) {
	n := len(c) - 1
	if n == 0 {
		return nil, nil
	}
	// Substitute s = 2^e·t so that the roots in t have a geometric mean of
	// about 1; a power of two rounds nothing.
	_, e0 := math.Frexp(c[0])
	_, en := math.Frexp(c[n])
	e := (e0 - en) / n
	p := make([]float64, n+1)
	for k := range p {
		p[k] = math.Ldexp(c[k], (k-n)*e-en)
		if !finite(p[k]) || p[k] == 0 && c[k] != 0 {
			return nil, errScale
		}
	}
	z, err := aberth(p)
	if err != nil {
		return nil, err
	}
	pair(z)
	merge(p, z)
	for i := range z {
		z[i] = complex(math.Ldexp(real(z[i]), e), math.Ldexp(imag(z[i]), e))
	}
	return z, nil
}

// aberth finds all roots of p together by the iteration of Ehrlich (1967) and
// Aberth (1973): Newton's step, corrected by the pull of the other roots. A
// root rests once p there is no larger than the rounding error of evaluating it.
func aberth(p []float64) ([]complex128, error) {
	n := len(p) - 1
	dp := derivative(p)
	z := make([]complex128, n)
	for i := range z {
		// Unsymmetric about the real axis, or real roots could not be reached.
		z[i] = cmplx.Rect(1, (2*math.Pi*float64(i)+0.7)/float64(n))
	}
	rests := make([]bool, n)
	for range 1000 {
		moving := false
		for i := range z {
			if rests[i] {
				continue
			}
			v := Evaluate(p, z[i])
			if cmplx.Abs(v) <= epsilon*moduli(p, cmplx.Abs(z[i])) {
				rests[i] = true
				continue
			}
			var pull complex128
			for j, other := range z {
				if j != i && other != z[i] {
					pull += 1 / (z[i] - other)
				}
			}
			step := v / (Evaluate(dp, z[i]) - v*pull)
			if cmplx.IsNaN(step) || cmplx.IsInf(step) {
				// On a saddle of p: step aside.
				step = cmplx.Rect(0.1*cmplx.Abs(z[i])+epsilon, float64(i+1))
			}
			z[i] -= step
			if cmplx.Abs(step) <= epsilon*cmplx.Abs(z[i]) {
				rests[i] = true
				continue
			}
			moving = true
		}
		if !moving {
			return z, nil
		}
	}
	return nil, errConverge
}

// pair makes the roots of a real polynomial exactly conjugate or real, pairs
// side by side and the positive imaginary part first.
func pair(z []complex128) {
	for i := 0; i < len(z); i++ {
		// The partner is the root nearest to the conjugate; it may be the root itself.
		best := i
		for j := i + 1; j < len(z); j++ {
			if cmplx.Abs(cmplx.Conj(z[i])-z[j]) < cmplx.Abs(cmplx.Conj(z[i])-z[best]) {
				best = j
			}
		}
		if best == i {
			z[i] = complex(real(z[i]), 0)
			continue
		}
		m := (z[i] + cmplx.Conj(z[best])) / 2
		m = complex(real(m), math.Abs(imag(m)))
		z[best] = z[i+1]
		z[i], z[i+1] = m, cmplx.Conj(m)
		i++
	}
}

// merge replaces each cluster of roots by one multiple root if the polynomial
// stays the same to rounding. An m-fold root is blurred over a radius of about
// epsilon^(1/m) by the coefficients' last digits, but it is a simple, sharp
// root of the (m−1)th derivative.
func merge(p []float64, z []complex128) {
	taken := make([]bool, len(z))
	for i := range z {
		if taken[i] || imag(z[i]) < 0 {
			continue
		}
		var cluster []int
		for j := range z {
			if !taken[j] && cmplx.Abs(z[j]-z[i]) < 0.02*cmplx.Abs(z[i]) {
				cluster = append(cluster, j)
			}
		}
		if len(cluster) < 2 {
			continue
		}
		var m complex128
		for _, j := range cluster {
			m += z[j]
		}
		m /= complex(float64(len(cluster)), 0)
		d := p
		for range len(cluster) - 1 {
			d = derivative(d)
		}
		dd := derivative(d)
		for range 4 {
			if slope := Evaluate(dd, m); slope != 0 {
				m -= Evaluate(d, m) / slope
			}
		}
		trial := append([]complex128(nil), z...)
		if onAxis(z, cluster) {
			m = complex(real(m), 0)
		}
		for _, j := range cluster {
			trial[j] = m
		}
		if imag(m) != 0 {
			// The conjugates follow.
			for _, j := range cluster {
				for k := range z {
					if k != j && z[k] == cmplx.Conj(z[j]) && !taken[k] && imag(z[k]) < 0 {
						trial[k] = cmplx.Conj(m)
					}
				}
			}
		}
		if same(p, trial) {
			copy(z, trial)
			for _, j := range cluster {
				taken[j] = true
			}
		}
	}
}

// onAxis says whether a cluster holds the conjugate of each of its roots.
func onAxis(z []complex128, cluster []int) bool {
	var sum float64
	for _, j := range cluster {
		sum += imag(z[j])
	}
	return sum == 0
}

// same says whether the roots z give the coefficients p up to rounding.
func same(p []float64, z []complex128) bool {
	n := len(p) - 1
	got := Polynomial(z, p[n])
	size := make([]complex128, n)
	for i := range z {
		size[i] = complex(-cmplx.Abs(z[i]), 0)
	}
	bound := Polynomial(size, math.Abs(p[n]))
	for k := range p {
		if !(math.Abs(got[k]-p[k]) <= 4*float64(n)*epsilon*bound[k]) {
			return false
		}
	}
	return true
}
