package port

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// rooms are vents with their boxes: some fit, some do not.
type room struct {
	v    Vent
	vb   units.Volume
	fb   units.Frequency
	flow float64
	s    Space
}

func rooms() []room {
	deep := Space{Depth: 0.6, Width: 0.3, Height: 0.5, Panel: 0.018}
	flat := Space{Depth: 0.25, Width: 0.25, Height: 0.6, Panel: 0.018}
	return []room{
		{Vent{Diameter: 0.1, Wall: 0.003, Outer: Flanged}, 0.05, 35, 0.05, deep},
		{Vent{Diameter: 0.1, Wall: 0.003, Outer: Flanged}, 0.05, 30, 0.15, flat},
		{Vent{Diameter: 0.07, Outer: Flanged, Inner: Flanged, Count: 2}, 0.05, 28, 0.1, flat},
		{Vent{Width: 0.18, Height: 0.03, Wall: 0.012, Outer: Flanged, Inner: AlongWall}, 0.05, 30, 0.08, flat},
		{Vent{Width: 0.25, Height: 0.03, Wall: 0.012, Outer: Flanged, Inner: AcrossBox, Clear: 0.6}, 0.05, 30, 0.08, flat},
		{Vent{Diameter: 0.08, Outer: Flanged, Inner: InDuct, Section: 0.15}, 0.04, 32, 0.08, flat},
		{Vent{Diameter: 0.08, Outer: Flanged, OuterRound: 0.02, InnerRound: 0.02}, 0.03, 32, 0.08, Space{Depth: 0.2, Width: 0.2, Height: 0.2}},
	}
}

// Every alternative is a vent that passes its check, tunes the box to what was asked, and fits as it says.
func TestAlternativesDoWhatTheySay(t *testing.T) {
	for _, r := range rooms() {
		list, err := r.v.Alternatives(r.vb, r.fb, r.flow, r.s, air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		straight := list[slices.IndexFunc(list, func(x Alternative) bool { return x.Name == "straight" })]
		for _, x := range list {
			if err := errors.Join(x.Vent.Check(), r.s.Holds(x.Vent)); err != nil {
				t.Errorf("%s: %v", x.Name, err)
			}
			near(t, x.Name+": tuning", float64(x.Vent.Tuning(r.vb, air.Air{})), float64(r.fb), 1e-12)
			near(t, x.Name+": line", float64(x.Tuning), float64(x.Vent.LineTuning(r.vb, air.Air{})), 1e-15)
			near(t, x.Name+": speed", float64(x.Velocity)*float64(x.Vent.Area()), r.flow, 1e-12)
			near(t, x.Name+": pipe", float64(x.Resonance), float64(x.Vent.PipeResonance(1, air.Air{})), 1e-15)
			if x.Vent.Area() > r.v.Area()*(1+1e-12) {
				t.Errorf("%s: %v, asked for %v", x.Name, x.Vent.Area(), r.v.Area())
			}
			if x.Fits() == strings.Contains(x.Price, "too long") {
				t.Errorf("%s: spare %v, price %q", x.Name, x.Spare, x.Price)
			}
			if r.v.acrossBox() && x.Vent.Width != r.v.Width {
				t.Errorf("%s: no longer across the box: %v", x.Name, x.Vent.Width)
			}
			switch x.Name {
			case "narrower", "flared", "twice as many":
				if !x.Fits() {
					t.Errorf("%s: %v missing", x.Name, -x.Spare)
				}
				wider := x.Vent.scaled(1.01)
				if w, err := wider.Tuned(r.vb, r.fb, air.Air{}); err != nil || x.Vent.Area() < 0.99*r.v.Area() && r.s.Spare(w) >= 0 {
					t.Errorf("%s: %v would fit as well as %v", x.Name, w.Diameter, x.Vent.Diameter)
				}
				if x.Spare != r.s.Spare(x.Vent) {
					t.Errorf("%s: spare %v, %v", x.Name, x.Spare, r.s.Spare(x.Vent))
				}
			case "straight":
				if x.Price != "" && x.Fits() {
					t.Errorf("straight: price %q", x.Price)
				}
			case "slot", "bent":
				near(t, x.Name+": area", float64(x.Vent.Area()), float64(r.v.Area()), 1e-12)
			}
			if worse := x.Vent.Area() < 0.98*straight.Vent.Area(); worse != strings.Contains(x.Price, "as fast") {
				t.Errorf("%s: price %q for %v instead of %v", x.Name, x.Price, x.Vent.Area(), straight.Vent.Area())
			}
		}
		if narrow := slices.ContainsFunc(list, func(x Alternative) bool { return x.Name == "narrower" }); narrow == straight.Fits() {
			t.Errorf("%+v: fits %v, a narrower one offered %v", r.v, straight.Fits(), narrow)
		}
		again, err := r.v.Alternatives(r.vb, r.fb, r.flow, r.s, air.Air{})
		if d := cmp.Diff(list, again); d != "" || err != nil {
			t.Errorf("another time: %v %s", err, d)
		}
	}
}

// Those that fit before those that do not, slower air first.
func TestAlternativesAreSorted(t *testing.T) {
	for _, r := range rooms() {
		list, err := r.v.Alternatives(r.vb, r.fb, r.flow, r.s, air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range list[1:] {
			last := list[i]
			if !last.Fits() && x.Fits() || last.Fits() == x.Fits() && float64(last.Velocity) > float64(x.Velocity)*(1+1e-5) {
				t.Errorf("%s (%v, %v) before %s (%v, %v)", last.Name, last.Spare, last.Velocity, x.Name, x.Spare, x.Velocity)
			}
		}
	}
}

// A bent vent drawn out: the air of legs and bend is the air of the straight one, and the
// elbow stays inside the box.
func TestBentVent(t *testing.T) {
	for _, r := range rooms() {
		list, err := r.v.Alternatives(r.vb, r.fb, r.flow, r.s, air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(list, func(x Alternative) bool { return x.Name == "bent" })
		if i < 0 {
			continue
		}
		x := list[i]
		side := min(r.v.Width, r.v.Height)
		turn, reach, up := MitreLength(side), side+r.v.Wall, r.v.Wall+side
		if r.v.round() {
			d := r.v.Diameter
			if turn, err = BendLength(d, d, math.Pi/2); err != nil {
				t.Fatal(err)
			}
			reach, up = d+d/2+r.v.Wall, r.v.Wall+d/2+d
			side = d
		}
		near(t, "length", float64(x.Legs[0]+x.Legs[1]+turn), float64(x.Vent.Length), 1e-12)
		if back := x.Legs[0] + reach - r.s.Panel; back > r.s.Depth*(1+1e-12) {
			t.Errorf("the bend reaches %v into a box of %v", back, r.s.Depth)
		}
		near(t, "spare", float64(x.Spare), float64(r.s.Height-up-x.Legs[1]-side), 1e-12)
	}
}

func TestAlternativesRefuse(t *testing.T) {
	v := Vent{Diameter: 0.1, Outer: Flanged}
	s := Space{Depth: 0.3, Width: 0.25, Height: 0.6}
	nan := math.NaN()
	with := func(set func(*Space)) Space { w := s; set(&w); return w }
	for _, c := range []struct {
		v    Vent
		vb   units.Volume
		fb   units.Frequency
		flow float64
		s    Space
		want string
	}{
		{v, 0.05, 30, -1, s, "port: flow -1"},
		{v, 0.05, 30, nan, s, "port: flow NaN"},
		{v, 0, 30, 0, s, "port: box volume 0"},
		{v, 0.05, 0, 0, s, "port: tuning 0"},
		{v, 0.05, 300, 0, s, "port: tuning 300 Hz: must be below"},
		{Vent{}, 0.05, 30, 0, s, "port: diameter"},
		{Vent{Diameter: 0.26}, 0.05, 60, 0, s, "port: diameter 260 mm: must go into the box, 250 mm × 600 mm inside"},
		{Vent{Diameter: 0.24, Wall: 0.01}, 0.05, 60, 0, s, "port: diameter 240 mm: must go into the box"},
		{Vent{Width: 0.7, Height: 0.02}, 0.05, 40, 0, s, "port: width 700 mm: must go into the box"},
		{Vent{Diameter: 0.2, Count: 5}, 0.2, 60, 0, s, "port: diameter 200 mm: must go into the box"},
		{v, 0.05, 30, 0, with(func(s *Space) { s.Depth = 0 }), "port: inside depth 0"},
		{v, 0.05, 30, 0, with(func(s *Space) { s.Width = -1 }), "port: inside width -"},
		{v, 0.05, 30, 0, with(func(s *Space) { s.Height = units.Length(nan) }), "port: inside height NaN"},
		{v, 0.05, 30, 0, with(func(s *Space) { s.Panel = -1 }), "port: panel -"},
		{v, 0.05, 30, 0, with(func(s *Space) { s.Behind = units.Length(nan) }), "port: room behind NaN"},
		{v, 0.05, 30, 0, s, ""},
	} {
		_, err := c.v.Alternatives(c.vb, c.fb, c.flow, c.s, air.Air{})
		var e *units.RangeError
		if c.want == "" {
			if err != nil {
				t.Error(err)
			}
		} else if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%+v, %+v: error %v, want %s", c.v, c.s, err, c.want)
		}
	}
}

// A widening of the inner end has to go into the box as well.
func TestHolds(t *testing.T) {
	s := Space{Depth: 0.3, Width: 0.2, Height: 0.6}
	v := Vent{Diameter: 0.1, Wall: 0.01, InnerRound: 0.05}
	if err := s.Holds(v); err != nil {
		t.Error(err)
	}
	v.InnerRound = 0.0501
	if s.Holds(v) == nil {
		t.Error("a mouth of 200.2 mm in a box of 200 mm")
	}
}

// What stays free behind a vent, with a tape measure.
func TestSpare(t *testing.T) {
	s := Space{Depth: 0.3, Width: 0.25, Height: 0.6, Panel: 0.02}
	for _, c := range []struct {
		v    Vent
		wall units.Length
		want float64
	}{
		{Vent{Diameter: 0.05, Length: 0.2}, 0, 0.3 - 0.18 - 0.05},
		{Vent{Diameter: 0.05, Length: 0.3}, 0, 0.3 - 0.28 - 0.05},
		{Vent{Width: 0.2, Height: 0.03, Length: 0.2}, 0, 0.3 - 0.18 - 0.03},
		{Vent{Diameter: 0.05, Length: 0.2}, 0.1, 0.3 - 0.18 - 0.1},
	} {
		s.Behind = c.wall
		near(t, "spare", float64(s.Spare(c.v)), c.want, 1e-12)
	}
}
