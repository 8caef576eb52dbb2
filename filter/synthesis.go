package filter

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// Elements returns the values of the ladder that gives a low-pass prototype
// between a source without resistance and a load of 1 Ω, from source to load:
// a series coil in henries, a shunt capacitor in farads, and so on.
//
// The prototype has no zeros, gain 1 at DC, all poles in the left half plane
// and at most order 24. The values come from the continued fraction of the
// ratio of the denominator's even and odd parts: L. Weinberg, Network Analysis
// and Synthesis, 1962.
//
// Tables for a source with resistance (for Butterworth of order three: 1, 2,
// 1) do not fit a loudspeaker's crossover, which hangs on an amplifier: there
// it is 3/2, 4/3, 1/2.
func Elements(proto rational.Func) ([]float64, error) {
	if err := checkPrototype(proto); err != nil {
		return nil, err
	}
	_, d := proto.Polynomials()
	n := len(d) - 1
	g := make([]float64, n)
	// Routh's scheme: each step takes a pole at infinity from high/low, which
	// is the element nearest to the load of what is left.
	for i := n - 1; i >= 0; i-- {
		// d holds the coefficients of degrees 0 … i+1; those of the degree's
		// own parity form the one part, the rest the other.
		g[i] = d[i+1] / d[i]
		for k := i - 1; k >= 1; k -= 2 {
			d[k] -= g[i] * d[k-1]
		}
		d = d[:i+1]
	}
	for i, v := range g {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, &units.RangeError{
				Field: fmt.Sprintf("filter: element %d", i+1), Value: fmt.Sprint(v), Want: "must be positive and finite",
			}
		}
	}
	return g, nil
}

func checkPrototype(proto rational.Func) error {
	if err := proto.Check(); err != nil {
		return fmt.Errorf("filter: prototype: %w", err)
	}
	refuse := func(value, want string) error {
		return &units.RangeError{Field: "filter: prototype", Value: value, Want: want}
	}
	switch n := len(proto.Poles); {
	case len(proto.Zeros) > 0:
		return refuse(fmt.Sprintf("with %d zeros", len(proto.Zeros)), "must be a low-pass without zeros")
	case n < 1 || n > 2*maxOrder:
		return refuse(fmt.Sprintf("of order %d", n), fmt.Sprintf("must be of order 1 to %d", 2*maxOrder))
	case !proto.Stable():
		return refuse("with a pole not in the left half plane", "must be stable")
	}
	if dc := real(proto.At(0)); !(math.Abs(dc-1) < 1e-9) {
		return refuse(fmt.Sprintf("with gain %v at DC", dc), "must have gain 1 there")
	}
	return nil
}
