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

func shop(t testing.TB) Catalogue {
	t.Helper()
	f, err := os.Open("testdata/parts.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := ReadCatalogue(f)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestReadCatalogue(t *testing.T) {
	c := shop(t)
	if len(c) != 174 {
		t.Errorf("%d items, want 174", len(c))
	}
	count := map[Kind]int{}
	byID := map[string]Item{}
	for _, item := range c {
		if err := item.Part.Check(); err != nil {
			t.Errorf("%s: %v", item.ID, err)
		}
		count[item.Kind]++
		byID[item.ID] = item
	}
	want := map[Kind]int{AirCoil: 60, IronCoil: 11, FilmCapacitor: 42, BipolarCapacitor: 19, Resistor: 42}
	if d := cmp.Diff(want, count); d != "" {
		t.Errorf("kinds (-want +got):\n%s", d)
	}
	for _, want := range []Item{
		{"coil-0.10mH-0.6mm", AirCoil, ladder.Part{Kind: ladder.Inductor, Value: 0.1e-3, Resistance: 0.276, Tolerance: 0.03}, 0.03, Rating{Current: 1.7}, 3.45, "0.6 mm copper wire, 82 turns, 23 mm across, 11 g copper", 0},
		{"ironcoil-1.0mH", IronCoil, ladder.Part{Kind: ladder.Inductor, Value: 1e-3, Resistance: 0.165, Tolerance: 0.05}, 0.05, Rating{Current: 7.2}, 6.65, "rating is the saturation current (peak, inductance down by a tenth)", 0},
		{"film-4.7uF", FilmCapacitor, ladder.Part{Kind: ladder.Capacitor, Value: 4.7e-6, Loss: 0.0005, Tolerance: 0.03}, 0.03, Rating{Voltage: 250}, 4.10, "polypropylene", 0},
		{"bipolar-100uF", BipolarCapacitor, ladder.Part{Kind: ladder.Capacitor, Value: 100e-6, Loss: 0.06, Tolerance: 0.1}, 0.1, Rating{Voltage: 50}, 5.20, "loss factor at 1 kHz; drifts with age", 0},
		{"resistor-0.47ohm-10W", Resistor, ladder.Part{Kind: ladder.Resistor, Value: 0.47, Tolerance: 0.05}, 0.05, Rating{Power: 10}, 1.10, "wire-wound, cement body", 0},
	} {
		if d := cmp.Diff(want, byID[want.ID]); d != "" {
			t.Errorf("%s (-want +got):\n%s", want.ID, d)
		}
	}
}

const head = "id,kind,value,tolerance_percent,resistance_ohm,loss_factor,rating,price_EUR,note\n"

func TestReadCatalogueAccepts(t *testing.T) {
	for _, text := range []string{
		head,
		"# comment\n" + strings.Replace(head, "EUR", "CHF", 1) + "a,resistor,1 ohm,5,,,,0,\n",
		head + "a,film capacitor,2u2,5,0.02,0.001,,1.5,\n",
		head + "a,film capacitor,\"2,2 uF\",5,\"0,02\",0.001,,\"6,95\",\n",
		head + "a,air-core coil,1.2 mH,5,0.3,,,1.5,\"two\nlines\"\nb,resistor,3.3 Ω,1,3.30,,10 W,1,\n",
	} {
		if _, err := ReadCatalogue(strings.NewReader(text)); err != nil {
			t.Errorf("%s%v", text, err)
		}
	}
}

func TestReadCatalogueErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", "parts: price list is empty, want a line that names the columns"},
		{"id,kind\n", "parts: line 1: 2 fields, want 9; what is not known is left empty between its commas"},
		{strings.ReplaceAll(head, ",", ";"), "parts: line 1: 1 field, want 9 with commas between them, not semicolons"},
		{strings.ReplaceAll(head, ",", "\t"), "parts: line 1: 1 field, want 9 with commas between them, not tabs"},
		{head + "# gap\na,air-core coil,0,15 mH,5,0.3,,,1,\n", `parts: line 3: 10 fields, want 9: if 0,15 mH is one number, put it in quotes, "0,15 mH", or write a decimal point`},
		{head + "a,air-core coil,1 mH,5,0.3,,,6,95,\n", `parts: line 2: 10 fields, want 9: if 6,95 is one number, put it in quotes, "6,95", or write a decimal point`},
		{head + "a,resistor,1 ohm,5,,,,1,wire, cement\n", "parts: line 2: 10 fields, want 9; a text with a comma needs quotes"},
		{head + "a,resistor,1 ohm,5,,,,\"1,000\",\n", `parts: line 2, price_EUR "1,000": must be a number, zero or positive; a comma before three digits may separate thousands or decimals: write a decimal point`},
		{head + "a,resistor,1 ohm,5,,,,6.95 EUR,\n", `parts: line 2, price_EUR "6.95 EUR": must be a number, zero or positive`},
		{strings.Replace(head, "value", "size", 1), `parts: line 1: column 3 is named "size", want value`},
		{strings.Replace(head, "price_EUR", "cost", 1), `parts: line 1: column 8 is named "cost", want price_ and the currency`},
		{head + "a,resistor,1 ohm\n", "parts: line 2: 3 fields, want 9; what is not known is left empty between its commas"},
		{head + ",resistor,1 ohm,5,,,,1,\n", `parts: line 2, id "": must not be empty`},
		{head + "a,diode,1 ohm,5,,,,1,\n", `parts: line 2, kind "diode": must be one of air-core coil, iron-cored coil, film capacitor, bipolar electrolytic capacitor, resistor`},
		{head + "a,resistor,0 ohm,5,,,,1,\n", `parts: line 2, value 0 Ω: must be positive and finite`},
		{head + "a,resistor,1 ohm,,,,,1,\n", `parts: line 2, tolerance_percent "": must be a number, zero or positive`},
		{head + "a,resistor,1 ohm,100,,,,1,\n", `parts: line 2, tolerance_percent "100": must be below 100`},
		{head + "a,resistor,1 ohm,nan,,,,1,\n", `parts: line 2, tolerance_percent "nan": must be a number, zero or positive`},
		{head + "a,resistor,1 ohm,5,,,,Inf,\n", `parts: line 2, price_EUR "Inf": must be a number, zero or positive`},
		{head + "a,resistor,1 ohm,5,,,,-1,\n", `parts: line 2, price_EUR "-1": must be a number, zero or positive`},
		{head + "a,resistor,1 ohm,5,2,,,1,\n", `parts: line 2, resistance_ohm "2": must be empty or the value of the resistor`},
		{head + "a,resistor,1 ohm,5,,0.1,,1,\n", `parts: line 2, loss_factor "0.1": must be empty but for a capacitor`},
		{head + "a,air-core coil,1 mH,5,,,,1,\n", `parts: line 2, resistance_ohm "": must be a number, zero or positive`},
		{head + "a,film capacitor,1 uF,5,,x,,1,\n", `parts: line 2, loss_factor "x": must be a number, zero or positive`},
		{head + "a,resistor,1 ohm,5,,,0 W,1,\n", `parts: line 2, rating 0 W: must be positive and finite`},
		{head + "a,resistor,1 ohm,5,,,,1,\n\n# gap\na,resistor,2 ohm,5,,,,1,\n", `parts: line 5, id "a": must name one item only, but names that of line 2 too`},
	} {
		c, err := ReadCatalogue(strings.NewReader(test.text))
		if err == nil || err.Error() != test.want || c != nil {
			t.Errorf("%s\nerror %v\nwant  %s", test.text, err, test.want)
		}
	}

	// The unit of another quantity: the message names the place, the rest is that of units.
	for _, line := range []string{"a,air-core coil,1 uF,5,0.1,,,1,\n", "a,film capacitor,1,5,,,,1,\n", "a,resistor,1 ohm,5,,,5 V,1,\n"} {
		_, err := ReadCatalogue(strings.NewReader(head + line))
		if err == nil || !strings.HasPrefix(err.Error(), "parts: line 2, ") || !errors.As(err, new(*units.ParseError)) {
			t.Errorf("%s%v", line, err)
		}
	}
}

func TestNearest(t *testing.T) {
	c := shop(t)
	ids := func(items []Item) string {
		var s []string
		for _, item := range items {
			s = append(s, item.ID)
		}
		return strings.Join(s, " ")
	}
	for _, test := range []struct {
		got  []Item
		want string
	}{
		// Equal values by price; iron and air together.
		{c.Nearest(ladder.L(1.25*units.Millihenry), 5), "coil-1.2mH-0.6mm ironcoil-1.2mH coil-1.2mH-1.0mm coil-1.2mH-1.4mm coil-1.5mH-0.6mm"},
		{c.Of(IronCoil).Nearest(ladder.L(1.25*units.Millihenry), 2), "ironcoil-1.2mH ironcoil-1.5mH"},
		// By ratio: 3.95 is nearer to 4.7 than to 3.3, and 3.9 nearer than both.
		{c.Of(FilmCapacitor).Nearest(ladder.C(3.95*units.Microfarad), 2), "film-3.9uF film-3.9uF-2pc"},
		{Catalogue{
			{ID: "b", Part: ladder.C(3.3e-6)}, {ID: "a", Part: ladder.C(4.7e-6)}, {ID: "r", Part: ladder.R(4e-6)},
		}.Nearest(ladder.C(3.95e-6), 9), "a b"},
		// Equal values and prices by name, whatever their order in the list.
		{Catalogue{
			{ID: "y", Part: ladder.R(2), Price: 1}, {ID: "x", Part: ladder.R(2), Price: 1}, {ID: "z", Part: ladder.R(2), Price: 0.5},
		}.Nearest(ladder.R(2), 3), "z x y"},
		{c.Nearest(ladder.R(1), 0), ""},
		{c.Of(), ""},
	} {
		if got := ids(test.got); got != test.want {
			t.Errorf("got  %s\nwant %s", got, test.want)
		}
	}
}

func TestNearestPanics(t *testing.T) {
	for _, v := range []units.Resistance{0, -1, units.Resistance(math.NaN()), units.Resistance(math.Inf(1))} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v: no panic", v)
				}
			}()
			Catalogue{}.Nearest(ladder.R(v), 1)
		}()
	}
}

func TestDecimalComma(t *testing.T) {
	c, err := ReadCatalogue(strings.NewReader(head + "a,air-core coil,\"0,15 mH\",5,\"0,28\",,,\"6,95\",\n"))
	if err != nil || c[0].Price != 6.95 || c[0].Part.Resistance != 0.28 || c[0].Part.Value != 0.15e-3 {
		t.Errorf("%+v, %v", c, err)
	}
}

// FuzzReadCatalogue: whatever is read passes the checks of the network it will stand in.
func FuzzReadCatalogue(f *testing.F) {
	text, err := os.ReadFile("testdata/parts.csv")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(text[:3000]))
	f.Add(head + "a,film capacitor,2u2,5,0.02,0.001,400 V,1.5,\"x \"\"y\"\"\"\n")
	f.Add(head + "a,resistor,1e400 ohm,5,,,,1,\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ReadCatalogue(strings.NewReader(text))
		if err != nil {
			if c != nil || !strings.HasPrefix(err.Error(), "parts: ") {
				t.Errorf("%v with %d items", err, len(c))
			}
			return
		}
		for _, item := range c {
			if err := item.Part.Check(); err != nil {
				t.Errorf("%q: %v", item.ID, err)
			}
			if item.ID == "" || !(item.Tolerance >= 0 && item.Tolerance < 1) || !(item.Price >= 0 && item.Price <= math.MaxFloat64) {
				t.Errorf("%+v", item)
			}
		}
	})
}
