package outline_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
	"github.com/google/go-cmp/cmp"
)

func of(o Outline) measures {
	c := o.Centroid()
	return measures{float64(o.Area()), float64(o.Perimeter()), float64(c.X), float64(c.Y)}
}

func same(t *testing.T, name string, want, got measures, fraction float64) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(measures{}), golden.Approx(fraction, fraction)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

func TestMeasuresAgainstPolygon(t *testing.T) {
	arcs := 0
	for _, o := range sound(1, 300, mixed) {
		same(t, "polygon", limit(o), of(o), 2e-9)
		for _, c := range o {
			if c.Rise != 0 {
				arcs++
			}
		}
	}
	if arcs < 100 {
		t.Errorf("only %d arcs tried", arcs)
	}
}

// Closed forms, with the parts counted by hand.
func TestMeasuresInClosedForm(t *testing.T) {
	const w, h, r = 0.35, 0.6, 0.05
	for name, c := range map[string]struct {
		o    Outline
		want measures
	}{
		"rectangle": {Rectangle(w, h), measures{w * h, 2 * (w + h), w / 2, h / 2}},
		"rounded":   {RoundedRectangle(w, h, r), measures{w*h - (4-math.Pi)*r*r, 2*(w+h) - (8-2*math.Pi)*r, w / 2, h / 2}},
		"stadium":   {RoundedRectangle(w, h, w/2), measures{w*(h-w) + math.Pi*w*w/4, 2*(h-w) + math.Pi*w, w / 2, h / 2}},
		"circle":    {Circle(r), measures{math.Pi * r * r, 2 * math.Pi * r, 0, 0}},
		// Three quarters of a circle: the rise is more than half the chord.
		"most of a circle": {
			Outline{{X: -r / math.Sqrt2}, {X: r / math.Sqrt2, Rise: r + r/math.Sqrt2}},
			measures{(3*math.Pi/4 + 0.5) * r * r, (1.5*math.Pi + math.Sqrt2) * r, 0,
				r/math.Sqrt2 + 4*r*math.Pow(math.Sin(3*math.Pi/4), 3)/(3*(1.5*math.Pi+1))},
		},
		// A square of 2r with a half circle of r/2 bitten out of its top.
		"bite": {
			Outline{{}, {X: 2 * r}, {X: 2 * r, Y: 2 * r}, {X: 1.5 * r, Y: 2 * r, Rise: -r / 2}, {X: r / 2, Y: 2 * r}, {Y: 2 * r}},
			measures{(4 - math.Pi/8) * r * r, (7 + math.Pi/2) * r, r, r * (4 - math.Pi/8*(2-2/(3*math.Pi))) / (4 - math.Pi/8)},
		},
	} {
		if err := c.o.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		same(t, name, c.want, of(c.o), 1e-13)
	}
}

// An almost straight arc must keep its digits: the segment is 2/3 of chord times
// rise, the rest of the series is smaller by (rise/chord)².
func TestFlatArc(t *testing.T) {
	for _, rise := range []float64{1e-3, 1e-4, 1e-5, 2e-6} {
		o := Rectangle(1, 1)
		o[0].Rise = units.Length(rise)
		want := 2. / 3 * rise * (1 + 0.8*rise*rise)
		if got := float64(o.Area()) - 1; !(math.Abs(got-want) <= 3e-16/rise*rise+2e-11*rise) {
			t.Errorf("rise %g: segment %.15g, want %.15g", rise, got, want)
		}
	}
	o := Rectangle(1, 1)
	o[0].Rise = 0.9e-6
	if got := o.Area(); got != 1 {
		t.Errorf("below a millionth of the chord the side must count as straight, area %.10g", float64(got))
	}
}

// A segment from nearly flat to beyond a half circle, against the whole series
// x − sin x = x³/3! − x⁵/5! + ...
func TestSegment(t *testing.T) {
	for h := 1e-5; h < 0.6; h *= 1.07 {
		o := Outline{{}, {X: 1, Rise: units.Length(h)}}
		radius, x := (0.25+h*h)/(2*h), 4*math.Atan(2*h)
		var sum float64
		term := x * x * x / 6
		for k := 4.; k < 60; k += 2 {
			sum += term
			term *= -x * x / (k * (k + 1))
		}
		if got, want := float64(o.Area()), radius*radius/2*sum; !(math.Abs(got/want-1) < 1e-14) {
			t.Errorf("rise %g: got %.17g, want %.17g", h, got, want)
		}
	}
}

func TestSameEitherWayRoundAndAnywhere(t *testing.T) {
	for _, o := range sound(2, 100, mixed) {
		want := of(o)
		back := reversed(o)
		if err := back.Check(); err != nil {
			t.Fatal(err)
		}
		same(t, "clockwise", want, of(back), 1e-12)

		sin, cos := math.Sincos(1)
		turned := slices.Clone(o)
		for i, c := range o {
			turned[i].X = 30 + c.X*units.Length(cos) - c.Y*units.Length(sin)
			turned[i].Y = -20 + c.X*units.Length(sin) + c.Y*units.Length(cos)
		}
		moved := want
		moved.x, moved.y = 30+want.x*cos-want.y*sin, -20+want.x*sin+want.y*cos
		same(t, "turned and moved", moved, of(turned), 1e-11)
	}
}

// reversed gives the same outline clockwise. The arc of a side hangs on the corner where the side begins.
func reversed(o Outline) Outline {
	n := len(o)
	back := make(Outline, n)
	for i := range o {
		back[i] = o[n-1-i]
		back[i].Rise = o[(2*n-2-i)%n].Rise
	}
	return back
}

func TestBounds(t *testing.T) {
	for _, o := range sound(3, 40, mixed) {
		lo, hi := o.Bounds()
		var l, h Point = hi, lo
		for _, p := range polygon(o, 4000) {
			l = Point{min(l.X, units.Length(real(p))), min(l.Y, units.Length(imag(p)))}
			h = Point{max(h.X, units.Length(real(p))), max(h.Y, units.Length(imag(p)))}
		}
		if diff := cmp.Diff([]Point{l, h}, []Point{lo, hi}, golden.Approx(0, 2e-8)); diff != "" {
			t.Errorf("%v (-polygon +bounds):\n%s", o, diff)
		}
	}
}

func TestContains(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	hits := 0
	for _, o := range sound(4, 100, mixed) {
		fine, back := polygon(o, 60), reversed(o)
		for range 30 {
			p := complex(0.7*(r.Float64()-0.5), 0.7*(r.Float64()-0.5))
			if distance(fine, p) < 1e-4 {
				continue // nearer than the chords follow the arcs
			}
			want := inside(fine, p)
			q := Point{X: units.Length(real(p)), Y: units.Length(imag(p))}
			if o.Contains(q) != want || back.Contains(q) != want {
				t.Errorf("%v: %v inside: got %v and clockwise %v, want %v", o, q, o.Contains(q), back.Contains(q), want)
			}
			if want {
				hits++
			}
		}
	}
	if hits < 500 {
		t.Errorf("only %d points inside", hits)
	}
}

// Points on a chord, or level with corners, are where a count of crossings goes wrong.
func TestContainsOnChordsAndLevels(t *testing.T) {
	for angle := range 16 {
		sin, cos := math.Sincos(float64(angle) * math.Pi / 8)
		if angle%4 == 0 {
			sin, cos = math.Round(sin), math.Round(cos)
		}
		x, y := units.Length(cos), units.Length(sin)
		disc := Outline{{X: -x, Y: -y, Rise: 1}, {X: x, Y: y, Rise: 1}}
		for _, f := range []units.Length{-0.99, -0.5, 0, 0.25, 0.99} {
			if !disc.Contains(Point{X: f * x, Y: f * y}) {
				t.Errorf("disc with its chord at %d/16 turn: %v of the chord is not inside", angle, f)
			}
			if p := (Point{X: x * (2 + f), Y: y * (2 + f)}); disc.Contains(p) {
				t.Errorf("disc with its chord at %d/16 turn: %v is inside", angle, p)
			}
		}
	}
	// Across the mouth of a bite, whichever way its chord runs.
	for angle := range 16 {
		sin, cos := math.Sincos(float64(angle) * math.Pi / 8)
		if angle%4 == 0 {
			sin, cos = math.Round(sin), math.Round(cos)
		}
		var bite Outline
		for _, p := range []complex128{-1 - 2i, 1 - 2i, 1, 0.5, -0.5, -1} {
			p *= complex(cos, sin)
			bite = append(bite, Corner{X: units.Length(real(p)), Y: units.Length(imag(p))})
		}
		bite[3].Rise = -0.4
		for _, f := range []float64{-0.45, -0.25, 0, 0.25, 0.45} {
			p := Point{X: units.Length(f * cos), Y: units.Length(f * sin)}
			if f != 0 && angle%4 != 0 {
				continue // rounded off the chord
			}
			if bite.Contains(p) || reversed(bite).Contains(p) {
				t.Errorf("bite turned by %d/16: %v on its mouth is inside", angle, p)
			}
		}
	}
	diamond := Outline{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}
	for _, p := range []Point{{}, {X: 0.5}, {X: -0.5}} {
		if !diamond.Contains(p) {
			t.Errorf("%v must be inside", p)
		}
	}
	for _, p := range []Point{{X: -2}, {X: 2}, {X: -2, Y: 1}, {X: 2, Y: -1}} {
		if diamond.Contains(p) {
			t.Errorf("%v must be outside", p)
		}
	}
}

func TestSidesJoin(t *testing.T) {
	for _, o := range sound(5, 100, mixed) {
		sides := o.Sides()
		for i, s := range sides {
			next := sides[(i+1)%len(sides)]
			ends := []Point{s.From, s.To, s.To}
			if diff := cmp.Diff(ends, []Point{s.At(0), s.At(1), next.From}, golden.Approx(0, 1e-13)); diff != "" {
				t.Errorf("%+v:\n%s", s, diff)
			}
		}
	}
}

// The length of a side is that of many chords between its points, which lie evenly
// along it; all sides together are the perimeter.
func TestSidesByChords(t *testing.T) {
	for _, o := range sound(6, 60, mixed) {
		var all units.Length
		for _, s := range o.Sides() {
			const n = 2000
			var sum, first float64
			for i := range n {
				a, b := s.At(float64(i)/n), s.At(float64(i+1)/n)
				chord := math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))
				if i == 0 {
					first = chord
				}
				if !(math.Abs(chord/first-1) <= 1e-8) {
					t.Fatalf("%+v: chord %d is %g, the first %g", s, i, chord, first)
				}
				sum += chord
			}
			if got := float64(s.Length()); !(math.Abs(got/sum-1) <= 1e-6) {
				t.Errorf("%+v: length %g, chords %g", s, got, sum)
			}
			all += s.Length()
		}
		if got := float64(o.Perimeter() / all); !(math.Abs(got-1) <= 1e-12) {
			t.Errorf("perimeter is %g of the sides", got)
		}
	}
}
