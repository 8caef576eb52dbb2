package rational

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"
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
		if !finite(p[k]) {
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
// Aberth (1973): Newton's step, corrected by the pull of the other roots.
//
// A root first rests once p there is no larger than the rounding error of
// evaluating it. That alone would leave the roots multiplied out again off by
// their condition, so all are then polished with p evaluated in twice the
// precision.
func aberth(p []float64) ([]complex128, error) {
	n := len(p) - 1
	dp := derivative(p)
	z := make([]complex128, n)
	for i := range z {
		// Unsymmetric about the real axis, or real roots could not be reached.
		z[i] = cmplx.Rect(1, (2*math.Pi*float64(i)+0.7)/float64(n))
	}
	rests := make([]bool, n)
	for sweep := 0; ; sweep++ {
		if sweep == 1000 {
			return nil, errConverge
		}
		moving := false
		for i := range z {
			if rests[i] {
				continue
			}
			v := evaluate(p, z[i])
			// Horner's rule rounds twice for each power.
			if cmplx.Abs(v) <= 2*float64(n)*epsilon*moduli(p, cmplx.Abs(z[i])) {
				rests[i] = true
				continue
			}
			moving = true
			step := ehrlich(dp, z, i, v)
			if cmplx.IsNaN(step) || cmplx.IsInf(step) {
				// On a saddle of p: step aside.
				step = cmplx.Rect(0.1*cmplx.Abs(z[i])+epsilon, float64(i+1))
			}
			z[i] -= step
		}
		if !moving {
			break
		}
	}
	for range 8 {
		moving := false
		for i := range z {
			step := ehrlich(dp, z, i, evaluateTwice(p, z[i]))
			if cmplx.Abs(step) < 0.01*cmplx.Abs(z[i]) { // also refuses NaN
				z[i] -= step
				moving = moving || cmplx.Abs(step) > epsilon*cmplx.Abs(z[i])
			}
		}
		if !moving {
			break
		}
	}
	return z, nil
}

// ehrlich returns the step to take from z[i], where p has the value v and the
// derivative dp.
func ehrlich(dp []float64, z []complex128, i int, v complex128) complex128 {
	var pull complex128
	for j, other := range z {
		if j != i && other != z[i] {
			pull += 1 / (z[i] - other)
		}
	}
	return v / (evaluate(dp, z[i]) - v*pull)
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

// merge replaces clusters of roots by multiple roots if the polynomial stays
// the same to rounding. The last digits of the coefficients blur an m-fold root
// over a radius of about epsilon^(1/m); hence the three radii.
func merge(p []float64, z []complex128) {
	for _, radius := range []float64{1e-6, 1e-3, 0.03} {
		if trial := merged(p, z, radius); same(p, trial) {
			copy(z, trial)
		}
	}
}

// merged returns z with each cluster of the given relative radius moved into
// one point.
func merged(p []float64, z []complex128, radius float64) []complex128 {
	out := slices.Clone(z)
	done := make([]bool, len(z))
	for i, c := range z {
		near := radius * cmplx.Abs(c)
		switch {
		case done[i] || imag(c) < 0:
			continue // one below the axis follows its conjugate
		case imag(c) < near:
			c = complex(real(c), 0) // and so is the point below
		}
		var cluster []int
		for j, r := range z {
			if cmplx.Abs(r-c) < near && (imag(c) == 0 || imag(r) > 0) {
				cluster = append(cluster, j)
			}
		}
		if len(cluster) < 2 {
			continue
		}
		m := sharpen(p, c, len(cluster))
		for _, j := range cluster {
			out[j], done[j] = m, true
			if imag(c) != 0 {
				out[j+1] = cmplx.Conj(m)
			}
		}
	}
	return out
}

// sharpen returns the m-fold root near c: it is a simple, sharp root of the
// (m−1)th derivative.
func sharpen(p []float64, c complex128, m int) complex128 {
	for range m - 1 {
		p = derivative(p)
	}
	slope := derivative(p)
	for range 4 {
		c -= evaluate(p, c) / evaluate(slope, c)
	}
	return c
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
