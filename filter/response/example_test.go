package response_test

import (
	"fmt"
	"math/cmplx"
	"strings"

	"example.com/halfspace/filter/response"
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
