package crossover_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/response"
)

// point is a source of the same pressure at all frequencies and angles, on 8 Ω.
type point struct{}

func (point) Impedance(z []complex128, _ []float64) {
	for i := range z {
		z[i] = 8
	}
}

func (point) Pressure(p []complex128, _ []float64, _ r3.Vec) {
	for i := range p {
		p[i] = 1
	}
}

func level(p complex128) float64 { return 20 * math.Log10(cmplx.Abs(p)) }

// fourthOrder returns the networks of Linkwitz and Riley for 3 kHz and 8 Ω.
func fourthOrder() (lp, hp ladder.Network) {
	proto, err := filter.LinkwitzRiley(4)
	if err != nil {
		panic(err)
	}
	if lp, err = filter.LowPass(proto, 3000, 8); err != nil {
		panic(err)
	}
	if hp, err = filter.HighPass(proto, 3000, 8); err != nil {
		panic(err)
	}
	return lp, hp
}

// The ways of a fourth-order Linkwitz-Riley pair are 6.02 dB down at the crossover
// frequency, in phase, and add up to a flat response: S. Linkwitz, Journal of the
// Audio Engineering Society 24(1), 1976. Side by side they load the amplifier with
// twice the resistance there.
func ExampleField_Evaluate() {
	ways := []crossover.Way{
		{Name: "woofer", Radiator: point{}},
		{Name: "tweeter", Radiator: point{}},
	}
	field, err := crossover.Sample(ways, []float64{750, 1500, 3000, 6000}, 343, r3.Vec{Z: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	lp, hp := fourthOrder()
	var r crossover.Result
	field.Evaluate(&r, lp, hp)
	for i, f := range field.Hz {
		fmt.Printf("%4.0f Hz: woofer %6.2f dB, tweeter %6.2f dB, sum %4.2f, load %5.2f Ω\n",
			f, level(r.Transfer[0][i]), level(r.Transfer[1][i]), cmplx.Abs(r.Sum[0][i]), cmplx.Abs(r.Load[i]))
	}
	// Output:
	//  750 Hz: woofer  -0.03 dB, tweeter -48.20 dB, sum 1.00, load  8.02 Ω
	// 1500 Hz: woofer  -0.53 dB, tweeter -24.61 dB, sum 1.00, load  8.68 Ω
	// 3000 Hz: woofer  -6.02 dB, tweeter  -6.02 dB, sum 1.00, load 16.00 Ω
	// 6000 Hz: woofer -24.61 dB, tweeter  -0.53 dB, sum 1.00, load  8.68 Ω
}

// A tweeter whose acoustic centre lies 25 mm before that of the woofer costs the
// same pair 2.23 dB at 3 kHz, far away: 20 log|cos(π·f·d/c)|.
func ExampleSample() {
	ways := []crossover.Way{
		{Name: "woofer", Radiator: point{}, Position: r3.Vec{Z: -0.025}},
		{Name: "tweeter", Radiator: point{}},
	}
	const far = 1000 // m
	field, err := crossover.Sample(ways, []float64{3000}, 343, r3.Vec{Z: far})
	if err != nil {
		fmt.Println(err)
		return
	}
	lp, hp := fourthOrder()
	var r crossover.Result
	field.Evaluate(&r, lp, hp)
	fmt.Printf("%.2f dB\n", level(far*r.Sum[0][0]))
	// Output: -2.23 dB
}

// A curve measured on a panel cannot take the effect of the panel again.
func ExampleChain_Pressure() {
	c := crossover.Chain{
		Name:  "tweeter",
		Curve: []complex128{0.03, 0.05i},
		Taken: response.Taken{Mounting: response.OnPanel},
		Panel: crossover.Effect{Built: []complex128{0.5, 0.9}},
	}
	_, err := c.Pressure()
	fmt.Println(err)
	// Output: crossover: tweeter: its curve already contains the panel, whose effect would count twice
}
