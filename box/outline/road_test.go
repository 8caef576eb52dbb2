package outline_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// The second road: an outline as a fine polygon of complex numbers, built from
// three-point circles and bisectors instead of the formulas of the package.

func at(c Corner) complex128 { return complex(float64(c.X), float64(c.Y)) }

func wedge(a, b complex128) float64 { return imag(cmplx.Conj(a) * b) }

// polygon replaces each arc of an anticlockwise outline by n chords.
func polygon(o Outline, n int) []complex128 {
	var points []complex128
	for i, c := range o {
		p, next, before := at(c), at(o[(i+1)%len(o)]), at(o[(i+len(o)-1)%len(o)])
		if c.Round > 0 {
			a, b := (before-p)/complex(cmplx.Abs(before-p), 0), (next-p)/complex(cmplx.Abs(next-p), 0)
			bisector := (a + b) / complex(cmplx.Abs(a+b), 0)
			half := cmplx.Phase(bisector / a)
			reach := float64(c.Round) / math.Abs(math.Sin(half))
			centre := p + bisector*complex(reach, 0)
			along := float64(c.Round) / math.Abs(math.Tan(half))
			points = append(points, fan(centre, p+a*complex(along, 0), p+b*complex(along, 0), n)...)
		} else {
			points = append(points, p)
		}
		if c.Rise != 0 {
			chord := next - p
			apex := (p+next)/2 - 1i*chord/complex(cmplx.Abs(chord), 0)*complex(float64(c.Rise), 0)
			centre := circumcentre(p, apex, next)
			points = append(points, fan(centre, p, apex, n)[1:]...)
			points = append(points, fan(centre, apex, next, n)[1:n]...)
		}
	}
	return points
}

// fan returns n+1 points from a to b about the centre, the short way.
func fan(centre, a, b complex128, n int) []complex128 {
	ratio := cmplx.Phase((b - centre) / (a - centre))
	points := make([]complex128, n+1)
	for k := range points {
		points[k] = centre + (a-centre)*cmplx.Rect(1, ratio*float64(k)/float64(n))
	}
	return points
}

func circumcentre(a, b, c complex128) complex128 {
	b, c = b-a, c-a
	d := 2 * wedge(b, c)
	bb, cc := real(b*cmplx.Conj(b)), real(c*cmplx.Conj(c))
	return a + complex(imag(c)*bb-imag(b)*cc, real(b)*cc-real(c)*bb)/complex(d, 0)
}

type measures struct{ area, perimeter, x, y float64 }

func measure(points []complex128) (m measures) {
	for i, p := range points {
		q := points[(i+1)%len(points)]
		w := wedge(p, q)
		m.area += w / 2
		m.perimeter += cmplx.Abs(q - p)
		m.x += w * real(p+q) / 6
		m.y += w * imag(p+q) / 6
	}
	m.x /= m.area
	m.y /= m.area
	return m
}

// limit removes the error of the polygon, which falls with the square of the number of chords.
func limit(o Outline) measures {
	a, b := measure(polygon(o, 100)), measure(polygon(o, 200))
	better := func(a, b float64) float64 { return b + (b-a)/3 }
	return measures{better(a.area, b.area), better(a.perimeter, b.perimeter), better(a.x, b.x), better(a.y, b.y)}
}

func inside(points []complex128, p complex128) bool {
	var angle float64
	for i, a := range points {
		angle += cmplx.Phase((points[(i+1)%len(points)] - p) / (a - p))
	}
	return math.Abs(angle) > math.Pi
}

// distance is that of p from the closed polygon line.
func distance(points []complex128, p complex128) float64 {
	best := math.Inf(1)
	for i, a := range points {
		ab := points[(i+1)%len(points)] - a
		t := real((p-a)*cmplx.Conj(ab)) / real(ab*cmplx.Conj(ab))
		best = min(best, cmplx.Abs(p-a-ab*complex(max(0, min(1, t)), 0)))
	}
	return best
}

// convex returns a random convex outline with sharp corners: points of an ellipse in order.
func convex(r *rand.Rand) Outline {
	n := 3 + r.IntN(6)
	w, h := 0.1+0.3*r.Float64(), 0.1+0.5*r.Float64()
	start := r.Float64()
	o := make(Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * (start + (float64(i)+0.7*r.Float64())/float64(n)))
		o[i] = Corner{X: units.Length(w * cos), Y: units.Length(h * sin)}
	}
	return o
}

// mixed returns a random outline about the origin, star-shaped in its corners, with
// arcs in and out and rounded corners. Not every one of them is sound.
func mixed(r *rand.Rand) Outline {
	n := 3 + r.IntN(5)
	o := make(Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5*r.Float64()) / float64(n))
		radius := 0.15 + 0.15*r.Float64()
		o[i] = Corner{X: units.Length(radius * cos), Y: units.Length(radius * sin)}
	}
	for i := range o {
		chord := cmplx.Abs(at(o[(i+1)%n]) - at(o[i]))
		if r.IntN(3) == 0 {
			o[i].Rise = units.Length(chord * 0.6 * (r.Float64() - 0.4))
		}
	}
	for i := range o {
		if o[i].Rise == 0 && o[(i+n-1)%n].Rise == 0 && r.IntN(2) == 0 {
			o[i].Round = units.Length(0.05 * r.Float64())
		}
	}
	return o
}

// jagged returns a random outline of straight sides, many of them short.
func jagged(r *rand.Rand) Outline {
	n := 5 + r.IntN(8)
	o := make(Outline, n)
	angle := 0.0
	for i := range o {
		if r.IntN(2) == 0 {
			angle += 0.1 * r.Float64()
		} else {
			angle += 4 * math.Pi / float64(n) * r.Float64()
		}
		sin, cos := math.Sincos(angle)
		radius := 0.2 + 0.03*r.Float64()
		o[i] = Corner{X: units.Length(radius * cos), Y: units.Length(radius * sin)}
	}
	return o
}

// sound returns count outlines that pass Check.
func sound(seed uint64, count int, make func(*rand.Rand) Outline) []Outline {
	r := rand.New(rand.NewPCG(seed, 1))
	var list []Outline
	for len(list) < count {
		if o := make(r); o.Check() == nil {
			list = append(list, o)
		}
	}
	return list
}
