package search_test

import (
	"context"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// driver is a resistance in series with a coil; its pressure has a roll-off.
type driver struct {
	re, le  float64
	rolloff func(hz float64) complex128
}

func (d driver) Impedance(z []complex128, hz []float64) {
	for i, f := range hz {
		z[i] = complex(d.re, 2*math.Pi*f*d.le)
	}
}

func (d driver) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for i, f := range hz {
		p[i] = d.rolloff(f)
	}
}

// An invented two-way with a tweeter that resonates at 800 Hz.
func invented() (*crossover.Field, error) {
	ways := []crossover.Way{
		{Name: "woofer", Radiator: driver{6, 0.4e-3, func(f float64) complex128 {
			return 0.1 / complex(1, f/8000)
		}}},
		{Name: "tweeter", Position: r3.Vec{Y: 0.13}, Radiator: driver{5, 0.05e-3, func(f float64) complex128 {
			return 0.15 / complex(1, -700/f)
		}}},
	}
	var hz []float64
	for f := 200.0; f < 20000; f *= 1.1 {
		hz = append(hz, f)
	}
	ahead := r3.Vec{Y: 0.13, Z: 2}
	return crossover.Sample(ways, hz, 344, ahead, r3.Add(ahead, r3.Vec{Y: 0.3}), r3.Add(ahead, r3.Vec{Y: -0.3}))
}

// What one, two, three and four parts can do, flat on axis and a little above and
// below it.
func ExampleProblem_Best() {
	field, err := invented()
	if err != nil {
		fmt.Println(err)
		return
	}
	travel := search.Travel{Limit: 0.4 * units.Millimetre, Volts: 12}
	for _, f := range field.Hz { // of the dome, 0.05 mm per volt at rest
		x := f / 800
		travel.PerVolt = append(travel.PerVolt, 0.05e-3/math.Hypot(1-x*x, x/1.2))
	}
	p := search.Problem{
		Field:     field,
		Resonance: 800,
		Highest:   3 * units.Kilohertz,
		Travel:    []search.Travel{{}, travel},
	}
	frontier, err := p.Best(context.Background(), search.Search{Parts: 4, Keep: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for n, best := range frontier.Best {
		for _, c := range best {
			s := c.Score
			fmt.Printf("%d parts: %.1f dB on axis, %.1f dB in the window, from %.1f kHz, least load %.0f Ω, inverted %v\n",
				n, s.Ripple, s.Window, s.Overtaken[0].In(units.Kilohertz), float64(s.Load), c.Inverted)
		}
	}
	c := frontier.Certificate
	fmt.Println("circuits of 1 to 4 parts, both polarities:", c.Enumerated[1:])
	// Output:
	// 1 parts: 1.7 dB on axis, 1.6 dB in the window, from 1.6 kHz, least load 4 Ω, inverted true
	// 2 parts: 1.0 dB on axis, 0.7 dB in the window, from 3.0 kHz, least load 5 Ω, inverted true
	// 3 parts: 0.5 dB on axis, 0.4 dB in the window, from 3.0 kHz, least load 6 Ω, inverted true
	// 4 parts: 0.2 dB on axis, 0.2 dB in the window, from 3.0 kHz, least load 3 Ω, inverted true
	// circuits of 1 to 4 parts, both polarities: [2 8 40 168]
}

// The circuits of two parts: a capacitor always keeps DC from the tweeter.
func ExampleCircuits() {
	for _, c := range search.Circuits(2) {
		var ways []string
		for w, name := range []string{"woofer", "tweeter"} {
			var arms []string
			for _, arm := range c[w] {
				place := "series "
				if arm.Shunt {
					place = "shunt "
				}
				for _, part := range arm.Parts {
					arms = append(arms, place+part.Kind.String())
				}
			}
			if arms == nil {
				arms = []string{"straight"}
			}
			ways = append(ways, name+" "+strings.Join(arms, " "))
		}
		fmt.Println(strings.Join(ways, ", "))
	}
	// Output:
	// woofer straight, tweeter series capacitor series resistor
	// woofer straight, tweeter series capacitor shunt coil
	// woofer straight, tweeter series capacitor shunt resistor
	// woofer series coil, tweeter series capacitor
}

// Five parts for an invented two-way: first any values, then what the shop has.
func Example() {
	ways := []crossover.Way{
		{Name: "woofer", Radiator: driver{6, 0.4e-3, func(f float64) complex128 {
			return 0.1 / complex(1, f/8000)
		}}},
		{Name: "tweeter", Inverted: true, Position: r3.Vec{Y: 0.13}, Radiator: driver{5, 0.05e-3, func(f float64) complex128 {
			return 0.15 / complex(1, -700/f)
		}}},
	}
	var hz []float64
	for f := 200.0; f < 20000; f *= 1.1 {
		hz = append(hz, f)
	}
	field, err := crossover.Sample(ways, hz, 344, r3.Vec{Y: 0.13, Z: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := search.Problem{
		Field: field, Lo: 300, Hi: 15 * units.Kilohertz,
		Crossing: 2 * units.Kilohertz, Load: 4.5,
		// Nothing is known of what moves.
		Travel: []search.Travel{{}, {Limit: search.Off}},
	}
	start := []ladder.Network{
		{
			ladder.Series(ladder.L(0.6 * units.Millihenry).WithResistance(0.3)),
			ladder.Shunt(ladder.C(8 * units.Microfarad)),
		},
		{
			ladder.Series(ladder.R(2)),
			ladder.Series(ladder.C(8 * units.Microfarad)),
			ladder.Shunt(ladder.L(0.4 * units.Millihenry).WithResistance(0.2)),
		},
	}
	tuned, err := p.Tune(3, start...)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("start: %.2f dB\n", p.Score(start...).Ripple)
	fmt.Printf("free:  %.2f dB, crossing %.1f kHz, load %.1f Ω\n",
		tuned.Score.Ripple, tuned.Score.Crossing[0].In(units.Kilohertz), float64(tuned.Score.Load))

	var shop parts.Catalogue
	for _, v := range parts.E12.Values() {
		for _, v := range []float64{v, 10 * v} {
			shop = append(shop,
				parts.Item{ID: fmt.Sprintf("coil %.3g mH", v/10), Kind: parts.AirCoil, Price: 3 + v/5,
					Part: ladder.L(units.Inductance(v / 10 * 1e-3)).WithResistance(0.3)},
				parts.Item{ID: fmt.Sprintf("film %g µF", v), Kind: parts.FilmCapacitor, Price: 1 + v/4,
					Part: ladder.C(units.Capacitance(v * 1e-6))},
				parts.Item{ID: fmt.Sprintf("resistor %g Ω", v), Kind: parts.Resistor, Price: 0.5,
					Part: ladder.R(units.Resistance(v))})
		}
	}
	p.Budget = 18
	choice, err := p.Shelf(tuned.Networks, shop, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("shelf: %.2f dB, crossing %.1f kHz, load %.1f Ω, price %.2f\n",
		choice.Score.Ripple, choice.Score.Crossing[0].In(units.Kilohertz), float64(choice.Score.Load), choice.Price)
	for w, items := range choice.Items {
		for _, item := range items {
			fmt.Printf("%s: %s\n", ways[w].Name, item.ID)
		}
	}
	// Output:
	// start: 2.00 dB
	// free:  0.52 dB, crossing 2.0 kHz, load 5.5 Ω
	// shelf: 0.65 dB, crossing 2.2 kHz, load 5.8 Ω, price 17.79
	// woofer: coil 1 mH
	// woofer: film 15 µF
	// tweeter: resistor 3.3 Ω
	// tweeter: film 12 µF
	// tweeter: coil 0.27 mH
}
