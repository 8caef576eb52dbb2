package port

import (
	"cmp"

	"example.com/halfspace/units"
)

// A Space is the room that a box leaves to a vent: inside dimensions, with nothing else
// in the way. The vent starts in the panel and runs along the depth.
type Space struct {
	Depth         units.Length // from the inner face of the panel to the wall opposite
	Width, Height units.Length // across that
	Panel         units.Length // thickness of the panel: as much of the vent's length needs no room
	Behind        units.Length // wanted free behind the inner end; 0: one diameter, or the short side of a rectangle
}

// Check returns a *[units.RangeError] for the first dimension that is not positive and
// finite; Panel and Behind may be zero.
func (s Space) Check() error {
	return cmp.Or(
		units.Positive("port: inside depth", s.Depth),
		units.Positive("port: inside width", s.Width),
		units.Positive("port: inside height", s.Height),
		units.NotNegative("port: panel", s.Panel),
		units.NotNegative("port: room behind", s.Behind),
	)
}

// behind is how much the vent wants free behind its inner end.
func (s Space) behind(v Vent) units.Length {
	if s.Behind != 0 {
		return s.Behind
	}
	if v.round() {
		return v.Diameter
	}
	return min(v.Width, v.Height)
}

// Spare returns by how much a straight vent is shorter than the space allows:
//
//	Depth + Panel − Length − Behind
//
// Negative, it says how much is missing: how much deeper the box, or shorter the vent,
// would have to be. The vent fits if it is zero or more, and the section passes [Space.Holds].
func (s Space) Spare(v Vent) units.Length {
	return s.Depth + s.Panel - v.Length - s.behind(v)
}

// Holds returns a *[units.RangeError] unless the section of the vent, with its
// material and the widening of its inner end, goes into the width and height of the box. Several vents may have to
// stand above each other: only that their sum of areas fits is checked.
func (s Space) Holds(v Vent) error {
	wide, high := v.outside()
	w, h := max(s.Width, s.Height), min(s.Width, s.Height)
	field, value := "port: diameter", v.Diameter
	if !v.round() {
		field, value = "port: width", max(v.Width, v.Height)
	}
	if !(max(wide, high) <= w && min(wide, high) <= h) || !(v.count()*float64(wide)*float64(high) <= float64(w)*float64(h)) {
		return &units.RangeError{Field: field, Value: value.String(),
			Want: "must go into the box, " + s.Width.String() + " × " + s.Height.String() + " inside"}
	}
	return nil
}

// outside is the size of one vent across, with its material. What closes the sides of
// a slot is the box itself.
func (v Vent) outside() (wide, high units.Length) {
	if v.round() {
		d := v.Diameter + 2*max(v.Wall, v.InnerRound)
		return d, d
	}
	long, short := max(v.Width, v.Height), min(v.Width, v.Height)
	switch v.Inner {
	case AcrossBox:
		return v.Width, v.Height + v.Wall
	case AlongWall:
		return long + 2*v.Wall, short + v.Wall
	case InCorner:
		return long + v.Wall, short + v.Wall
	}
	return long + 2*v.Wall, short + 2*v.Wall
}
