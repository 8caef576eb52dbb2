package ts_test

import (
	"fmt"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A coil warms within a minute, its magnet within an hour, and each costs level. Held
// at the voltage that puts 50 W into the cold coil, the hot one takes less. (Invented
// driver.)
func ExampleThermal() {
	h := ts.Thermal{Rtv: 3.4, Ctv: 4.6, Rtm: 1.6, Ctm: 750}
	for _, t := range []units.Time{1, 10, 60, 600, 3600} {
		coil, magnet := h.RiseAtVoltage(50, ts.Copper, t)
		fmt.Printf("%.0f s: coil %5.1f K, magnet %4.1f K, %.2f dB lost\n",
			t, coil, magnet, ts.Copper.Compression(coil))
	}
	coil := h.SteadyRise(50, ts.Copper)
	fmt.Printf("for good: coil %5.1f K, %.2f dB lost\n", coil, ts.Copper.Compression(coil))
	// Output:
	// 1 s: coil  10.3 K, magnet  0.0 K, 0.35 dB lost
	// 10 s: coil  68.9 K, magnet  0.2 K, 2.08 dB lost
	// 60 s: coil 117.2 K, magnet  2.2 K, 3.29 dB lost
	// 600 s: coil 132.2 K, magnet 20.7 K, 3.64 dB lost
	// 3600 s: coil 153.7 K, magnet 47.8 K, 4.11 dB lost
	// for good: coil 155.3 K, 4.14 dB lost
}

// The same drive given in volts: 20 V on a coil of 5.8 Ω is 69 W while it is cold, and
// 39 W when it has settled (own computation, in 40-digit arithmetic: 195.15 K, 10.248 Ω,
// 4.94 dB).
func ExampleThermal_SteadyRise() {
	h := ts.Thermal{Rtv: 3.5, Ctv: 5, Rtm: 1.5, Ctm: 700}
	d := ts.Driver{Re: 5.8}
	rise := h.SteadyRise(20*20/5.8, ts.Copper)
	hot := d.Heated(rise, ts.Copper)
	fmt.Printf("%.2f K, %.3f Ω, %.1f W, %.2f dB lost\n", rise, hot.Re, 400/hot.Re, ts.Copper.Compression(rise))
	// Output:
	// 195.15 K, 10.248 Ω, 39.0 W, 4.94 dB lost
}

// "90 dB at 2.83 V, a second driver in parallel: 96 dB" (J. D'Appolito 2004, in an
// interview). In series the second one brings nothing at equal voltage, and 3 dB at
// equal power either way. (Invented driver.)
func ExampleDriver_Parallel() {
	one := ts.Driver{
		Re: 5.8, Bl: 6.7, Mms: 14.2 * units.Gram, Cms: 1.25 * units.MillimetrePerNewton,
		Rms: 0.72, Sd: 136 * units.SquareCentimetre,
	}
	a := air.Standard()
	tell := func(what string, d ts.Driver) {
		fmt.Printf("%-22s %4.1f Ω, Qts %.3f, Vas %5.1f L, %.1f dB for 2.83 V, %.1f dB for 1 W\n",
			what, d.Re, d.Qts(), d.Vas(a).In(units.Litre), d.SPL283(a), d.SPL1W(a))
	}
	tell("one", one)
	tell("two in parallel", one.Parallel(2))
	tell("two in series", one.Series(2))
	tell("four, series-parallel", one.Series(2).Parallel(2))
	tell("compound in parallel", one.CompoundParallel())
	tell("one behind 0.5 Ω", one.WithSource(0.5))
	// Output:
	// one                     5.8 Ω, Qts 0.398, Vas  32.5 L, 89.4 dB for 2.83 V, 88.0 dB for 1 W
	// two in parallel         2.9 Ω, Qts 0.398, Vas  64.9 L, 95.4 dB for 2.83 V, 91.0 dB for 1 W
	// two in series          11.6 Ω, Qts 0.398, Vas  64.9 L, 89.4 dB for 2.83 V, 91.0 dB for 1 W
	// four, series-parallel   5.8 Ω, Qts 0.398, Vas 129.9 L, 95.4 dB for 2.83 V, 94.0 dB for 1 W
	// compound in parallel    2.9 Ω, Qts 0.398, Vas  16.2 L, 89.4 dB for 2.83 V, 85.0 dB for 1 W
	// one behind 0.5 Ω        6.3 Ω, Qts 0.430, Vas  32.5 L, 88.6 dB for 2.83 V, 87.6 dB for 1 W
}
