package parts

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

const drawerHead = "id,kind,nominal,measured,resistance_ohm,pair,note\n"

func drawer(t testing.TB) Drawer {
	t.Helper()
	f, err := os.Open("testdata/drawer.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d, err := ReadDrawer(f, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestReadDrawer(t *testing.T) {
	d := drawer(t)
	if len(d) != 25 {
		t.Fatalf("%d parts, want 25", len(d))
	}
	for _, want := range []Owned{
		{Item{"drawer-01", AirCoil, ladder.Part{Kind: ladder.Inductor, Value: 1.149e-3, Resistance: 0.539, Tolerance: 0.01}, 0.01, Rating{}, 0, "1.0 mm wire, from a taken-apart speaker", 1}, 1.2e-3, "A"},
		{Item{"drawer-13", FilmCapacitor, ladder.Part{Kind: ladder.Capacitor, Value: 4.803e-6, Tolerance: 0.01}, 0.01, Rating{}, 0, "polypropylene, single", 1}, 4.7e-6, ""},
		{Item{"drawer-20", Resistor, ladder.Part{Value: 3.259, Tolerance: 0.01}, 0.01, Rating{}, 0, "10 W", 1}, 3.3, "G"},
	} {
		for _, o := range d {
			if o.ID == want.ID {
				if diff := cmp.Diff(want, o); diff != "" {
					t.Errorf("%s (-want +got):\n%s", o.ID, diff)
				}
			}
		}
	}
	c := d.Catalogue()
	if len(c) != 25 || c[3].ID != "drawer-04" {
		t.Errorf("%d items, the fourth %s", len(c), c[3].ID)
	}
	for _, item := range c {
		if err := item.Part.Check(); err != nil || item.Quantity != 1 || item.Price != 0 {
			t.Errorf("%+v: %v", item, err)
		}
	}
	// No part of which there is one pairs with itself.
	for _, p := range c.Pairs(ladder.C(13.6*units.Microfarad), 1000) {
		if p.A.ID == p.B.ID {
			t.Errorf("%s twice", p.A.ID)
		}
	}
	if best := c.Pairs(ladder.C(13.76*units.Microfarad), 1)[0]; best.A.ID != "drawer-09" || best.B.ID != "drawer-10" || !best.Parallel {
		t.Errorf("%+v", best)
	}
}

func TestMatched(t *testing.T) {
	d := drawer(t)
	m := d.Matched()
	if len(m) != 8 {
		t.Fatalf("%d pairs, want 8", len(m))
	}
	for _, item := range m {
		a, b, _ := strings.Cut(item.ID, " & ")
		for _, o := range d {
			if o.ID != a && o.ID != b {
				continue
			}
			// Both ends of what the part may be, and one of them exactly.
			for _, sign := range []float64{-1, 1} {
				if off := math.Abs(o.Part.Value*(1+sign*0.01)/item.Part.Value - 1); off > float64(item.Tolerance) {
					t.Errorf("%s may be off by %g, tolerance %v", o.ID, off, item.Tolerance)
				}
			}
		}
		if item.Quantity != 1 || item.Part.Tolerance != item.Tolerance {
			t.Errorf("%+v", item)
		}
	}
	// 1.149 and 1.230 mH: the mean 1.1895, and 1.230 · 1.01 is 4.4388 % above it.
	if a := m[0]; a.ID != "drawer-01 & drawer-02" || !(math.Abs(a.Part.Value-1.1895e-3) < 1e-15) ||
		!(math.Abs(float64(a.Tolerance)-0.0443884) < 1e-7) || !(math.Abs(float64(a.Part.Resistance)-0.5465) < 1e-12) {
		t.Errorf("%+v", a)
	}
}

func TestReadDrawerErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", "parts: drawer is empty, want a line that names the columns"},
		{"id,kind\n", "parts: line 1: 2 fields, want 7; what is not known is left empty between its commas"},
		{strings.Replace(drawerHead, "measured", "real", 1), `parts: line 1: column 4 is named "real", want measured`},
		{drawerHead + ",resistor,1 ohm,1 ohm,,,\n", `parts: line 2, id "": must not be empty`},
		{drawerHead + "a,valve,1 ohm,1 ohm,,,\n", `parts: line 2, kind "valve": must be one of air-core coil, iron-cored coil, film capacitor, bipolar electrolytic capacitor, resistor`},
		{drawerHead + "a,resistor,1 ohm,1 ohm,,,\na,resistor,1 ohm,1 ohm,,,\n", `parts: line 3, id "a": must name one item only, but names that of line 2 too`},
		{drawerHead + "a,resistor,1 ohm,0 ohm,,,\n", "parts: line 2, measured 0 Ω: must be positive and finite"},
		{drawerHead + "a,resistor,-1 ohm,1 ohm,,,\n", "parts: line 2, nominal -1 Ω: must be positive and finite"},
		{drawerHead + "a,resistor,1 ohm,1.01 ohm,1,,\n", `parts: line 2, resistance_ohm "1": must be empty or the measured value of the resistor`},
		{drawerHead + "a,air-core coil,1 mH,1.01 mH,,,\n", `parts: line 2, resistance_ohm "": must be a number, zero or positive`},
		{drawerHead + "a,film capacitor,1 uF,1.01 uF,NaN,,\n", `parts: line 2, resistance_ohm "NaN": must be a number, zero or positive`},
		{drawerHead + "a,resistor,1 ohm,1 ohm,,A,\n", `parts: line 2, pair "A": must stand on two lines, but stands on one`},
		{drawerHead + "a,resistor,1 ohm,1 ohm,,A,\nb,resistor,1 ohm,1 ohm,,A,\nc,resistor,1 ohm,1 ohm,,A,\n", `parts: line 4, pair "A": must stand on two lines only`},
		{drawerHead + "a,resistor,1 ohm,1 ohm,,A,\nb,resistor,2 ohm,1 ohm,,A,\n", `parts: line 3, pair "A": must be of one kind and nominal value with a`},
		{drawerHead + "a,film capacitor,1 uF,1 uF,,A,\nb,bipolar electrolytic capacitor,1 uF,1 uF,,A,\n", `parts: line 3, pair "A": must be of one kind and nominal value with a`},
	} {
		d, err := ReadDrawer(strings.NewReader(test.text), 0)
		if err == nil || err.Error() != test.want || d != nil {
			t.Errorf("%s\nerror %v\nwant  %s", test.text, err, test.want)
		}
	}
	_, err := ReadDrawer(strings.NewReader(drawerHead+"a,air-core coil,1 mH,1 uF,0.1,,\n"), 0)
	if err == nil || !strings.HasPrefix(err.Error(), "parts: line 2, measured: ") || !errors.As(err, new(*units.ParseError)) {
		t.Errorf("unit of another quantity: %v", err)
	}
	for _, u := range []units.Ratio{-0.01, 1, units.Ratio(math.NaN())} {
		if _, err := ReadDrawer(strings.NewReader(drawerHead), u); err == nil || !strings.HasPrefix(err.Error(), "parts: uncertainty ") {
			t.Errorf("uncertainty %v: %v", u, err)
		}
	}
}

// TestMatchedUnlike: two values so far apart are no pair.
func TestMatchedUnlike(t *testing.T) {
	d, err := ReadDrawer(strings.NewReader(drawerHead+"a,resistor,1 ohm,1 ohm,,A,\nb,resistor,1 ohm,400 ohm,,A,\nc,resistor,1 ohm,1 ohm,,B,\nd,resistor,1 ohm,2 ohm,,B,\n"), 0.01)
	if err != nil {
		t.Fatal(err)
	}
	if m := d.Matched(); len(m) != 1 || m[0].ID != "c & d" {
		t.Errorf("%+v", m)
	}
}

// FuzzReadDrawer: whatever is read can stand in a network, and pairs are pairs.
func FuzzReadDrawer(f *testing.F) {
	text, err := os.ReadFile("testdata/drawer.csv")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(text))
	f.Add(drawerHead + "a,film capacitor,2u2,2.3 uF,0.02,A,\"x \"\"y\"\"\"\nb,film capacitor,2.2uF,1 F,,A,\n")
	f.Add(drawerHead + "a,resistor,1e400 ohm,5,,,\n")
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ReadDrawer(strings.NewReader(text), 0.02)
		if err != nil {
			if d != nil || !strings.HasPrefix(err.Error(), "parts: ") {
				t.Errorf("%v with %d parts", err, len(d))
			}
			return
		}
		pairs := 0
		for _, o := range d {
			if err := o.Part.Check(); err != nil || o.ID == "" || !(o.Nominal > 0) {
				t.Errorf("%+v: %v", o, err)
			}
			if o.Pair != "" {
				pairs++
			}
		}
		m := d.Matched()
		if len(m) > pairs/2 || pairs%2 != 0 {
			t.Errorf("%d parts of pairs, %d pairs", pairs, len(m))
		}
		for _, item := range m {
			if err := item.Part.Check(); err != nil {
				t.Errorf("%s: %v", item.ID, err)
			}
		}
	})
}
