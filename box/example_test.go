package box_test

import (
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The three exercises of a university problem sheet (DTU 34870, lecture 8): the
// closed box of a Butterworth response. Printed: 38.8 L and 51.2 Hz, 104 L and
// 37.8 Hz, 12.2 L and 64 Hz.
func ExampleClosedFor() {
	for _, e := range []struct {
		fs  units.Frequency
		qts float64
		vas units.Volume
	}{
		{34, 0.47, 49 * units.Litre}, {27.8, 0.52, 88 * units.Litre}, {18.1, 0.20, 140 * units.Litre},
	} {
		s := ts.Sheet{Re: 6, Fs: e.fs, Qts: e.qts, Qms: 5, Vas: e.vas, Sd: 0.02}
		d, _, err := s.Driver(air.Standard())
		if err != nil {
			fmt.Println(err)
			return
		}
		c, err := box.ClosedFor(d, math.Sqrt2/2, air.Standard())
		if err != nil {
			fmt.Println(err)
			return
		}
		f3, err := box.System{Driver: d, Enclosure: c}.F3()
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.1f L, %.1f Hz\n", c.Vb.In(units.Litre), f3)
	}
	// Output:
	// 38.8 L, 51.2 Hz
	// 103.6 L, 37.8 Hz
	// 12.2 L, 64.0 Hz
}

// A box with Qtc = 1/√2 is a Butterworth high-pass: half power at fc.
func ExampleClosedAlignment() {
	b := box.ClosedAlignment{Fc: 50 * units.Hertz, Qtc: math.Sqrt2 / 2}
	g, err := b.Func()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range []float64{25, 50, 100} {
		h := g.AtHz(f)
		fmt.Printf("%3.0f Hz %7.3f dB\n", f, 10*math.Log10(real(h)*real(h)+imag(h)*imag(h)))
	}
	// Output:
	//  25 Hz -12.304 dB
	//  50 Hz  -3.010 dB
	// 100 Hz  -0.263 dB
}

// How low, how loud, and what gives first. (Invented driver.)
func ExampleSystem() {
	s := box.System{
		Driver: ts.Driver{
			Re: 5.8 * units.Ohm, Bl: 6.7 * units.TeslaMetre, Mms: 14.2 * units.Gram, Cms: 1.25 * units.MillimetrePerNewton,
			Rms: 0.72 * units.KilogramPerSecond, Sd: 136 * units.SquareCentimetre, Xmax: 5 * units.Millimetre,
		},
		Enclosure: box.Vented{Vb: 25 * units.Litre, Fb: 39 * units.Hertz, QL: 7, Area: 38.5 * units.SquareCentimetre},
	}
	f3, err := s.F3()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("f3 %.1f Hz\n", f3)
	fmt.Printf("%.1f dB at 100 Hz for 2.83 V, half space\n", s.At(100*units.Hertz).Times(2.83*units.Volt).Level())
	v, what := s.MaxVoltage(58*units.Hertz, box.Limits{Travel: s.Driver.Xmax, AirSpeed: 17 * units.MetrePerSecond})
	fmt.Printf("at 58 Hz the %s gives first, at %.1f V\n", what, v)
	// Output:
	// f3 41.1 Hz
	// 89.5 dB at 100 Hz for 2.83 V, half space
	// at 58 Hz the cone gives first, at 10.7 V
}
