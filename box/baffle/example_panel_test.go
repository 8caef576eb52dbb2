package baffle_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A small source on a box of 0.40 m × 0.64 m × 0.32 m, 0.20 m from three edges, far
// away on axis, over the source alone. A boundary-element solution gives 0.87, 4.22,
// 9.01 and 8.18 dB.
func ExampleDiffraction_Toward() {
	panel := baffle.Panel{Edge: outline.Rectangle(0.40, 0.64), Depth: 0.32}
	driver := baffle.Driver{At: outline.Point{X: 0.20, Y: 0.20}}
	edge, err := panel.Diffraction(driver, 343)
	if err != nil {
		fmt.Println(err)
		return
	}
	hz := []float64{100, 200, 500, 1000}
	h, plain := make([]complex128, len(hz)), make([]complex128, len(hz))
	axis := r3.Vec{Z: 1}
	if err := edge.Toward(h, hz, axis); err != nil {
		fmt.Println(err)
		return
	}
	if err := panel.EdgeSum(plain, hz, driver, 343, axis, 360); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%4.0f Hz %5.2f dB, plain sum %5.2f dB\n", f, 20*math.Log10(2*cmplx.Abs(h[i])), 20*math.Log10(2*cmplx.Abs(plain[i])))
	}
	// Output:
	//  100 Hz  0.75 dB, plain sum  1.77 dB
	//  200 Hz  4.17 dB, plain sum  4.48 dB
	//  500 Hz  8.64 dB, plain sum  8.17 dB
	// 1000 Hz  8.04 dB, plain sum  7.70 dB
}

// A curve taken on one panel becomes that on another: out with the effect of the one,
// in with that of the other.
func ExamplePanel_Diffraction() {
	hz := []float64{100, 400, 1600}
	taken := []complex128{0.5, 0.9i, 1.1} // Pa, on the wide panel
	for i, x := range []struct {
		panel  baffle.Panel
		driver baffle.Driver
	}{
		{baffle.Panel{Edge: outline.Rectangle(0.40, 0.70), Depth: 0.30}, baffle.Driver{At: outline.Point{X: 0.20, Y: 0.40}, Radius: 0.066}},
		{baffle.Panel{Edge: outline.Rectangle(0.22, 0.60), Depth: 0.35}, baffle.Driver{At: outline.Point{X: 0.11, Y: 0.36}, Radius: 0.066}},
	} {
		edge, err := x.panel.Diffraction(x.driver, 345)
		if err != nil {
			fmt.Println(err)
			return
		}
		h := make([]complex128, len(hz))
		if err := edge.Toward(h, hz, r3.Vec{Z: 1}); err != nil {
			fmt.Println(err)
			return
		}
		for k := range taken {
			if i == 0 {
				taken[k] /= h[k]
			} else {
				taken[k] *= h[k]
			}
		}
	}
	for k, f := range hz {
		fmt.Printf("%4.0f Hz: %.3f Pa at %4.0f°\n", f, cmplx.Abs(taken[k]), cmplx.Phase(taken[k])*180/math.Pi)
	}
	// Output:
	//  100 Hz: 0.469 Pa at   -9°
	//  400 Hz: 0.641 Pa at  100°
	// 1600 Hz: 1.321 Pa at   -5°
}

// The one exact cabinet, a ball, reaches the middle of its step at ka = 0.992.
func ExampleSphere_Effect() {
	const c = 344
	ball := baffle.Sphere{Radius: 0.15}
	hz := []float64{20, 0.992054 * c / (2 * math.Pi * 0.15), 5000}
	h := make([]complex128, len(hz))
	if err := ball.Effect(h, hz, c, r3.Vec{Z: 1e6}); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%6.1f Hz %5.2f dB\n", f, 20*math.Log10(2*cmplx.Abs(h[i])))
	}
	// Output:
	//   20.0 Hz  0.00 dB
	//  362.1 Hz  3.01 dB
	// 5000.0 Hz  5.92 dB
}

// Rayleigh's piston at ka = 1.
func ExampleRoundPiston_Impedance() {
	piston := baffle.RoundPiston{Radius: 0.0546}
	f := units.Frequency(344 / (2 * math.Pi * 0.0546))
	fmt.Printf("%.6f ρcS, index %.4f dB\n", piston.Impedance(f, 344), piston.DirectivityIndex(f, 344))
	// Output:
	// (0.423275+0.646764i) ρcS, index 3.7338 dB
}

// Where on the panel of a slim cabinet a tweeter sees the smoothest edge.
func ExamplePlacement_Spots() {
	woofer := baffle.Driver{At: outline.Point{X: 0.11, Y: 0.362}, Radius: 0.066, Outer: 0.172}
	spots, err := baffle.Placement{
		Panel:  baffle.Panel{Edge: outline.Rectangle(0.22, 0.60), Depth: 0.35},
		Driver: baffle.Driver{Radius: 0.015, Outer: 0.098},
		Others: []baffle.Driver{woofer},
		From:   outline.Point{X: 0.05, Y: 0.45}, To: outline.Point{X: 0.17, Y: 0.55}, Step: 0.01,
		Lo: 1700, Hi: 16000,
	}.Spots(345)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range []baffle.Spot{spots[0], spots[len(spots)-1]} {
		fmt.Printf("(%v, %v): %.2f dB\n", s.At.X, s.At.Y, s.Ripple)
	}
	// Output:
	// (60 mm, 490 mm): 0.52 dB
	// (110 mm, 500 mm): 1.25 dB
}
