package crossover

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A Radiator is a driver as it is mounted.
type Radiator interface {
	// Impedance writes the impedance at the terminals, in ohms, to z.
	Impedance(z []complex128, hz []float64)
	// Pressure writes the pressure per volt at the terminals, in Pa at 1 m with
	// the flight time left out, in the direction toward, to p.
	Pressure(p []complex128, hz []float64, toward r3.Vec)
}

// Curves is a [Radiator] given by its values on one grid, as measured in one or
// more directions. In between it answers with the nearest direction.
type Curves struct {
	Hz         []float64
	Z          []complex128
	Directions []Direction
}

// A Direction is the pressure in one direction, in Pa at 1 m per volt.
type Direction struct {
	Toward r3.Vec
	P      []complex128
}

// Check returns an error unless the slices match, the grid ascends and every
// value is finite.
func (c Curves) Check() error {
	if len(c.Hz) == 0 || len(c.Z) != len(c.Hz) || len(c.Directions) == 0 {
		return fmt.Errorf("crossover: curves with %d frequencies, %d impedances and %d directions", len(c.Hz), len(c.Z), len(c.Directions))
	}
	for i, f := range c.Hz {
		if !(f > 0) || math.IsInf(f, 0) || i > 0 && !(f > c.Hz[i-1]) {
			return fmt.Errorf("crossover: frequency %d is %g Hz: must be positive, finite and ascending", i+1, f)
		}
	}
	if i := slices.IndexFunc(c.Z, notFinite); i >= 0 {
		return fmt.Errorf("crossover: impedance at %g Hz is %v", c.Hz[i], c.Z[i])
	}
	for _, d := range c.Directions {
		if len(d.P) != len(c.Hz) || !(r3.Norm(d.Toward) > 0) {
			return fmt.Errorf("crossover: direction %v with %d pressures for %d frequencies", d.Toward, len(d.P), len(c.Hz))
		}
		if i := slices.IndexFunc(d.P, notFinite); i >= 0 {
			return fmt.Errorf("crossover: pressure at %g Hz is %v", c.Hz[i], d.P[i])
		}
	}
	return nil
}

func notFinite(z complex128) bool { return z-z != 0 }

// Impedance implements [Radiator]. It panics if hz is not the grid of c.
func (c Curves) Impedance(z []complex128, hz []float64) {
	c.mustMatch(hz)
	copy(z, c.Z)
}

// Pressure implements [Radiator]. It panics if hz is not the grid of c.
func (c Curves) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	c.mustMatch(hz)
	best, cos := 0, math.Inf(-1)
	for i, d := range c.Directions {
		if x := r3.Cos(d.Toward, toward); x > cos {
			best, cos = i, x
		}
	}
	copy(p, c.Directions[best].P)
}

func (c Curves) mustMatch(hz []float64) {
	if !slices.Equal(hz, c.Hz) {
		panic("crossover: curves asked for on another grid than their own")
	}
}
