package cabinet

import (
	"fmt"
	"math"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// A Joinery says how a joint divides a ring.
type Joinery int

const (
	// Mitred cuts a corner from its inner to its outer point, so that both pieces
	// end alike. A corner with a large rounding is cut at its middle.
	Mitred Joinery = iota
	// BeforeThrough lets the side before a sharp corner run through to the outside;
	// the piece after it ends against its flank.
	BeforeThrough
	// AfterThrough lets the side after a sharp corner run through; the piece before
	// it ends against its flank.
	AfterThrough
	// Across cuts square across the side that leaves the corner, at a distance from
	// that corner along the outer edge.
	Across
)

func (c Joinery) String() string {
	switch c {
	case Mitred:
		return "mitred"
	case BeforeThrough:
		return "before through"
	case AfterThrough:
		return "after through"
	case Across:
		return "across"
	}
	return fmt.Sprintf("Joinery(%d)", int(c))
}

// MarshalText writes what String says.
func (c Joinery) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (c *Joinery) UnmarshalText(text []byte) error {
	for _, known := range []Joinery{Mitred, BeforeThrough, AfterThrough, Across} {
		if known.String() == string(text) {
			*c = known
			return nil
		}
	}
	return &units.RangeError{Field: "cut", Value: fmt.Sprintf("%q", text), Want: `must be "mitred", "before through", "after through" or "across"`}
}

// A Joint is where two pieces of a ring meet.
type Joint struct {
	Corner int // of the ring, counted from 1
	Cut    Joinery
	Along  units.Length // of an Across joint
}

// String tells the joint as "corner 2, mitred".
func (j Joint) String() string {
	if j.Cut == Across {
		return fmt.Sprintf("corner %d, across after %v", j.Corner, j.Along)
	}
	return fmt.Sprintf("corner %d, %v", j.Corner, j.Cut)
}

// A spot is a place on a closed chain of sides: the side and how far along it, 0 to 1.
type spot struct {
	side int
	t    float64
}

func (p spot) order() float64 { return float64(p.side) + p.t }

// A line of a joint runs from the outer to the inner edge of the ring.
type line struct {
	outer, inner spot
	a, b         r2.Vec
}

// A ring is the layer before its corners are shaped. The sides of its edges go in
// pairs; begin holds the number of the side that leaves each corner.
type ring struct {
	corners      outline.Outline
	outer, inner []outline.Side
	middle       []outline.Side // halfway through the wall
	begin        []int
	wall         float64
	sense        float64 // +1 if the corners go anticlockwise
}

func (s Stack) ring() (ring, error) {
	inside, err := s.Inside()
	if err != nil {
		return ring{}, err
	}
	full, err := inside.Offset(-s.Wall)
	if err != nil {
		return ring{}, fmt.Errorf("cabinet: unshaped ring: %w", err)
	}
	middle, err := inside.Offset(-s.Wall / 2)
	if err != nil {
		return ring{}, fmt.Errorf("cabinet: unshaped ring: %w", err)
	}
	r := ring{corners: full, outer: full.Sides(), inner: inside.Sides(), middle: middle.Sides(), wall: float64(s.Wall)}
	side := 0
	for _, c := range full {
		if c.Round != 0 {
			side++ // the rounding comes first
		}
		r.begin = append(r.begin, side)
		side++
	}
	// Inwards is to the left of the way if that is where the inside lies.
	o, i := r.outer[r.begin[0]], r.inner[r.begin[0]]
	d := r2.Sub(at(o, 0.001), at(o, 0))
	r.sense = math.Copysign(1, r2.Cross(d, r2.Sub(at(i, 0.5), at(o, 0.5))))
	return r, nil
}

func at(s outline.Side, t float64) r2.Vec {
	p := s.At(t)
	return r2.Vec{X: float64(p.X), Y: float64(p.Y)}
}

// line places a joint; why says what is wrong with one that has no place.
func (r ring) line(j Joint) (l line, why string) {
	n := len(r.corners)
	if j.Corner < 1 || j.Corner > n {
		return l, fmt.Sprintf("must be at a corner from 1 to %d", n)
	}
	side := r.begin[j.Corner-1]
	before := (side + len(r.outer) - 1) % len(r.outer)
	rounded := r.corners[j.Corner-1].Round != 0
	switch j.Cut {
	case Mitred:
		l.outer, l.inner = spot{side, 0}, spot{side, 0}
		if rounded {
			l.outer, l.inner = spot{before, 0.5}, spot{before, 0.5}
		}
	case BeforeThrough, AfterThrough:
		if rounded || r.outer[side].Radius != 0 || r.outer[before].Radius != 0 {
			return l, "must be at a sharp corner between straight sides"
		}
		through, other := before, side
		if j.Cut == AfterThrough {
			through, other = side, before
		}
		u := r2.Sub(at(r.outer[before], 1), at(r.outer[before], 0))
		v := r2.Sub(at(r.outer[side], 1), at(r.outer[side], 0))
		turn := r2.Cross(r2.Unit(u), r2.Unit(v)) * r.sense
		if math.Abs(turn) < 1e-6 {
			return l, "must be at a corner that turns"
		}
		// Round the inside corner the flank is the inner edge of the side that runs
		// through, at a corner that turns the other way its outer edge.
		flank, target := r.inner[through], r.outer[other]
		if turn < 0 {
			flank, target = r.outer[through], r.inner[other]
		}
		p := at(flank, 0)
		d := r2.Sub(at(flank, 1), p)
		q := at(target, 0)
		e := r2.Sub(at(target, 1), q)
		t := r2.Cross(r2.Sub(p, q), d) / r2.Cross(e, d)
		if !(t >= 0 && t <= 1) {
			return l, "must leave a piece: the side is too short for its neighbour to run through"
		}
		corner, moved := spot{side, 0}, spot{other, t}
		if turn > 0 {
			l.outer, l.inner = moved, corner
		} else {
			l.outer, l.inner = corner, moved
		}
	case Across:
		o, i := r.outer[side], r.inner[side]
		t := float64(j.Along) / float64(o.Length())
		if !(t >= 0 && t <= 1) {
			return l, fmt.Sprintf("must be within the side, %v long", o.Length())
		}
		u := t
		if o.Radius == 0 {
			d := r2.Sub(at(i, 1), at(i, 0))
			u = r2.Dot(r2.Sub(at(o, t), at(i, 0)), d) / r2.Norm2(d)
		} else {
			way := r2.Sub(at(o, t), vec(o.Centre))
			start := r2.Sub(at(i, 0), vec(i.Centre))
			u = math.Atan2(r2.Cross(start, way), r2.Dot(start, way)) / float64(i.Sweep)
		}
		if !(u >= -1e-9 && u <= 1+1e-9) {
			return l, "must meet the inner edge of its side too"
		}
		l.outer, l.inner = spot{side, t}, spot{side, u}
	default:
		return l, "must be a cut that there is"
	}
	l.a, l.b = at(r.outer[l.outer.side], l.outer.t), at(r.inner[l.inner.side], l.inner.t)
	return l, ""
}

func vec(p outline.Point) r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

// path returns the sides from one spot to another, going on round the chain.
func path(chain []outline.Side, from, to spot) []outline.Side {
	var sides []outline.Side
	part := func(k int, t, u float64) {
		s := chain[k]
		cut := outline.Side{From: s.At(t), To: s.At(u), Centre: s.Centre, Radius: s.Radius, Sweep: s.Sweep * units.Angle(u-t)}
		if float64(cut.Length()) > 1e-9 {
			sides = append(sides, cut)
		}
	}
	n := len(chain)
	if from.side == to.side && from.t < to.t {
		part(from.side, from.t, to.t)
		return sides
	}
	part(from.side, from.t, 1)
	for k := (from.side + 1) % n; k != to.side; k = (k + 1) % n {
		part(k, 0, 1)
	}
	part(to.side, 0, to.t)
	return sides
}

// place returns how far along a closed chain the point nearest to p lies.
func place(chain []outline.Side, p r2.Vec) float64 {
	best, found, sum := math.Inf(1), 0.0, 0.0
	for _, s := range chain {
		length := float64(s.Length())
		t := 0.0
		if s.Radius == 0 {
			d := r2.Sub(at(s, 1), at(s, 0))
			if n := r2.Norm2(d); n > 0 {
				t = r2.Dot(r2.Sub(p, at(s, 0)), d) / n
			}
		} else {
			a, b := r2.Sub(at(s, 0), vec(s.Centre)), r2.Sub(p, vec(s.Centre))
			t = math.Atan2(r2.Cross(a, b), r2.Dot(a, b)) / float64(s.Sweep)
			if t < 0 {
				t += 2 * math.Pi / math.Abs(float64(s.Sweep))
			}
			if t > 1 && t-1 > math.Pi/math.Abs(float64(s.Sweep)) {
				t = 0
			}
		}
		t = max(0, min(1, t))
		// A hair, so that of two sides that meet at p the first one counts.
		if d := r2.Norm(r2.Sub(at(s, t), p)); d < best-1e-9 {
			best, found = d, sum+t*length
		}
		sum += length
	}
	return found
}
