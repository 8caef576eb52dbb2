package port

import (
	"math"

	"example.com/halfspace/units"
)

// rounding is what a quarter circle of radius r, by which a round flanged end
// widens, takes from the effective length, in metres, while the length is measured
// from mouth plane to mouth plane. With x = r/a
//
//	0.45606 a x^(4/3)/(1 + 0.0486 x),  x ≤ 2
//
// goes through an axisymmetric boundary-element solution within its own 0.0004 a;
// the power 4/3 is that of the flow round a right angle. Integrating S0/S(x) along
// the widening and giving its mouth the correction of a piston of that size
// makes the vent up to 0.3 a too long per end: the flow does not fill the mouth.
//
// A free end that widens counts as a tube whose wall is thicker by r, rounded as if it
// were flush: 0.03 a long at most against a finite-difference solution of a thin shell.
func (v Vent) rounding(r units.Length) float64 {
	if r == 0 {
		return 0
	}
	a := float64(v.Diameter) / 2
	x := float64(r) / a
	return 0.45606 * a * x * math.Cbrt(x) / (1 + float64(0.0486*x))
}

// flare is the volume that a widening of radius r has beyond the tube drawn out to
// the mouth plane: a ring whose section is the corner outside a quarter circle.
func (v Vent) flare(radius units.Length) float64 {
	a, r := float64(v.Diameter)/2, float64(radius)
	// A corner of r²(1 − π/4), whose first moment about the tube is r³(5/6 − π/4).
	return 2 * math.Pi * r * r * (float64(a*(1-math.Pi/4)) + float64(r*(5./6-math.Pi/4)))
}
