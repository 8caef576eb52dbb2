package cabinet

import (
	"fmt"
	"math"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// A Piece is an entry of a cut list.
type Piece struct {
	Name  string
	Count int

	// Length and Width are those of the smallest rectangle to cut it from, Length
	// along the outer edge. For the strip of a straight side Width is the wall.
	Length, Width units.Length
	Thickness     units.Length
	Grain         Grain // how it may lie on the sheet

	// Outside and Inside are the lengths of the edges of a ring piece at the outer
	// and the inner profile; between mitres, from long points and short points.
	Outside, Inside units.Length

	// Start and End are the mitres of a straight ring piece, in the direction of the
	// profile: the angle between the end and a square cut, positive if the outside
	// is longer. At a corner that turns by α both are α/2.
	Start, End units.Angle

	// Radius is the outer radius of a curved ring piece, zero for the others.
	Radius units.Length
}

// Pieces returns the cut list of one cabinet: the pieces of the rings in the order of
// the profile, then the caps.
//
// Each straight side is a strip as wide as the wall, mitred at both ends. Convex
// corners that are rounded by no more than the wall, and chamfers shorter than the
// wall can follow inside, are left to be shaped once the ring is glued: their strips
// run to the full corner, and sides are counted as if they were not there. A larger
// rounding, the rounding of a reflex corner, and an arc are curved pieces of their own; the
// strips beside a rounding end square.
//
// Errors are those of Check, and a profile whose full corners get in each other's way.
func (s Stack) Pieces() ([]Piece, error) {
	inside, err := s.Inside()
	if err != nil {
		return nil, err
	}
	// Out again with sharp corners: what the ring is before shaping.
	full, err := inside.Offset(-s.Wall)
	if err != nil {
		return nil, fmt.Errorf("cabinet: unshaped ring: %w", err)
	}
	var pieces []Piece
	names, outer, inner := ringNames(full), full.Sides(), inside.Sides()
	for i, o := range outer {
		if used := 1e-9 * s.Wall; o.Length() > used || inner[i].Length() > used {
			pieces = append(pieces, s.ringPiece(names[i], o, inner[i]))
		}
	}
	lo, hi := s.Profile.Bounds()
	w, h := hi.X-lo.X, hi.Y-lo.Y
	return append(pieces, Piece{Name: capName, Count: 2, Length: max(w, h), Width: min(w, h), Thickness: s.capThickness()}), nil
}

// ringNames names what Sides returns for the profile.
func ringNames(profile outline.Outline) []string {
	var names []string
	for i, c := range profile {
		if c.Round != 0 {
			names = append(names, fmt.Sprintf("ring corner %d", i+1))
		}
		names = append(names, fmt.Sprintf("ring side %d", i+1))
	}
	return names
}

func (s Stack) ringPiece(name string, outer, inner outline.Side) Piece {
	p := Piece{
		Name: name, Count: s.Layers, Thickness: s.Thickness,
		Outside: outer.Length(), Inside: inner.Length(), Radius: outer.Radius,
	}
	u := r2.Unit(between(outer.From, outer.To))
	lo, hi := extent(outer, u)
	lo2, hi2 := extent(inner, u)
	p.Length = max(hi.X, hi2.X) - min(lo.X, lo2.X)
	p.Width = max(hi.Y, hi2.Y) - min(lo.Y, lo2.Y)
	if outer.Radius == 0 {
		p.Width = s.Wall // to the last bit, so that equal strips sort as equal
		p.Start = s.mitre(r2.Dot(u, between(outer.From, inner.From)))
		p.End = s.mitre(r2.Dot(u, between(inner.To, outer.To)))
	}
	return p
}

// mitre returns the angle of an end whose outside runs along further than its inside.
func (s Stack) mitre(along float64) units.Angle {
	if math.Abs(along) < 1e-9*float64(s.Wall) {
		return 0 // square but for the last digits
	}
	return units.Angle(math.Atan2(along, float64(s.Wall)))
}

func between(a, b outline.Point) r2.Vec {
	return r2.Vec{X: float64(b.X - a.X), Y: float64(b.Y - a.Y)}
}

// extent returns the bounds of a side in axes along and to the left of the unit vector u.
func extent(s outline.Side, u r2.Vec) (lo, hi outline.Point) {
	turned := func(p outline.Point) outline.Corner {
		v := r2.Vec{X: float64(p.X), Y: float64(p.Y)}
		return outline.Corner{X: units.Length(r2.Dot(u, v)), Y: units.Length(r2.Cross(u, v))}
	}
	a, b := turned(s.From), turned(s.To)
	if s.Radius != 0 {
		chord := r2.Norm(between(s.From, s.To))
		a.Rise = units.Length(chord / 2 * math.Tan(float64(s.Sweep)/4))
	}
	// The way back along the chord adds nothing to the bounds.
	return outline.Outline{a, b}.Bounds()
}
