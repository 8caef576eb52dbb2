package parts_test

import (
	"fmt"
	"os"
	"strings"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// In E6 the boundary between 3.3 and 4.7 is their geometric mean, 3.938.
func ExampleSeries_Nearest() {
	for _, v := range []float64{3.93, 3.95, 4.6e-6} {
		fmt.Println(v, parts.E6.Nearest(v), parts.E24.Nearest(v))
	}
	// Output:
	// 3.93 3.3 3.9
	// 3.95 4.7 3.9
	// 4.6e-06 4.7e-06 4.7e-06
}

// shop reads the price list; an error ends the example with other output.
func shop() parts.Catalogue {
	f, err := os.Open("testdata/parts.csv")
	if err != nil {
		fmt.Println(err)
		return nil
	}
	defer f.Close()
	c, err := parts.ReadCatalogue(f)
	if err != nil {
		fmt.Println(err)
	}
	return c
}

func ExampleCatalogue_Nearest() {
	for _, item := range shop().Nearest(ladder.L(1.25*units.Millihenry), 3) {
		fmt.Printf("%-18s %-22v %5.2f EUR\n", item.ID, item.Part, item.Price)
	}
	// Output:
	// coil-1.2mH-0.6mm   L 1.2 mH ±3 % 1.23 Ω    4.60 EUR
	// ironcoil-1.2mH     L 1.2 mH ±5 % 0.185 Ω   6.95 EUR
	// coil-1.2mH-1.0mm   L 1.2 mH ±3 % 0.543 Ω   8.05 EUR
}

// The values of a series on both sides of 5.2 µF.
func ExampleSeries_Bracket() {
	below, above := parts.E12.Bracket(5.2e-6)
	fmt.Println(below, above)
	// Output:
	// 4.7e-06 5.6e-06
}

// Two values of E6 make 3.77 exactly.
func ExampleSeries_Combinations() {
	for _, c := range parts.E6.Combinations(3.77, 3) {
		join := "‖"
		if c.Sum {
			join = "+"
		}
		fmt.Printf("%.2g %s %.2g = %.3f\n", c.A, join, c.B, c.Value)
	}
	// Output:
	// 3.3 + 0.47 = 3.770
	// 2.2 + 1.5 = 3.700
	// 22 ‖ 4.7 = 3.873
}

func ExampleCatalogue_Pairs() {
	films := shop().Of(parts.FilmCapacitor)
	for _, p := range films.Pairs(ladder.C(9*units.Microfarad), 3) {
		j := p.Joined
		fmt.Printf("%s: %v, %.0f V, %.2f EUR\n", j.ID, j.Part, j.Rating.Voltage.In(units.Volt), j.Price)
	}
	// Output:
	// polyester-2.2uF | polyester-6.8uF: C 9 µF ±5 % tan δ 0.006, 100 V, 5.90 EUR
	// film-2.2uF | polyester-6.8uF: C 9 µF ±4.511 % tan δ 0.00466, 100 V, 6.60 EUR
	// film-6.8uF | polyester-2.2uF: C 9 µF ±3.489 % tan δ 0.00184, 100 V, 7.35 EUR
}

// One inductance, four windings.
func ExampleCatalogue_Choices() {
	for _, item := range shop().Choices(ladder.L(1.2*units.Millihenry), 0) {
		fmt.Printf("%-18s %-7v %5.2f EUR\n", item.ID, item.Part.Resistance, item.Price)
	}
	// Output:
	// coil-1.2mH-0.6mm   1.23 Ω   4.60 EUR
	// ironcoil-1.2mH     0.185 Ω  6.95 EUR
	// coil-1.2mH-1.0mm   0.543 Ω  8.05 EUR
	// coil-1.2mH-1.4mm   0.318 Ω 14.10 EUR
}

// What an electrolytic capacitor loses over a film capacitor, and saves.
func ExampleCompare() {
	c := shop()
	part := ladder.C(10 * units.Microfarad)
	bipolar := c.Of(parts.BipolarCapacitor).Nearest(part, 1)[0]
	film := c.Of(parts.FilmCapacitor).Nearest(part, 1)[0]
	d, err := parts.Compare(bipolar, film, parts.Place{Frequency: 1000, Current: 2, Load: 6})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v, %v of heat, %.2f dB, %.2f EUR\n", d.Resistance, d.Power, d.Loss, d.Price)
	// Output:
	// 0.6207 Ω, 2.483 W of heat, 0.84 dB, -2.70 EUR
}

// A resistor of 10 W in a warm box: 8.05 W at 110 °C.
func ExampleDerate() {
	p, err := parts.Derate(10*units.Watt, units.Celsius(110), units.Celsius(70), units.Celsius(275))
	fmt.Printf("%.5f W %v\n", p.In(units.Watt), err)
	// Output:
	// 8.04878 W <nil>
}

func ExampleItem_Bears() {
	coil := shop().Of(parts.IronCoil)[0]
	used, err := coil.Bears(ladder.Duty{Current: 3.2, PeakCurrent: 6.4}, units.Celsius(25))
	fmt.Printf("%s saturates at %v: %.0f %% used %v\n", coil.ID, coil.Rating.Current, used.In(units.Percent), err)
	// Output:
	// ironcoil-1.0mH saturates at 7.2 A: 89 % used <nil>
}

// Pairs of measured parts, one for each speaker.
func ExampleReadDrawer() {
	const list = `id,kind,nominal,measured,resistance_ohm,pair,note
c1,film capacitor,6.8 uF,6.895 uF,,D,polypropylene
c2,film capacitor,6.8 uF,6.876 uF,,D,polypropylene
c3,film capacitor,4.7 uF,4.803 uF,,,single
`
	drawer, err := parts.ReadDrawer(strings.NewReader(list), 0.5*units.Percent)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, item := range drawer.Matched() {
		fmt.Println(item.ID, item.Part)
	}
	// Output:
	// c1 & c2 C 6.886 µF ±0.6387 %
}
