package cabinet_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// profiles that rings are cut from in tests.
func profiles() map[string]outline.Outline {
	return map[string]outline.Outline{
		"rectangle":      outline.Rectangle(0.35, 0.6),
		"slanted":        {{}, {X: 0.35}, {X: 0.3, Y: 0.6}, {X: 0.08, Y: 0.6}},
		"gable":          {{}, {X: 0.3}, {X: 0.3, Y: 0.2}, {X: 0.15, Y: 0.26}, {Y: 0.2}},
		"with a step":    {{}, {X: 0.4}, {X: 0.4, Y: 0.3}, {X: 0.2, Y: 0.35}, {X: 0.2, Y: 0.6}, {Y: 0.6}},
		"clockwise":      {{}, {Y: 0.6}, {X: 0.2, Y: 0.6}, {X: 0.2, Y: 0.35}, {X: 0.4, Y: 0.3}, {X: 0.4}},
		"hexagon":        regular(6),
		"large rounding": outline.RoundedRectangle(0.35, 0.6, 0.1),
		"small rounding": outline.RoundedRectangle(0.35, 0.6, 0.02),
		"bowed":          {{}, {X: 0.33, Rise: 0.02}, {X: 0.33, Y: 0.6}, {Y: 0.6}},
		"bowed back":     {{}, {Y: 0.6}, {X: 0.33, Y: 0.6, Rise: 0.02}, {X: 0.33}},
		"hollow":         {{}, {X: 0.33, Rise: -0.02}, {X: 0.33, Y: 0.6}, {Y: 0.6}},
		"round":          outline.Circle(0.15),
	}
}

// The pieces of a ring cover it once: a point of the ring lies in one piece of each
// pattern, any other point in none, and their areas add up.
func TestPiecesCoverRing(t *testing.T) {
	for name, o := range profiles() {
		s := stack()
		s.Profile = o
		l, err := s.Interlock([2][]Joint{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		inside, err := s.Inside()
		if err != nil {
			t.Fatal(err)
		}
		full, err := inside.Offset(-s.Wall)
		if err != nil {
			t.Fatal(err)
		}
		for k, ring := range l.Rings {
			var sum float64
			for _, p := range ring {
				sum += float64(p.Shape.Area())
				close(t, name+": area of its part", float64(p.Shape.Area()), float64(l.Parts[p.Part].Shape.Area()))
			}
			if want := float64(full.Area() - inside.Area()); !(math.Abs(sum-want) <= 1e-9*want) {
				t.Errorf("%s: pattern %d: pieces of %.12g m², the ring has %.12g", name, k+1, sum, want)
			}
			rng := rand.New(rand.NewPCG(7, uint64(k)))
			lo, hi := full.Bounds()
			for range 400 {
				p := outline.Point{X: lo.X + (hi.X-lo.X)*units.Length(rng.Float64()), Y: lo.Y + (hi.Y-lo.Y)*units.Length(rng.Float64())}
				want := 0
				if full.Contains(p) && !inside.Contains(p) {
					want = 1
				}
				got := 0
				for _, piece := range ring {
					if piece.Shape.Contains(p) {
						got++
					}
				}
				if got != want {
					t.Errorf("%s: pattern %d: %v lies in %d pieces, want %d", name, k+1, p, got, want)
				}
			}
		}
		if !(l.Lap >= s.Wall/2-1e-9) {
			t.Errorf("%s: joints of neighbouring layers only %v apart", name, l.Lap)
		}
	}
}

// Counts by hand: 13 layers, seven of the first pattern and six of the second, and
// every blank holds its piece.
func TestInterlockOfRectangle(t *testing.T) {
	l, err := stack().Interlock([2][]Joint{})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Parts) != 2 || l.Parts[0].Count != 26 || l.Parts[1].Count != 26 || l.Parts[0].Name != "piece A" || l.Parts[1].Letter != "B" {
		t.Fatalf("got %+v", l.Parts)
	}
	// Each side less one wall, square at both ends.
	close(t, "A", float64(l.Parts[0].Length), 0.312)
	close(t, "B", float64(l.Parts[1].Length), 0.562)
	for _, p := range l.Parts {
		if p.Start != 0 || p.End != 0 || p.Width != 38*mm || p.Outside != p.Length {
			t.Errorf("%s: %+v: want a square strip", p.Name, p.Piece)
		}
	}
	close(t, "lap", float64(l.Lap), 0.038)
	// Log-cabin corners: the long sides run through in one pattern, the short ones in the other.
	l, err = stack().Interlock([2][]Joint{
		{{Corner: 1, Cut: BeforeThrough}, {Corner: 2, Cut: AfterThrough}, {Corner: 3, Cut: BeforeThrough}, {Corner: 4, Cut: AfterThrough}},
		{{Corner: 1, Cut: AfterThrough}, {Corner: 2, Cut: BeforeThrough}, {Corner: 3, Cut: AfterThrough}, {Corner: 4, Cut: BeforeThrough}},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := map[units.Length]int{274 * mm: 14, 600 * mm: 14, 350 * mm: 12, 524 * mm: 12}
	for _, p := range l.Parts {
		n := 0
		for length, count := range want {
			if math.Abs(float64(length-p.Length)) < 1e-9 {
				n = count
			}
		}
		if n != p.Count || n == 0 {
			t.Errorf("%s: %d of %v", p.Name, p.Count, p.Length)
		}
	}
	// Mitred in one pattern and cut across in the other.
	l, err = stack().Interlock([2][]Joint{
		{{Corner: 1}, {Corner: 2}, {Corner: 3}, {Corner: 4}},
		{{Corner: 1, Cut: Across, Along: 100 * mm}, {Corner: 3, Cut: Across, Along: 100 * mm}},
	})
	if err != nil {
		t.Fatal(err)
	}
	mitred, err := stack().Pieces()
	if err != nil {
		t.Fatal(err)
	}
	close(t, "mitred A", float64(l.Parts[0].Outside), float64(mitred[0].Outside))
	close(t, "mitre", float64(l.Parts[0].Start), float64(mitred[0].Start))
	// From the middle of the wall: 100 mm along the outer edge is 81 mm from the corner.
	close(t, "lap of mitre and across", float64(l.Lap), 0.081)
}

// The mitre of each strip is what its own two edges say, and dowels lie within every
// piece, two at least.
func TestDowelsHoldEveryPiece(t *testing.T) {
	for name, o := range profiles() {
		s := stack()
		s.Profile = o
		l, err := s.Interlock([2][]Joint{})
		if err != nil {
			t.Fatal(name, err)
		}
		for k, ring := range l.Rings {
			for i, p := range ring {
				n := 0
				for _, d := range l.Dowels {
					if p.Shape.Contains(d) {
						n++
					}
				}
				if n < 2 {
					t.Errorf("%s: pattern %d, piece %d: %d dowels", name, k+1, i+1, n)
				}
			}
		}
		for _, p := range l.Parts {
			if p.Width == s.Wall {
				close(t, name+": "+p.Name+": ends", float64(p.Inside), float64(p.Outside)-float64(p.Width)*(math.Tan(float64(p.Start))+math.Tan(float64(p.End))))
			}
			lo, hi := p.Shape.Bounds()
			if d := math.Hypot(float64(hi.X-lo.X), float64(hi.Y-lo.Y)); float64(p.Length) > d+1e-9 || float64(p.Shape.Area()) > float64(p.Length)*float64(p.Width)+1e-9 {
				t.Errorf("%s: %s: blank %v × %v", name, p.Name, p.Length, p.Width)
			}
		}
	}
}

// The way between two joints may lead over the first corner.
func TestLapGoesRound(t *testing.T) {
	l, err := stack().Interlock([2][]Joint{
		{{Corner: 1, Cut: Across, Along: 60 * mm}, {Corner: 3, Cut: Across, Along: 100 * mm}},
		{{Corner: 4, Cut: Across, Along: 540 * mm}, {Corner: 2, Cut: Across, Along: 300 * mm}},
	})
	if err != nil {
		t.Fatal(err)
	}
	// 60 mm on either side of the first corner outside, 41 mm in the middle of the wall.
	close(t, "lap", float64(l.Lap), 0.082)
}

// Random cabinets are cut into pieces that make up the ring, or refused by name.
func TestInterlockOfRandomStacks(t *testing.T) {
	cut := 0
	randomStacks(9, func(s Stack, u func(lo, hi float64) float64) {
		l, err := s.Interlock([2][]Joint{})
		if err != nil {
			var e *units.RangeError
			if !errors.As(err, &e) {
				t.Errorf("%+v: %v", s, err)
			}
			return
		}
		cut++
		inside, err := s.Inside()
		if err != nil {
			t.Fatal(err)
		}
		full, err := inside.Offset(-s.Wall)
		if err != nil {
			t.Fatal(err)
		}
		for k, ring := range l.Rings {
			var sum float64
			for _, p := range ring {
				sum += float64(p.Shape.Area())
			}
			if want := float64(full.Area() - inside.Area()); !(math.Abs(sum-want) <= 1e-9*want) {
				t.Errorf("%+v: pattern %d: pieces of %.12g m², the ring has %.12g", s, k+1, sum, want)
			}
		}
		total := 0
		for _, p := range l.Parts {
			total += p.Count
		}
		if n := (s.Layers+1)/2*len(l.Rings[0]) + s.Layers/2*len(l.Rings[1]); total != n {
			t.Errorf("%+v: %d pieces, rings need %d", s, total, n)
		}
	})
	if cut < 140 {
		t.Errorf("only %d of 150 random stacks could be cut", cut)
	}
}

func TestInterlockRefuses(t *testing.T) {
	corners := func(c Joinery) []Joint { return []Joint{{Corner: 1, Cut: c}, {Corner: 3, Cut: c}} }
	for _, c := range []struct {
		patterns    [2][]Joint
		field, want string
	}{
		{[2][]Joint{corners(Mitred), corners(Mitred)}, "cabinet: pattern 2: piece 1: joint", "must not lie over the one at corner 1, mitred of pattern 1, piece 1"},
		{[2][]Joint{corners(Mitred), {{Corner: 2}, {Corner: 3}}}, "cabinet: pattern 2: piece 2: joint", "must not lie over the one at corner 3, mitred"},
		{[2][]Joint{corners(Mitred), {{Corner: 5}, {Corner: 2}}}, "cabinet: pattern 2: joint 1", "corner from 1 to 4"},
		{[2][]Joint{{{Corner: 0}, {Corner: 2}}, corners(Mitred)}, "cabinet: pattern 1: joint 1", "corner from 1 to 4"},
		{[2][]Joint{corners(Mitred), {{Corner: 2}}}, "cabinet: pattern 2: joints", "2 or more"},
		{[2][]Joint{corners(Mitred), {}}, "cabinet: pattern 2: joints", "2 or more"},
		{[2][]Joint{corners(Mitred), {{Corner: 2}, {Corner: 2}}}, "cabinet: pattern 2: joint 2", "another joint of its pattern"},
		{[2][]Joint{{{Corner: 1, Cut: BeforeThrough}, {Corner: 1, Cut: AfterThrough}}, corners(Mitred)}, "cabinet: pattern 1: joint", "another joint of its pattern"},
		{[2][]Joint{corners(Mitred), {{Corner: 2, Cut: Across, Along: 0.7}, {Corner: 4}}}, "cabinet: pattern 2: joint 1", "within the side, 600 mm long"},
		{[2][]Joint{corners(Mitred), {{Corner: 2, Cut: Across, Along: 0.01}, {Corner: 4}}}, "cabinet: pattern 2: joint 1", "inner edge"},
		{[2][]Joint{corners(Mitred), {{Corner: 2, Cut: Across, Along: units.Length(math.NaN())}, {Corner: 4}}}, "cabinet: pattern 2: joint 1", "within the side"},
		{[2][]Joint{corners(Mitred), {{Corner: 2, Cut: 9}, {Corner: 4}}}, "cabinet: pattern 2: joint 1", "a cut that there is"},
	} {
		_, err := stack().Interlock(c.patterns)
		var e *units.RangeError
		if !errors.As(err, &e) || !strings.HasPrefix(e.Field, c.field) || !strings.Contains(e.Want, c.want) {
			t.Errorf("got %v, want %s ... %s", err, c.field, c.want)
		}
	}
	s := stack()
	s.Profile = outline.RoundedRectangle(0.35, 0.6, 0.1)
	if _, err := s.Interlock([2][]Joint{corners(BeforeThrough), corners(AfterThrough)}); err == nil || !strings.Contains(err.Error(), "sharp corner") {
		t.Errorf("through at a rounding: %v", err)
	}
	s.Wall = 0.2
	if _, err := s.Interlock([2][]Joint{}); err == nil || !strings.Contains(err.Error(), "cabinet: wall 200 mm") {
		t.Errorf("thick wall: %v", err)
	}
}

// Trimming the oversize off leaves the true ring.
func TestOversized(t *testing.T) {
	s := stack()
	o, err := s.Oversized(2 * mm)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "wall", float64(o.Wall), 0.042)
	close(t, "cap", float64(o.CapArea()), 0.354*0.604)
	close(t, "air while oversize", float64(o.Gross()), 0.270*0.520*13*0.0146)
	a, err := s.Interlock([2][]Joint{})
	b, err2 := o.Interlock([2][]Joint{})
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	// With sides that run through, what a side gains its neighbour's wall takes.
	close(t, "length", float64(b.Parts[0].Length), float64(a.Parts[0].Length))
	if _, err := s.Oversized(-1); err == nil {
		t.Error("a negative margin must be refused")
	}
	if _, err := s.Oversized(0.15); err == nil {
		t.Error("an oversize that fills the inside must be refused")
	}
}

func TestJoineryText(t *testing.T) {
	for _, c := range []Joinery{Mitred, BeforeThrough, AfterThrough, Across} {
		text, err := c.MarshalText()
		var back Joinery
		if err != nil || back.UnmarshalText(text) != nil || back != c {
			t.Errorf("%v: %s, %v", c, text, back)
		}
	}
	var c Joinery
	if err := c.UnmarshalText([]byte("glued")); err == nil {
		t.Error("an unknown cut must be refused")
	}
}

func BenchmarkInterlock(b *testing.B) {
	s := stack()
	for b.Loop() {
		if _, err := s.Interlock([2][]Joint{}); err != nil {
			b.Fatal(err)
		}
	}
}
