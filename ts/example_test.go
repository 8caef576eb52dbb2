package ts_test

import (
	"fmt"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The model figures of a published 230 mm midrange give the figures printed
// beside them: fs 110.3 Hz, Qms 4.537, Qes 1.297, Qts 1.009, Res 21.62 ohm.
func ExampleDriver() {
	d := ts.Driver{
		Re: 6.18 * units.Ohm, Bl: 11.325 * units.TeslaMetre, Mms: 38.839 * units.Gram,
		Cms: units.MillimetrePerNewton / 18.65, Rms: 5.932 * units.KilogramPerSecond, Sd: 372.5 * units.SquareCentimetre,
	}
	fmt.Printf("fs %.1f Hz, Qms %.3f, Qes %.3f, Qts %.3f, Res %.2f Ω\n", d.Fs(), d.Qms(), d.Qes(), d.Qts(), d.Res())
	// Output:
	// fs 110.3 Hz, Qms 4.537, Qes 1.297, Qts 1.009, Res 21.62 Ω
}

// The usual figures of a sheet fix the driver; the steps tell how. (Invented driver.)
func ExampleSheet_Driver() {
	s := ts.Sheet{
		Re: 5.8 * units.Ohm, Fs: 37.8 * units.Hertz, Qms: 4.68, Qes: 0.435,
		Vas: 32.5 * units.Litre, Sd: 136 * units.SquareCentimetre,
	}
	d, steps, err := s.Driver(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("Mms %.1f g, Bl %.2f T·m\n", d.Mms.In(units.Gram), d.Bl)
	for _, st := range steps {
		if st.From != "printed" {
			fmt.Println(st.Figure, "=", st.From)
		}
	}
	// Output:
	// Mms 14.2 g, Bl 6.70 T·m
	// Cms = Vas/(ρc² Sd²)
	// Mms = 1/((2π fs)² Cms)
	// Bl = √(2π fs Mms Re/Qes)
	// Rms = 2π fs Mms/Qms
	// coil = not given: none
}

// A sheet that contradicts itself. (Invented figures.)
func ExampleSheet_Audit() {
	s := ts.Sheet{Qms: 5.06, Qes: 0.487, Qts: 0.480, Fs: 30.4 * units.Hertz, Mms: 30.5 * units.Gram, Cms: 0.9 * units.MillimetrePerNewton}
	findings, err := s.Audit(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range findings {
		fmt.Printf("%s: %s printed against %s: %+.1f %%\n", f.Verdict, f.Figure, f.From, 100*f.Discrepancy)
	}
	// Output:
	// contradiction: Qts printed against Qms Qes/(Qms + Qes): +8.0 %
	// agrees: fs printed against 1/(2π √(Mms Cms)): +0.1 %
}
