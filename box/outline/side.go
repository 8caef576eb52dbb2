package outline

import (
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// A Side is one straight or circular piece of an outline.
type Side struct {
	From, To Point

	// Centre and Radius describe an arc; Radius is zero for a straight side.
	Centre Point
	Radius units.Length

	// Sweep is the angle of the arc seen from Centre, positive anticlockwise.
	Sweep units.Angle
}

// Length returns the length of s.
func (s Side) Length() units.Length {
	if s.Radius == 0 {
		return units.Length(r2.Norm(r2.Sub(s.To.vec(), s.From.vec())))
	}
	return s.Radius * units.Length(math.Abs(float64(s.Sweep)))
}

// At returns the point at the fraction t of the length of s, from 0 at From to 1 at To.
func (s Side) At(t float64) Point {
	if s.Radius == 0 {
		a, b := s.From.vec(), s.To.vec()
		return point(r2.Add(r2.Scale(1-t, a), r2.Scale(t, b)))
	}
	c := s.Centre.vec()
	return point(r2.Add(c, r2.Rotate(r2.Sub(s.From.vec(), c), t*float64(s.Sweep), r2.Vec{})))
}

// direction returns the unit vector along s at one of its ends, t = 0 or 1.
func (s Side) direction(t float64) r2.Vec {
	if s.Radius == 0 {
		return r2.Unit(r2.Sub(s.To.vec(), s.From.vec()))
	}
	d := left(r2.Unit(r2.Sub(s.At(t).vec(), s.Centre.vec())))
	return r2.Scale(math.Copysign(1, float64(s.Sweep)), d)
}

// Sides returns the pieces of the outline in the order of its corners: for each
// corner its rounding, if it has one, and then the side that leaves it. A straight
// side that its rounded corners use up entirely is there with no length.
func (o Outline) Sides() []Side {
	n := len(o)
	whole := o.whole()
	sides := make([]Side, 0, 2*n)
	for i, s := range whole {
		if o[i].Round != 0 {
			fillet := o.fillet(whole, i)
			s.From = fillet.To
			sides = append(sides, fillet)
		}
		if next := (i + 1) % n; o[next].Round != 0 {
			s.To = o.fillet(whole, next).From
		}
		sides = append(sides, s)
	}
	return sides
}

// whole returns the sides from corner to corner, as if no corner were rounded.
func (o Outline) whole() []Side {
	sense := o.sense()
	sides := make([]Side, len(o))
	for i, c := range o {
		sides[i] = arc(c.vec(), o[(i+1)%len(o)].vec(), sense*float64(c.Rise))
	}
	return sides
}

// flat is the rise over the chord below which a side counts as straight: the centre
// of a flatter arc is so far away that places on the arc would lose their digits.
const flat = 1e-6

// arc returns the side from a to b that rises by h to the right of the way from a to b.
func arc(a, b r2.Vec, h float64) Side {
	s := Side{From: point(a), To: point(b)}
	chord := r2.Sub(b, a)
	c := r2.Norm(chord)
	if !(math.Abs(h) > flat*c) || c == 0 {
		return s
	}
	// The apex and the ends are equally far from the centre, which lies at m to
	// the left of the chord's middle: m + h = sqrt(m² + c²/4).
	m := (c*c/4 - h*h) / (2 * h)
	middle := r2.Scale(0.5, r2.Add(a, b))
	s.Centre = point(r2.Add(middle, r2.Scale(m/c, left(chord))))
	s.Radius = units.Length((c*c/4 + h*h) / (2 * math.Abs(h)))
	s.Sweep = units.Angle(4 * math.Atan(2*h/c))
	return s
}

// fillet returns the arc that rounds corner i, given the unrounded sides.
func (o Outline) fillet(whole []Side, i int) Side {
	in := whole[(i+len(o)-1)%len(o)].direction(1)
	out := whole[i].direction(0)
	angle := turn(in, out)
	r := float64(o[i].Round)
	reach := r * math.Tan(math.Abs(angle)/2)
	from := r2.Sub(o[i].vec(), r2.Scale(reach, in))
	return Side{
		From:   point(from),
		To:     point(r2.Add(o[i].vec(), r2.Scale(reach, out))),
		Centre: point(r2.Add(from, r2.Scale(math.Copysign(r, angle), left(in)))),
		Radius: o[i].Round,
		Sweep:  units.Angle(angle),
	}
}

// sense is +1 for an outline given anticlockwise and -1 for clockwise, judged by its
// corners alone, since on it depends which way an arc bulges. Corners on one line
// say nothing and count as anticlockwise.
func (o Outline) sense() float64 {
	if len(o) < 3 {
		return 1
	}
	var twice, size float64
	for i := range o {
		a := r2.Sub(o[i].vec(), o[0].vec())
		b := r2.Sub(o[(i+1)%len(o)].vec(), o[0].vec())
		twice += cross(a, b)
		size = max(size, r2.Norm2(a))
	}
	if twice < -1e-12*size {
		return -1
	}
	return 1
}
