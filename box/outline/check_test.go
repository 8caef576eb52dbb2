package outline_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

func TestCheckRefuses(t *testing.T) {
	nan, inf := units.Length(math.NaN()), units.Length(math.Inf(1))
	square := func(change func(o Outline)) Outline {
		o := Rectangle(1, 1)
		change(o)
		return o
	}
	for _, c := range []struct {
		name  string
		o     Outline
		field string
		want  string
	}{
		{"nothing", nil, "outline: corners", "at least 3"},
		{"a line", Outline{{}, {X: 1}}, "outline: corners", "at least 3"},
		{"x is NaN", square(func(o Outline) { o[2].X = nan }), "outline: corner 3: x", "must be"},
		{"y is infinite", square(func(o Outline) { o[0].Y = inf }), "outline: corner 1: y", "must be"},
		{"rise is NaN", square(func(o Outline) { o[1].Rise = nan }), "outline: corner 2: rise", "must be"},
		{"rounding is NaN", square(func(o Outline) { o[1].Round = nan }), "outline: corner 2: rounding radius", "must be"},
		{"rounding is negative", square(func(o Outline) { o[3].Round = -0.1 }), "outline: corner 4: rounding radius", "must be"},
		{"twice the same corner", Outline{{}, {X: 1}, {X: 1}, {Y: 1}}, "outline: corner 3", "must differ from corner 2"},
		{"last corner is the first", Outline{{}, {X: 1}, {Y: 1}, {}}, "outline: corner 1", "must differ from corner 4"},
		{"spike", Outline{{}, {X: 2}, {X: 1}, {Y: 1}}, "outline: corner 2", "fold back"},
		{"cusp of line and arc", Outline{{}, {X: 1}, {X: 1, Y: 1, Rise: -0.5}, {Y: 1}}, "outline: corner 3", "fold back"},
		{"rounding beside an arc", square(func(o Outline) { o[0].Rise, o[1].Round = 0.1, 0.1 }), "outline: corner 2: rounding radius", "zero beside an arc"},
		{"roundings overlap", square(func(o Outline) { o[1].Round, o[2].Round = 0.6, 0.5 }), "outline: side 2", "at least"},
		{"bow tie", Outline{{}, {X: 1}, {Y: 1}, {X: 1, Y: 1}}, "outline: side 4", "cross side 2"},
		{"touches at a corner", Outline{{}, {X: 1}, {X: 1, Y: 1}, {X: 0.5, Y: 0}, {Y: 1}}, "outline: side 3", "touch or cross side 1"},
		{"sides lie on each other", Outline{{}, {X: 3}, {X: 3, Y: 1}, {X: 2, Y: 1}, {X: 2, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {Y: 1}}, "outline: side 4", "side 1"},
		{"arc crosses a line", square(func(o Outline) { o[0].Rise = -1.2 }), "outline: side 2", "side 1"},
		{"arc touches a line", square(func(o Outline) { o[0].Rise, o[0].X, o[1].X = -1, 0.05, 0.95 }), "outline: side 2", "side 1"},
		{"arcs cross", square(func(o Outline) { o[0].Rise, o[2].Rise = -0.6, -0.49 }), "outline: side 2", "side 1"},
		{"far arcs cross", Outline{{Rise: -0.8}, {X: 4}, {X: 4, Y: 1, Rise: -0.8}, {Y: 1}}, "outline: side 3", "side 1"},
		{"arcs touch", Outline{{X: 0.1, Rise: -0.5}, {X: 0.9}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0.9, Y: 1, Rise: -0.5}, {X: 0.1, Y: 1}, {Y: 1}, {}}, "outline: side 5", "side 1"},
		{"rounding longer than a side", Outline{{}, {X: 4}, {X: 4, Y: 1, Round: 1.9}, {X: 2.1, Y: 1}, {X: 2.1, Y: 3}, {Y: 3}}, "outline: side 2", "at least"},
		{"twice around a circle", Outline{{X: -1, Rise: 1}, {X: 1, Rise: 1}, {X: -1, Rise: 1}, {X: 1, Rise: 1}}, "outline: side 2", "side 1"},
		{"twice around a square", Outline{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}, {}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, "outline: side 4", "side 1"},
		{"inside out", Outline{{Rise: -1}, {X: 1, Rise: 0.5}}, "outline: area", "inside out"},
		{"nothing between arcs", Outline{{Rise: -0.1}, {X: 1, Rise: 0.1}}, "outline: corner 1", "fold back"},
	} {
		err := c.o.Check()
		var e *units.RangeError
		if !errors.As(err, &e) {
			t.Errorf("%s: got %v, want a RangeError", c.name, err)
			continue
		}
		if e.Field != c.field || !strings.Contains(e.Want, c.want) {
			t.Errorf("%s: got %q, want the field %q and %q", c.name, err, c.field, c.want)
		}
	}
}

func TestCheckAccepts(t *testing.T) {
	for name, o := range map[string]Outline{
		"triangle":               {{}, {X: 1}, {Y: 1}},
		"half disc":              {{}, {X: 1, Rise: 0.5}},
		"crescent":               {{Rise: -0.2}, {X: 1, Rise: 0.5}},
		"most of a circle":       {{}, {X: 0.1, Rise: 1}},
		"corner within a side":   {{}, {X: 0.5}, {X: 1}, {Y: 1}},
		"roundings meet":         RoundedRectangle(1, 1, 0.5),
		"roundings meet in 0.3s": RoundedRectangle(0.1+0.2, 0.3, 0.15),
		"tangent arc":            {{}, {X: 1, Rise: 0.5}, {X: 1, Y: 1}, {Y: 1}},
		"nearly flat arc":        {{Rise: 2e-6}, {X: 1}, {X: 1, Y: 1}, {Y: 1}},
		"sharp inner corner":     {{}, {X: 2}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 2}, {Y: 2}},
		"far away":               {{X: 1000}, {X: 1001}, {X: 1001, Y: 1}},
		"small":                  Rectangle(1e-6, 2e-6),
	} {
		if err := o.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := reversed(o).Check(); err != nil && len(o) > 2 {
			t.Errorf("%s clockwise: %v", name, err)
		}
	}
}

// A rounding as Check demands it just fits; a little more does not.
func TestRoundingLimit(t *testing.T) {
	if err := RoundedRectangle(0.35, 0.6, 0.175+1e-8).Check(); err == nil {
		t.Error("roundings that overlap by 20 nm must be refused")
	}
	if err := RoundedRectangle(0.35, 0.6, 0.175+1e-10).Check(); err != nil {
		t.Errorf("roundings that overlap by 0.2 nm: %v", err)
	}
}
