package outside

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
)

type numerics struct {
	Polynomials []struct {
		ID  string    `json:"id"`
		Num []float64 `json:"num"`
		Den []float64 `json:"den"`
	} `json:"polynomials"`
	W    []float64 `json:"w"`
	Step struct {
		Interval float64 `json:"interval"`
		Count    int     `json:"count"`
	} `json:"step"`
	Curve struct {
		Hz  []float64 `json:"hz"`
		DB  []float64 `json:"db"`
		Deg []float64 `json:"deg"`
		At  []float64 `json:"at"`
	} `json:"curve"`
	Fits []struct {
		ID    string    `json:"id"`
		T     []float64 `json:"t"`
		Y     []float64 `json:"y"`
		Start []float64 `json:"start"`
		Lo    []float64 `json:"lo"`
		Hi    []float64 `json:"hi"`
	} `json:"fits"`
	Series struct {
		Names  []int     `json:"names"`
		Values []float64 `json:"values"`
	} `json:"series"`
	Modes struct {
		Edges [3]float64 `json:"edges"`
		C     float64    `json:"c"`
		Limit float64    `json:"limit"`
	} `json:"modes"`
}

func TestNumerics(t *testing.T) {
	c := cases[numerics](t, "numerics")
	r := recording(t, "numerics")
	for _, p := range c.Polynomials {
		f, err := rational.FromPolynomials(p.Num, p.Den)
		if err != nil {
			t.Fatal(err)
		}
		r.roots(p.ID, "zeros", f.Zeros)
		r.roots(p.ID, "poles", f.Poles)
		var h []complex128
		for _, w := range c.W {
			h = append(h, f.At(complex(0, w)))
		}
		r.same(p.ID, "response", h)
		var step []float64
		for k := range c.Step.Count {
			step = append(step, f.Step(float64(k)*c.Step.Interval))
		}
		r.within(p.ID, "step", near, 1, step...)
	}

	measured := response.Curve{Hz: c.Curve.Hz, HasPhase: true}
	for i, db := range c.Curve.DB {
		measured.H = append(measured.H, cmplx.Rect(response.FromDB(db), c.Curve.Deg[i]*math.Pi/180))
	}
	resampled := make([]complex128, len(c.Curve.At))
	if err := measured.Resample(resampled, c.Curve.At); err != nil {
		t.Fatal(err)
	}
	r.same("curve", "resampled", resampled)

	for _, f := range c.Fits {
		fit, err := lsq.Problem{
			Residuals: func(e, x []float64) {
				for i, at := range f.T {
					e[i] = x[0]*math.Exp(-x[1]*at) + x[2] - f.Y[i]
				}
			},
			M: len(f.T), Lo: f.Lo, Hi: f.Hi,
		}.Minimize(f.Start)
		if err != nil || !fit.Converged {
			t.Fatalf("%s: %v, converged: %v", f.ID, err, fit.Converged)
		}
		r.equal(f.ID, "x", fit.X...)
		r.equal(f.ID, "sum", fit.Sum)
	}

	for _, n := range c.Series.Names {
		s := parts.Series(n)
		var nearest []float64
		for _, v := range c.Series.Values {
			nearest = append(nearest, s.Nearest(v))
		}
		r.equal(fmt.Sprint(s), "values", s.Values()...)
		r.equal(fmt.Sprint(s), "nearest", nearest...)
	}

	m := c.Modes
	modes, err := cabinet.Modes([3]units.Length{units.Length(m.Edges[0]), units.Length(m.Edges[1]), units.Length(m.Edges[2])},
		units.Velocity(m.C), units.Frequency(m.Limit))
	if err != nil {
		t.Fatal(err)
	}
	var hz []float64
	for _, mode := range modes {
		hz = append(hz, float64(mode.Frequency))
	}
	r.equal("modes", "hz", hz...)
}
