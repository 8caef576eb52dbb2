package outline

import "example.com/halfspace/units"

// A Point is a place in the plane of the outline.
type Point struct{ X, Y units.Length }

// A Corner is where two sides meet. Only X and Y need to be given.
type Corner struct {
	X, Y units.Length

	// Round is the radius of an arc that replaces the corner and is tangent to
	// both sides, which must be straight. Zero leaves the corner sharp.
	Round units.Length

	// Rise makes the side from this corner to the next one an arc: it is the
	// height of the arc over the middle of its chord, positive when the side
	// bulges outwards, negative inwards. Half the chord gives a half circle, more
	// gives the larger part of a circle. Zero, or less than a millionth of the
	// chord, means straight.
	Rise units.Length
}

// An Outline is a closed line through its corners, the last one joined to the
// first. It may be given clockwise or anticlockwise; outwards and inwards mean the
// same in both. Two corners are enough if at least one of the sides is an arc; they
// are taken as anticlockwise.
//
// All methods but Check expect an outline that passes Check, and their results
// mean nothing for another one.
type Outline []Corner

// Rectangle returns the outline from the origin to (w, h).
func Rectangle(w, h units.Length) Outline { return RoundedRectangle(w, h, 0) }

// RoundedRectangle returns the outline from the origin to (w, h) with all four
// corners rounded to radius r.
func RoundedRectangle(w, h, r units.Length) Outline {
	return Outline{{X: 0, Y: 0, Round: r}, {X: w, Y: 0, Round: r}, {X: w, Y: h, Round: r}, {X: 0, Y: h, Round: r}}
}

// Circle returns the outline of radius r about the origin.
func Circle(r units.Length) Outline {
	return Outline{{X: -r, Rise: r}, {X: r, Rise: r}}
}
