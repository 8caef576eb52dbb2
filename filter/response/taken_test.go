package response

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/halfspace/units"
)

func TestMountingText(t *testing.T) {
	for m := Unsaid; m <= NearVent; m++ {
		text, err := m.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		got := NearVent + 1
		if err := got.UnmarshalText(text); err != nil || got != m {
			t.Errorf("%v: %q read as %v, error %v", m, text, got, err)
		}
		if m != Unsaid && m.String() != string(text) {
			t.Errorf("%v is written as %q", m, text)
		}
	}
	if Unsaid.String() != "unsaid" || Mounting(99).String() != "Mounting(99)" {
		t.Errorf("%v, %v", Unsaid, Mounting(99))
	}
	m := OnFloor
	var e *units.RangeError
	if err := m.UnmarshalText([]byte("on the roof")); !errors.As(err, &e) || m != OnFloor ||
		!strings.HasPrefix(err.Error(), `response: mounting "on the roof": must be one of ["half space" "on a panel"`) {
		t.Errorf("error %v, left %v", err, m)
	}
	if _, err := Mounting(99).MarshalText(); !errors.As(err, &e) {
		t.Errorf("error %v", err)
	}
}

func TestTakenString(t *testing.T) {
	for want, taken := range map[string]Taken{
		"unsaid":                     {},
		"half space, 2.83 V, 1 m":    {Mounting: HalfSpace, Voltage: 2.83, Distance: 1},
		"on a panel (tall), 2 m":     {Mounting: OnPanel, Panel: "tall", Distance: 2},
		"near the cone, in a box":    {Mounting: NearCone, Box: "a box"},
		"on the floor, in 12 L, 1 V": {Mounting: OnFloor, Box: "12 L", Voltage: 1},
	} {
		if got := taken.String(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A curve is no better than what it says of itself.
func TestCheckOfTakenAndFrom(t *testing.T) {
	good := Curve{Hz: []float64{100, 200, 400}, H: []complex128{1, 1, 1}}
	good.Taken, good.From = Taken{Mounting: OnFloor, Panel: "tall", Box: "12 L", Distance: 2, Voltage: 2.83}, 150
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for want, change := range map[string]func(*Curve){
		`response: panel "tall": must be left out of a curve taken "half space"`: func(c *Curve) { c.Taken.Mounting = HalfSpace },
		`response: panel "tall": must be left out of a curve taken "unsaid"`:     func(c *Curve) { c.Taken.Mounting = Unsaid },
		`response: mounting Mounting(7): must be one of `:                        func(c *Curve) { c.Taken.Mounting = 7 },
		"response: distance -1 m: must be zero or positive, and finite":          func(c *Curve) { c.Taken.Distance = -1 },
		"response: distance NaN mm: must be zero or positive, and finite":        func(c *Curve) { c.Taken.Distance = units.Length(nan) },
		"response: voltage -2.83 V: must be zero or positive, and finite":        func(c *Curve) { c.Taken.Voltage = -2.83 },
		"response: voltage +Inf V: must be zero or positive, and finite":         func(c *Curve) { c.Taken.Voltage = units.Voltage(inf) },
		"response: lower end of what is valid -1 Hz: must be zero or":            func(c *Curve) { c.From = -1 },
		"response: lower end of what is valid NaN Hz: must be zero or":           func(c *Curve) { c.From = units.Frequency(nan) },
		"response: lower end of what is valid 400 Hz: must be below the last":    func(c *Curve) { c.From = 400 },
	} {
		c := good
		change(&c)
		var e *units.RangeError
		if err := c.Check(); !errors.As(err, &e) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("error %v\nwant %s", err, want)
		}
	}
}
