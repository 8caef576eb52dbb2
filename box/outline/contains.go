package outline

import "gonum.org/v1/gonum/spatial/r2"

// Contains says whether p lies inside. A point on the edge itself may fall either way.
//
// It counts how often the polygon of the side ends winds around p, and adds the
// circular segments, between an arc and its chord, that hold p.
func (o Outline) Contains(p Point) bool {
	winding := 0
	v := p.vec()
	for _, s := range o.Sides() {
		a, b := s.From.vec(), s.To.vec()
		c := cross(r2.Sub(b, a), r2.Sub(v, a))
		// Half-open in y, so that a ray through a corner counts it once.
		switch {
		case a.Y <= v.Y && v.Y < b.Y && c > 0:
			winding++
		case b.Y <= v.Y && v.Y < a.Y && c < 0:
			winding--
		}
		if s.Radius == 0 {
			continue
		}
		// An anticlockwise arc lies to the right of its chord. A point on the chord
		// must take the side that the count above has given it.
		right := c < 0 || c == 0 && (a.Y < b.Y || a.Y == b.Y && b.X < a.X)
		within := r2.Norm(r2.Sub(v, s.Centre.vec())) < float64(s.Radius)
		switch {
		case s.Sweep > 0 && right && within:
			winding++
		case s.Sweep < 0 && !right && within:
			winding--
		}
	}
	return winding != 0
}
