package crossover_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Two woofers in parallel around a tweeter, all 280 mm apart, behind one network:
// 6 dB more per volt on axis, of which 30° up little is left where the two are half
// a wavelength apart, at 343/(2·0.56·sin 30°) Hz.
func ExampleWay() {
	ways := []crossover.Way{{
		Name: "woofers", Radiator: point{}, Position: r3.Vec{Y: -0.28},
		More: []crossover.Driver{{Radiator: point{}, Position: r3.Vec{Y: 0.28}}},
	}}
	const far = 1000 // m
	above := crossover.Angle{Vertical: 30 * units.Degree}
	field, err := crossover.Sample(ways, []float64{100, 612.5}, 343,
		r3.Vec{Z: far}, r3.Scale(far, above.Toward()))
	if err != nil {
		fmt.Println(err)
		return
	}
	var r crossover.Result
	field.Evaluate(&r, nil)
	for i, f := range field.Hz {
		fmt.Printf("%5.1f Hz: %.2f dB on axis, %.2f dB above, load %.0f Ω\n", f,
			level(far*r.Sum[0][i]), max(-60, level(far*r.Sum[1][i])), real(r.Load[i]))
	}
	// Output:
	// 100.0 Hz: 6.02 dB on axis, 5.73 dB above, load 4 Ω
	// 612.5 Hz: 6.02 dB on axis, -60.00 dB above, load 4 Ω
}

// The level in the listening window, of two sources 140 mm apart behind the
// networks of ExampleField_Evaluate: up and down they are no longer in phase.
func ExampleListeningWindow() {
	ways := []crossover.Way{
		{Name: "woofer", Radiator: point{}, Position: r3.Vec{Y: -0.07}},
		{Name: "tweeter", Radiator: point{}, Position: r3.Vec{Y: 0.07}},
	}
	window := crossover.ListeningWindow()
	points, weights := window.Points(1000)
	field, err := crossover.Sample(ways, []float64{1500, 3000}, 343, points...)
	if err != nil {
		fmt.Println(err)
		return
	}
	lp, hp := fourthOrder()
	var r crossover.Result
	field.Evaluate(&r, lp, hp)
	mean := make([]float64, len(field.Hz))
	crossover.PowerAverage(mean, r.Sum, weights)
	for i, f := range field.Hz {
		fmt.Printf("%4.0f Hz: %.2f dB 10° up, %.2f dB in the window, re on axis\n", f,
			level(r.Sum[1][i]/r.Sum[0][i]), 10*math.Log10(mean[i])-level(r.Sum[0][i]))
	}
	// Output:
	// 1500 Hz: -0.10 dB 10° up, -0.02 dB in the window, re on axis
	// 3000 Hz: -2.10 dB 10° up, -0.29 dB in the window, re on axis
}

// What a tweeter gets of 20 V of pink noise, of which its capacitor keeps most.
func ExampleField_Duty() {
	field, err := crossover.Sample([]crossover.Way{{Name: "tweeter", Radiator: point{}}},
		[]float64{250, 500, 1000, 2000, 4000, 8000}, 343, r3.Vec{Z: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	var r crossover.Result
	field.Evaluate(&r, ladder.Network{ladder.Series(ladder.C(5 * units.Microfarad))})
	noise := ladder.Programme{Volts: 20, Crest: 2, Hz: field.Hz, Weight: []float64{1. / 6, 1. / 6, 1. / 6, 1. / 6, 1. / 6, 1. / 6}}
	travel := []float64{8e-5, 8e-5, 4e-5, 1e-5, 2.5e-6, 6e-7} // m, peak, per volt
	d, err := field.Duty(&r, noise, 0, 0, travel)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f V, %.2f W, travel %.3f mm\n", float64(d.Voltage), float64(d.Power), d.Travel.In(units.Millimetre))
	// Output: 10.28 V, 13.21 W, travel 0.180 mm
}
