package cabinet

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// A Mounted is something round, a driver or a vent, that goes square through the
// wall on a straight side of the profile.
type Mounted struct {
	Name   string
	Side   int          // of the profile, counted from 1
	Along  units.Length // of its centre from the beginning of that side
	Across units.Length // of its centre from the outside of the left cap
	Flange units.Length // diameter on the outside
	Hole   units.Length // diameter through the wall
	Body   units.Length // diameter behind the wall; zero means Hole
	Depth  units.Length // of its inner end from the outside of the wall
	Room   units.Length // to be kept free behind its inner end
}

// A Clearance is what stays free around a mounted thing.
type Clearance struct {
	Edge   units.Length // from the flange to the nearest edge of the side
	Around units.Length // from the body to the nearest wall or cap beside it
	Behind units.Length // from the inner end to the wall behind
}

func (s Stack) checkMounted(m Mounted) error {
	name := "cabinet: " + m.Name + ": "
	if err := cmp.Or(
		units.Positive(name+"hole", m.Hole),
		units.NotNegative(name+"flange", m.Flange),
		units.NotNegative(name+"body", m.Body),
		units.NotNegative(name+"depth", m.Depth),
		units.NotNegative(name+"room behind", m.Room),
	); err != nil {
		return err
	}
	if m.Side < 1 || m.Side > len(s.Profile) {
		return &units.RangeError{Field: name + "side", Value: fmt.Sprint(m.Side), Want: fmt.Sprintf("must be from 1 to %d", len(s.Profile))}
	}
	if s.Profile[m.Side-1].Rise != 0 {
		return &units.RangeError{Field: name + "side", Value: fmt.Sprint(m.Side), Want: "must be a straight side of the profile"}
	}
	return nil
}

// Clearance returns what stays free around m. The error, a *[units.RangeError] that
// names it, says what it hits: the flange an edge of the panel, the body a wall or
// a cap, its end the wall behind with the room asked for.
func (s Stack) Clearance(m Mounted) (Clearance, error) {
	inside, err := s.Inside()
	if err != nil {
		return Clearance{}, err
	}
	if err := s.checkMounted(m); err != nil {
		return Clearance{}, err
	}
	corner, next := s.Profile[m.Side-1], s.Profile[m.Side%len(s.Profile)]
	from := outline.Point{X: corner.X, Y: corner.Y}
	along := r2.Unit(between(from, outline.Point{X: next.X, Y: next.Y}))
	length := units.Length(r2.Norm(between(from, outline.Point{X: next.X, Y: next.Y})))
	inwards := r2.Vec{X: -along.Y, Y: along.X}
	centre := r2.Add(r2.Vec{X: float64(from.X), Y: float64(from.Y)}, r2.Scale(float64(m.Along), along))
	if !s.Profile.Contains(vecPoint(r2.Add(centre, r2.Scale(float64(s.Wall)/1000, inwards)))) {
		inwards = r2.Scale(-1, inwards)
	}
	body := cmp.Or(m.Body, m.Hole)
	r := float64(body) / 2
	width, wall := s.OutsideWidth(), s.capThickness()

	var c Clearance
	c.Edge = min(m.Along, length-m.Along, m.Across, width-m.Across) - max(m.Flange, m.Hole)/2
	c.Around = min(m.Across-wall, width-wall-m.Across) - body/2
	c.Behind = units.Length(math.Inf(1))
	if m.Depth > s.Wall {
		// The inner face that it comes through lies at the depth of the wall.
		hair := 1e-9 * float64(s.Wall)
		var walls []outline.Side
		for _, side := range inside.Sides() {
			f := frame{centre, along, inwards}
			_, a := f.coordinates(side.From)
			_, b := f.coordinates(side.To)
			if side.Radius != 0 || math.Abs(a-float64(s.Wall)) > 1e3*hair || math.Abs(b-float64(s.Wall)) > 1e3*hair {
				walls = append(walls, side)
			}
		}
		for _, way := range []r2.Vec{along, r2.Scale(-1, along)} {
			f := frame{centre, inwards, way}
			c.Around = min(c.Around, units.Length(f.nearest(walls, float64(s.Wall)+hair, float64(m.Depth))-r))
		}
		c.Behind = units.Length(frame{centre, along, inwards}.nearest(walls, -r, r)) - m.Depth
	}
	name := "cabinet: " + m.Name + ": "
	switch {
	case !(c.Edge >= 0):
		return c, &units.RangeError{Field: name + "flange", Value: max(m.Flange, m.Hole).String(), Want: fmt.Sprintf("must stay on the panel, whose edge is %v from its centre", c.Edge+max(m.Flange, m.Hole)/2)}
	case !(c.Around >= 0):
		return c, &units.RangeError{Field: name + "body", Value: body.String(), Want: fmt.Sprintf("must clear the walls beside it, %v from its centre", c.Around+body/2)}
	case !(c.Behind >= m.Room):
		return c, &units.RangeError{Field: name + "depth", Value: m.Depth.String(), Want: fmt.Sprintf("must leave %v before the wall behind, %v from the front", m.Room, c.Behind+m.Depth)}
	}
	return c, nil
}

// A Chord is what a hole takes out of a layer where it is widest: Layer 0 is the left
// cap, then come the layers from 1, then the right cap.
type Chord struct {
	Layer    int
	From, To units.Length // along the side of the profile
}

// Holes returns the layers that the hole of m cuts and how much of each, so that
// pieces can be cut out before the stack is glued, and the least distance of the
// edge of the hole from a joint between layers. A hole whose edge almost meets a
// joint leaves a sliver that breaks: keep 2 mm (common practice, no source).
func (s Stack) Holes(m Mounted) (chords []Chord, joint units.Length, err error) {
	if err := cmp.Or(s.Check(), s.checkMounted(m)); err != nil {
		return nil, 0, err
	}
	joint = units.Length(math.Inf(1))
	r := m.Hole / 2
	for i := range s.Layers + 2 {
		left, right := s.layer(i)
		if i <= s.Layers {
			at := right + s.GlueLine/2
			joint = min(joint, units.Length(math.Abs(float64(m.Across-r-at))), units.Length(math.Abs(float64(m.Across+r-at))))
		}
		nearest := float64(min(max(m.Across, left), right) - m.Across)
		if half := math.Sqrt(max(0, float64(r)*float64(r)-float64(nearest*nearest))); half > 0 {
			chords = append(chords, Chord{Layer: i, From: m.Along - units.Length(half), To: m.Along + units.Length(half)})
		}
	}
	return chords, joint, nil
}

// layer returns where layer i lies, counted from the left cap, 0.
func (s Stack) layer(i int) (left, right units.Length) {
	switch {
	case i == 0:
		return 0, s.capThickness()
	case i > s.Layers:
		return s.OutsideWidth() - s.capThickness(), s.OutsideWidth()
	}
	left = s.capThickness() + units.Length(i)*s.GlueLine + units.Length(i-1)*s.Thickness
	return left, left + s.Thickness
}

func vecPoint(v r2.Vec) outline.Point {
	return outline.Point{X: units.Length(v.X), Y: units.Length(v.Y)}
}

// A frame looks from a point across (v) and along (u).
type frame struct{ origin, v, u r2.Vec }

func (f frame) coordinates(p outline.Point) (v, u float64) {
	d := r2.Sub(r2.Vec{X: float64(p.X), Y: float64(p.Y)}, f.origin)
	return r2.Dot(d, f.v), r2.Dot(d, f.u)
}

// nearest returns the least u, zero or above, of the points of sides that lie between
// v = lo and v = hi; +Inf if there are none.
func (f frame) nearest(sides []outline.Side, lo, hi float64) float64 {
	best := math.Inf(1)
	try := func(v, u float64) {
		hair := 1e-9 * (1 + math.Abs(lo) + math.Abs(hi))
		if v >= lo-hair && v <= hi+hair && u >= 0 {
			best = min(best, u)
		}
	}
	for _, s := range sides {
		v1, u1 := f.coordinates(s.From)
		v2, u2 := f.coordinates(s.To)
		try(v1, u1)
		try(v2, u2)
		if s.Radius == 0 {
			for _, v := range []float64{lo, hi} {
				if t := (v - v1) / (v2 - v1); t > 0 && t < 1 {
					try(v, u1+t*(u2-u1))
				}
			}
			continue
		}
		// Where the arc meets the limits and where it comes nearest.
		vc, uc := f.coordinates(s.Centre)
		r := float64(s.Radius)
		ways := []float64{math.Pi / 2, -math.Pi / 2}
		for _, v := range []float64{lo, hi} {
			if x := (v - vc) / r; x >= -1 && x <= 1 {
				ways = append(ways, math.Acos(x), -math.Acos(x))
			}
		}
		start := math.Atan2(u1-uc, v1-vc)
		sweep := float64(s.Sweep)
		if f.v.X*f.u.Y-f.v.Y*f.u.X < 0 {
			sweep = -sweep // the frame is a mirror
		}
		for _, way := range ways {
			turn := math.Mod(way-start, 2*math.Pi)
			if turn*sweep < 0 {
				turn += math.Copysign(2*math.Pi, sweep)
			}
			if math.Abs(turn) <= math.Abs(sweep) {
				try(vc+r*math.Cos(way), uc+r*math.Sin(way))
			}
		}
	}
	return best
}
