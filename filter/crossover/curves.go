package crossover

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// Curves is a [Radiator] given by its values on one grid, as measured in one or
// more directions. It answers with the curve of the nearest direction, the first
// of equally near ones, and does not interpolate: between two of them the phase of
// a measured curve turns too far for that.
type Curves struct {
	Hz         []float64    // ascending
	Z          []complex128 // Ω
	Directions []Direction
}

// A Direction is the pressure in one direction.
type Direction struct {
	Toward r3.Vec       // of any length but zero
	P      []complex128 // Pa at 1 m per volt at the terminals, flight time left out
}

// Check returns an error unless there is at least one frequency and one direction,
// the slices match, the grid is positive and ascends, and every value is finite.
func (c Curves) Check() error {
	if len(c.Directions) == 0 {
		return &units.RangeError{Field: "crossover: curves:", Value: "no directions", Want: "must be at least one"}
	}
	if len(c.Z) != len(c.Hz) {
		return &units.RangeError{Field: "crossover: curves: impedance", Value: fmt.Sprintf("at %d frequencies", len(c.Z)),
			Want: fmt.Sprintf("must be at the %d of the grid", len(c.Hz))}
	}
	if err := checkGrid("crossover: curves", c.Hz); err != nil {
		return err
	}
	if err := checkFinite("crossover: curves: impedance", c.Hz, c.Z, "Ω"); err != nil {
		return err
	}
	for i, d := range c.Directions {
		field := fmt.Sprintf("crossover: curves: direction %d", i+1)
		if n := r3.Norm(d.Toward); !(n > 0) || math.IsInf(n, 0) {
			return &units.RangeError{Field: field, Value: fmt.Sprint(d.Toward), Want: "must be finite and not zero"}
		}
		if len(d.P) != len(c.Hz) {
			return &units.RangeError{Field: field + ": pressure", Value: fmt.Sprintf("at %d frequencies", len(d.P)),
				Want: fmt.Sprintf("must be at the %d of the grid", len(c.Hz))}
		}
		if err := checkFinite(field+": pressure", c.Hz, d.P, "Pa"); err != nil {
			return err
		}
	}
	return nil
}

// Impedance implements [Radiator]. It panics if hz is not the grid of c, or if
// slices differ in length.
func (c Curves) Impedance(z []complex128, hz []float64) {
	c.fill(z, c.Z, hz)
}

// Pressure implements [Radiator]. It panics if hz is not the grid of c, if slices
// differ in length, if c has no directions, or if toward is zero.
func (c Curves) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	if !(r3.Norm(toward) > 0) {
		panic(fmt.Sprintf("crossover: no direction: %v", toward))
	}
	best, cos := 0, math.Inf(-1)
	for i, d := range c.Directions {
		if x := r3.Cos(d.Toward, toward); x > cos {
			best, cos = i, x
		}
	}
	c.fill(p, c.Directions[best].P, hz)
}

func (c Curves) fill(dst, values []complex128, hz []float64) {
	if !slices.Equal(hz, c.Hz) {
		panic("crossover: curves asked for on another grid than their own")
	}
	if len(dst) != len(hz) || len(values) != len(hz) {
		panic(fmt.Sprintf("crossover: slices of different lengths: %d values, room for %d, %d frequencies", len(values), len(dst), len(hz)))
	}
	copy(dst, values)
}

// checkGrid returns an error unless hz is positive, finite and ascending.
func checkGrid(field string, hz []float64) error {
	if len(hz) == 0 {
		return &units.RangeError{Field: field + ":", Value: "no frequencies", Want: "must be at least one"}
	}
	for i, f := range hz {
		field := fmt.Sprintf("%s: frequency %d", field, i+1)
		if err := units.Positive(field, units.Frequency(f)); err != nil {
			return err
		}
		if i > 0 && !(f > hz[i-1]) {
			return &units.RangeError{Field: field, Value: units.Frequency(f).String(),
				Want: fmt.Sprintf("must be above %v, the one before it", units.Frequency(hz[i-1]))}
		}
	}
	return nil
}

// checkFinite returns an error that names the first value that is infinite or NaN.
func checkFinite(field string, hz []float64, values []complex128, unit string) error {
	for i, v := range values {
		if cmplx.IsNaN(v) || cmplx.IsInf(v) {
			return &units.RangeError{Field: fmt.Sprintf("%s at %v", field, units.Frequency(hz[i])),
				Value: fmt.Sprintf("%v %s", v, unit), Want: "must be finite"}
		}
	}
	return nil
}
