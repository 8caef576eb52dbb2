package response_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A table as a spreadsheet in a country of decimal commas writes it, brought
// onto a grid of a calculation.
func Example() {
	const text = `"Frequency, Hz";"SPL, dB";"Phase, deg"
20;70,0;170
200;90,0;-170
2000;90,0;-150
`
	table, err := response.Read(strings.NewReader(text))
	if err != nil {
		fmt.Println(err)
		return
	}
	curve, err := table.Curve(response.Form{Frequency: "Frequency, Hz", Level: "SPL, dB", Phase: "Phase, deg", Reference: 20e-6})
	if err != nil {
		fmt.Println(err)
		return
	}
	hz := []float64{20, 200, 2000}
	p := make([]complex128, len(hz))
	if err := curve.Resample(p, hz); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range hz {
		fmt.Printf("%4.0f Hz %.4f Pa %4.0f°\n", f, cmplx.Abs(p[i]), response.Phase(p[i]))
	}
	fmt.Println(curve.Resample(p[:1], []float64{10}))
	// Output:
	//   20 Hz 0.0632 Pa  170°
	//  200 Hz 0.6325 Pa -170°
	// 2000 Hz 0.6325 Pa -150°
	// response: band 10 Hz to 10 Hz: must lie within the table's 20 Hz to 2000 Hz
}

// Errors name the place, what stands there and what should.
func ExampleRead_error() {
	_, err := response.Read(strings.NewReader("Hz,dB\n20,80.1\n25,8o.3\n"))
	fmt.Println(err)
	// Output:
	// response: line 3, column 2: found "8o.3", want a finite number
}

// 1 Pa is 94 dB re 20 µPa.
func ExampleDB() {
	fmt.Printf("%.2f dB\n", response.DB(1/20e-6))
	// Output:
	// 93.98 dB
}

func ExampleUnwrap() {
	fmt.Println(response.Unwrap(nil, []float64{90, 170, -110, -30, 50}))
	// Output:
	// [90 170 250 330 410]
}

func ExampleLogGrid() {
	for _, f := range response.LogGrid(20, 200, 4) {
		fmt.Printf("%.2f\n", f)
	}
	// Output:
	// 20.00
	// 35.57
	// 63.25
	// 112.47
	// 200.00
}

// A table in kilohertz and pascals, taken for hertz and decibels, is read all the
// same, but not without a word.
func ExampleTable_Doubts() {
	const text = `0.05 0.02
0.5  0.61
5.0  0.58
20.0 0.19
`
	table, err := response.Read(strings.NewReader(text))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range table.Doubts(response.Form{Frequency: "1", Level: "2"}) {
		fmt.Println(d)
	}
	// Output:
	// line 1, column 1: frequencies from 0.05 to 20: kilohertz?
	// line 1, column 2: levels from 0.02 to 0.61 dB, none negative: magnitudes, not decibels?
}

// The third octaves around 1 kHz, exactly.
func ExampleBands() {
	for _, b := range response.Bands(3, 630, 1250) {
		fmt.Printf("%8.3f Hz, from %8.3f to %8.3f\n", b.Mid, b.Lo, b.Hi)
	}
	// Output:
	//  630.957 Hz, from  562.341 to  707.946
	//  794.328 Hz, from  707.946 to  891.251
	// 1000.000 Hz, from  891.251 to 1122.018
	// 1258.925 Hz, from 1122.018 to 1412.538
}

// A slope of 24 dB an octave keeps its slope under smoothing, 0.6 dB higher over
// thirds of an octave: 10 lg(sinh z/z) with z = 4 ln G/3. At the end nothing is left
// to smooth.
func ExampleCurve_Smooth() {
	c := response.Curve{Hz: []float64{50, 100, 200, 400, 800, 1600, 3200}}
	for _, f := range c.Hz {
		c.H = append(c.H, complex(math.Pow(f/1000, 4), 0))
	}
	smooth, err := c.Smooth(3)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range []int{3, 4, 6} {
		fmt.Printf("%4.0f Hz %7.4f dB, %.4f dB higher\n", c.Hz[i], response.DB(smooth.H[i]), response.DB(smooth.H[i]/c.H[i]))
	}
	// Output:
	//  400 Hz -31.2377 dB, 0.5975 dB higher
	//  800 Hz -7.1553 dB, 0.5975 dB higher
	// 3200 Hz 40.4120 dB, 0.0000 dB higher
}

// Two places a quarter of a period apart: powers add to the same level, complex
// values to 3 dB less.
func ExampleAverage() {
	here := response.Curve{Hz: []float64{100, 1000}, H: []complex128{1, 1}, HasPhase: true}
	there := response.Curve{Hz: []float64{100, 1000}, H: []complex128{1i, 1i}, HasPhase: true}
	power, err := response.Average(here, there)
	if err != nil {
		fmt.Println(err)
		return
	}
	sum, err := response.AverageComplex(here, there)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f dB, %.2f dB\n", math.Abs(response.DB(power.H[0])), response.DB(sum.H[0]))
	there.Taken.Mounting = response.HalfSpace
	_, err = response.Average(here, there)
	fmt.Println(err)
	// Output:
	// 0.00 dB, -3.01 dB
	// response: average: curve 2 taken half space: must be taken as curve 1 was, unsaid
}

// 84 dB at 2 m from 2 V are 84 dB at 1 m from 1 V.
func ExampleCurve_PerVolt() {
	c := response.Curve{
		Hz: []float64{100, 1000}, H: []complex128{0.317, 0.317},
		Taken: response.Taken{Mounting: response.OnPanel, Panel: "tall, upper third", Distance: 2 * units.Metre, Voltage: 2 * units.Volt},
	}
	per, err := c.PerVolt()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.1f dB\n", c.Taken, response.DB(c.H[0]/20e-6))
	fmt.Printf("%v: %.1f dB\n", per.Taken, response.DB(per.H[0]/20e-6))
	// Output:
	// on a panel (tall, upper third), 2 V, 2 m: 84.0 dB
	// on a panel (tall, upper third): 84.0 dB
}

// A microphone that reads 2 dB too much at 10 kHz, its correction, and the flight of
// 0.5 m taken out.
func ExampleCurve_Over() {
	flight := units.Time(0.5 / 343)
	read := response.Curve{Hz: []float64{1000, 10000}, HasPhase: true}
	for i, db := range []float64{90, 92} {
		turn := cmplx.Exp(complex(0, -2*math.Pi*read.Hz[i]*float64(flight)))
		read.H = append(read.H, complex(20e-6*response.FromDB(db), 0)*turn)
	}
	microphone := response.Curve{Hz: []float64{100, 1000, 10000}, H: []complex128{1, 1, complex(response.FromDB(2), 0)}, HasPhase: true}
	c, err := read.Over(microphone)
	if err != nil {
		fmt.Println(err)
		return
	}
	if c, err = c.Delay(-flight); err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range c.Hz {
		fmt.Printf("%5.0f Hz %.1f dB %.0f°\n", f, response.DB(c.H[i]/20e-6), math.Abs(response.Phase(c.H[i])))
	}
	// Output:
	//  1000 Hz 90.0 dB 0°
	// 10000 Hz 90.0 dB 0°
}

// Within 3 dB of any one level from 100 Hz to 10 kHz, and no more than 3 dB above it
// beyond.
func ExampleLimits_Judge() {
	none := math.Inf(-1)
	mask := response.Limits{
		Hz:        []float64{50, 100, 100, 10000, 10000, 20000},
		Lo:        []float64{none, none, -3, -3, none, none},
		Hi:        []float64{3, 3, 3, 3, 3, 3},
		Reference: 20e-6,
	}
	c := response.Curve{Hz: []float64{50, 100, 500, 2000, 10000, 20000}}
	for _, db := range []float64{76, 84, 87, 89, 86, 80} {
		c.H = append(c.H, complex(20e-6*response.FromDB(db), 0))
	}
	shift, err := mask.Centre(c)
	if err != nil {
		fmt.Println(err)
		return
	}
	if c, err = c.Shift(shift); err != nil {
		fmt.Println(err)
		return
	}
	worst, all, err := mask.Judge(c)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("around %.1f dB\n", -shift)
	for _, v := range all {
		fmt.Printf("%5.0f Hz %5.1f dB, margin %4.1f dB\n", v.Hz, v.Level, v.Margin())
	}
	fmt.Println(worst.Pass())
	// Output:
	// around 86.5 dB
	//    50 Hz -10.5 dB, margin 13.5 dB
	//   100 Hz  -2.5 dB, margin  0.5 dB
	//   500 Hz   0.5 dB, margin  2.5 dB
	//  2000 Hz   2.5 dB, margin  0.5 dB
	// 10000 Hz  -0.5 dB, margin  2.5 dB
	// 20000 Hz  -6.5 dB, margin  9.5 dB
	// true
}
