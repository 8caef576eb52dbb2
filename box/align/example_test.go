package align_test

import (
	"errors"
	"fmt"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A table page for QL = 7 prints 0.4048 and 1.0613 for the Butterworth box, 0.3312,
// 1.9076, 0.97354 and 1.4941 for the one with mirrored Bessel poles.
func ExampleBessel() {
	b4, _ := align.Butterworth(7)
	be4, _ := align.Bessel(7)
	fmt.Printf("B4   Qts %.4f  Vas/Vb %.4f\n", b4.Qts, b4.Alpha)
	fmt.Printf("BE4  Qts %.4f  Vas/Vb %.4f  fb/fs %.5f  f3/fs %.4f\n", be4.Qts, be4.Alpha, be4.H, be4.F3())
	// Output:
	// B4   Qts 0.4048  Vas/Vb 1.0613
	// BE4  Qts 0.3312  Vas/Vb 1.9076  fb/fs 0.97354  f3/fs 1.4941
}

// The same leak with Qts 0.60, as a university report has it: fb/fs 0.68, Vas/Vb
// 0.275, f3/fs 0.588, 0.46 dB of ripple.
func ExampleFamily_For() {
	v, err := align.C4.For(0.60, 7)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("fb/fs %.2f  Vas/Vb %.3f  f3/fs %.3f  ripple %.2f dB\n", v.H, v.Alpha, v.F3(), v.Ripple)

	_, err = align.QB3.For(0.60, 7)
	fmt.Println(err)
	// Output:
	// fb/fs 0.68  Vas/Vb 0.275  f3/fs 0.588  ripple 0.46 dB
	// align: Qts 0.6: must be between 0.007261 and 0.4048 for QB3 at this QL
}

// Rows 1 to 4 of Thiele's table (1971, from memory): f3/fs 2.68, 2.28, 1.77, 1.45 and
// Vas/Vb 10.48, 7.48, 4.46, 2.95 for Qt 0.180, 0.209, 0.259, 0.303.
func ExampleQuasiButterworth() {
	for _, b := range []float64{6.813, 5.150, 3.246, 2.110} {
		v, err := align.QuasiButterworth(b, 0)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("Qts %.3f  Vas/Vb %5.2f  f3/fs %.2f\n", v.Qts, v.Alpha, v.F3())
	}
	// Output:
	// Qts 0.180  Vas/Vb 10.48  f3/fs 2.68
	// Qts 0.209  Vas/Vb  7.48  f3/fs 2.28
	// Qts 0.259  Vas/Vb  4.46  f3/fs 1.77
	// Qts 0.303  Vas/Vb  2.95  f3/fs 1.45
}

// woofer is an invented driver.
func woofer() ts.Driver {
	d, _, err := ts.Sheet{
		Re: 5.6, Fs: 29, Qms: 4.2, Qes: 0.36, Vas: 62 * units.Litre,
		Sd: 215 * units.SquareCentimetre, Xmax: 6 * units.Millimetre,
	}.Driver(air.Standard())
	if err != nil {
		panic(err)
	}
	return d
}

// A box for a driver, and what 0.6 Ω of cable and coils make of it.
func ExampleVented() {
	d := woofer()
	for _, source := range []units.Resistance{0, 0.6} {
		d.Re += source
		v, err := align.Vented(d, align.QB3, 7, air.Standard())
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("Qts %.3f: %.1f L tuned to %.1f Hz, f3 %.1f Hz\n", v.Qts, v.Box.Vb.In(units.Litre), float64(v.Box.Fb), float64(v.Cutoff))
	}
	// Output:
	// Qts 0.332: 29.1 L tuned to 34.7 Hz, f3 39.9 Hz
	// Qts 0.364: 39.3 L tuned to 31.9 Hz, f3 34.7 Hz
}

// Reprinted tables give b 0.7206, 0.9560, 1.2712 and ripples of 0.00, 0.35 and 1.25 dB
// (from memory). They are for 3 dB; half power is a tenth of a per cent further out.
func ExampleBandPassAlignment_Width() {
	for _, s := range []float64{0.7, 0.6, 0.5} {
		b, err := align.SymmetricBandPass(s, 0, 0.35)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("S %.1f  b %.4f (half power %.4f)  ripple %.2f dB\n", s, b.Width(3), b.Width(3.0103), b.Ripple())
	}
	// Output:
	// S 0.7  b 0.7206 (half power 0.7215)  ripple 0.00 dB
	// S 0.6  b 0.9560 (half power 0.9569)  ripple 0.35 dB
	// S 0.5  b 1.2712 (half power 1.2720)  ripple 1.25 dB
}

func ExampleBandPass() {
	b, err := align.BandPass(woofer(), 0.7, 0, air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("rear %.1f L, front %.1f L tuned to %.1f Hz: %.1f to %.1f Hz\n",
		b.Box.Rear.Vb.In(units.Litre), b.Box.Front.Vb.In(units.Litre), float64(b.Box.Front.Fb), float64(b.Lower), float64(b.Upper))
	// Output:
	// rear 17.0 L, front 13.4 L tuned to 62.5 Hz: 38.4 to 101.5 Hz
}

// The member of the family whose numbers are whole: δ = 2 has Qts 1/4, Vas/Vb 5, the
// radiator at fs and the tuning √3 above it.
func ExampleFlatRadiator() {
	r, err := align.FlatRadiator(2)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("Qts %.3f  Vas/Vb %.3f  fp/fs %.3f  fb/fs %.4f  f3/fs %.4f\n", r.Qts, r.Alpha, r.Y, r.H(), r.F3())
	// Output:
	// Qts 0.250  Vas/Vb 5.000  fp/fs 1.000  fb/fs 1.7321  f3/fs 1.8364
}

// The fitted formulas beside the exact box for QL = 7.
func ExampleFitted20() {
	const qts = 0.35
	exact, _ := align.QB3.For(qts, 7)
	a, _ := align.Fitted15(qts)
	b, _ := align.Fitted20(qts)
	fmt.Printf("exact     Vb/Vas %.3f  fb/fs %.3f  f3/fs %.3f\n", 1/exact.Alpha, exact.H, exact.F3())
	fmt.Printf("Fitted15  Vb/Vas %.3f  fb/fs %.3f  f3/fs %.3f\n", a.Volume, a.Tuning, a.Cutoff)
	fmt.Printf("Fitted20  Vb/Vas %.3f  fb/fs %.3f  f3/fs %.3f\n", b.Volume, b.Tuning, b.Cutoff)
	// Output:
	// exact     Vb/Vas 0.557  fb/fs 1.139  f3/fs 1.270
	// Fitted15  Vb/Vas 0.737  fb/fs 1.080  f3/fs 1.131
	// Fitted20  Vb/Vas 0.626  fb/fs 1.151  f3/fs 1.217
}

// The lowest cut-off of a woofer that plays 9 V of any tone from 25 Hz up in
// at most 45 L, with a vent that fits.
func ExampleGoal_Solve() {
	d := woofer()
	best, err := align.Goal{
		Objective: align.LowestCutoff,
		Box:       box.Vented{QL: 7},
		Volume:    align.Volumes{Most: 45 * units.Litre},
		Peak:      0.5, Dip: 0.5,
		Limits: box.Limits{Travel: d.Xmax, AirSpeed: 17},
		Signal: box.Sines(25, 200),
		Volts:  9,
		Vent: align.VentRoom{
			Vent:      port.Vent{Wall: 3 * units.Millimetre, Outer: port.Flanged},
			Diameters: []units.Length{50 * units.Millimetre, 70 * units.Millimetre, 100 * units.Millimetre},
			Space: port.Space{
				Depth: 280 * units.Millimetre, Width: 260 * units.Millimetre, Height: 620 * units.Millimetre,
				Panel: 18 * units.Millimetre,
			},
		},
	}.Solve(d, air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f L tuned to %.1f Hz: half power at %.1f Hz, %.1f V\n", best.Volume.In(units.Litre), float64(best.Tuning), float64(best.Cutoff), float64(best.Volts))
	fmt.Printf("vent %.0f mm wide, %.0f mm long\n", best.Vent.Diameter.In(units.Millimetre), best.Vent.Length.In(units.Millimetre))
	fmt.Println("limits that hold it back:", best.Binding)
	n := len(best.Curve)
	for _, c := range []align.Design{best.Curve[0], best.Curve[n/2], best.Curve[n-1]} {
		fmt.Printf("%5.1f L %5.1f Hz\n", c.Volume.In(units.Litre), float64(c.Cutoff))
	}
	// Output:
	// 40.1 L tuned to 33.5 Hz: half power at 34.8 Hz, 9.0 V
	// vent 70 mm wide, 206 mm long
	// limits that hold it back: [dip travel of the cone]
	//  18.1 L  49.3 Hz
	//  23.6 L  45.4 Hz
	//  40.1 L  34.8 Hz
}

// A goal out of reach tells which limit stands in the way, and the nearest box.
func ExampleImpossible() {
	_, err := align.Goal{
		Objective: align.SmallestBox,
		Box:       box.Vented{QL: 7},
		Volume:    align.Volumes{Most: 20 * units.Litre},
		Cutoff:    35, Peak: 0.5, Dip: 0.5,
	}.Solve(woofer(), air.Standard())
	fmt.Println(err)
	var impossible *align.Impossible
	if errors.As(err, &impossible) {
		fmt.Printf("%.1f L has half power at %.1f Hz\n", impossible.Nearest.Volume.In(units.Litre), float64(impossible.Nearest.Cutoff))
	}
	// Output:
	// align: no box reaches the goal: the nearest, 20 L tuned to 40.13 Hz, misses by 32 %: most volume, cut-off
	// 20.0 L has half power at 46.2 Hz
}
