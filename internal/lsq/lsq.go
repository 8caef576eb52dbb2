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
// the M residuals that Residuals writes to r.
type Problem struct {
	Residuals func(r, x []float64)
	M         int
	Lo, Hi    []float64
}

// A Fit is what was found.
type Fit struct {
	X         []float64
	Sum       float64 // of squares
	Steps     int
	Converged bool // the last step changed nothing that matters
}

const (
	maxSteps  = 200
	tight     = 1e-12 // relative fall of the sum that counts as none
	jacobian  = 1e-6  // step of the numerical derivative, in units of 1+|x|
	largestMu = 1e12
)

// Minimize runs Levenberg's and Marquardt's method from x (Marquardt 1963, J. SIAM
// 11(2), from memory), with steps cut off at the bounds. Scale the variables to
// order one, by taking logarithms say. It is deterministic. The error says that
// the lengths do not match, the bounds cross or the start gives NaN.
func (p Problem) Minimize(x []float64) (Fit, error) {
	n := len(x)
	if len(p.Lo) != n || len(p.Hi) != n || p.M < 1 || n < 1 {
		return Fit{}, fmt.Errorf("lsq: %d variables, %d and %d bounds, %d residuals", n, len(p.Lo), len(p.Hi), p.M)
	}
	for i := range x {
		if !(p.Lo[i] <= p.Hi[i]) {
			return Fit{}, fmt.Errorf("lsq: bounds of variable %d: %g above %g", i, p.Lo[i], p.Hi[i])
		}
	}
	at := p.clamp(x)
	r := make([]float64, p.M)
	sum := p.sum(r, at)
	if math.IsNaN(sum) || math.IsInf(sum, 0) {
		return Fit{}, fmt.Errorf("lsq: the sum of squares at the start is %g", sum)
	}
	fit := Fit{X: at, Sum: sum}
	jac := mat.NewDense(p.M, n, nil)
	trial := make([]float64, p.M)
	mu := 1e-3
	for ; fit.Steps < maxSteps && !fit.Converged; fit.Steps++ {
		p.derive(jac, fit.X)
		var normal mat.SymDense
		normal.SymOuterK(1, jac.T())
		var gradient mat.VecDense
		gradient.MulVec(jac.T(), mat.NewVecDense(p.M, r))
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
			fit.Converged = fit.Sum-s <= tight*fit.Sum
			fit.X, fit.Sum = next, s
			copy(r, trial)
			mu = max(mu/10, 1e-12)
			break
		}
	}
	return fit, nil
}

// step solves (JᵀJ + μ D) δ = −Jᵀr, leaving out variables that a bound holds.
func (p Problem) step(normal *mat.SymDense, gradient *mat.VecDense, x []float64, mu float64) []float64 {
	n := len(x)
	a := mat.NewSymDense(n, nil)
	b := mat.NewVecDense(n, nil)
	for i := range n {
		g := gradient.AtVec(i)
		if held := x[i] <= p.Lo[i] && g > 0 || x[i] >= p.Hi[i] && g < 0; held {
			a.SetSym(i, i, 1)
			continue
		}
		b.SetVec(i, -g)
		for j := i; j < n; j++ {
			gj := gradient.AtVec(j)
			if j != i && (x[j] <= p.Lo[j] && gj > 0 || x[j] >= p.Hi[j] && gj < 0) {
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

// derive fills jac with central differences, one-sided at a bound.
func (p Problem) derive(jac *mat.Dense, x []float64) {
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
