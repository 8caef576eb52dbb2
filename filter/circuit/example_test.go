package circuit_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/circuit"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// series is a first-order series crossover at 2.5 kHz for drivers of 8 Ω.
func series() circuit.Circuit {
	return circuit.Circuit{
		Branches: []circuit.Branch{
			{From: "in", To: "mid", Part: ladder.C(7.958 * units.Microfarad)},
			{From: "mid", To: "0", Part: ladder.L(0.5093 * units.Millihenry).WithResistance(0.2 * units.Ohm)},
		},
		Loads: []circuit.Load{
			{Name: "woofer", From: "in", To: "mid"},
			{Name: "tweeter", From: "mid", To: "0"},
		},
	}
}

// The drivers stand in series, so their voltages add up to that of the source with
// any parts and any impedance. Only how they share it is the work of the parts.
func ExampleCircuit_Solve() {
	hz := []float64{250, 2500, 20000}
	woofer := []complex128{complex(6.2, 1), complex(6.5, 8), complex(9, 40)}
	tweeter := []complex128{complex(6, 0), complex(5.8, 0.6), complex(6, 4)}
	var r circuit.Response
	if err := series().Solve(&r, hz, woofer, tweeter); err != nil {
		fmt.Println(err)
		return
	}
	for k, f := range hz {
		w, t := r.H[0][k], r.H[1][k]
		fmt.Printf("%5.0f Hz: woofer %6.2f dB, tweeter %6.2f dB, sum %.4f, load %5.2f Ω\n",
			f, 20*math.Log10(cmplx.Abs(w)), 20*math.Log10(cmplx.Abs(t)), cmplx.Abs(w+t), cmplx.Abs(r.Zin[k]))
	}
	// Output:
	//   250 Hz: woofer  -0.51 dB, tweeter -18.59 dB, sum 1.0000, load  6.73 Ω
	//  2500 Hz: woofer  -1.01 dB, tweeter -10.11 dB, sum 1.0000, load 14.26 Ω
	// 20000 Hz: woofer -15.60 dB, tweeter   0.78 dB, sum 1.0000, load  6.17 Ω
}

func ExampleCircuit_String() {
	fmt.Print(series())
	// Output:
	// in mid C 7.958 µF
	// mid 0 L 0.5093 mH; 0.2 Ω
	// in mid load woofer
	// mid 0 load tweeter
}

func ExampleCircuit_Check() {
	c := series()
	c.Loads[1].To = "ground"
	fmt.Println(c.Check())
	// Output:
	// circuit: load 2 (tweeter): node ground: must join another part, load or the source
}

// What the parts turn into heat at 2.5 kHz and 2.83 V.
func ExampleCircuit_State() {
	c := series()
	s, err := c.State(2500, complex(6.5, 8), complex(5.8, 0.6))
	if err != nil {
		fmt.Println(err)
		return
	}
	const volts = 2.83
	for i, p := range s.Parts {
		fmt.Printf("%v %.4f W\n", c.Branches[i].Part, p.Power*volts*volts)
	}
	for i, l := range s.Loads {
		fmt.Printf("%s %.4f W\n", c.Loads[i].Name, l.Power*volts*volts)
	}
	fmt.Printf("source %.4f W\n", real(s.Current)*volts*volts)
	// Output:
	// C 7.958 µF 0.0000 W
	// L 0.5093 mH 0.2 Ω 0.0024 W
	// woofer 0.3879 W
	// tweeter 0.1331 W
	// source 0.5234 W
}

func ExampleCircuit_UnmarshalText() {
	var c circuit.Circuit
	err := c.UnmarshalText([]byte(`
		in  mid  C 8.2 µF; tan δ 0.0005; ± 5 %   # across the woofer
		mid 0    L 0.51 mH; 0,2 ohm
		in  mid  load woofer
		mid 0    load tweeter`))
	fmt.Print(err, "\n", c)
	// Output:
	// <nil>
	// in mid C 8.2 µF; tan δ 0.0005; ± 5 %
	// mid 0 L 0.51 mH; 0.2 Ω
	// in mid load woofer
	// mid 0 load tweeter
}
