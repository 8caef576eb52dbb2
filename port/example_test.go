package port_test

import (
	"fmt"

	"example.com/halfspace/port"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A tube of 100 mm that tunes 50 L to 35 Hz, one end flush with the front. The
// same sum with 0.8488 and 0.6133 radii for the ends gives 311.3 mm; the front
// end of a tube counts less than the piston it is often taken for.
func ExampleVent_Tuned() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Outer: port.Flanged, Inner: port.Free}
	v, err := v.Tuned(50*units.Litre, 35*units.Hertz, air.Air{Density: 1.2, SpeedOfSound: 344})
	if err != nil {
		fmt.Println(err)
		return
	}
	printed := v.EffectiveLength() - (port.Piston+port.FreePrinted)*v.Diameter/2
	fmt.Printf("length %.1f mm, with printed ends %.1f mm\n", v.Length.In(units.Millimetre), printed.In(units.Millimetre))
	// Output:
	// length 312.6 mm, with printed ends 311.3 mm
}

// A tuning that even a hole without any tube does not reach.
func ExampleVent_Tuned_tooHigh() {
	v := port.Vent{Diameter: 50 * units.Millimetre, Outer: port.Flanged}
	_, err := v.Tuned(10*units.Litre, 140*units.Hertz, air.Air{})
	fmt.Println(err)
	// Output:
	// port: tuning 140 Hz: must be below 128.5 Hz, where vents of 19.63 cm² in 10 L have no length left (needs -5.656 mm); take more area
}

// A bottle of 1 L with a neck of 20 mm by 20 mm, 1.2 radii of it for the ends.
func ExampleVent_Tuning() {
	v := port.Vent{Diameter: 20 * units.Millimetre}
	ends := 2 * v.EndCorrection(port.Free)
	v.Length = 20*units.Millimetre + 1.2*v.Diameter/2 - ends
	fmt.Printf("%.2f Hz\n", v.Tuning(1*units.Litre, air.Air{Density: 1.2, SpeedOfSound: 343}))
	// Output:
	// 171.05 Hz
}

// A slot along the floor of the box, as wide as the box and 20 mm high, with
// 400 mm of height inside.
func ExampleVent_EndCorrection() {
	v := port.Vent{Width: 220 * units.Millimetre, Height: 20 * units.Millimetre, Clear: 400 * units.Millimetre}
	for _, m := range []port.Mouth{port.Flanged, port.AlongWall, port.AcrossBox} {
		fmt.Printf("%-14v %4.1f mm\n", m, v.EndCorrection(m).In(units.Millimetre))
	}
	// Output:
	// flanged        22.3 mm
	// along a wall   36.4 mm
	// across the box 33.2 mm
}

// The air in a long vent is no single mass: the line tunes lower.
func ExampleVent_LineTuning() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Length: 200 * units.Millimetre, Outer: port.Flanged}
	a := air.Air{Density: 1.2, SpeedOfSound: 343.2}
	fmt.Printf("%.1f Hz, as a line %.1f Hz, the tube itself at %.0f Hz\n",
		v.Tuning(50*units.Litre, a), v.LineTuning(50*units.Litre, a), v.PipeResonance(1, a))
	// Output:
	// 41.5 Hz, as a line 41.2 Hz, the tube itself at 632 Hz
}

// A woofer that moves 300 cm³ in a box tuned to 30 Hz.
func ExampleMinimumArea() {
	s := port.MinimumArea(30*units.Hertz, 300*units.CubicCentimetre)
	fmt.Printf("%.0f cm²\n", s.In(units.SquareCentimetre))
	// Output:
	// 72 cm²
}
