package box_test

import (
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A passive radiator by its sheet, and the weight that tunes the box. (Invented
// radiator and driver.)
func ExamplePassiveRadiator() {
	a := air.Standard()
	radiator, err := box.PassiveConeOf(ts.Sheet{
		Fs: 16 * units.Hertz, Qms: 6.5, Vas: 110 * units.Litre, Sd: 214 * units.SquareCentimetre, Xmax: 12 * units.Millimetre,
	}, a)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("moving mass %.1f g\n", radiator.Mms.In(units.Gram))
	b := box.PassiveRadiator{Vb: 25 * units.Litre, QL: 10, Radiator: radiator}
	fmt.Printf("tuned to %.1f Hz as it comes\n", b.Fb(a))
	if b.Radiator.Added, err = b.AddedFor(36*units.Hertz, a); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f g more tune it to %.1f Hz, with a notch at %.1f Hz\n", b.Radiator.Added.In(units.Gram), b.Fb(a), b.Radiator.Fp())
	if _, err := b.AddedFor(40*units.Hertz, a); err != nil {
		fmt.Println(err)
	}
	s := box.System{Driver: woofer, Enclosure: b}
	f3, err := s.F3()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("f3 %.1f Hz\n", f3)
	// Output:
	// moving mass 57.9 g
	// tuned to 37.2 Hz as it comes
	// 3.9 g more tune it to 36.0 Hz, with a notch at 15.5 Hz
	// box: tuning 40 Hz: must be at most 37.18 Hz, which the radiator gives without added mass
	// f3 43.6 Hz
}

// The symmetric fourth-order band-pass boxes of a table that handbooks reprint after
// L. R. Fincham 1979 (from memory). Printed for S of 0.7, 0.6 and 0.5: width 0.7206,
// 0.9560 and 1.2712, ripple 0.00, 0.35 and 1.25 dB. The widths are for 3 dB sharp.
func ExampleBandpass4() {
	const fs, qts = 30.0, 0.35
	d, _, err := ts.Sheet{Re: 6, Fs: fs, Qms: 4, Qts: qts, Vas: 80 * units.Litre, Sd: 0.03}.Driver(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	vas := d.Vas(air.Standard())
	for _, damping := range []float64{0.7, 0.6, 0.5} {
		ratio := 1 / (2 * damping * qts) // as loud at fb as the driver in its pass band
		fb := units.Frequency(fs * ratio)
		s := box.System{Driver: d, Enclosure: box.Bandpass4{
			Rear:  box.Closed{Vb: vas / units.Volume(ratio*ratio-1)},
			Front: box.Vented{Vb: vas * units.Volume(math.Pow(2*damping*qts, 2)), Fb: fb},
		}}
		lower, err := s.Cutoff(3)
		if err != nil {
			fmt.Println(err)
			return
		}
		upper, err := s.UpperCutoff(3)
		if err != nil {
			fmt.Println(err)
			return
		}
		_, peak := s.Peak()
		fmt.Printf("S %.1f: %.1f to %.1f Hz, width %.4f, ripple %.2f dB\n", damping, lower, upper, float64(upper-lower)*qts/fs, peak)
	}
	// Output:
	// S 0.7: 37.7 to 99.5 Hz, width 0.7206, ripple 0.00 dB
	// S 0.6: 41.4 to 123.3 Hz, width 0.9560, ripple 0.35 dB
	// S 0.5: 47.1 to 156.0 Hz, width 1.2712, ripple 1.25 dB
}

// Two vents that oppose each other. (No print was found to compare with; driver and
// box are those of a case solved in 40-digit arithmetic: -11.4044 dB at 25 Hz,
// 2.6662 dB at 75 Hz.)
func ExampleBandpass6() {
	d, _, err := ts.Sheet{Re: 6.5, Fs: 33, Qms: 2.0, Qes: 0.45, Vas: 57 * units.Litre, Sd: 0.02}.Driver(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	s := box.System{Driver: d, Enclosure: box.Bandpass6{
		Rear:  box.Vented{Vb: 40 * units.Litre, Fb: 32},
		Front: box.Vented{Vb: 15 * units.Litre, Fb: 75},
	}}
	for _, f := range []units.Frequency{25, 75} {
		fmt.Printf("%.0f Hz %8.4f dB\n", f, s.Gain(f))
	}
	// Output:
	// 25 Hz -11.4044 dB
	// 75 Hz   2.6662 dB
}

// The rear chamber vents into the front one. Its slopes are 24 dB per octave below
// and 12 above. (Invented driver and box; no print was found to compare with.)
func ExampleBandpass6Series() {
	s := box.System{Driver: woofer, Enclosure: box.Bandpass6Series{
		Rear:  box.Vented{Vb: 25 * units.Litre, Fb: 36},
		Front: box.Vented{Vb: 12 * units.Litre, Fb: 75},
	}}
	fmt.Printf("%.1f dB from 0.5 to 1 Hz\n", s.Gain(1)-s.Gain(0.5))
	fmt.Printf("%.1f dB from 10 to 20 kHz\n", s.Gain(20000)-s.Gain(10000))
	// Output:
	// 24.1 dB from 0.5 to 1 Hz
	// -12.0 dB from 10 to 20 kHz
}

// Fibre makes a box seem larger by two fifths at most in theory, by 10 to 20 % in
// practice (W. M. Leach, as cited in course notes).
func ExampleFilling() {
	for _, packing := range []units.Density{5, 10, 20} {
		f := box.Polyester(packing)
		if err := f.Check(); err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2.0f kg/m³: %.3f\n", packing, f.Gain(air.Standard()))
	}
	fmt.Println(box.Polyester(2000).Check())
	// Output:
	// 5 kg/m³: 1.334
	// 10 kg/m³: 1.357
	// 20 kg/m³: 1.363
	// box: packing 2000 kg/m³: must be below the density of the fibre, 1380 kg/m³
}

// An exercise of a university course (DTU 34870, lecture 7, problem 3). Printed: 0.47 %.
func ExampleSystem_Efficiency() {
	s := box.System{
		Driver: ts.Driver{
			Re: 5.46 * units.Ohm, Bl: 11.6 * units.TeslaMetre, Mms: 88.2 * units.Gram, Cms: 0.55 * units.MillimetrePerNewton,
			Rms: 2.2 * units.KilogramPerSecond, Sd: 519 * units.SquareCentimetre,
		},
		Enclosure: box.InfiniteBaffle{},
		Air:       air.Air{Density: 1.2, SpeedOfSound: 344},
	}
	fmt.Printf("%.2f %% far above resonance\n", 100*s.Efficiency(100*units.Kilohertz))
	// Near the peaks of the impedance less power goes in, and more of it comes out.
	fmt.Printf("%.2f %% at 30 Hz\n", 100*s.Efficiency(30*units.Hertz))
	// Output:
	// 0.47 % far above resonance
	// 1.22 % at 30 Hz
}

// Poles, group delay and step response of the exact rational function.
func ExampleSystem_Functions() {
	s := box.System{Driver: woofer, Enclosure: box.Vented{Vb: 25 * units.Litre, Fb: 39 * units.Hertz, QL: 7}}
	f, err := s.Functions()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range f.G.Poles {
		if imag(p) >= 0 {
			fmt.Printf("pole at %.1f Hz, Q %.2f\n", math.Hypot(real(p), imag(p))/(2*math.Pi), -math.Hypot(real(p), imag(p))/(2*real(p)))
		}
	}
	fmt.Printf("group delay at 40 Hz %.2f ms\n", 1000*f.G.GroupDelay(40))
	fmt.Printf("step after 5 ms %+.3f\n", f.G.Step(0.005))
	// Output:
	// pole at 36.5 Hz, Q 0.59
	// pole at 40.3 Hz, Q 1.06
	// group delay at 40 Hz 13.08 ms
	// step after 5 ms -0.350
}
