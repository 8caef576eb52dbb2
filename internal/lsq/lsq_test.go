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
	good := Problem{Residuals: func(r, x []float64) { r[0] = 1 }, M: 1, Lo: []float64{0}, Hi: []float64{1}}
	for name, x := range map[string]float64{"NaN": math.NaN(), "infinity": math.Inf(1)} {
		if _, err := good.Minimize([]float64{x}); err == nil {
			t.Errorf("start at %s accepted", name)
		}
	}
	if _, err := good.Minimize([]float64{0, 0}); err == nil {
		t.Error("two variables within one bound accepted")
	}
	good.Hi[0] = math.NaN()
	if _, err := good.Minimize([]float64{0}); err == nil {
		t.Error("bound at NaN accepted")
	}
	good.Hi[0], good.M = 1, 0
	if _, err := good.Minimize([]float64{0}); err == nil {
		t.Error("no residuals accepted")
	}
}

// A bound that holds one variable must not stop the others: with x[1] held, the
// best x[0] is not that of the free problem.
func TestHeldVariable(t *testing.T) {
	// (x0 + x1 − 4)² + (x0 − x1 − 2)² + (x0 − 5)², free minimum at x0 = 11/3, x1 = 1.
	p := Problem{
		Residuals: func(r, x []float64) { r[0], r[1], r[2] = x[0]+x[1]-4, x[0]-x[1]-2, x[0]-5 },
		M:         3,
	}
	inf := math.Inf(1)
	for _, c := range []struct {
		name         string
		lo, hi, want []float64
	}{
		{"free", []float64{-inf, -inf}, []float64{inf, inf}, []float64{11. / 3, 1}},
		{"loose", []float64{-9, -9}, []float64{9, 9}, []float64{11. / 3, 1}},
		{"upper of one", []float64{-9, -9}, []float64{9, 0.5}, []float64{11. / 3, 0.5}},
		{"lower of one", []float64{-9, 2}, []float64{9, 9}, []float64{11. / 3, 2}},
		{"upper of both", []float64{-9, -9}, []float64{3, 0}, []float64{3, 0}},
		{"corner", []float64{4, 2}, []float64{9, 9}, []float64{4, 2}},
		{"one fixed", []float64{1, -9}, []float64{1, 9}, []float64{1, 1}},
	} {
		p.Lo, p.Hi = c.lo, c.hi
		for _, start := range [][]float64{{0, 0}, {7, -5}, {-3, 8}} {
			fit, err := p.Minimize(start)
			if err != nil || !fit.Converged {
				t.Errorf("%s from %v: %+v, %v", c.name, start, fit, err)
				continue
			}
			for i, want := range c.want {
				if !(math.Abs(fit.X[i]-want) <= 1e-6) {
					t.Errorf("%s from %v: %v, want %v", c.name, start, fit.X, c.want)
				}
			}
		}
	}
}

// Where the variables pull at each other, the answer along the bound follows from
// the remaining equation.
func TestHeldVariablePullsTheOther(t *testing.T) {
	// (x0 + 3 x1 − 6)² + (x0 − x1)²: free at 1.5, 1.5. With x1 ≤ 1:
	// 2(x0 − 3) + 2(x0 − 1) = 0.
	p := Problem{
		Residuals: func(r, x []float64) { r[0], r[1] = x[0]+3*x[1]-6, x[0]-x[1] },
		M:         2, Lo: []float64{-9, -9}, Hi: []float64{9, 1},
	}
	fit, err := p.Minimize([]float64{-8, -8})
	if err != nil || !(math.Abs(fit.X[0]-2) <= 1e-8) || fit.X[1] != 1 || !(math.Abs(fit.Sum-2) <= 1e-8) {
		t.Errorf("%+v, %v, want 2, 1 with sum 2", fit, err)
	}
}

// Only the sum of the variables counts, or one of them not at all: the Jacobian
// lacks rank, and any of the equally good points will do.
func TestRankDeficient(t *testing.T) {
	bounds := func(p Problem, n int) Problem {
		for range n {
			p.Lo, p.Hi = append(p.Lo, -10), append(p.Hi, 10)
		}
		return p
	}
	sum := bounds(Problem{
		Residuals: func(r, x []float64) { r[0], r[1] = x[0]+x[1]-3, 2*(x[0]+x[1])-6 },
		M:         2,
	}, 2)
	fit, err := sum.Minimize([]float64{5, -7})
	if err != nil || !fit.Converged || !(math.Abs(fit.X[0]+fit.X[1]-3) <= 1e-6) {
		t.Errorf("only the sum counts: %+v, %v", fit, err)
	}
	idle := bounds(Problem{
		Residuals: func(r, x []float64) { r[0] = math.Exp(x[0]) - 2 },
		M:         1,
	}, 2)
	fit, err = idle.Minimize([]float64{0, 4})
	if err != nil || !fit.Converged || !(math.Abs(fit.X[0]-math.Ln2) <= 1e-7) || fit.X[1] != 4 {
		t.Errorf("one does not count: %+v, %v", fit, err)
	}
	fewer := bounds(Problem{
		Residuals: func(r, x []float64) { r[0] = x[0]*x[1]*x[2] - 8 },
		M:         1,
	}, 3)
	fit, err = fewer.Minimize([]float64{1, 1, 1})
	if err != nil || !(fit.Sum <= 1e-12) {
		t.Errorf("fewer residuals than variables: %+v, %v", fit, err)
	}
}

// An exponential through points that do not lie on one, started far off.
func TestExponential(t *testing.T) {
	xs := []float64{0, 1, 2, 3, 4, 5}
	ys := []float64{2.05, 1.18, 0.77, 0.42, 0.29, 0.14}
	p := Problem{
		Residuals: func(r, x []float64) {
			for i := range r {
				r[i] = x[0]*math.Exp(-x[1]*xs[i]) - ys[i]
			}
		},
		M: 6, Lo: []float64{0, 0}, Hi: []float64{100, 10},
	}
	fit, err := p.Minimize([]float64{50, 3})
	if err != nil || !fit.Converged {
		t.Fatalf("%+v, %v", fit, err)
	}
	r := make([]float64, 6)
	for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
		if s := p.sum(r, []float64{fit.X[0] + 1e-4*d[0], fit.X[1] + 1e-4*d[1]}); !(s > fit.Sum) {
			t.Errorf("the sum is %g beside %v, %g there", s, fit.X, fit.Sum)
		}
	}
	// The normal equation of the factor, which is linear.
	num, den := 0.0, 0.0
	for i, x := range xs {
		e := math.Exp(-fit.X[1] * x)
		num, den = num+e*ys[i], den+e*e
	}
	if !(math.Abs(fit.X[0]-num/den) <= 1e-7) {
		t.Errorf("factor %g, by its normal equation %g", fit.X[0], num/den)
	}
}

// A region without values is not entered.
func TestNotANumberOnTheWay(t *testing.T) {
	p := Problem{
		Residuals: func(r, x []float64) { r[0] = math.Log(x[0]) + 1 },
		M:         1, Lo: []float64{-10}, Hi: []float64{10},
	}
	fit, err := p.Minimize([]float64{9}) // the first full step would be to −19
	if err != nil || !(math.Abs(fit.X[0]-math.Exp(-1)) <= 1e-6) {
		t.Errorf("%+v, %v", fit, err)
	}
	// Where the derivative has no value nothing can be said.
	p = Problem{
		Residuals: func(r, x []float64) { r[0] = math.Sqrt(x[0]) + 1 },
		M:         1, Lo: []float64{-10}, Hi: []float64{10},
	}
	if fit, err := p.Minimize([]float64{0}); err != nil || fit.Converged || fit.X[0] != 0 {
		t.Errorf("%+v, %v, want no convergence", fit, err)
	}
}

func TestStartIsKept(t *testing.T) {
	start := []float64{-1.2, 20}
	p := Problem{
		Residuals: func(r, x []float64) { r[0], r[1] = x[0]-1, x[1]-1 },
		M:         2, Lo: []float64{-5, -5}, Hi: []float64{5, 5},
	}
	a, err := p.Minimize(start)
	if err != nil || start[0] != -1.2 || start[1] != 20 {
		t.Errorf("start %v, %v", start, err)
	}
	b, _ := p.Minimize(start)
	if a.X[0] != b.X[0] || a.X[1] != b.X[1] || a.Sum != b.Sum || a.Steps != b.Steps {
		t.Errorf("%+v, a second time %+v", a, b)
	}
}

// With exact derivatives the same minimum is found, and from fewer calls.
func TestJacobian(t *testing.T) {
	calls := 0
	p := Problem{
		Residuals: func(r, x []float64) { calls++; r[0], r[1] = 10*(x[1]-x[0]*x[0]), 1-x[0] },
		M:         2, Lo: []float64{-5, -5}, Hi: []float64{5, 5},
	}
	plain, err := p.Minimize([]float64{-1.2, 1})
	if err != nil {
		t.Fatal(err)
	}
	before := calls
	calls = 0
	p.Jacobian = func(j, x []float64) { copy(j, []float64{-20 * x[0], 10, -1, 0}) }
	exact, err := p.Minimize([]float64{-1.2, 1})
	if err != nil || !exact.Converged || math.Abs(exact.X[0]-1) > 1e-12 || math.Abs(exact.X[1]-1) > 1e-12 {
		t.Errorf("%+v, %v", exact, err)
	}
	if !(calls*2 < before) {
		t.Errorf("%d calls, without derivatives %d, which found %+v", calls, before, plain)
	}
	p.MaxSteps = 3
	if few, err := p.Minimize([]float64{-1.2, 1}); err != nil || few.Converged || few.Steps != 3 {
		t.Errorf("three steps: %+v, %v", few, err)
	}
	p.MaxSteps, p.Tolerance = 0, 0.5
	if loose, err := p.Minimize([]float64{-1.2, 1}); err != nil || !loose.Converged || loose.Steps >= exact.Steps {
		t.Errorf("loose: %+v, %v, exact in %d steps", loose, err, exact.Steps)
	}
}
