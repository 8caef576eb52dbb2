package ts

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/units/air"
)

// An Estimate is a figure with how well it is known.
type Estimate struct {
	Figure    string  // "Vas"
	Value     string  // with its unit
	Deviation float64 // one standard deviation, as a fraction
}

// Estimates tell how well the figures of one driver are known, and how their errors
// hang together.
type Estimates struct {
	Figures      []Estimate  // Re, Bl, Mms, Cms, Rms, Sd, fs, Qms, Qes, Qts, Vas, eta0
	Correlations [][]float64 // of the errors of each pair, in the order of Figures; from −1 to 1
}

var estimated = []string{re, bl, mms, cms, rms, sd, fs, qms, qes, qts, vas, eta0}

// Deviation returns the standard deviation of a figure as a fraction. It panics if
// there is no such figure.
func (e Estimates) Deviation(figure string) float64 { return e.Figures[e.at(figure)].Deviation }

// Correlation returns the correlation between the errors of two figures; between a
// figure that is exact and another it is zero. It panics if there is no such figure.
func (e Estimates) Correlation(figure, other string) float64 {
	return e.Correlations[e.at(figure)][e.at(other)]
}

func (e Estimates) at(figure string) int {
	i := slices.IndexFunc(e.Figures, func(f Estimate) bool { return f.Figure == figure })
	if i < 0 {
		panic(fmt.Sprintf("ts: no estimate of %q", figure))
	}
	return i
}

// estimate carries the covariance of the logarithms of the six numbers of a driver on
// to its figures, to first order in the deviations.
func estimate(d Driver, covariance mat.Symmetric, a air.Air) Estimates {
	x := driverLogs(d)
	n := len(estimated)
	slopes := mat.NewDense(n, 6, nil)
	for i, name := range estimated {
		s := x.figure(name, 0, a)
		slopes.SetRow(i, s.by[:6])
	}
	var half, all mat.Dense
	half.Mul(slopes, covariance)
	all.Mul(&half, slopes.T())

	print := map[string]string{}
	for _, f := range d.Sheet(a).figures() {
		print[f.name] = f.print.String()
	}
	e := Estimates{Figures: make([]Estimate, n), Correlations: make([][]float64, n)}
	for i, name := range estimated {
		e.Figures[i] = Estimate{name, print[name], math.Sqrt(max(0, all.At(i, i)))}
	}
	for i := range n {
		e.Correlations[i] = make([]float64, n)
		for j := range n {
			product := e.Figures[i].Deviation * e.Figures[j].Deviation
			switch {
			case i == j:
				e.Correlations[i][j] = 1
			case product > 0:
				e.Correlations[i][j] = min(1, max(-1, (all.At(i, j)+all.At(j, i))/(2*product)))
			}
		}
	}
	return e
}
