package lsq

import (
	"math"
	"testing"
)

func TestRosenbrock(t *testing.T) {
	p := Problem{
		Residuals: func(r, x []float64) { r[0], r[1] = 10*(x[1]-x[0]*x[0]), 1-x[0] },
		M:         2, Lo: []float64{-5, -5}, Hi: []float64{5, 5},
	}
	fit, err := p.Minimize([]float64{-1.2, 1})
	if err != nil || !fit.Converged || math.Abs(fit.X[0]-1) > 1e-8 || math.Abs(fit.X[1]-1) > 1e-8 {
		t.Errorf("%+v, %v", fit, err)
	}
	// With x[0] held below 1/2 the best point lies on the bound, at x[1] = 1/4.
	p.Hi[0] = 0.5
	fit, err = p.Minimize([]float64{-1.2, 1})
	if err != nil || fit.X[0] != 0.5 || math.Abs(fit.X[1]-0.25) > 1e-8 {
		t.Errorf("bounded: %+v, %v", fit, err)
	}
}

// Straight line through points that do not lie on one: the normal equations say
// what must come out.
func TestLine(t *testing.T) {
	xs, ys := []float64{0, 1, 2, 3}, []float64{1, 3, 2, 5}
	p := Problem{
		Residuals: func(r, x []float64) {
			for i := range r {
				r[i] = x[0] + x[1]*xs[i] - ys[i]
			}
		},
		M: 4, Lo: []float64{-9, -9}, Hi: []float64{9, 9},
	}
	fit, err := p.Minimize([]float64{0, 0})
	if err != nil || math.Abs(fit.X[0]-1.1) > 1e-9 || math.Abs(fit.X[1]-1.1) > 1e-9 || math.Abs(fit.Sum-2.7) > 1e-9 {
		t.Errorf("%+v, %v", fit, err)
	}
}

func TestRefusals(t *testing.T) {
	nan := Problem{Residuals: func(r, x []float64) { r[0] = math.NaN() }, M: 1, Lo: []float64{0}, Hi: []float64{1}}
	if _, err := nan.Minimize([]float64{0}); err == nil {
		t.Error("NaN accepted")
	}
	crossed := Problem{Residuals: func(r, x []float64) { r[0] = x[0] }, M: 1, Lo: []float64{1}, Hi: []float64{0}}
	if _, err := crossed.Minimize([]float64{0}); err == nil {
		t.Error("crossed bounds accepted")
	}
	if _, err := crossed.Minimize(nil); err == nil {
		t.Error("no variables accepted")
	}
}
