package baffle_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
)

// A wall half a metre behind a speaker, heard 2.5 m in front: in step in the bass, a
// notch where the detour of one metre is half a wavelength.
func ExampleWalls_Effect() {
	walls := baffle.Walls{{Toward: r3.Vec{Z: -1}, Distance: 0.5}}
	hz := []float64{20, 172, 344}
	h := make([]complex128, len(hz))
	if err := walls.Effect(h, hz, 344, r3.Vec{Z: 2.5}); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%3.0f Hz %5.1f dB\n", f, 20*math.Log10(cmplx.Abs(h[i])))
	}
	// Output:
	//  20 Hz   4.5 dB
	// 172 Hz -10.9 dB
	// 344 Hz   4.7 dB
}

// Waterhouse's corner: three walls at one distance dig a deep hole, unequal distances
// do not.
func ExampleWalls_PowerGain() {
	equal := baffle.Walls{{Toward: r3.Vec{X: -1}, Distance: 0.6}, {Toward: r3.Vec{Y: -1}, Distance: 0.6}, {Toward: r3.Vec{Z: -1}, Distance: 0.6}}
	unequal := baffle.Walls{{Toward: r3.Vec{X: -1}, Distance: 0.3}, {Toward: r3.Vec{Y: -1}, Distance: 0.5}, {Toward: r3.Vec{Z: -1}, Distance: 0.8}}
	for _, w := range []baffle.Walls{equal, unequal} {
		gain, err := w.PowerGain(150, 344)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.2f dB\n", 10*math.Log10(gain))
	}
	// Output:
	// -9.01 dB
	// -0.04 dB
}

// A panel 22 cm wide takes half the power of the bass at 520 Hz, all of the 6 dB below.
func ExampleStep() {
	step, err := baffle.Step(0.22, 345)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range []float64{50, 522.7, 5000} {
		fmt.Printf("%6.1f Hz %5.2f dB\n", f, 20*math.Log10(cmplx.Abs(step.AtHz(f))))
	}
	// Output:
	//   50.0 Hz -5.96 dB
	//  522.7 Hz -3.01 dB
	// 5000.0 Hz -0.07 dB
}
