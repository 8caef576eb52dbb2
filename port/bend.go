package port

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
)

// MitreLength returns what a square corner of 90° counts for in the length of a slot
// of constant width (measured in the plane of the turn), between the ends of its two
// straight legs:
//
//	w (1 − (2/π) ln 2) = 0.559 w
//
// from a conformal map; two-dimensional and without loss. Along the centre line it
// measures 1.0 w, which makes the vent 0.44 w too short.
func MitreLength(width units.Length) units.Length {
	return width * (1 - 2/math.Pi*math.Ln2)
}

// BendLength returns what a bend by angle counts for in the length of a round vent, if
// its centre line has the given radius:
//
//	θ a²/(2(R − √(R² − a²))) = θ (R + √(R² − a²))/2,  a = diameter/2
//
// The air takes the inside of the bend. The straight legs must be long enough to
// let it settle, a diameter or so. It is an error unless radius ≥ diameter/2.
func BendLength(diameter, radius units.Length, angle units.Angle) (units.Length, error) {
	if err := cmp.Or(units.Positive("port: diameter", diameter), units.Positive("port: radius of the bend", radius),
		units.NotNegative("port: angle of the bend", angle)); err != nil {
		return 0, err
	}
	if !(radius >= diameter/2) {
		return 0, &units.RangeError{Field: "port: radius of the bend", Value: radius.String(),
			Want: "must be at least that of the tube, " + (diameter / 2).String()}
	}
	r, a := float64(radius), float64(diameter)/2
	return units.Length(float64(angle) * (r + math.Sqrt((r-a)*(r+a))) / 2), nil
}

// SlotBendLength returns what a bend by angle between two round walls counts for in the
// length of a slot, whose width is the difference of their radii:
//
//	θ w/ln(outer/inner)
//
// It is an error unless outer > inner.
func SlotBendLength(inner, outer units.Length, angle units.Angle) (units.Length, error) {
	if err := cmp.Or(units.Positive("port: inner radius of the bend", inner), units.Positive("port: outer radius of the bend", outer),
		units.NotNegative("port: angle of the bend", angle)); err != nil {
		return 0, err
	}
	if !(outer > inner) {
		return 0, &units.RangeError{Field: "port: outer radius of the bend", Value: outer.String(),
			Want: "must be above the inner one, " + inner.String()}
	}
	w := outer - inner
	return units.Length(float64(angle)*float64(w)) / units.Length(math.Log1p(float64(w/inner))), nil
}
