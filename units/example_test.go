package units_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"

	"example.com/halfspace/units"
)

func Example() {
	vb := 24 * units.Litre
	fmt.Println(vb)
	fmt.Printf("%.4f cu ft\n", vb.In(units.CubicFoot))
	// Output:
	// 24 L
	// 0.8476 cu ft
}

// The cubic foot follows from the inch of 25.4 mm (international yard and pound
// agreement, 1959): 28.316846592 L exactly.
func ExampleParse() {
	v, err := units.Parse[units.Volume]("1 cu ft")
	fmt.Printf("%.9f L %v\n", v.In(units.Litre), err)

	w, err := units.Parse[units.Length](`3' 4-1/8"`)
	fmt.Printf("%.3f mm %v\n", w.In(units.Millimetre), err)

	r, err := units.Parse[units.Resistance]("4R7")
	fmt.Println(r, err)

	c, err := units.Parse[units.Capacitance]("4,7 µF")
	fmt.Println(c, err)
	// Output:
	// 28.316846592 L <nil>
	// 1019.175 mm <nil>
	// 4.7 Ω <nil>
	// 4.7 µF <nil>
}

func ExampleParseError() {
	_, err := units.Parse[units.Volume]("24")
	fmt.Println(err)

	_, err = units.Parse[units.Inductance]("0.47 MH")
	var p *units.ParseError
	if errors.As(err, &p) {
		fmt.Println(p.Problem)
	}
	// Output:
	// volume "24": no unit; write L, cm³, m³, cu in or cu ft
	// unknown unit "MH"; write mH, µH, nH or H
}

// Quantities are flags by flag.TextVar.
func Example_flag() {
	var vb units.Volume
	var fb units.Frequency
	flags := flag.NewFlagSet("box", flag.ContinueOnError)
	flags.TextVar(&vb, "vb", 20*units.Litre, "net `volume`")
	flags.TextVar(&fb, "fb", 40*units.Hertz, "tuning `frequency`")
	err := flags.Parse([]string{"-vb", "0.85 cu ft"})
	fmt.Println(vb, fb, err)
	// Output: 24.07 L 40 Hz <nil>
}

// A driver sheet in JSON; numbers keep every bit.
func Example_json() {
	type sheet struct {
		Fs  units.Frequency
		Vas units.Volume
		Re  units.Resistance
		Qts units.Ratio
	}
	var s sheet
	err := json.Unmarshal([]byte(`{"Fs": "37,8 Hz", "Vas": "1.1 cu ft", "Re": "5.8 ohm", "Qts": "0.39"}`), &s)
	fmt.Println(s, err)
	text, err := json.Marshal(s)
	fmt.Println(string(text), err)
	// Output:
	// {37.8 Hz 31.15 L 5.8 Ω 0.39} <nil>
	// {"Fs":"37.8 Hz","Vas":"31.1485312512 L","Re":"5.8 Ω","Qts":"0.39"} <nil>
}

// A parts list in CSV: read, and written exactly.
func Example_csv() {
	in := csv.NewReader(strings.NewReader("L1,330u\nL2,\"0,47 mH\"\nL3,1m2\n"))
	records, err := in.ReadAll()
	if err != nil {
		fmt.Println(err)
	}
	out := csv.NewWriter(os.Stdout)
	for _, r := range records {
		l, err := units.Parse[units.Inductance](r[1])
		if err != nil {
			fmt.Println(err)
		}
		text, err := l.MarshalText()
		if err != nil {
			fmt.Println(err)
		}
		if err := out.Write([]string{r[0], string(text)}); err != nil {
			fmt.Println(err)
		}
	}
	out.Flush()
	// Output:
	// L1,0.33 mH
	// L2,0.47 mH
	// L3,1.2 mH
}

func ExamplePositive() {
	fmt.Println(units.Positive("box: volume", -3*units.Litre))
	// Output: box: volume -3 L: must be positive and finite
}

func ExampleTemperature_Celsius() {
	t, err := units.Parse[units.Temperature]("68 °F")
	fmt.Printf("%.2f °C %v\n", t.Celsius(), err)
	// Output: 20.00 °C <nil>
}
