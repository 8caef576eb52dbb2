package rational_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/rational"
)

// A closed box with Qtc = 1/√2 and its resonance at 50 Hz is a Butterworth
// high-pass.
func ExampleFromPolynomials() {
	w := 2 * math.Pi * 50
	f, err := rational.FromPolynomials([]float64{0, 0, 1}, []float64{w * w, math.Sqrt2 * w, 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, hz := range []float64{25, 50, 100} {
		fmt.Printf("%3.0f Hz %7.3f dB %6.3f ms\n", hz, 20*math.Log10(cmplx.Abs(f.AtHz(hz))), 1e3*f.GroupDelay(hz))
	}
	// Output:
	//  25 Hz -12.304 dB  5.296 ms
	//  50 Hz  -3.010 dB  4.502 ms
	// 100 Hz  -0.263 dB  1.324 ms
}

// The step response of a closed box with Qtc = 1/2 dips below zero by e⁻² of
// the step, at two time constants.
func ExampleFunc_Step() {
	f := rational.Func{Zeros: []complex128{0, 0}, Poles: []complex128{-1, -1}, Gain: 1}
	for _, t := range []float64{0, 0.5, 2, 8} {
		fmt.Printf("%.1f %+.4f\n", t, f.Step(t))
	}
	// Output:
	// 0.0 +1.0000
	// 0.5 +0.3033
	// 2.0 -0.1353
	// 8.0 -0.0023
}
