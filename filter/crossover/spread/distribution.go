package spread

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/units"
)

// A Distribution is how parts lie within their tolerance ±T. Uniform is the zero
// value; any other one is the normal distribution cut off at so many of its σ,
// where ±T lies. No published one is right for all parts: those of 5 % may have a
// hole in the middle where better grades were picked out.
type Distribution float64

const (
	Uniform Distribution = 0
	Normal  Distribution = 3 // cut off at 3 σ
)

// check returns an error unless d is uniform or cut off between 0.1 and 8 σ.
func (d Distribution) check() error {
	if d == Uniform {
		return nil
	}
	if !(d >= 0.1 && d <= 8) {
		return &units.RangeError{Field: "spread: normal distribution cut off at", Value: fmt.Sprintf("%g σ", float64(d)),
			Want: "must be from 0.1 σ to 8 σ, or 0 for the uniform one"}
	}
	return nil
}

// Quantile returns the deviation, as a share of the tolerance, from -1 to 1, below
// which the share p of all parts lies; so of a uniform p it makes a draw. Beyond 0
// and 1 it gives -1 and 1, and of NaN NaN.
func (d Distribution) Quantile(p float64) float64 {
	switch {
	case p <= 0:
		return -1
	case p >= 1:
		return 1
	case d == Uniform:
		return 2*p - 1
	}
	k := float64(d)
	below := math.Erfc(k/math.Sqrt2) / 2 // Φ(-k)
	// From the near end, so that both halves are alike.
	x := mathext.NormalQuantile(below+min(p, 1-p)*(1-2*below)) / k
	if p > 0.5 {
		x = -x
	}
	return min(max(x, -1), 1)
}

// Sigma returns the standard deviation as a share of the tolerance: 1/√3 if uniform;
// cut off at k σ it is 1/k times
//
//	√(1 - 2kφ(k)/(2Φ(k) - 1))
//
// with φ and Φ of the standard normal distribution (Johnson, Kotz and Balakrishnan,
// Continuous Univariate Distributions, vol. 1, 1994, section on truncated ones; from
// memory).
func (d Distribution) Sigma() float64 {
	if d == Uniform {
		return 1 / math.Sqrt(3)
	}
	k := float64(d)
	phi := math.Exp(-k*k/2) / math.Sqrt(2*math.Pi)
	return math.Sqrt(1-2*k*phi/math.Erf(k/math.Sqrt2)) / k
}
