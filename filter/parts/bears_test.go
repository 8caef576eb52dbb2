package parts

import (
	"math"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func TestRatingsGolden(t *testing.T) {
	golden.Run(t, "testdata/ratings.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "derated power":
			p, err := Derate(units.Power(r.Num(t, "P", "W")), units.Celsius(r.Num(t, "t", "degC")), units.Celsius(r.Num(t, "reference", "degC")), units.Celsius(r.Num(t, "limit", "degC")))
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(p))
		case "series resistance":
			// What the item has over one without losses.
			c := ladder.C(units.Capacitance(r.Num(t, "C", "uF")) * units.Microfarad)
			d, err := Compare(Item{Part: c.WithLoss(r.Num(t, "loss", "1"))}, Item{Part: c}, Place{units.Frequency(r.Num(t, "f", "Hz")), 1, 8})
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(d.Resistance))
		default:
			r.Unknown(t)
		}
	})
}

// TestDerate: flat, straight, nothing.
func TestDerate(t *testing.T) {
	at := func(celsius float64) float64 {
		p, err := Derate(10, units.Celsius(celsius), units.Celsius(70), units.Celsius(270))
		if err != nil {
			t.Fatal(err)
		}
		return float64(p)
	}
	for _, c := range [][2]float64{{-40, 10}, {70, 10}, {120, 7.5}, {170, 5}, {269, 0.05}, {271, 0}} {
		if got := at(c[0]); !(math.Abs(got-c[1]) <= 1e-11) {
			t.Errorf("%g °C: %g W, want %g", c[0], got, c[1])
		}
	}
}

func TestBears(t *testing.T) {
	room := units.Celsius(25)
	for _, test := range []struct {
		item Item
		duty ladder.Duty
		at   units.Temperature
		want float64
	}{
		{Item{Kind: Resistor, Part: ladder.R(4), Rating: Rating{Power: 10}}, ladder.Duty{Power: 4}, room, 0.4},
		{Item{Kind: Resistor, Part: ladder.R(4), Rating: Rating{Power: 10}}, ladder.Duty{Power: 4}, units.Celsius(172.5), 0.8},
		{Item{Kind: FilmCapacitor, Part: ladder.C(1e-6), Rating: Rating{Voltage: 250}}, ladder.Duty{Voltage: 20, PeakVoltage: 50}, room, 0.2},
		{Item{Kind: BipolarCapacitor, Part: ladder.C(1e-6), Rating: Rating{Voltage: 50}}, ladder.Duty{Voltage: 20, PeakVoltage: 60}, room, 1.2},
		{Item{Kind: AirCoil, Part: ladder.L(1e-3), Rating: Rating{Current: 5}}, ladder.Duty{Current: 4, PeakCurrent: 9}, room, 0.8},
		{Item{Kind: IronCoil, Part: ladder.L(1e-3), Rating: Rating{Current: 6}}, ladder.Duty{Current: 4, PeakCurrent: 9}, room, 1.5},
	} {
		got, err := test.item.Bears(test.duty, test.at)
		if err != nil || !(math.Abs(float64(got)-test.want) <= 1e-12) {
			t.Errorf("%v: %v, %v, want %g", test.item.Kind, got, err, test.want)
		}
	}
}

// TestBearsInNetwork: what a network's duty takes, by the law of Ohm.
func TestBearsInNetwork(t *testing.T) {
	n := ladder.Network{ladder.Series(ladder.R(4))}
	d, err := n.Duty(ladder.Programme{Volts: 12, Crest: 2, Hz: []float64{1000}, Weight: []float64{1}}, []complex128{8})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Item{Kind: Resistor, Part: ladder.R(4), Rating: Rating{Power: 10}}.Bears(d.Parts[0], units.Celsius(20))
	if err != nil || !(math.Abs(float64(got)-0.4) <= 1e-12) {
		t.Errorf("%v, %v", got, err)
	}
}

func TestBearsErrors(t *testing.T) {
	room := units.Celsius(25)
	r := Item{ID: "r", Kind: Resistor, Part: ladder.R(4), Rating: Rating{Power: 10}}
	c := Item{ID: "c", Kind: FilmCapacitor, Part: ladder.C(1e-6), Rating: Rating{Voltage: 250}}
	l := Item{ID: "l", Kind: AirCoil, Part: ladder.L(1e-3), Rating: Rating{Current: 5}}
	bears := func(i Item, d ladder.Duty, t units.Temperature) error { _, err := i.Bears(d, t); return err }
	derate := func(p units.Power, t, reference, limit units.Temperature) error {
		_, err := Derate(p, t, reference, limit)
		return err
	}
	compare := func(p Place) error { _, err := Compare(r, r, p); return err }
	nan := math.NaN()
	for _, test := range []struct {
		err  error
		want string
	}{
		{bears(Item{ID: "x", Part: ladder.R(1)}, ladder.Duty{}, room), "parts: x: rating not given: must be known"},
		{bears(Item{ID: "x", Kind: FilmCapacitor, Part: ladder.C(1)}, ladder.Duty{}, room), "parts: x: rating not given: must be known"},
		{bears(Item{ID: "x", Kind: AirCoil, Part: ladder.L(1), Rating: Rating{Current: -1}}, ladder.Duty{}, room), "parts: x: rating -1 A: must be positive and finite"},
		{bears(r, ladder.Duty{Power: units.Power(nan)}, room), "parts: r: power NaN W: must be zero or positive, and finite"},
		{bears(r, ladder.Duty{Power: 1}, units.Celsius(280)), "parts: r: surroundings 280 °C: must be below 275 °C, where it bears nothing"},
		{bears(r, ladder.Duty{Power: 1}, 0), "parts: temperature -273.1 °C: must be above absolute zero and finite"},
		{bears(c, ladder.Duty{Voltage: 20}, room), "parts: c: peak voltage 0 V: must be at least the RMS, 20 V"},
		{bears(c, ladder.Duty{Voltage: 20, PeakVoltage: units.Voltage(nan)}, room), "parts: c: peak voltage NaN V: must be zero or positive, and finite"},
		{bears(c, ladder.Duty{}, units.Temperature(nan)), "parts: temperature NaN °C: must be above absolute zero and finite"},
		{bears(l, ladder.Duty{Current: -2}, room), "parts: l: current -2 A: must be zero or positive, and finite"},
		{derate(0, room, room, 400), "parts: rated power 0 W: must be positive and finite"},
		{derate(1, room, 400, 400), "parts: limit of temperature 126.9 °C: must be above the reference temperature, 126.9 °C"},
		{derate(1, room, room, units.Temperature(math.Inf(1))), "parts: limit of temperature +Inf °C: must be above absolute zero and finite"},
		{derate(1, room, -1, 400), "parts: reference temperature -274.1 °C: must be above absolute zero and finite"},
		{compare(Place{0, 1, 8}), "parts: frequency 0 Hz: must be positive and finite"},
		{compare(Place{1000, units.Current(nan), 8}), "parts: current NaN A: must be zero or positive, and finite"},
		{compare(Place{1000, 1, 0}), "parts: load 0 Ω: must be positive and finite"},
		{CheckStock([]Item{r, {ID: "one", Quantity: 1}, r, {ID: "two", Quantity: 2}, {ID: "two", Quantity: 2}, {ID: "one", Quantity: 1}}), "parts: one: number in use 2: must be at most 1, as many as there are"},
	} {
		if test.err == nil || test.err.Error() != test.want {
			t.Errorf("got  %v\nwant %s", test.err, test.want)
		}
	}
	if err := CheckStock([]Item{r, r, r, {ID: "one", Quantity: 1}, {ID: "two", Quantity: 2}, {ID: "two", Quantity: 2}}); err != nil {
		t.Error(err)
	}
}

// TestCompare solves both parts in a network into the load.
func TestCompare(t *testing.T) {
	a := Item{Part: ladder.L(1e-3).WithResistance(0.7), Price: 4, Tolerance: 0.03}
	b := Item{Part: ladder.L(1e-3).WithResistance(0.2), Price: 9, Tolerance: 0.05}
	d, err := Compare(a, b, Place{Frequency: 1, Current: 3, Load: 6})
	if err != nil {
		t.Fatal(err)
	}
	gain := func(i Item) (float64, float64) {
		s, err := ladder.Network{ladder.Series(i.Part)}.State(0.01, 6)
		if err != nil {
			t.Fatal(err)
		}
		v := real(s.Load.Voltage)
		return v, s.Parts[0].Power / (v / 6 * v / 6)
	}
	va, ra := gain(a)
	vb, rb := gain(b)
	for name, q := range map[string][2]float64{
		"resistance": {float64(d.Resistance), ra - rb},
		"power":      {float64(d.Power), 9 * (ra - rb)},
		"loss":       {d.Loss, 20 * math.Log10(vb/va)},
		"price":      {d.Price, -5},
		"tolerance":  {float64(d.Tolerance), -0.02},
	} {
		if !(math.Abs(q[0]-q[1]) <= 1e-8) {
			t.Errorf("%s: %g, want %g", name, q[0], q[1])
		}
	}
}

func TestChoices(t *testing.T) {
	c := shop(t)
	got := c.Choices(ladder.L(1.2*units.Millihenry), 0)
	want := []string{"coil-1.2mH-0.6mm", "ironcoil-1.2mH", "coil-1.2mH-1.0mm", "coil-1.2mH-1.4mm"}
	if len(got) != len(want) {
		t.Fatalf("%d choices, want %d", len(got), len(want))
	}
	for i, item := range got {
		if item.ID != want[i] {
			t.Errorf("choice %d is %s, want %s", i, item.ID, want[i])
		}
	}
	// 20 % reaches from 1.0 to 1.44, and no further.
	for _, item := range c.Choices(ladder.L(1.2*units.Millihenry), 0.2) {
		if v := item.Part.Value; v < 1e-3 || v > 1.44e-3 {
			t.Errorf("%s", item.ID)
		}
	}
	if n := len(c.Choices(ladder.L(1.2*units.Millihenry), 0.2)); n != 8 {
		t.Errorf("%d choices, want 8", n)
	}
	// 0.69/0.6 is above 1.15 in binary.
	if n := len((Catalogue{{Part: ladder.R(0.69)}}).Choices(ladder.R(0.6), 0.15)); n != 1 {
		t.Error("the end of the range is left out")
	}
	// Equal prices by resistance, then by name.
	coil := func(id string, r units.Resistance) Item {
		return Item{ID: id, Kind: AirCoil, Part: ladder.L(1).WithResistance(r)}
	}
	same := Catalogue{coil("z", 1), coil("b", 2), coil("a", 2)}.Choices(ladder.L(1), 0)
	if same[0].ID+same[1].ID+same[2].ID != "zab" {
		t.Errorf("%v", same)
	}
}
