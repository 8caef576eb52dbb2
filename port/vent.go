package port

import (
	"cmp"
	"math"
	"strconv"

	"example.com/halfspace/units"
)

// A Vent is one straight vent, or several equal ones, of constant section.
// Either Diameter or both Width and Height are given.
type Vent struct {
	Diameter      units.Length // round: inside
	Width, Height units.Length // rectangular: inside, in either order
	Count         int          // equal vents that share the box; 0 means 1
	Length        units.Length // of each, from mouth plane to mouth plane
	Wall          units.Length // thickness of the tube's material; 0 is a thin tube
	Outer, Inner  Mouth        // what the ends open into

	Clear   units.Length // with AcrossBox: inside height of the box, from the wall the slot lies on to the opposite one
	ToWall  units.Length // round, with AlongWall or InCorner: from the centre of the mouth to the wall, or to each of the two
	Section units.Area   // with InDuct: inside section of the box across the vents, which share it
	Spacing units.Length // several in a row along their width: between the centres of neighbours; 0: too far apart to matter

	OuterRound, InnerRound units.Length // round: radius of the quarter circle by which that end widens; 0 is a sharp edge
}

// Check returns a *[units.RangeError] for the first field that cannot be:
// dimensions must be positive and finite, exactly one of the two shapes must be
// given, an end must come with what it needs to be known, and neighbours must not
// overlap.
func (v Vent) Check() error {
	return cmp.Or(v.checkSection(), v.checkLength())
}

func (v Vent) checkLength() error {
	if rounded := v.OuterRound + v.InnerRound; v.Length < rounded {
		return &units.RangeError{Field: "port: length", Value: v.Length.String(),
			Want: "must be at least that of its rounded ends, " + rounded.String()}
	}
	return units.Positive("port: length", v.Length)
}

// checkSection checks everything but the length, which Tuned has yet to find.
func (v Vent) checkSection() error {
	switch {
	case !v.round() && v.Width == 0 && v.Height == 0:
		return &units.RangeError{Field: "port: diameter", Value: v.Diameter.String(),
			Want: "give a diameter, or a width and a height"}
	case v.round() && (v.Width != 0 || v.Height != 0):
		return &units.RangeError{Field: "port: diameter", Value: v.Diameter.String(),
			Want: "cannot stand beside a width or a height"}
	case v.Count < 0:
		return &units.RangeError{Field: "port: count", Value: strconv.Itoa(v.Count), Want: "must not be negative"}
	}
	var shape error
	if v.round() {
		shape = units.Positive("port: diameter", v.Diameter)
	} else {
		shape = cmp.Or(units.Positive("port: width", v.Width), units.Positive("port: height", v.Height))
	}
	return cmp.Or(shape,
		units.NotNegative("port: wall", v.Wall),
		v.checkMouth("port: outer end", v.Outer),
		v.checkMouth("port: inner end", v.Inner),
		v.checkRound("port: outer rounding", v.Outer, v.OuterRound),
		v.checkRound("port: inner rounding", v.Inner, v.InnerRound),
		v.checkSpacing())
}

func (v Vent) checkMouth(field string, m Mouth) error {
	across := &units.RangeError{Field: "port: clear height", Value: v.Clear.String(),
		Want: "must be above the height of the slot, " + v.Height.String()}
	switch {
	case m > InDuct:
		return &units.RangeError{Field: field, Value: m.String(), Want: "must be one of the named kinds"}
	case m == AcrossBox && v.round():
		return &units.RangeError{Field: field, Value: m.String(), Want: "is for rectangular vents only"}
	case m == AcrossBox && !(v.Clear > v.Height):
		return across
	case m == AcrossBox:
		return units.Positive("port: clear height", v.Clear)
	case (m == AlongWall || m == InCorner) && v.round() && !(v.ToWall >= v.Diameter/2):
		return &units.RangeError{Field: "port: distance to the wall", Value: v.ToWall.String(),
			Want: "must be at least the radius, " + (v.Diameter / 2).String()}
	case (m == AlongWall || m == InCorner) && v.round():
		return units.Positive("port: distance to the wall", v.ToWall)
	case m == InDuct && !(v.Section > v.Area()):
		return &units.RangeError{Field: "port: section of the box", Value: v.Section.String(),
			Want: "must be above the area of the vents, " + v.Area().String()}
	case m == InDuct:
		return units.Positive("port: section of the box", v.Section)
	}
	return nil
}

// checkRound knows the ends for which rounding is known.
func (v Vent) checkRound(field string, m Mouth, r units.Length) error {
	switch {
	case r == 0:
		return nil
	case !v.round() || m > Flanged:
		return &units.RangeError{Field: field, Value: r.String(), Want: "is for round vents whose end is free or flanged"}
	}
	return units.Within(field, r, 0, v.Diameter)
}

func (v Vent) checkSpacing() error {
	width := cmp.Or(v.Diameter, v.Width)
	if v.Spacing == 0 || v.Spacing >= width {
		return units.NotNegative("port: spacing", v.Spacing)
	}
	return &units.RangeError{Field: "port: spacing", Value: v.Spacing.String(), Want: "must be at least the width of a vent, " + width.String()}
}

func (v Vent) round() bool { return v.Diameter != 0 }

func (v Vent) count() float64 { return float64(max(v.Count, 1)) }

// Area returns the open area of all vents together.
func (v Vent) Area() units.Area { return units.Area(v.count() * v.section(0)) }

// section is the area of one vent, in m², with its sides moved outward by t
// (half of the growth in diameter, width and height).
func (v Vent) section(t units.Length) float64 {
	if v.round() {
		d := float64(v.Diameter + 2*t)
		return math.Pi / 4 * d * d
	}
	return float64(v.Width+2*t) * float64(v.Height+2*t)
}

// EffectiveLength returns the length with what both ends add: their corrections,
// less what rounding takes from them, more what neighbours give.
func (v Vent) EffectiveLength() units.Length { return v.Length + v.ends() }

func (v Vent) ends() units.Length {
	return v.end(v.Outer, v.OuterRound) + v.end(v.Inner, v.InnerRound)
}

// Displacement returns the volume that the vents and their material take from
// the box when the given length of each stands inside it. A wall of the box
// that closes a side of the slot (Inner is AlongWall, InCorner or AcrossBox)
// belongs to the box and takes nothing. A rounded inner end is a thin shell that
// takes the air within it, up to its mouth.
func (v Vent) Displacement(inside units.Length) units.Volume {
	section := v.section(v.Wall)
	if !v.round() {
		wide, high := v.outside()
		section = float64(wide) * float64(high)
	}
	return units.Volume(v.count() * (float64(section*float64(inside)) + v.flare(v.InnerRound)))
}
