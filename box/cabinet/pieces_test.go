package cabinet_test

import (
	"math"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
	"github.com/google/go-cmp/cmp"
)

func TestPiecesOfRectangle(t *testing.T) {
	s := stack()
	s.Cap = 18 * mm
	got, err := s.Pieces()
	if err != nil {
		t.Fatal(err)
	}
	strip := func(name string, outside units.Length) Piece {
		return Piece{Name: name, Count: 13, Length: outside, Width: 38 * mm, Thickness: 14.6 * mm,
			Outside: outside, Inside: outside - 76*mm, Start: 45 * units.Degree, End: 45 * units.Degree}
	}
	want := []Piece{
		strip("ring side 1", 350*mm), strip("ring side 2", 600*mm), strip("ring side 3", 350*mm), strip("ring side 4", 600*mm),
		{Name: "end cap", Count: 2, Length: 600 * mm, Width: 350 * mm, Thickness: 18 * mm},
	}
	if diff := cmp.Diff(want, got, golden.Approx(1e-12, 0)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// The mitred strips of a polygon are trapezia that make up the ring exactly,
// inside corners and slanted sides included, either way round.
func TestStripsMakeUpRing(t *testing.T) {
	for name, o := range map[string]outline.Outline{
		"rectangle":   outline.Rectangle(0.35, 0.6),
		"slanted":     {{}, {X: 0.35}, {X: 0.3, Y: 0.6}, {X: 0.08, Y: 0.6}},
		"gable":       {{}, {X: 0.3}, {X: 0.3, Y: 0.2}, {X: 0.15, Y: 0.26}, {Y: 0.2}},
		"with a step": {{}, {X: 0.4}, {X: 0.4, Y: 0.3}, {X: 0.2, Y: 0.35}, {X: 0.2, Y: 0.6}, {Y: 0.6}},
		"clockwise":   {{}, {Y: 0.6}, {X: 0.2, Y: 0.6}, {X: 0.2, Y: 0.35}, {X: 0.4, Y: 0.3}, {X: 0.4}},
		"hexagon":     regular(6),
	} {
		s := stack()
		s.Profile = o
		var sum, turned float64
		for _, p := range ring(t, s) {
			sum += float64(p.Width) * float64(p.Outside+p.Inside) / 2
			if p.Width != s.Wall {
				t.Errorf("%s: width %.17g m, want the wall to the last bit", name, float64(p.Width))
			}
			turned += float64(p.Start + p.End)
			long := float64(p.Outside)
			for _, m := range []units.Angle{p.Start, p.End} {
				// Each end takes its share from the inside, or adds to it.
				close(t, name+": mitre", math.Tan(math.Abs(float64(m))), math.Abs(math.Tan(float64(m))))
				long += max(0, -float64(p.Width)*math.Tan(float64(m)))
			}
			close(t, name+": inside", float64(p.Inside), float64(p.Outside)-float64(p.Width)*(math.Tan(float64(p.Start))+math.Tan(float64(p.End))))
			close(t, name+": blank", float64(p.Length), long)
		}
		close(t, name+": area", sum, float64(s.RingArea()))
		close(t, name+": turns", turned, 2*math.Pi)
	}
}

// Square strips and quarter rings make up a ring with large roundings.
func TestCurvedPieces(t *testing.T) {
	s := stack()
	s.Profile = outline.RoundedRectangle(350*mm, 600*mm, 100*mm)
	var sum float64
	for i, p := range ring(t, s) {
		if p.Start != 0 || p.End != 0 || p.Count != 13 {
			t.Errorf("%+v: want 13 pieces with square ends", p)
		}
		if i%2 == 1 {
			sum += float64(p.Length) * float64(p.Width)
			continue
		}
		sum += math.Pi / 4 * (0.1*0.1 - 0.062*0.062)
		close(t, "radius", float64(p.Radius), 0.1)
		close(t, "outer edge", float64(p.Outside), math.Pi/2*0.1)
		close(t, "inner edge", float64(p.Inside), math.Pi/2*0.062)
		close(t, "blank length", float64(p.Length), math.Sqrt2*0.1)
		close(t, "blank width", float64(p.Width), 0.1-0.062/math.Sqrt2)
	}
	close(t, "ring", sum, float64(s.RingArea()))

	s.Profile = outline.Circle(150 * mm)
	for _, p := range ring(t, s) {
		close(t, "half ring length", float64(p.Length), 0.3)
		close(t, "half ring width", float64(p.Width), 0.15)
	}
	if n := len(ring(t, s)); n != 2 {
		t.Errorf("a round ring has %d pieces, want 2", n)
	}

	// A bowed front; with the rise counted outwards in both directions.
	for _, o := range []outline.Outline{
		{{}, {X: 0.33, Rise: 0.02}, {X: 0.33, Y: 0.6}, {Y: 0.6}},
		{{}, {Y: 0.6}, {X: 0.33, Y: 0.6, Rise: 0.02}, {X: 0.33}},
	} {
		s.Profile = o
		found := 0
		for _, p := range ring(t, s) {
			if p.Radius == 0 {
				continue
			}
			found++
			radius := (0.3*0.3 + 0.02*0.02) / 0.04
			close(t, "bow radius", float64(p.Radius), radius)
			close(t, "bow length", float64(p.Length), 0.6)
			// From the apex to where the inner arc ends, 38 mm from the top and 38 mm
			// below the arc.
			inner := radius - 0.038
			close(t, "bow width", float64(p.Width), radius-math.Sqrt(inner*inner-0.262*0.262))
		}
		if found != 1 {
			t.Errorf("%d bowed pieces, want 1", found)
		}
	}
}

// Small roundings and chamfers are cut after gluing, so the list is that of the rectangle.
func TestShapedCornersAreStrips(t *testing.T) {
	want, err := stack().Pieces()
	if err != nil {
		t.Fatal(err)
	}
	for name, o := range map[string]outline.Outline{
		"rounded":  outline.RoundedRectangle(350*mm, 600*mm, 38*mm),
		"chamfer":  {{}, {X: 0.35}, {X: 0.35, Y: 0.58}, {X: 0.33, Y: 0.6}, {Y: 0.6}},
		"one of 4": {{}, {X: 0.35}, {X: 0.35, Y: 0.6, Round: 0.02}, {Y: 0.6}},
	} {
		s := stack()
		s.Profile = o
		got, err := s.Pieces()
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, golden.Approx(1e-12, 0)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}
