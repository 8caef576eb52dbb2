package response_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// The level of a first-order low-pass, from 20 Hz to 50 kHz, has the phase of the first-order low-pass: -arctan(1/2) an octave below
// the corner, -45° there, -arctan 2 an octave above.
func ExampleCurve_MinimumPhase() {
	c := response.Curve{Hz: response.LogGrid(20, 50000, 80)}
	for _, f := range c.Hz {
		c.H = append(c.H, complex(1/math.Hypot(1, f/1000), 0))
	}
	c, err := c.MinimumPhase(response.Slopes{Low: 0, High: -6})
	if err != nil {
		fmt.Println(err)
		return
	}
	hz := []float64{500, 1000, 2000}
	h := make([]complex128, len(hz))
	if err := c.Resample(h, hz); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%4.0f Hz %6.2f°\n", f, response.Phase(h[i]))
	}
	// Output:
	//  500 Hz -26.57°
	// 1000 Hz -45.00°
	// 2000 Hz -63.43°
}

// How little the phase towards the end of a table is worth, if the level beyond
// may fall by an order more or less.
func ExampleCurve_MinimumPhaseSpread() {
	c := response.Curve{Hz: response.LogGrid(100, 10000, 80)}
	for _, f := range c.Hz {
		c.H = append(c.H, complex(1/math.Hypot(1, f/1000), 0))
	}
	_, spread, err := c.MinimumPhaseSpread(response.Slopes{High: -6}, response.Slopes{High: 6})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range []int{0, 80, 120, 160} {
		fmt.Printf("%5.0f Hz ±%.1f°\n", c.Hz[i], spread[i])
	}
	// Output:
	//   100 Hz ±0.3°
	//  1000 Hz ±2.7°
	//  3162 Hz ±8.6°
	// 10000 Hz ±30.7°
}

// Phase that says where a driver is: a second-order high-pass, connected in
// reverse, 34.3 mm, that is 100 µs, behind the plane from which time counts.
func ExampleCurve_ExcessDelay() {
	c := response.Curve{Hz: response.LogGrid(20, 20000, 80), HasPhase: true}
	for _, f := range c.Hz {
		s := complex(0, f/500)
		c.H = append(c.H, -s*s/(1+math.Sqrt2*s+s*s)*cmplx.Rect(1, -2*math.Pi*f*100e-6))
	}
	lag, err := c.ExcessDelay(200*units.Hertz, 5*units.Kilohertz, response.Slopes{Low: 12}, response.Plausible())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f µs, inverted: %v\n", lag.Delay.In(units.Microsecond), lag.Inverted)
	fmt.Printf("±%.1f µs, should the slopes be an order off\n", lag.Spread.In(units.Microsecond))
	// Output:
	// 100.00 µs, inverted: true
	// ±4.1 µs, should the slopes be an order off
}

// A decay by half from sample to sample, arriving after 1 ms, and a reflection 5 ms
// later that the gate keeps out. At a quarter of the rate it is 2/√5 at -26.57°.
func ExampleImpulse_Gate() {
	r := response.Impulse{Rate: 48 * units.Kilohertz, Samples: make([]float64, 480)}
	for i := range 60 {
		r.Samples[48+i] += math.Pow(0.5, float64(i))
		r.Samples[288+i] += 0.6 * math.Pow(0.5, float64(i))
	}
	arrival, err := r.Arrival()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := r.Gate(response.Gate{
		Start:  0.9 * units.Millisecond,
		Length: 5 * units.Millisecond,
		Fade:   10 * units.Percent,
		Zero:   1 * units.Millisecond,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("arrives within a sample of 1 ms: %v\n", math.Abs(arrival.In(units.Millisecond)-1) < 1./48)
	h := make([]complex128, 1)
	if err := c.Resample(h, []float64{12000}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("12 kHz %.4f %.2f°\n", cmplx.Abs(h[0]), response.Phase(h[0]))
	fmt.Println(c.Resample(h, []float64{150}))
	// Output:
	// arrives within a sample of 1 ms: true
	// 12 kHz 0.8944 -26.57°
	// response: band 150 Hz to 150 Hz: must lie within the table's 200 Hz to 23953.125 Hz
}
