package crossover

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestChain(t *testing.T) {
	curve, box, panel := []complex128{1, 2i}, []complex128{3, 1i}, []complex128{0.5, 2}
	for _, c := range []struct {
		name  string
		chain Chain
		want  []complex128
	}{
		{"nothing", Chain{Curve: curve}, []complex128{1, 2i}},
		{"both", Chain{Curve: curve, Box: box, Panel: panel}, []complex128{1.5, -4}},
		{"box on a panel", Chain{Curve: curve, Has: OnPanel, Box: box}, []complex128{3, -2}},
		{"panel on a boxed curve", Chain{Curve: curve, Has: InBox, Panel: panel}, []complex128{0.5, 4i}},
		{"all contained", Chain{Curve: curve, Has: InBox | OnPanel}, curve},
	} {
		got, err := c.chain.Pressure()
		if err != nil || !cmp.Equal(got, c.want) {
			t.Errorf("%s: %v, %v, want %v", c.name, got, err, c.want)
		}
	}
	if curve[0] != 1 || curve[1] != 2i {
		t.Errorf("the curve was changed: %v", curve)
	}
}

func TestChainCountsEachEffectOnce(t *testing.T) {
	one := []complex128{1}
	for effect, c := range map[string]Chain{
		"box":   {Name: "woofer", Curve: one, Has: InBox, Box: one},
		"panel": {Name: "woofer", Curve: one, Has: InBox | OnPanel, Panel: one},
	} {
		_, err := c.Pressure()
		if err == nil || !strings.Contains(err.Error(), "woofer") || !strings.Contains(err.Error(), "already contains the "+effect) {
			t.Errorf("%s twice: error %v", effect, err)
		}
	}
	panics(t, "lengths", func() { Chain{Curve: one, Box: []complex128{1, 2}}.Pressure() })
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
