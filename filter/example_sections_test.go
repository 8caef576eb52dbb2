package filter_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Butterworth low-pass at 1 kHz for 48 kHz: b0 is .00391612666055, a1
// −1.81534108270457 and a2 .83100558934676.
func ExampleDigital() {
	proto := must(filter.Butterworth(2))
	sections, err := filter.Digital(proto.Scaled(2*math.Pi*1000), 48*units.Kilohertz, 1*units.Kilohertz)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range sections {
		fmt.Printf("b %.14f %.14f %.14f\na %.14f %.14f\n", b.B0, b.B1, b.B2, b.A1, b.A2)
		fmt.Printf("%.4f dB at 1 kHz\n", decibel(b.At(1*units.Kilohertz, 48*units.Kilohertz)))
	}
	// Output:
	// b 0.00391612666055 0.00783225332109 0.00391612666055
	// a -1.81534108270457 0.83100558934676
	// -3.0103 dB at 1 kHz
}

// A cut undoes the same raise, section by section.
func ExamplePeak() {
	for _, db := range []float64{6, -6} {
		section := must(filter.Digital(must(filter.Peak(db, 2)).Scaled(2*math.Pi*1000), 48000, 1000))[0]
		fmt.Printf("%+.0f dB: b0 %.10f, a2 %.10f\n", db, section.B0, section.A2)
	}
	// Output:
	// +6 dB: b0 1.0224727682, a2 0.9548405121
	// -6 dB: b0 0.9780211572, a2 0.9118753799
}

// The tweeter whose Zobel and resonance trap, side by side, let the impedance fall to
// 86 % of Re. One branch for both keeps it.
func ExampleMovingCoil_Conjugate() {
	tweeter := filter.MovingCoil{Re: 6 * units.Ohm, Le: 0.08 * units.Millihenry, Fs: 900 * units.Hertz, Qes: 0.9, Qms: 3.6}
	branch, err := tweeter.Conjugate()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(branch)
	hz := []float64{500, 900, 3570, 15000}
	z := make([]complex128, len(hz))
	for i, f := range hz {
		z[i] = tweeter.Impedance(f)
		fmt.Printf("%.2f ", cmplx.Abs(z[i]))
	}
	filter.Across(z, hz, z, branch)
	fmt.Print("Ω becomes ")
	for _, z := range z {
		fmt.Printf("%.2f ", cmplx.Abs(z))
	}
	fmt.Println("Ω")
	// Output:
	// A series R 6 Ω
	// B shunt C 2.222 µF
	// C D E shunt R 1.5 Ω + L 0.9549 mH + C 32.75 µF
	// 8.92 30.00 6.13 9.33 Ω becomes 6.00 6.00 6.00 6.00 Ω
}

// A coil with eddy currents takes two branches, each a resistor and a capacitor.
func ExampleLossyZobel() {
	zobel, err := filter.LossyZobel(6.2*units.Ohm, 0.3*units.Millihenry, 0.9*units.Millihenry, 12*units.Ohm)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(zobel)
	coil := filter.MovingCoil{Re: 6.2, Le: 0.3e-3, L2: 0.9e-3, R2: 12}
	plain := must(filter.Zobel(coil.Re, coil.Le+coil.L2))
	for _, hz := range []float64{500, 5000, 20000} {
		for _, n := range []ladder.Network{nil, plain, zobel} {
			fmt.Printf("%.2f ", cmplx.Abs(input(n, hz, coil.Impedance(hz))))
		}
		fmt.Printf("Ω at %.0f Hz: bare, with a Zobel, with two\n", hz)
	}
	// Output:
	// A B shunt R 8.3 Ω + C 30.64 µF
	// C D shunt R 24.5 Ω + C 0.5825 µF
	// 7.73 6.32 6.20 Ω at 500 Hz: bare, with a Zobel, with two
	// 21.37 5.18 6.20 Ω at 5000 Hz: bare, with a Zobel, with two
	// 42.94 5.83 6.20 Ω at 20000 Hz: bare, with a Zobel, with two
}
