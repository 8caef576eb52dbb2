package filter_test

import (
	"fmt"
	"math/cmplx"

	"example.com/halfspace/filter"
	"example.com/halfspace/units"
)

// Second-order Butterworth into 8 Ω at 2500 Hz. The handbook constants 0.2251
// and 0.1125 give the same.
func ExampleLowPass() {
	proto, err := filter.Butterworth(2)
	if err != nil {
		fmt.Println(err)
		return
	}
	network, err := filter.LowPass(proto, 2500*units.Hertz, 8*units.Ohm)
	if err != nil {
		fmt.Println(err)
		return
	}
	l, c := network[0].Parts[0].Value, network[1].Parts[0].Value
	fmt.Printf("L %.3f mH, C %.2f µF\n", l*1e3, c*1e6)
	// Output:
	// L 0.720 mH, C 5.63 µF
}

// The constants of a fourth-order Linkwitz-Riley high-pass, as C = k/(rf) and
// L = kr/f: printed tables have 0.0844, 0.1000, 0.1688 and, in its last digit
// wrongly, 0.4501.
func ExampleHighPass() {
	proto, err := filter.LinkwitzRiley(4)
	if err != nil {
		fmt.Println(err)
		return
	}
	network, err := filter.HighPass(proto, 1*units.Hertz, 1*units.Ohm)
	if err != nil {
		fmt.Println(err)
		return
	}
	for letter, part := range network.Parts() {
		fmt.Printf("%s %-9v %.4f\n", letter, part.Kind, part.Value)
	}
	// Output:
	// A capacitor 0.0844
	// B coil      0.1000
	// C capacitor 0.1688
	// D coil      0.4502
}

// Elements of a third-order Butterworth on a source without resistance: 3/2,
// 4/3, 1/2.
func ExampleElements() {
	proto, err := filter.Butterworth(3)
	if err != nil {
		fmt.Println(err)
		return
	}
	g, err := filter.Elements(proto)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f\n", g)
	// Output:
	// [1.5000 1.3333 0.5000]
}

// The denominator of a fourth-order Linkwitz-Riley: s⁴ + 2√2s³ + 4s² + 2√2s + 1.
func ExampleLinkwitzRiley() {
	proto, err := filter.LinkwitzRiley(4)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, denominator := proto.Polynomials()
	fmt.Printf("%.4f\n", denominator)
	// Output:
	// [1.0000 2.8284 4.0000 2.8284 1.0000]
}

// What pairs add up to at the crossover frequency.
func Example_sums() {
	for _, n := range []int{1, 2, 3, 4} {
		low, err := filter.Butterworth(n)
		if err != nil {
			fmt.Println(err)
			return
		}
		high := low.HighPass()
		polarity, sign := "same", complex(1, 0)
		if n == 2 {
			polarity, sign = "inverted", -1
		}
		sum := low.At(1i) + sign*high.At(1i)
		fmt.Printf("Butterworth %d, %s: |sum| %.4f\n", n, polarity, cmplx.Abs(sum))
	}
	// Output:
	// Butterworth 1, same: |sum| 1.0000
	// Butterworth 2, inverted: |sum| 1.4142
	// Butterworth 3, same: |sum| 1.0000
	// Butterworth 4, same: |sum| 1.4142
}

// L-pads for 8 Ω.
func ExamplePad() {
	for _, db := range []float64{1, 3, 6, 10} {
		pad, err := filter.Pad(db, 8*units.Ohm)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2.0f dB: series %.4f Ω, shunt %.3f Ω\n", db, pad[0].Parts[0].Value, pad[1].Parts[0].Value)
	}
	// Output:
	//  1 dB: series 0.8700 Ω, shunt 65.564 Ω
	//  3 dB: series 2.3364 Ω, shunt 19.392 Ω
	//  6 dB: series 3.9905 Ω, shunt 8.038 Ω
	// 10 dB: series 5.4702 Ω, shunt 3.700 Ω
}

// The series trap of a tweeter with its resonance at 900 Hz.
func ExampleResonanceTrap() {
	trap, err := filter.ResonanceTrap(6*units.Ohm, 900*units.Hertz, 0.9, 3.6)
	if err != nil {
		fmt.Println(err)
		return
	}
	p := trap[0].Parts
	fmt.Printf("R %.1f Ω, L %.3f mH, C %.2f µF\n", p[0].Value, p[1].Value*1e3, p[2].Value*1e6)
	// Output:
	// R 7.5 Ω, L 0.955 mH, C 32.75 µF
}

// A coil of 0.8 mH on 6.2 Ω.
func ExampleZobel() {
	zobel, err := filter.Zobel(6.2*units.Ohm, 0.8*units.Millihenry)
	if err != nil {
		fmt.Println(err)
		return
	}
	p := zobel[0].Parts
	fmt.Printf("R %.1f Ω, C %.2f µF\n", p[0].Value, p[1].Value*1e6)
	// Output:
	// R 6.2 Ω, C 20.81 µF
}
