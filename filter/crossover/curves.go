package crossover

import (
	"cmp"
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
//
// If Radius is given, a curve serves only up to 7.5° from its direction, half the
// usual spacing of measurements. Beyond that the driver is a flat piston: the curve
// nearest to the axis times 2 J1(ka sin ψ)/(ka sin ψ) for the angle ψ to the axis
// (Lord Rayleigh, The Theory of Sound, vol. 2, section 302; from memory). Real cones
// break up and beam less; a panel's edges are not in it. Treat the deep notches
// of the piston as "very low".
type Curves struct {
	Hz         []float64    // ascending
	Z          []complex128 // Ω
	Directions []Direction

	Radius       units.Length   // effective; zero: the nearest curve serves in all directions
	SpeedOfSound units.Velocity // goes with Radius
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
	if c.Radius != 0 {
		err := cmp.Or(units.Positive("crossover: curves: radius", c.Radius),
			units.Positive("crossover: curves: speed of sound", c.SpeedOfSound))
		if err != nil {
			return err
		}
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

// reach is how far from its direction a curve serves if there is a model for the
// rest.
const reach = 7.5 * math.Pi / 180

// Pressure implements [Radiator]. It panics if hz is not the grid of c, if slices
// differ in length, if c has no directions, or if toward is zero.
func (c Curves) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	best, measured := c.Nearest(toward)
	if measured || c.Radius == 0 {
		c.fill(p, c.Directions[best].P, hz)
		return
	}
	base, _ := c.nearest(axis)
	c.fill(p, c.Directions[base].P, hz)
	sin := r3.Norm(r3.Cross(axis, r3.Unit(toward)))
	for i, f := range hz {
		x := 2 * math.Pi * f * float64(c.Radius/units.Metre) * sin / float64(c.SpeedOfSound)
		p[i] *= complex(piston(x), 0)
	}
}

var axis = r3.Vec{Z: 1}

// piston is 2 J1(x)/x.
func piston(x float64) float64 {
	if x < 1e-4 {
		return 1 // to 1e-9
	}
	return 2 * math.J1(x) / x
}

// Nearest returns which of the directions is nearest to toward, and whether it is
// near enough for its curve to be a measurement there: within 7.5°. It panics if c
// has no directions or if toward is zero.
func (c Curves) Nearest(toward r3.Vec) (direction int, measured bool) {
	if !(r3.Norm(toward) > 0) {
		panic(fmt.Sprintf("crossover: no direction: %v", toward))
	}
	direction, cos := c.nearest(toward)
	return direction, cos >= math.Cos(reach)
}

// Covers says whether c knows the pressure toward a direction: from a measurement
// there, as of [Curves.Nearest], or as a piston if Radius is given. It panics as
// Nearest does.
func (c Curves) Covers(toward r3.Vec) bool {
	_, measured := c.Nearest(toward)
	return measured || c.Radius != 0
}

func (c Curves) nearest(toward r3.Vec) (best int, cos float64) {
	cos = math.Inf(-1)
	for i, d := range c.Directions {
		if x := r3.Cos(d.Toward, toward); x > cos {
			best, cos = i, x
		}
	}
	if math.IsInf(cos, -1) {
		panic("crossover: curves without directions")
	}
	return best, cos
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
