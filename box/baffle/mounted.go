package baffle

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Mounted is a driver on a panel, with its curves on one grid. It has the methods
// of the crossover package's Radiator.
type Mounted struct {
	Hz    []float64    // ascending
	Z     []complex128 // impedance at the terminals, Ω
	P     []complex128 // on axis in half space, Pa at 1 m per volt, flight time left out
	Panel Diffraction
}

// Impedance writes the impedance at the terminals to z. It panics if hz is not the
// grid of m or the slices differ in length.
func (m Mounted) Impedance(z []complex128, hz []float64) {
	m.same(len(z), len(m.Z), hz)
	copy(z, m.Z)
}

// Pressure writes the pressure toward a direction, in full space, in Pa at 1 m per
// volt, to p; NaN where m does not cover it, so that nobody takes it for sound. It
// panics like Impedance.
func (m Mounted) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	m.same(len(p), len(m.P), hz)
	if err := m.Panel.Toward(p, hz, toward); err != nil {
		for i := range p {
			p[i] = cmplx.NaN()
		}
		return
	}
	for i := range p {
		p[i] *= m.P[i]
	}
}

// Covers says whether Pressure can be had in a direction: within [Reach] of the axis,
// and 5° more.
func (m Mounted) Covers(toward r3.Vec) bool {
	return checkToward("direction", toward, Reach+slack) == nil
}

// Check returns an error unless the slices match, the grid is positive and ascends,
// every value is finite, and there is a panel.
func (m Mounted) Check() error {
	const field = "baffle: mounted driver: "
	if len(m.Z) != len(m.Hz) || len(m.P) != len(m.Hz) || len(m.Hz) == 0 {
		return &units.RangeError{Field: field + "curves", Value: fmt.Sprintf("of %d impedances and %d pressures at %d frequencies", len(m.Z), len(m.P), len(m.Hz)),
			Want: "must be as many of each, and one at least"}
	}
	if m.Panel.rays == nil {
		return &units.RangeError{Field: field + "panel", Value: "not given", Want: "must be that of a driver on a panel"}
	}
	for i, f := range m.Hz {
		at := fmt.Sprintf("%sfrequency %d", field, i+1)
		if err := units.Positive(at, units.Frequency(f)); err != nil {
			return err
		}
		if i > 0 && !(f > m.Hz[i-1]) {
			return &units.RangeError{Field: at, Value: units.Frequency(f).String(), Want: "must be above the one before it"}
		}
		for _, v := range [2]complex128{m.Z[i], m.P[i]} {
			if math.IsNaN(cmplx.Abs(v)) || cmplx.IsInf(v) || cmplx.IsNaN(v) {
				return &units.RangeError{Field: at, Value: fmt.Sprint(v), Want: "must be finite"}
			}
		}
	}
	return nil
}

func (m Mounted) same(room, values int, hz []float64) {
	if !slices.Equal(hz, m.Hz) {
		panic("baffle: a mounted driver asked for on another grid than its own")
	}
	if room != len(hz) || values != len(hz) {
		panic(fmt.Sprintf("baffle: slices of different lengths: %d values, room for %d, %d frequencies", values, room, len(hz)))
	}
}
