package box

import (
	"cmp"
	"fmt"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Filling is fibre that takes up the heat of the air in a box as it is compressed,
// which makes the box seem larger.
type Filling struct {
	Packing units.Density // mass of fibre over the volume of the box
	Density units.Density // of the fibre itself, without air
	Heat    float64       // specific heat of the fibre, J/(kg K)
}

// Polyester returns polyester fibre of 1380 kg/m³ and 1300 J/(kg K) (common
// practice), packed as given.
func Polyester(packing units.Density) Filling { return Filling{packing, 1380, 1300} }

// Glass returns glass fibre of 2500 kg/m³ and 840 J/(kg K) (common practice), packed
// as given.
func Glass(packing units.Density) Filling { return Filling{packing, 2500, 840} }

// Check reports the first impossible figure.
func (f Filling) Check() error {
	if err := cmp.Or(
		units.NotNegative("box: packing", f.Packing),
		units.Positive("box: density of the fibre", f.Density),
		units.Positive("box: specific heat of the fibre", f.Heat),
	); err != nil {
		return err
	}
	if !(f.Packing < f.Density) {
		return &units.RangeError{Field: "box: packing", Value: f.Packing.String(), Want: fmt.Sprintf("must be below the density of the fibre, %v", f.Density)}
	}
	return nil
}

// Dry air: ratio of specific heats, and heat per mass at constant volume, R/(γ−1)
// with R = 8.314463 J/(mol K) over 28.9655 g/mol.
const (
	gamma   = 1.4
	heatAir = 8.314463 / 0.0289655 / (gamma - 1) // J/(kg K)
)

// Gain returns the apparent over the true volume of a box with the filling, where
// air and fibre have one temperature at all times. With p the fibre's part of the
// volume,
//
//	gain = (1−p) (1 + (γ−1)/(1 + γ (1/p − 1) ρ cv/(ρf cf)))
//
// (W. M. Leach, Introduction to Electroacoustics and Audio Amplifier Design, eq.
// 7.3, as cited in course notes; it follows from the first law for air and fibre
// together). It is what physics allows, up to 1.4: heat takes time to flow, and real
// boxes gain 1.1 to 1.2 (same source). The volume to compute with is Vb times the
// gain; absorption is a matter of QA. A filling that fails [Filling.Check] gives a
// number without meaning.
func (f Filling) Gain(a air.Air) float64 {
	if f.Packing == 0 {
		return 1
	}
	p := float64(f.Packing / f.Density)
	airs := float64(a.OrStandard().Density) * heatAir * (1 - p) // per volume of the box
	return (1 - p) * (1 + (gamma-1)/(1+gamma*airs/(float64(f.Packing)*f.Heat)))
}
