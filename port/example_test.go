package port_test

import (
	"fmt"
	"math"

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

// Two vents of 100 mm, 200 mm long and flush at both ends, with 50 mm between
// them: they tune 2.9 % lower than far apart.
func ExampleMutualEnd() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Length: 200 * units.Millimetre, Count: 2,
		Outer: port.Flanged, Inner: port.Flanged}
	apart := v.Tuning(100*units.Litre, air.Air{})
	v.Spacing = 150 * units.Millimetre
	fmt.Printf("%.5f radii per end, %.1f %%\n", port.MutualEnd(3), 100*float64(v.Tuning(100*units.Litre, air.Air{})/apart-1))
	// Output:
	// 0.17188 radii per end, -2.9 %
}

// A free end at ka = 0.5, where the integrals of Levine and Schwinger give
// 0.5818 radii and a reflection of 0.8964.
func ExampleMouth_OpenEnd() {
	d, r := port.Free.OpenEnd(0.5)
	fmt.Printf("%.3f radii, reflects %.3f\n", d, r)
	// Output:
	// 0.583 radii, reflects 0.896
}

// The box is long as well: 0.4 m from front to back.
func ExampleVent_LongBoxTuning() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Outer: port.Flanged}
	v.Length = 273.1065*units.Millimetre - v.EffectiveLength() // 200 mm and 1.46213 radii in all
	a := air.Air{Density: 1.2, SpeedOfSound: 343.2}
	vb := 50 * units.Litre
	lumped := v.Tuning(vb, a)
	fmt.Printf("one mass %.2f Hz, a line %.1f %% lower, in a long box %.1f %%\n", lumped,
		100*float64(1-v.LineTuning(vb, a)/lumped), 100*float64(1-v.LongBoxTuning(vb, 400*units.Millimetre, a)/lumped))
	// Output:
	// one mass 41.42 Hz, a line 0.7 % lower, in a long box 2.2 %
}

// What a vent of 100 mm loses at 30 Hz: little but for the jet, and that grows
// with level. The total is the QP of the box.
func ExampleVent_Losses() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Length: 200 * units.Millimetre, Outer: port.Flanged}
	for _, peak := range []units.Velocity{1, 5, 10, 17} {
		l, err := v.Losses(30*units.Hertz, peak, air.Air{Density: 1.2041, SpeedOfSound: 343.2}, 1.8134e-5)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2.0f m/s: walls %.1f, sound %.0f, jet %5.1f, in all %.1f\n", float64(peak), l.Viscous, l.Radiation, l.Jet, l.Total())
	}
	// Output:
	//  1 m/s: walls 124.6, sound 396, jet 120.7, in all 53.0
	//  5 m/s: walls 124.6, sound 396, jet  24.1, in all 19.2
	// 10 m/s: walls 124.6, sound 396, jet  12.1, in all 10.7
	// 17 m/s: walls 124.6, sound 396, jet   7.1, in all 6.6
}

// What a vent passes on below the crossover at 2 kHz.
func ExampleVent_Resonances() {
	v := port.Vent{Diameter: 50 * units.Millimetre, Length: 200 * units.Millimetre, Outer: port.Flanged}
	list, err := v.Resonances(2*units.Kilohertz, air.Air{}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range list {
		fmt.Printf("%.0f Hz, Q %.1f, %.0f Hz wide\n", float64(r.Frequency), r.Q, float64(r.Bandwidth()))
	}
	// Output:
	// 731 Hz, Q 19.3, 38 Hz wide
	// 1463 Hz, Q 12.0, 122 Hz wide
}

// The limits that people set to the air in a vent of 100 mm tuned to 30 Hz.
func ExampleVent_Criteria() {
	v := port.Vent{Diameter: 100 * units.Millimetre}
	list, err := v.Criteria(30*units.Hertz, air.Air{}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range list {
		as := "peak"
		if c.RMS {
			as = "RMS"
		}
		fmt.Printf("%4.1f m/s peak: %s (%.1f m/s %s)\n", float64(c.Peak()), c.Name, float64(c.Limit), as)
	}
	// Output:
	//  7.7 m/s peak: Reynolds number 50 000 (7.7 m/s peak)
	// 10.0 m/s peak: 10 m/s (10.0 m/s peak)
	// 10.8 m/s peak: turbulent boundary layer (10.8 m/s peak)
	// 17.0 m/s peak: 17 m/s (17.0 m/s peak)
	// 20.0 m/s peak: 20 m/s (20.0 m/s peak)
	// 24.4 m/s peak: 5 % of the speed of sound (17.2 m/s RMS)
	// 25.0 m/s peak: 25 m/s (25.0 m/s peak)
	// 30.0 m/s peak: 30 m/s (30.0 m/s peak)
	// 34.5 m/s peak: 10 % of the speed of sound (34.5 m/s peak)
}

// One millimetre, one litre, one kelvin.
func ExampleVent_Sensitivity() {
	v := port.Vent{Diameter: 68 * units.Millimetre, Length: 160 * units.Millimetre, Outer: port.Flanged}
	s := v.Sensitivity(20*units.Litre, air.Air{})
	fmt.Printf("length %.3f Hz/mm, diameter %.3f Hz/mm, volume %.3f Hz/L, temperature %.3f Hz/K\n",
		s.Length/1000, s.Diameter/1000, s.Volume/1000, s.Temperature)
	low, high, err := v.TuningRange(20*units.Litre, air.Air{},
		port.Tolerance{Length: 1 * units.Millimetre, Section: 0.5 * units.Millimetre, Volume: 0.03, Temperature: 10})
	fmt.Printf("%.1f to %.1f Hz, %v\n", float64(low), float64(high), err)
	// Output:
	// length -0.123 Hz/mm, diameter 0.665 Hz/mm, volume -1.280 Hz/L, temperature 0.086 Hz/K
	// 49.2 to 53.3 Hz, <nil>
}

// A vent of 100 mm that is too long for a box 300 mm deep.
func ExampleVent_Alternatives() {
	v := port.Vent{Diameter: 100 * units.Millimetre, Wall: 3 * units.Millimetre, Outer: port.Flanged}
	room := port.Space{Depth: 300 * units.Millimetre, Width: 250 * units.Millimetre, Height: 600 * units.Millimetre, Panel: 18 * units.Millimetre}
	peak := 0.1 // m³/s
	list, err := v.Alternatives(50*units.Litre, 30*units.Hertz, peak, room, air.Air{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range list {
		fmt.Printf("%s, %d of %.1f cm², %.0f mm: %.1f m/s peak, takes %.2f L; %s\n", x.Name, max(1, x.Vent.Count),
			x.Vent.Area().In(units.SquareCentimetre)/float64(max(1, x.Vent.Count)), x.Vent.Length.In(units.Millimetre),
			float64(x.Velocity), x.Displacement.In(units.Litre), x.Price)
	}
	// Output:
	// bent, 1 of 78.5 cm², 453 mm: 12.7 m/s peak, takes 3.93 L; takes 92.86 cm³ more; a bend, which blows sooner
	// twice as many, 2 of 22.6 cm², 264 mm: 22.1 m/s peak, takes 1.38 L; air 1.73 times as fast
	// narrower, 1 of 44.4 cm², 242 mm: 22.5 m/s peak, takes 1.16 L; air 1.77 times as fast
	// flared, 1 of 42.9 cm², 243 mm: 23.3 m/s peak, takes 1.15 L; air 1.83 times as fast
	// straight, 1 of 78.5 cm², 453 mm: 12.7 m/s peak, takes 3.84 L; 235.2 mm too long
	// slot, 1 of 78.5 cm², 443 mm: 12.7 m/s peak, takes 5.25 L; 156.3 mm too long; takes 1.408 L more
}

// A square corner in a slot 30 mm high counts for little more than half its width.
func ExampleMitreLength() {
	fmt.Printf("%.2f mm\n", port.MitreLength(30*units.Millimetre).In(units.Millimetre))
	// Output:
	// 16.76 mm
}

// A bend of 90° about a centre line of one diameter: 0.933 of its length.
func ExampleBendLength() {
	l, err := port.BendLength(100*units.Millimetre, 100*units.Millimetre, 90*units.Degree)
	fmt.Printf("%.1f mm, %v\n", l.In(units.Millimetre), err)
	// Output:
	// 146.6 mm, <nil>
}

// The two rules for the size of a vent: a woofer that moves 300 cm³, tuned to 30 Hz.
func ExampleGenerousArea() {
	vd := 300 * units.CubicCentimetre
	for _, s := range []units.Area{port.MinimumArea(30*units.Hertz, vd), port.GenerousArea(30*units.Hertz, vd)} {
		fmt.Printf("%.0f cm², %.0f mm\n", s.In(units.SquareCentimetre), 2000*math.Sqrt(float64(s)/math.Pi))
	}
	// Output:
	// 72 cm², 96 mm
	// 177 cm², 150 mm
}
