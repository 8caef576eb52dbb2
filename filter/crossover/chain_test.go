package crossover

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/filter/response"
)

var (
	inHalfSpace = response.Taken{Mounting: response.HalfSpace}
	onPanel     = response.Taken{Mounting: response.OnPanel}
	boxed       = response.Taken{Mounting: response.HalfSpace, Box: "test box"}
)

func TestChain(t *testing.T) {
	curve := []complex128{1, 2i}
	box := Effect{Name: "25 L", Built: []complex128{3, 1i}}
	panel := Effect{Name: "front", Built: []complex128{0.5, 2}}
	other := []complex128{2, -1}
	for _, c := range []struct {
		name  string
		chain Chain
		want  []complex128
		end   string
	}{
		{"nothing", Chain{Curve: curve, Taken: inHalfSpace}, []complex128{1, 2i}, "half space"},
		{"both", Chain{Curve: curve, Taken: inHalfSpace, Box: box, Panel: panel}, []complex128{1.5, -4}, "on a panel (front), in 25 L"},
		{"box on a panel", Chain{Curve: curve, Taken: onPanel, Box: box}, []complex128{3, -2}, "on a panel, in 25 L"},
		{"panel on a boxed curve", Chain{Curve: curve, Taken: boxed, Panel: panel}, []complex128{0.5, 4i}, "on a panel (front), in test box"},
		{"all contained", Chain{Curve: curve, Taken: response.Taken{Mounting: response.OnPanel, Box: "x"}}, curve, "on a panel, in x"},
		{"another box", Chain{Curve: curve, Taken: boxed, Box: Effect{Built: box.Built, Measured: other}}, []complex128{1.5, 2}, "half space, in the box"},
		{"another panel", Chain{Curve: curve, Taken: onPanel, Panel: Effect{Built: panel.Built, Measured: other}}, []complex128{0.25, -4i}, "on a panel (the panel)"},
		{"panel taken out", Chain{Curve: curve, Taken: onPanel, Panel: Effect{Measured: other}}, []complex128{0.5, -2i}, "half space"},
		{"box taken out", Chain{Curve: curve, Taken: boxed, Box: Effect{Measured: other}}, []complex128{0.5, -2i}, "half space"},
		{"on the floor", Chain{Curve: curve, Taken: response.Taken{Mounting: response.OnFloor}}, []complex128{0.5, 1i}, "on a panel"},
		{"2 V at 0.5 m", Chain{Curve: curve, Taken: response.Taken{Mounting: response.HalfSpace, Voltage: 2, Distance: 0.5}}, []complex128{0.25, 0.5i}, "half space"},
	} {
		stages, err := c.chain.Stages()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		last := stages[len(stages)-1]
		if !cmp.Equal(last.P, c.want) || last.Taken.String() != c.end {
			t.Errorf("%s: %v, %q, want %v, %q", c.name, last.P, last.Taken, c.want, c.end)
		}
		if got, err := c.chain.Pressure(); err != nil || !cmp.Equal(got, c.want) {
			t.Errorf("%s: pressure %v, %v", c.name, got, err)
		}
	}
	if curve[0] != 1 || curve[1] != 2i {
		t.Errorf("the curve was changed: %v", curve)
	}
	stages, err := Chain{Curve: curve, Taken: inHalfSpace, Box: box, Panel: panel}.Stages()
	if err != nil || len(stages) != 3 || !cmp.Equal(stages[0].P, curve) || !cmp.Equal(stages[1].P, []complex128{3, -2}) {
		t.Errorf("stages %v, %v", stages, err)
	}
}

// An effect applied and taken out again leaves the curve; a chain is linear.
func TestChainRoundTrip(t *testing.T) {
	curve := []complex128{1 + 1i, 0.2 - 3i, 5}
	effect := []complex128{0.5 + 0.1i, 1.2 - 0.4i, -2}
	there, err := Chain{Curve: curve, Taken: inHalfSpace, Panel: Effect{Built: effect}}.Stages()
	if err != nil {
		t.Fatal(err)
	}
	at := there[len(there)-1]
	back, err := Chain{Curve: at.P, Taken: at.Taken, Panel: Effect{Measured: effect}}.Pressure()
	if err != nil {
		t.Fatal(err)
	}
	for i := range curve {
		if d := back[i] - curve[i]; !(real(d)*real(d)+imag(d)*imag(d) <= 1e-28) {
			t.Errorf("point %d: %v, want %v", i, back[i], curve[i])
		}
	}
}

func TestChainCountsEachEffectOnce(t *testing.T) {
	one := []complex128{1}
	for want, c := range map[string]Chain{
		"already contains the box":              {Curve: one, Taken: boxed, Box: Effect{Built: one}},
		"already contains the panel":            {Curve: one, Taken: response.Taken{Mounting: response.OnFloor}, Panel: Effect{Built: one}},
		"already contains the panel, whose":     {Curve: one, Taken: onPanel, Panel: Effect{Built: one}},
		"a box is to be taken out":              {Curve: one, Taken: inHalfSpace, Box: Effect{Built: one, Measured: one}},
		"a panel is to be taken out":            {Curve: one, Taken: inHalfSpace, Panel: Effect{Measured: one}},
		"nobody said how":                       {Curve: one, Panel: Effect{Built: one}},
		"near the cone: bring it to half space": {Curve: one, Taken: response.Taken{Mounting: response.NearCone}},
		"near the vent: bring it to half space": {Curve: one, Taken: response.Taken{Mounting: response.NearVent}},
		"response: voltage -1 V":                {Curve: one, Taken: response.Taken{Mounting: response.HalfSpace, Voltage: -1}},
		`response: mounting Mounting(9)`:        {Curve: one, Taken: response.Taken{Mounting: 9}},
	} {
		c.Name = "woofer"
		_, err := c.Pressure()
		if err == nil || !strings.Contains(err.Error(), "crossover: woofer: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
	panics(t, "lengths", func() { Chain{Curve: one, Taken: inHalfSpace, Box: Effect{Built: []complex128{1, 2}}}.Pressure() })
}

func panics(t *testing.T, what string, f func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Errorf("%s: no panic", what)
		}
	}()
	f()
}
