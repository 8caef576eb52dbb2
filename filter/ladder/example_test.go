package ladder_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// driver is the impedance of a woofer in its box: Re + jωLe + (Res || Lces || Cmes).
func driver(hz float64) complex128 {
	w := 2 * math.Pi * hz
	return complex(5.8, w*0.65e-3) + 1/complex(1/38.0, w*310e-6-1/(w*28e-3))
}

// A second-order woofer branch with a Zobel, parts with their losses.
func woofer() ladder.Network {
	return ladder.Network{
		ladder.Series(ladder.L(1.2 * units.Millihenry).WithResistance(0.35 * units.Ohm)),
		ladder.Shunt(ladder.C(15 * units.Microfarad).WithResistance(0.05 * units.Ohm)),
		ladder.Shunt(ladder.R(7.2*units.Ohm), ladder.C(12*units.Microfarad)),
	}
}

func ExampleNetwork_Solve() {
	hz := []float64{55, 500, 2000, 8000}
	load := make([]complex128, len(hz))
	for i, f := range hz {
		load[i] = driver(f)
	}
	h := make([]complex128, len(hz))
	zin := make([]complex128, len(hz))
	woofer().Solve(h, zin, hz, load)
	for i, f := range hz {
		fmt.Printf("%4.0f Hz %8.4f dB %9.4f°  %8.4f Ω\n",
			f, 20*math.Log10(cmplx.Abs(h[i])), cmplx.Phase(h[i])*180/math.Pi, cmplx.Abs(zin[i]))
	}
	// Output:
	//   55 Hz  -0.0274 dB   -0.7867°   38.5793 Ω
	//  500 Hz  -0.8143 dB  -38.4713°    5.9617 Ω
	// 2000 Hz  -8.5083 dB -126.8801°   11.9559 Ω
	// 8000 Hz -33.1723 dB -166.9987°   59.0560 Ω
}

// What the parts turn into heat at 500 Hz and 2.83 V.
func ExampleNetwork_State() {
	n := woofer()
	s, err := n.State(500, driver(500))
	if err != nil {
		fmt.Println(err)
		return
	}
	const volts = 2.83
	i := 0
	for letter, part := range n.Parts() {
		fmt.Printf("%s %-16v %7.4f W\n", letter, part, s.Parts[i].Power*volts*volts)
		i++
	}
	fmt.Printf("%18s %7.4f W\n", "driver", s.Load.Power*volts*volts)
	fmt.Printf("%18s %7.4f W\n", "source", real(s.Current)*volts*volts)
	// Output:
	// A L 1.2 mH 0.35 Ω   0.0789 W
	// B C 15 µF 50 mΩ     0.0007 W
	// C R 7.2 Ω           0.0633 W
	// D C 12 µF           0.0000 W
	//             driver  1.1064 W
	//             source  1.2492 W
}

func ExampleNetwork_String() {
	fmt.Print(woofer())
	// Output:
	// A series L 1.2 mH 0.35 Ω
	// B shunt C 15 µF 50 mΩ
	// C D shunt R 7.2 Ω + C 12 µF
}

func ExampleNetwork_Check() {
	n := ladder.Network{
		ladder.Series(ladder.C(6.8 * units.Microfarad)),
		ladder.Shunt(ladder.L(-1 * units.Millihenry)),
	}
	fmt.Println(n.Check())
	// Output:
	// ladder: arm 2, part 1 (coil) -1 mH: must be positive and finite
}

// A modulus of 6 Ω at a phase of 45° is as hard on the output devices of a class-B
// stage as a resistor of 2.12 Ω.
func ExampleEPDR() {
	fmt.Printf("%.3f Ω\n", ladder.EPDR(cmplx.Rect(6, math.Pi/4)).In(units.Ohm))
	// Output:
	// 2.121 Ω
}

func ExampleMinimumImpedance() {
	hz := []float64{500, 1000, 2000}
	zin := []complex128{complex(9, 2), complex(6, 2.5), complex(8, -3)}
	f, z := ladder.MinimumImpedance(hz, zin)
	fmt.Printf("%v at %v, rated %.1f Ω at most\n", z, f, ladder.RatedImpedance(z).In(units.Ohm))
	// Output:
	// 6.5 Ω at 1 kHz, rated 8.1 Ω at most
}

// Which part decides the level at 2 kHz? One per cent more of it changes the level at
// the driver by so many hundredths of a decibel.
func ExampleNetwork_Sensitivity() {
	n := woofer()
	hz, load := []float64{2000}, []complex128{driver(2000)}
	var g ladder.Gradient
	n.Gradient(&g, hz, load)
	s := make([][]complex128, len(g.DH))
	for i := range s {
		s[i] = make([]complex128, len(hz))
	}
	n.Sensitivity(s, &g, hz)
	i := 0
	for letter, part := range n.Parts() {
		fmt.Printf("%s %-16v %+.2f\n", letter, part, 20*math.Log10(math.E)*real(s[i][0]))
		i++
	}
	// Output:
	// A L 1.2 mH 0.35 Ω  -10.58
	// B C 15 µF 50 mΩ    -5.87
	// C R 7.2 Ω          +2.52
	// D C 12 µF          -2.49
}

// An optimiser needs derivatives to the logarithms of the values.
func ExampleNetwork_ByValue() {
	n := woofer()
	hz, load := []float64{2000}, []complex128{driver(2000)}
	var g ladder.Gradient
	n.Gradient(&g, hz, load)
	n.ByValue(g.DH, g.DH, hz)
	foreseen := g.H[0] + 0.01*g.DH[0][0]
	n[0].Parts[0].Value *= 1.01 // one per cent more of the coil
	n.Gradient(&g, hz, load)
	fmt.Printf("foreseen %.5f, found %.5f\n", cmplx.Abs(foreseen), cmplx.Abs(g.H[0]))
	// Output:
	// foreseen 0.37091, found 0.37096
}

// A Butterworth low-pass of second order at 1 kHz delays low frequencies by 1/(Q ω0),
// which is 225.079 µs.
func ExampleNetwork_GroupDelay() {
	const r, f0, q = 8.0, 1000.0, math.Sqrt2 / 2
	n := ladder.Network{
		ladder.Series(ladder.L(units.Inductance(r / (2 * math.Pi * f0 * q)))),
		ladder.Shunt(ladder.C(units.Capacitance(q / (2 * math.Pi * f0 * r)))),
	}
	hz := []float64{1, 500, 1000, 4000}
	tau := make([]float64, len(hz))
	n.GroupDelay(tau, hz, []complex128{r, r, r, r}, nil)
	for i, f := range hz {
		fmt.Printf("%4.0f Hz %7.3f µs\n", f, tau[i]*1e6)
	}
	// Output:
	//    1 Hz 225.079 µs
	//  500 Hz 264.799 µs
	// 1000 Hz 225.079 µs
	// 4000 Hz  14.888 µs
}

// A woofer branch at 20 V of pink noise: what the parts must bear.
func ExampleNetwork_Duty() {
	p := ladder.Programme{Volts: 20 * units.Volt, Crest: 2}
	var load []complex128
	for f := 31.5; f < 20e3; f *= math.Cbrt(2) {
		p.Hz, load = append(p.Hz, f), append(load, driver(f))
	}
	for range p.Hz {
		p.Weight = append(p.Weight, 1/float64(len(p.Hz)))
	}
	n := woofer()
	d, err := n.Duty(p, load)
	if err != nil {
		fmt.Println(err)
		return
	}
	i := 0
	for letter, part := range n.Parts() {
		d := d.Parts[i]
		fmt.Printf("%s %-16v %5.2f V %5.2f A %6.3f W, peaks of %5.2f V %5.2f A\n", letter, part,
			float64(d.Voltage), float64(d.Current), float64(d.Power), float64(d.PeakVoltage), float64(d.PeakCurrent))
		i++
	}
	fmt.Printf("driver %.2f W of %.2f W\n", float64(d.Load.Power), float64(d.Source.Power))
	// Output:
	// A L 1.2 mH 0.35 Ω  16.15 V  2.23 A  1.740 W, peaks of 32.29 V  4.46 A
	// B C 15 µF 50 mΩ    15.12 V  0.79 A  0.031 W, peaks of 30.23 V  1.58 A
	// C R 7.2 Ω           3.61 V  0.50 A  1.812 W, peaks of  7.22 V  1.00 A
	// D C 12 µF          14.68 V  0.50 A  0.000 W, peaks of 29.36 V  1.00 A
	// driver 24.16 W of 27.74 W
}

// The least impedance is not where an amplifier of class B has it hardest.
func ExampleAssessLoad() {
	var hz []float64
	var load []complex128
	for f := 20.0; f < 20e3; f *= math.Exp2(1.0 / 24) {
		hz, load = append(hz, f), append(load, driver(f))
	}
	h, zin := make([]complex128, len(hz)), make([]complex128, len(hz))
	woofer().Solve(h, zin, hz, load)
	a, err := ladder.AssessLoad(hz, zin)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("least %v at %v and %.0f°, rated %v at most\n", a.Minimum.Modulus, a.Minimum.Frequency, a.Minimum.Phase.In(units.Degree), a.Rated)
	fmt.Printf("as hard as %v at %v, where it is %v at %.0f°\n", a.Hardest.EPDR, a.Hardest.Frequency, a.Hardest.Modulus, a.Hardest.Phase.In(units.Degree))
	f, z := ladder.RefineMinimum(hz, zin)
	fmt.Printf("between the points: %v at %v\n", z, f)
	// Output:
	// least 5.409 Ω at 269.1 Hz and -1°, rated 6.761 Ω at most
	// as hard as 2.463 Ω at 1.522 kHz, where it is 9.079 Ω at 62°
	// between the points: 5.409 Ω at 269 Hz
}
