package outline_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
	"github.com/google/go-cmp/cmp"
)

func offset(t *testing.T, o Outline, d units.Length) Outline {
	t.Helper()
	moved, err := o.Offset(d)
	if err != nil {
		t.Fatalf("%v: %v", o, err)
	}
	return moved
}

func approx(t *testing.T, name string, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got, golden.Approx(1e-12, 1e-12)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

func TestOffsetByHand(t *testing.T) {
	approx(t, "rectangle", Outline{{X: 0.038, Y: 0.038}, {X: 0.312, Y: 0.038}, {X: 0.312, Y: 0.562}, {X: 0.038, Y: 0.562}},
		offset(t, Rectangle(0.35, 0.6), 0.038))
	approx(t, "circle", Circle(0.06), offset(t, Circle(0.1), 0.04))
	approx(t, "rounding shrinks", 0.012*units.Metre, offset(t, RoundedRectangle(0.35, 0.6, 0.05), 0.038)[0].Round)
	approx(t, "rounding ends", 0*units.Metre, offset(t, RoundedRectangle(0.35, 0.6, 0.03), 0.038)[0].Round)
	tenth := units.Length(0.1)
	if r := offset(t, RoundedRectangle(1, 1, tenth+2*tenth), 0.3)[0].Round; r != 0 {
		t.Errorf("a rounding of %g m must end at 0.3 m, not leave %g m", float64(tenth+2*tenth), float64(r))
	}
	approx(t, "rounding grows outwards", 0.08*units.Metre, offset(t, RoundedRectangle(0.35, 0.6, 0.05), -0.03)[0].Round)
	approx(t, "sharp stays sharp outwards", 0*units.Metre, offset(t, Rectangle(0.35, 0.6), -0.03)[0].Round)
	approx(t, "reflex corner", Corner{X: 0.9, Y: 0.9, Round: 0.15},
		offset(t, Outline{{}, {X: 2}, {X: 2, Y: 1}, {X: 1, Y: 1, Round: 0.05}, {X: 1, Y: 2}, {Y: 2}}, 0.1)[3])
	// An isosceles triangle of sides 5, 5, 6 has the inradius 1.5; a third of the way all lengths are 2/3.
	approx(t, "triangle", Outline{{X: 1, Y: 0.5}, {X: 5, Y: 0.5}, {X: 3, Y: 0.5 + 8./3}},
		offset(t, Outline{{}, {X: 6}, {X: 3, Y: 4}}, 0.5))
}

// A chamfer of 20 mm is gone behind a wall of 38 mm, as 28.3 mm < 2·38 mm·tan 22.5° = 31.5 mm.
func TestOffsetDropsShortSides(t *testing.T) {
	chamfered := Outline{{X: 0.02}, {X: 0.35}, {X: 0.35, Y: 0.6}, {Y: 0.6}, {Y: 0.02}}
	want := Outline{{X: 0.038, Y: 0.038}, {X: 0.312, Y: 0.038}, {X: 0.312, Y: 0.562}, {X: 0.038, Y: 0.562}}
	approx(t, "small chamfer", want, offset(t, chamfered, 0.038))
	if got := len(offset(t, chamfered, 0.034)); got != 5 {
		t.Errorf("the chamfer must last to 34.1 mm, got %d corners", got)
	}
	approx(t, "clockwise", reversed(want).Area(), offset(t, reversed(chamfered), 0.038).Area())

	// More than one side goes, and which goes first decides which are left.
	zigzag := Outline{{X: 0.2003, Y: 0.0544}, {X: 0.1627, Y: 0.1304}, {X: 0.1667, Y: 0.1583}, {X: 0.1539, Y: 0.1640}, {X: 0.1383, Y: 0.1783}}
	for _, p := range samples(offset(t, zigzag, 0.001), 9) {
		if far := distance(polygon(zigzag, 1), p); far < 0.001-1e-9 {
			t.Errorf("zigzag: %v is only at %g m", p, far)
		}
	}

	// Two short sides that go one after the other: a corner broken twice.
	twice := Outline{{X: 0.03}, {X: 0.35}, {X: 0.35, Y: 0.6}, {Y: 0.6}, {Y: 0.03}, {X: 0.006, Y: 0.006}}
	approx(t, "broken twice", want, offset(t, twice, 0.038))
}

// Every point of the moved outline is d from the old one, except near sharp corners
// on the outer side of their turn, where it is further.
func TestOffsetDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	moved, fewer := 0, 0
	for _, o := range append(sound(6, 200, mixed), sound(6, 1500, jagged)...) {
		d := 0.001 + 0.06*r.Float64()
		for _, d := range []float64{d, -d} {
			m, err := o.Offset(units.Length(d))
			if err != nil {
				continue
			}
			moved++
			if len(m) < len(o) {
				fewer++
			}
			old, nearest := polygon(o, 100), math.Inf(1)
			for _, p := range samples(m, 7) {
				far := distance(old, p)
				nearest = min(nearest, far)
				if far < math.Abs(d)-5e-5 || inside(old, p) != (d > 0) {
					t.Errorf("%v moved by %g: %v is at %g, inside %v", o, d, p, far, inside(old, p))
				}
			}
			if nearest > math.Abs(d)*1.0001+5e-5 {
				t.Errorf("%v moved by %g: no point nearer than %g", o, d, nearest)
			}
		}
	}
	if moved < 2000 || fewer < 500 {
		t.Errorf("only %d of 3400 moved, and only %d lost sides", moved, fewer)
	}
}

// samples returns points along every side.
func samples(o Outline, n int) []complex128 {
	var points []complex128
	for _, s := range o.Sides() {
		for k := range n {
			p := s.At(float64(k) / float64(n))
			points = append(points, complex(float64(p.X), float64(p.Y)))
		}
	}
	return points
}

// All sides move at the same speed, so the area changes by the integral of the
// length: A(0) − A(d) = ∫ P. Between the events that drop sides or roundings P is
// smooth, and over a short way Simpson's rule is exact to many digits.
func TestOffsetAreaIsIntegralOfLength(t *testing.T) {
	tried := 0
	for _, o := range sound(7, 200, mixed) {
		const d = 1e-4
		half, err := o.Offset(d / 2)
		full, err2 := o.Offset(d)
		if err != nil || err2 != nil {
			continue
		}
		if slices.ContainsFunc(o, func(c Corner) bool { return 0 < c.Round && c.Round < d }) {
			continue // a rounding ends on the way
		}
		if bend := o.Perimeter() + full.Perimeter() - 2*half.Perimeter(); math.Abs(float64(bend)) > 1e-6 {
			continue // a corner between arcs that is nearly a cusp moves too far for Simpson's rule
		}
		tried++
		want := d / 6 * float64(o.Perimeter()+4*half.Perimeter()+full.Perimeter())
		// Points on an arc are known to the rounding of its radius, which a nearly flat
		// one has far larger than itself; against the offset that shows.
		radius := 0.0
		for _, s := range o.Sides() {
			radius = max(radius, float64(s.Radius))
		}
		allowed := 1e-9 + 8*0x1p-52*radius/d
		if got := float64(o.Area() - full.Area()); !(math.Abs(got/want-1) < allowed) {
			t.Errorf("%v: area falls by %.12g, want %.12g", o, got, want)
		}
	}
	if tried < 180 {
		t.Errorf("only %d tried", tried)
	}
}

// Steiner: a convex outline of area A and length P, moved outwards by d with round
// corners, has the area A + P d + π d² and the length P + 2π d. Moved back inwards
// by no more than the roundings, it loses the same way.
func TestOffsetSteiner(t *testing.T) {
	for _, o := range sound(8, 200, convex) {
		const d, r = 0.02, 0.03
		round := offset(t, o, -r)
		for i := range round {
			round[i].Round = r // the parallel line at r of the sharp outline
		}
		a, p := float64(o.Area()), float64(o.Perimeter())
		same(t, "rounded", measures{a + p*r + math.Pi*r*r, p + 2*math.Pi*r, 0, 0}, sizes(round), 1e-11)
		in := offset(t, round, d)
		same(t, "inwards", measures{a + p*(r-d) + math.Pi*(r-d)*(r-d), p + 2*math.Pi*(r-d), 0, 0}, sizes(in), 1e-11)
		same(t, "outwards", measures{a + p*(r+d) + math.Pi*(r+d)*(r+d), p + 2*math.Pi*(r+d), 0, 0}, sizes(offset(t, round, -d)), 1e-11)
		same(t, "all the way", measures{a, p, 0, 0}, sizes(offset(t, round, r)), 1e-11)
	}
}

func sizes(o Outline) measures {
	return measures{area: float64(o.Area()), perimeter: float64(o.Perimeter())}
}

func TestOffsetThereAndBack(t *testing.T) {
	back := 0
	for _, o := range sound(9, 200, mixed) {
		out, err := o.Offset(-0.01)
		if err != nil {
			continue
		}
		in, err := out.Offset(0.01)
		if err != nil || len(in) != len(o) {
			continue
		}
		back++
		sharp := true // a rounded reflex corner may lose its rounding on the way out
		for i := range o {
			sharp = sharp && in[i].Round == 0 && o[i].Round != 0
		}
		if sharp {
			continue
		}
		for i := range o {
			if in[i].Round == 0 {
				in[i].Round = o[i].Round
			}
		}
		if diff := cmp.Diff(o, in, golden.Approx(0, 1e-9)); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
	}
	if back < 150 {
		t.Errorf("only %d came back", back)
	}
}

func TestOffsetRefuses(t *testing.T) {
	dumbbell := Outline{{}, {X: 1}, {X: 1, Y: 0.45}, {X: 2, Y: 0.45}, {X: 2}, {X: 3}, {X: 3, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 0.55}, {X: 1, Y: 0.55}, {X: 1, Y: 1}, {Y: 1}}
	for _, c := range []struct {
		name  string
		o     Outline
		limit units.Length
	}{
		{"rectangle", Rectangle(0.35, 0.6), 0.175},
		{"rounded rectangle", RoundedRectangle(0.35, 0.6, 0.05), 0.175},
		{"circle", Circle(0.1), 0.1},
		{"triangle", Outline{{}, {X: 6}, {X: 3, Y: 4}}, 1.5},
		{"trapezium", Outline{{}, {X: 4}, {X: 3, Y: 1}, {X: 1, Y: 1}}, 0.5},
		{"falls into two rooms", dumbbell, 0.05},
		// A chamfer of 70.7 mm has 4.4 mm left beside a rounding of 160 mm.
		{"rounding outlives a chamfer", Outline{{X: 0.05}, {X: 0.6}, {X: 0.6, Y: 0.6}, {Y: 0.6}, {Y: 0.05, Round: 0.16}}, 0.05*math.Sqrt2/(math.Sqrt2-1) - 0.16},
		// 100 mm less a rounding of 80 mm leaves 20 mm of straight side.
		{"rounding outlives its side", Outline{{Round: 0.08}, {X: 0.1}, {X: 0.1, Y: 0.6}, {Y: 0.6}}, 0.02},
	} {
		for _, factor := range []units.Length{1.001, 1.5, 3, 9, 100} {
			for _, o := range []Outline{c.o, reversed(c.o)} {
				if len(o) == 2 {
					o = c.o
				}
				moved, err := o.Offset(c.limit * factor)
				var e *units.RangeError
				if !errors.As(err, &e) {
					t.Errorf("%s moved by %v: got %v, %v", c.name, c.limit*factor, moved, err)
					continue
				}
				if e.Field != "outline: offset" || e.Value != (c.limit*factor).String() {
					t.Errorf("%s: got %q", c.name, err)
				}
			}
		}
		if _, err := c.o.Offset(c.limit * 0.999); err != nil {
			t.Errorf("%s moved by nearly %v: %v", c.name, c.limit, err)
		}
	}
	_, err := Rectangle(0.35, 0.6).Offset(0.2)
	if want := "outline: offset 200 mm: must be below 175 mm, where the outline closes up"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	// A notch closes when the outline grows.
	notched := Outline{{}, {X: 1}, {X: 1, Y: 1}, {X: 0.55, Y: 1}, {X: 0.55, Y: 0.5}, {X: 0.45, Y: 0.5}, {X: 0.45, Y: 1}, {Y: 1}}
	_, err = notched.Offset(-0.06)
	if want := "outline: offset -60 mm: must be above -50 mm, where the outline closes up"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	for _, d := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, err := Rectangle(1, 1).Offset(units.Length(d)); err == nil {
			t.Errorf("offset by %g must be refused", d)
		}
	}
	if _, err := (Outline{{}, {X: 1}}).Offset(0.1); err == nil {
		t.Error("an outline that fails Check must be refused")
	}
}

// A side between arcs that has run backwards may close an outline that looks sound
// but is nearer to the old one than it should be.
func TestOffsetRefusesSidesThatTurnedRound(t *testing.T) {
	for name, c := range map[string]struct {
		o Outline
		d units.Length
	}{
		"a straight side": {Outline{{X: 0.164, Y: 0.082, Rise: 0.003}, {X: 0.111, Y: 0.249}, {X: -0.184, Y: 0.18}, {X: -0.272, Y: -0.054, Round: 0.018}, {X: -0.018, Y: -0.159}, {X: 0.143, Y: -0.244, Rise: 0.026}}, 0.149},
		"an arc":          {Outline{{X: 0.201, Y: 0.209, Rise: -0.071}, {X: -0.229, Y: 0.137, Rise: 0.037}, {X: 0.076, Y: -0.289, Rise: 0.029}}, 0.167},
	} {
		if err := c.o.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if m, err := c.o.Offset(c.d); err == nil {
			t.Errorf("%s: got %v", name, m)
		}
	}
}
