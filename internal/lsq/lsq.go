// Package lsq finds least-squares fits within bounds.
//
// gonum/optimize would do, but it brings developers' tools along as
// dependencies; this is the small part of it that the module needs.
package lsq

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Problem asks for the x within Lo and Hi with the smallest sum of squares of
// the M residuals that Residuals writes to r. Residuals does not keep or change x.
type Problem struct {
	Residuals func(r, x []float64)
	M         int
	Lo, Hi    []float64 // may be infinite

	// Jacobian writes the exact derivatives of the residuals at x to j, which is
	// M rows of len(x), row by row and zero on entry. It does not keep or change x.
	// Nil stands for differences of Residuals.
	Jacobian func(j, x []float64)

	// MaxSteps ends a hopeless search; zero is 200.
	MaxSteps int

	// Tolerance is the relative fall of the sum that counts as none; zero is 1e-12,
	// and the fit is then polished to the last digits.
	Tolerance float64
}

// A Fit is what was found.
type Fit struct {
	X         []float64
	Sum       float64 // of squares
	Steps     int
	Converged bool // no step downhill is left, or the last changed nothing that matters
}

const (
	maxSteps  = 200
	tight     = 1e-12 // relative fall of the sum that counts as none
	jacobian  = 1e-6  // step of the numerical derivative, in units of 1+|x|
	largestMu = 1e12
	nearby    = 1e-3  // largest first step of the polish
	shrunk    = 1e-12 // step at which it ends
	blind     = 1e-9  // relative rise of the sum that is only rounding there
)

// Minimize runs the method of Levenberg and Marquardt from x, with steps cut off at
// the bounds and variables held there while the sum falls toward the outside. It
// finds the minimum near x, or a point from which no step leads down. Scale the
// variables to order one, by taking logarithms say. It is deterministic.
//
// The error says that the lengths do not match, that the bounds cross, or that x
// or the sum of squares there is not finite. A step to where the sum is not finite
// is not taken; Converged is false if the derivatives are not finite.
//
// D. W. Marquardt, "An algorithm for least-squares estimation of nonlinear
// parameters", Journal of the Society for Industrial and Applied Mathematics 11(2),
// 1963.
func (p Problem) Minimize(x []float64) (Fit, error) {
	n := len(x)
	if len(p.Lo) != n || len(p.Hi) != n || p.M < 1 || n < 1 {
		return Fit{}, fmt.Errorf("lsq: %d variables, %d lower and %d upper bounds, %d residuals: must be one of each at least, and as many bounds as variables", n, len(p.Lo), len(p.Hi), p.M)
	}
	for i := range x {
		if !(p.Lo[i] <= p.Hi[i]) {
			return Fit{}, fmt.Errorf("lsq: variable %d: lower bound %g: must not be above the upper, %g", i+1, p.Lo[i], p.Hi[i])
		}
		if math.IsNaN(x[i]) || math.IsInf(x[i], 0) {
			return Fit{}, fmt.Errorf("lsq: variable %d: %g: must be finite", i+1, x[i])
		}
	}
	at := p.clamp(x)
	r := make([]float64, p.M)
	sum := p.sum(r, at)
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return Fit{}, fmt.Errorf("lsq: the sum of squares at the start is %g: must be finite", sum)
	}
	fit := Fit{X: at, Sum: sum}
	jac := mat.NewDense(p.M, n, nil)
	trial := make([]float64, p.M)
	mu := 1e-3
	most, tolerance := p.MaxSteps, p.Tolerance
	if most == 0 {
		most = maxSteps
	}
	if tolerance == 0 {
		tolerance = tight
	}
	for ; fit.Steps < most && !fit.Converged; fit.Steps++ {
		p.derive(jac, fit.X)
		var normal mat.SymDense
		normal.SymOuterK(1, jac.T())
		var gradient mat.VecDense
		gradient.MulVec(jac.T(), mat.NewVecDense(p.M, r))
		if g := mat.Norm(&gradient, 1); math.IsNaN(g) || math.IsInf(g, 0) {
			break
		}
		for {
			if mu > largestMu {
				fit.Converged = true // no downhill step is left
				break
			}
			next := p.step(&normal, &gradient, fit.X, mu)
			if next == nil {
				mu *= 10
				continue
			}
			s := p.sum(trial, next)
			if !(s < fit.Sum) {
				mu *= 4
				continue
			}
			fit.Converged = fit.Sum-s <= tolerance*fit.Sum
			fit.X, fit.Sum = next, s
			copy(r, trial)
			mu = max(mu/10, 1e-12)
			break
		}
	}
	if fit.Converged && p.Tolerance == 0 {
		p.polish(&fit, jac)
	}
	return fit, nil
}

// polish goes on with whole steps for as long as they shrink. Near a minimum the
// sum no longer tells points apart that differ by the root of its rounding, about
// 1e-8; its gradient does, so that every machine ends at the same point.
func (p Problem) polish(fit *Fit, jac *mat.Dense) {
	r := make([]float64, p.M)
	last := nearby
	for range maxSteps {
		if last < shrunk {
			return
		}
		p.sum(r, fit.X)
		p.derive(jac, fit.X)
		var normal mat.SymDense
		normal.SymOuterK(1, jac.T())
		var gradient mat.VecDense
		gradient.MulVec(jac.T(), mat.NewVecDense(p.M, r))
		next := p.step(&normal, &gradient, fit.X, 0)
		if next == nil {
			return
		}
		size := 0.0
		for i, v := range next {
			size = max(size, math.Abs(v-fit.X[i]))
		}
		sum := p.sum(r, next)
		if !(size < last) || !(sum <= fit.Sum*(1+blind)) {
			return
		}
		fit.X, fit.Sum, last = next, sum, size
	}
}

// step solves (JᵀJ + μ diag JᵀJ) δ = −Jᵀr, leaving out variables that a bound holds.
// It returns nil if the matrix is singular.
func (p Problem) step(normal *mat.SymDense, gradient *mat.VecDense, x []float64, mu float64) []float64 {
	n := len(x)
	held := func(i int) bool {
		g := gradient.AtVec(i)
		return x[i] <= p.Lo[i] && g > 0 || x[i] >= p.Hi[i] && g < 0
	}
	a := mat.NewSymDense(n, nil)
	b := mat.NewVecDense(n, nil)
	for i := range n {
		if held(i) {
			a.SetSym(i, i, 1)
			continue
		}
		b.SetVec(i, -gradient.AtVec(i))
		for j := i; j < n; j++ {
			if held(j) {
				continue
			}
			v := normal.At(i, j)
			if i == j {
				v += mu * max(v, 1e-12)
			}
			a.SetSym(i, j, v)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return nil
	}
	var delta mat.VecDense
	if chol.SolveVecTo(&delta, b) != nil {
		return nil
	}
	next := make([]float64, n)
	for i := range next {
		next[i] = x[i] + delta.AtVec(i)
	}
	return p.clamp(next)
}

func (p Problem) clamp(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = min(max(v, p.Lo[i]), p.Hi[i])
	}
	return out
}

func (p Problem) sum(r, x []float64) float64 {
	p.Residuals(r, x)
	s := 0.0
	for _, v := range r {
		s += v * v
	}
	return s
}

// derive fills jac, without Jacobian with central differences, one-sided at a bound.
func (p Problem) derive(jac *mat.Dense, x []float64) {
	if p.Jacobian != nil {
		jac.Zero()
		p.Jacobian(jac.RawMatrix().Data, x)
		return
	}
	probe := append([]float64(nil), x...)
	up, down := make([]float64, p.M), make([]float64, p.M)
	for j, v := range x {
		h := jacobian * (1 + math.Abs(v))
		hi, lo := min(v+h, p.Hi[j]), max(v-h, p.Lo[j])
		if hi == lo {
			continue // the bounds leave no room: the column stays zero
		}
		probe[j] = hi
		p.Residuals(up, probe)
		probe[j] = lo
		p.Residuals(down, probe)
		probe[j] = v
		for i := range up {
			jac.Set(i, j, (up[i]-down[i])/(hi-lo))
		}
	}
}
