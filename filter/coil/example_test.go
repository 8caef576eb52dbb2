package coil_test

import (
	"fmt"

	"example.com/halfspace/filter/coil"
	"example.com/halfspace/units"
)

// One millihenry of 1 mm wire, each turn 1.1 mm from the next.
func ExampleBrooks() {
	c, err := coil.Brooks(1*units.Millihenry, coil.Wire{Diameter: 1 * units.Millimetre, Pitch: 1.1 * units.Millimetre})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("side       %.3f mm\n", c.Section.Depth.In(units.Millimetre))
	fmt.Printf("turns      %.1f\n", c.Turns)
	fmt.Printf("wire       %.2f m\n", c.WireLength().In(units.Metre))
	fmt.Printf("resistance %.3f Ω at 20 °C, %.3f Ω at 70 °C\n", c.Resistance(units.Celsius(20)), c.Resistance(units.Celsius(70)))
	// Output:
	// side       14.185 mm
	// turns      166.3
	// wire       22.23 m
	// resistance 0.488 Ω at 20 °C, 0.584 Ω at 70 °C
}

// What one really winds has whole turns, and says what they give.
func ExampleDesign() {
	c, err := coil.Design(1*units.Millihenry, coil.Wire{Diameter: 1 * units.Millimetre, Pitch: 1.1 * units.Millimetre})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("former %.1f mm across, %.1f mm long\n", 2*c.Section.Inner.In(units.Millimetre), c.Section.Length.In(units.Millimetre))
	fmt.Printf("%.0f turns in %d layers, %.0f mm across\n", c.Turns, c.Layers, c.OuterDiameter().In(units.Millimetre))
	fmt.Printf("%.3f mH, %.3f Ω, %.0f g, %.2f EUR of copper\n", c.Inductance.In(units.Millihenry), c.Resistance(units.Celsius(20)), c.Mass().In(units.Gram), c.Price(14))
	// Output:
	// former 28.4 mm across, 14.3 mm long
	// 167 turns in 13 layers, 57 mm across
	// 1.005 mH, 0.489 Ω, 156 g, 2.18 EUR of copper
}

// A bobbin at hand takes less than the coil wants.
func ExampleSection_Wind() {
	bobbin := coil.Section{Inner: 10 * units.Millimetre, Length: 20 * units.Millimetre, Depth: 10 * units.Millimetre}
	for _, mm := range []units.Length{0.6, 1.0} {
		c, err := bobbin.Wind(1*units.Millihenry, coil.Wire{Diameter: mm * units.Millimetre})
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%.0f turns in %d layers, %.3f mH, %.3f Ω\n", c.Turns, c.Layers, c.Inductance.In(units.Millihenry), c.Resistance(units.Celsius(20)))
	}
	// Output:
	// 246 turns in 9 layers, 1.004 mH, 1.198 Ω
	// coil: inductance 1 mH: must be at most that of the full winding space, 0.5039 mH
}

// At high frequencies a coil of many layers has a multiple of its resistance.
func ExampleCoil_ResistanceAt() {
	c, err := coil.Design(1*units.Millihenry, coil.Wire{Diameter: 1 * units.Millimetre})
	if err != nil {
		fmt.Println(err)
		return
	}
	hz := []float64{100, 1000, 3000, 10000}
	ohms, err := c.ResistanceAt(hz, units.Celsius(20))
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%5.0f Hz %.2f Ω\n", f, ohms[i])
	}
	// Output:
	//   100 Hz 0.49 Ω
	//  1000 Hz 0.52 Ω
	//  3000 Hz 0.74 Ω
	// 10000 Hz 3.21 Ω
}

// The single layer of one to one has 0.688 of what a long one has.
func ExampleNagaoka() {
	for _, x := range []float64{0.5, 1, 2, 5} {
		fmt.Printf("%.1f %.6f\n", x, coil.Nagaoka(x))
	}
	// Output:
	// 0.5 0.818136
	// 1.0 0.688423
	// 2.0 0.525510
	// 5.0 0.319825
}

// The handbook's coil of one inch each way with a hundred turns.
func ExampleSection_Wheeler() {
	s := coil.Section{Inner: 0.5 * units.Inch, Length: 1 * units.Inch, Depth: 1 * units.Inch}
	short, err := s.Wheeler(100)
	if err != nil {
		fmt.Println(err)
		return
	}
	exact, err := s.Inductance(100)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f µH by the formula, %.1f µH exactly\n", short.In(units.Microhenry), exact.In(units.Microhenry))
	// Output:
	// 320.0 µH by the formula, 321.7 µH exactly
}
