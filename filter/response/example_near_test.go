package response_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A cone of 10 cm radius close by reads 26 dB more than at 1 m in the half space.
func ExampleNearField() {
	near := response.Curve{Hz: []float64{20, 200}, H: []complex128{1, 1}, Taken: response.Taken{Mounting: response.NearCone}}
	far, err := response.NearField(response.Source{Curve: near, Area: units.Area(math.Pi * 0.1 * 0.1)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.2f dB\n", far.Taken, response.DB(far.H[0]))
	// Output:
	// half space: -26.02 dB
}

// 10 950 over the diameter in centimetres: for 10 cm 1095 Hz.
func ExampleNearLimit() {
	area := units.Area(math.Pi * 0.05 * 0.05)
	limit, _ := response.NearLimit(area, 344*units.MetrePerSecond)
	fmt.Printf("%.0f Hz\n", limit.In(units.Hertz))
	for _, times := range []units.Frequency{0.5, 1, 2} {
		h, _ := response.NearPiston(area, times*limit, 344*units.MetrePerSecond)
		fmt.Printf("%3.1f times: %.2f dB\n", float64(times), response.DB(h))
	}
	// Output:
	// 1095 Hz
	// 0.5 times: -0.09 dB
	// 1.0 times: -0.36 dB
	// 2.0 times: -1.50 dB
}

// A woofer's near field, brought to its panel, meets the gated response; the
// microphone close by was 12 dB more sensitive.
func ExampleSplice() {
	speaker := func(f float64) complex128 { // closed box, Butterworth at 50 Hz
		s := complex(0, f/50)
		return s * s / (s*s + complex(math.Sqrt2, 0)*s + 1)
	}
	taken := response.Taken{Mounting: response.OnPanel, Panel: "front"}
	near := response.Curve{Hz: response.LogGrid(10, 600, 24), HasPhase: true, Taken: taken}
	for _, f := range near.Hz {
		near.H = append(near.H, speaker(f)*complex(response.FromDB(12), 0))
	}
	far := response.Curve{HasPhase: true, Taken: taken, From: 200}
	for f := 50.; f <= 20000; f += 50 {
		far.Hz, far.H = append(far.Hz, f), append(far.H, speaker(f))
	}

	whole, seam, err := response.Splice(near, far, 220*units.Hertz, 550*units.Hertz)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("near part shifted by %.2f dB\n", seam.Shift)
	h := make([]complex128, 2)
	if err := whole.Resample(h, []float64{50, 5000}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("50 Hz %.2f dB\n", response.DB(h[0]))

	near.Taken = response.Taken{Mounting: response.HalfSpace}
	_, _, err = response.Splice(near, far, 220*units.Hertz, 550*units.Hertz)
	fmt.Println(err)
	// Output:
	// near part shifted by -12.00 dB
	// 50 Hz -3.01 dB
	// response: splice: near part taken half space: must be multiplied by the panel's effect first, since the far part was taken on a panel
}

// The tweeter sounds 20 mm farther away than the woofer, as the level of both
// together tells.
func ExampleRelativeDelay() {
	hz := response.LogGrid(500, 10000, 80)
	woofer := response.Curve{Hz: hz, HasPhase: true}
	tweeter := response.Curve{Hz: hz, HasPhase: true}
	both := response.Curve{Hz: hz}
	for _, f := range hz {
		s, t := complex(0, f/3000), complex(0, f/1000)
		a, b := 1/(1+s+s*s), t*t/(1+t+t*t)
		late := cmplx.Exp(complex(0, -2*math.Pi*f*0.020/343))
		woofer.H, tweeter.H = append(woofer.H, a), append(tweeter.H, b)
		both.H = append(both.H, complex(cmplx.Abs(a+b*late), 0))
	}
	o, err := response.RelativeDelay(woofer, tweeter, both, 1000*units.Hertz, 5000*units.Hertz, 300*units.Microsecond)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f µs, %.2f mm, %d rivals\n", o.Delay.In(units.Microsecond), 343*o.Delay.In(units.Millisecond), len(o.Rivals))
	// Output:
	// 58.31 µs, 20.00 mm, 0 rivals
}

// Where no sweeps tell: a cone 62 mm deep, its flange of 8 mm screwed onto the panel.
func ExampleCentreDepth() {
	depth, err := response.CentreDepth(62*units.Millimetre, 8*units.Millimetre)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v ± %v, %.0f µs ± %.0f µs\n", depth, response.CentreUncertainty,
		float64(depth)/343*1e6, float64(response.CentreUncertainty)/343*1e6)
	// Output:
	// 54 mm ± 8 mm, 157 µs ± 23 µs
}

// An effect that halves the pressure.
func ExampleCurve_Times() {
	c := response.Curve{Hz: []float64{20, 200}, H: []complex128{1, 2}, HasPhase: true}
	half := response.Curve{Hz: []float64{10, 1000}, H: []complex128{0.5, 0.5}, HasPhase: true}
	product, err := c.Times(half)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f dB, %.2f dB\n", response.DB(product.H[0]), response.DB(product.H[1]))
	// Output:
	// -6.02 dB, 0.00 dB
}
