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
