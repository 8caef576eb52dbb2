package outline

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// A curve is a whole line through p along the unit vector dir, or, if r is not
// zero, the whole circle of radius r about p.
type curve struct {
	p, dir r2.Vec
	r      float64
}

func (s Side) curve() curve {
	if s.Radius == 0 {
		return curve{p: s.From.vec(), dir: s.direction(0)}
	}
	return curve{p: s.Centre.vec(), r: float64(s.Radius)}
}

// crossings returns the points that two curves have in common, none if they are
// parallel or coincide. Curves that pass each other within slack touch.
func crossings(a, b curve, slack float64) []r2.Vec {
	switch {
	case a.r == 0 && b.r == 0:
		c := cross(a.dir, b.dir)
		if math.Abs(c) < 1e-12 {
			return nil
		}
		return []r2.Vec{r2.Add(a.p, r2.Scale(cross(r2.Sub(b.p, a.p), b.dir)/c, a.dir))}
	case a.r == 0:
		foot := r2.Add(a.p, r2.Scale(dot(r2.Sub(b.p, a.p), a.dir), a.dir))
		return pair(foot, a.dir, b.r, r2.Norm(r2.Sub(foot, b.p)), slack)
	case b.r == 0 || a.r > b.r:
		return crossings(b, a, slack)
	}
	between := r2.Sub(b.p, a.p)
	d := r2.Norm(between)
	if d <= slack || d > a.r+b.r+slack || d < b.r-a.r-slack {
		return nil
	}
	// The common chord cuts the line of centres at x from that of the smaller circle;
	// from the larger one, a flat arc would cost digits.
	x := (float64((d-b.r)*(d+b.r)) + float64(a.r*a.r)) / (2 * d)
	along := r2.Scale(1/d, between)
	foot := r2.Add(a.p, r2.Scale(x, along))
	// Circles that touch within slack may have x a little beyond the radius.
	return pair(foot, left(along), a.r, min(math.Abs(x), a.r), slack)
}

// pair returns the two points of a circle of radius r on a chord at the given distance from its centre.
func pair(foot, along r2.Vec, r, distance, slack float64) []r2.Vec {
	if distance > r+slack {
		return nil
	}
	half := math.Sqrt(max(0, float64((r-distance)*(r+distance))))
	return []r2.Vec{r2.Add(foot, r2.Scale(half, along)), r2.Sub(foot, r2.Scale(half, along))}
}

// holds says whether p lies on s within slack.
func (s Side) holds(p r2.Vec, slack float64) bool {
	a, b := s.From.vec(), s.To.vec()
	if r2.Norm(r2.Sub(p, a)) <= slack || r2.Norm(r2.Sub(p, b)) <= slack {
		return true
	}
	if s.Radius != 0 {
		return math.Abs(r2.Norm(r2.Sub(p, s.Centre.vec()))-float64(s.Radius)) <= slack && s.faces(p)
	}
	d := s.direction(0)
	along := dot(r2.Sub(p, a), d)
	return math.Abs(cross(d, r2.Sub(p, a))) <= slack && along >= 0 && along <= float64(s.Length())
}

// common returns points that lie on both sides within slack: where they cross, and
// ends of a that lie on b, which finds arcs that run along each other.
func common(a, b Side, slack float64) []r2.Vec {
	var points []r2.Vec
	for _, p := range append(crossings(a.curve(), b.curve(), slack), a.From.vec(), a.To.vec()) {
		if a.holds(p, slack) && b.holds(p, slack) {
			points = append(points, p)
		}
	}
	return points
}
