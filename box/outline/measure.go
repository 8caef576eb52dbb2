package outline

import (
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// Area returns the enclosed area: the polygon of the side ends,
//
//	A = |Σ (x_i y_{i+1} − x_{i+1} y_i)| / 2
//
// and for every arc of radius R and sweep θ the circular segment R²(θ − sin θ)/2
// between arc and chord. Both follow from Green's theorem.
func (o Outline) Area() units.Area {
	a, _ := o.moments()
	return units.Area(math.Abs(a))
}

// Perimeter returns the length of the outline.
func (o Outline) Perimeter() units.Length {
	var sum units.Length
	for _, s := range o.Sides() {
		sum += s.Length()
	}
	return sum
}

// Centroid returns the centre of the enclosed area, which is the centre of gravity
// of a sheet cut to the outline. A circular segment of radius R and sweep θ has its
// own at 4R sin³(θ/2) / (3(θ − sin θ)) from the centre of its circle.
func (o Outline) Centroid() Point {
	a, m := o.moments()
	return point(r2.Add(o[0].vec(), r2.Scale(1/a, m)))
}

// moments returns the signed area, positive anticlockwise, and the first moments of
// area about the first corner. That corner as the origin keeps the digits of an
// outline that lies far from (0, 0).
func (o Outline) moments() (area float64, m r2.Vec) {
	origin := o[0].vec()
	for _, s := range o.Sides() {
		from, to := r2.Sub(s.From.vec(), origin), r2.Sub(s.To.vec(), origin)
		triangle := cross(from, to) / 2
		area += triangle
		m = r2.Add(m, r2.Scale(triangle/3, r2.Add(from, to)))
		if s.Radius == 0 {
			continue
		}
		r, angle := float64(s.Radius), float64(s.Sweep)
		segment := r * r / 2 * lessSine(angle)
		area += segment
		centre := r2.Sub(s.Centre.vec(), origin)
		toArc := r2.Unit(r2.Sub(s.At(0.5).vec(), s.Centre.vec()))
		half := math.Sin(angle / 2)
		m = r2.Add(m, r2.Scale(segment, centre))
		m = r2.Add(m, r2.Scale(2./3*r*r*r*half*half*half, toArc))
	}
	return area, m
}

// lessSine returns x − sin x without the loss of digits for small x.
func lessSine(x float64) float64 {
	if math.Abs(x) > 0.3 {
		return x - math.Sin(x)
	}
	// Six terms of the series; the next is below 1e-16 of the sum.
	y := x * x
	return x * y / 6 * (1 - y/20*(1-y/42*(1-y/72*(1-y/110*(1-y/156)))))
}

// Bounds returns the lower left and the upper right corner of the smallest upright
// rectangle around the outline.
func (o Outline) Bounds() (lo, hi Point) {
	lo = Point{units.Length(math.Inf(1)), units.Length(math.Inf(1))}
	hi = Point{units.Length(math.Inf(-1)), units.Length(math.Inf(-1))}
	include := func(p Point) {
		lo = Point{min(lo.X, p.X), min(lo.Y, p.Y)}
		hi = Point{max(hi.X, p.X), max(hi.Y, p.Y)}
	}
	for _, s := range o.Sides() {
		include(s.From)
		include(s.To)
		if s.Radius == 0 {
			continue
		}
		for _, d := range []Point{{X: s.Radius}, {Y: s.Radius}, {X: -s.Radius}, {Y: -s.Radius}} {
			if p := (Point{s.Centre.X + d.X, s.Centre.Y + d.Y}); s.faces(p.vec()) {
				include(p)
			}
		}
	}
	return lo, hi
}

// faces says whether p, seen from the centre of the arc s, lies in a direction that the arc covers.
func (s Side) faces(p r2.Vec) bool {
	c := s.Centre.vec()
	angle := turn(r2.Sub(s.From.vec(), c), r2.Sub(p, c))
	if s.Sweep < 0 {
		angle = -angle
	}
	if angle < 0 {
		angle += 2 * math.Pi
	}
	return angle <= math.Abs(float64(s.Sweep))
}
