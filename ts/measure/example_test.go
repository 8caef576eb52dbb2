package measure_test

import (
	"fmt"
	"log"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The parameter page of a 230 mm midrange prints Re 6.18 Ω, a motional resistance of
// 21.62 Ω, fs 110.3 Hz, Qms 4.537, Qes 1.297 and Qts 1.009.
func ExampleReading_Q() {
	r := measure.Reading{Re: 6.18, Zmax: 27.80, Fs: 110.3, F1: 87.4917, F2: 139.0543}
	qms, qes, qts, err := r.Q()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("level %.3f Ω\nQms %.3f, Qes %.3f, Qts %.3f\n", float64(r.ClassicLevel()), qms, qes, qts)
	// Output:
	// level 13.107 Ω
	// Qms 4.537, Qes 1.297, Qts 1.009
}

// Readings of a web tutorial of 2019 with six masses on a small driver.
func ExampleMassLine() {
	var readings []measure.Loaded
	for _, r := range [][2]float64{{0, 86.4}, {2, 74}, {5, 62.6}, {10, 52.1}, {15, 45}, {20, 40}} {
		readings = append(readings, measure.Loaded{Added: units.Mass(r[0]) * units.Gram, Fs: units.Frequency(r[1])})
	}
	mms, cms, err := measure.MassLine(readings...)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("Mms %.3f ± %.3f g\nCms %.4f ± %.4f mm/N\n", mms.Value.In(units.Gram), mms.Scatter.In(units.Gram),
		cms.Value.In(units.MillimetrePerNewton), cms.Scatter.In(units.MillimetrePerNewton))
	// Output:
	// Mms 5.559 ± 0.097 g
	// Cms 0.6103 ± 0.0062 mm/N
}

// A woofer in free air and with 12 g on its cone; the curves are made here.
func ExampleFit_Curves() {
	sheet := ts.Sheet{Re: 5.8, Fs: 37.8, Qms: 4.68, Qes: 0.4355, Mms: 0.0142, Sd: 0.0136, Creep: 0.09}
	truth, _, err := sheet.Driver(air.Standard())
	if err != nil {
		log.Fatal(err)
	}
	truth.Coil = ts.Coil{K: 0.0078, N: 0.705}
	curve := func(d ts.Driver) response.Curve {
		c := response.Curve{HasPhase: true}
		for k := range 200 {
			f := 10 * math.Pow(10, float64(k)/60)
			ripple := cmplx.Rect(1+0.003*math.Sin(7*float64(k*k)), 0.003*math.Cos(5*float64(k*k))) // a meter's noise
			c.Hz = append(c.Hz, f)
			c.H = append(c.H, ripple*d.Impedance(complex(0, 2*math.Pi*f)))
		}
		return c
	}
	fit := measure.Fit{Coil: measure.PowerLaw, Creep: true, Re: 5.8, Sd: 0.0136}
	r, err := fit.Curves(
		measure.Run{Curve: curve(truth)},
		measure.Run{Curve: curve(truth.AddMass(12 * units.Gram)), Added: 12 * units.Gram},
	)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("fs  %.3f ± %.3f Hz\n", float64(r.Fs.Value), float64(r.Fs.SD()))
	fmt.Printf("Qts %.3f ± %.3f, most by %s\n", r.Qts.Value, r.Qts.SD(), r.Qts.Cause)
	fmt.Printf("Mms %.1f ± %.1f g\n", r.Mms.Value.In(units.Gram), r.Mms.SD().In(units.Gram))
	fmt.Printf("Vas %.1f ± %.1f L, most by %s\n", r.Vas.Value.In(units.Litre), r.Vas.SD().In(units.Litre), r.Vas.Cause)
	for _, w := range r.Warnings {
		fmt.Println(w)
	}
	// Output:
	// fs  37.798 ± 0.003 Hz
	// Qts 0.398 ± 0.004, most by temperature
	// Mms 14.2 ± 0.1 g
	// Vas 32.4 ± 1.3 L, most by Sd
}

// What a box of 100 L says of a driver whose moving mass is 3 per cent larger in it.
func ExampleVasInClosed() {
	vas, err := measure.VasInClosed(21.9735, 0.33062, 45.4641, 0.70459, 100*units.Litre)
	if err != nil {
		log.Fatal(err)
	}
	naive, err := measure.VasInClosed(21.9735, 1, 45.4641, 45.4641/21.9735, 100*units.Litre)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f L; by the frequencies alone %.1f L\n", vas.In(units.Litre), naive.In(units.Litre))
	// Output:
	// 340.9 L; by the frequencies alone 328.1 L
}
