package ts_test

import (
	"fmt"
	"math/rand/v2"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// asPrinted is an invented sheet with three wrong entries: Vas, Qts, and the level for
// 1 W, which is that for 2.83 V.
var asPrinted = ts.Sheet{
	Re: 5.90 * units.Ohm, Fs: 30.4 * units.Hertz, Qms: 5.06, Qes: 0.487, Qts: 0.480, Vas: 74.0 * units.Litre,
	Sd: 216 * units.SquareCentimetre, Mms: 30.5 * units.Gram, Cms: 0.900 * units.MillimetrePerNewton,
	Rms: 1.15 * units.KilogramPerSecond, Bl: 8.40 * units.TeslaMetre, Eta0: 0.327 * units.Percent, SPL1W: 88.6, SPL283: 88.6,
}

// The wrong entries come out in order, and the driver is the one of which Vas is
// 59.0 L and Qts 0.444.
func ExampleSheet_Culprits() {
	culprits, r, err := asPrinted.Culprits(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range culprits {
		fmt.Println(c)
	}
	fmt.Printf("chi-squared %.1f with %d redundant figures\n", r.Chi2, r.Freedom)
	fmt.Printf("Vas %.1f L, Qts %.3f\n", r.Driver.Vas(air.Standard()).In(units.Litre), r.Driver.Qts())
	// Output:
	// Vas printed 74 L, the others give 59 L (+25.4 %)
	// Qts printed 0.48, the others give 0.4442 (+8.1 %)
	// SPL 1 W printed 88.6 dB, the others give 87.24 dB (+1.4 dB); both levels are the same, which only 8 Ω allows
	// chi-squared 0.0 with 5 redundant figures
	// Vas 59.0 L, Qts 0.444
}

// Without an efficiency beside them Vas and Sd occur only together: either may be wrong.
// (The same invented sheet.)
func ExampleSheet_Suspects() {
	s := asPrinted
	s.Qts, s.Eta0, s.SPL1W, s.SPL283 = 0, 0, 0, 0
	suspects, err := s.Suspects(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range suspects[:2] {
		fmt.Printf("without it chi-squared falls by %.1f: %v\n", x.Fall, x)
	}
	// Output:
	// without it chi-squared falls by 343.1: Vas printed 74 L, the others give 58.96 L (+25.5 %), or Sd printed 216 cm², the others give 242 cm² (-10.7 %)
	// without it chi-squared falls by 79.8: Cms printed 0.9 mm/N, the others give 0.9691 mm/N (-7.1 %)
}

// All figures at once give more than any six, and tell how well each is known. (A
// published 230 mm midrange: its model figures, and what is printed beside them.)
func ExampleSheet_Reconcile() {
	s := ts.Sheet{
		Re: 6.18 * units.Ohm, Bl: 11.325 * units.TeslaMetre, Mms: 38.839 * units.Gram, Mmd: 30.715 * units.Gram,
		Cms: units.MillimetrePerNewton / 18.65, Rms: 5.932 * units.KilogramPerSecond, Sd: 372.5 * units.SquareCentimetre,
		Fs: 110.3 * units.Hertz, Qms: 4.537, Qes: 1.297, Qts: 1.009, Vas: 10.5303 * units.Litre, Eta0: 1.047 * units.Percent,
		Digits: 4,
	}
	r, err := s.Reconcile(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("chi-squared %.2f with %d redundant figures\n", r.Chi2, r.Freedom)
	for _, m := range r.Moves {
		fmt.Printf("%-4s %9s -> %9s %+.2f %%\n", m.Figure, m.Published, m.Reconciled, 100*m.By)
	}
	e := r.Estimates
	fmt.Printf("fs ± %.2f %%, Qts ± %.2f %%, Vas ± %.2f %%; fs with Vas %.2f\n",
		100*e.Deviation("fs"), 100*e.Deviation("Qts"), 100*e.Deviation("Vas"), e.Correlation("fs", "Vas"))
	// Output:
	// chi-squared 0.59 with 7 redundant figures
	// Re      6.18 Ω ->    6.18 Ω -0.00 %
	// fs    110.3 Hz ->  110.3 Hz -0.03 %
	// Qms      4.537 ->     4.537 +0.00 %
	// Qes      1.297 ->     1.296 -0.04 %
	// Qts      1.009 ->     1.008 -0.07 %
	// Vas    10.53 L ->   10.52 L -0.09 %
	// Sd   372.5 cm² -> 373.7 cm² +0.33 %
	// Mms    38.84 g ->   38.84 g +0.01 %
	// Mmd    30.71 g ->   30.68 g -0.13 %
	// Cms  53.62 µm/N -> 53.63 µm/N +0.03 %
	// Rms  5.932 kg/s -> 5.931 kg/s -0.01 %
	// Bl   11.32 T·m -> 11.33 T·m +0.01 %
	// eta0   0.01047 ->   0.01046 -0.10 %
	// fs ± 0.18 %, Qts ± 0.28 %, Vas ± 0.43 %; fs with Vas -0.54
}

// Drivers of one run differ together: a soft suspension makes fs low and Vas large.
// (Invented driver; the spreads of the parts are assumptions. Random draws of an own
// computation gave 4.1, 6.4 and 8.1 per cent.)
func ExampleSpread() {
	d := ts.Driver{
		Re: 5.8, Bl: 6.7, Mms: 14.2 * units.Gram, Cms: 1.25 * units.MillimetrePerNewton,
		Rms: 0.72, Sd: 136 * units.SquareCentimetre,
	}
	s := ts.Spread{Re: 0.02, Bl: 0.025, Mms: 0.02, Cms: 0.08, Rms: 0.08, Sd: 0.005}
	e := s.Estimates(d, air.Standard())
	fmt.Printf("fs %.1f %%, Qts %.1f %%, Vas %.1f %%; fs with Vas %.2f\n",
		100*e.Deviation("fs"), 100*e.Deviation("Qts"), 100*e.Deviation("Vas"), e.Correlation("fs", "Vas"))
	for i := range uint64(3) {
		one := s.Draw(d, rand.New(rand.NewPCG(1, i)))
		fmt.Printf("fs %.1f Hz, Qts %.3f, Vas %.1f L\n", one.Fs(), one.Qts(), one.Vas(air.Standard()).In(units.Litre))
	}
	// Output:
	// fs 4.1 %, Qts 6.5 %, Vas 8.1 %; fs with Vas -0.96
	// fs 39.5 Hz, Qts 0.397, Vas 29.9 L
	// fs 37.1 Hz, Qts 0.384, Vas 33.9 L
	// fs 39.4 Hz, Qts 0.420, Vas 28.8 L
}

// A suspension that creeps is softer below fs and lossy: a tenth per decade alone caps
// Qms at 14.66 (own computation). (Invented driver.)
func ExampleDriver_Suspension() {
	d := ts.Driver{
		Re: 5.8, Bl: 6.7, Mms: 14.2 * units.Gram, Cms: 1.25 * units.MillimetrePerNewton,
		Rms: 0.72, Sd: 136 * units.SquareCentimetre, Creep: 0.1,
	}
	const twoPi = 2 * 3.141592653589793
	for _, k := range []float64{0.01, 0.1, 1, 10} {
		w := twoPi * float64(d.Fs()) * k
		z := d.Suspension(complex(0, w))
		fmt.Printf("%.2f fs: %.3f mm/N, losses %.2f kg/s\n", k, -1000/(imag(z)*w), real(z))
	}
	// Output:
	// 0.01 fs: 1.498 mm/N, losses 16.48 kg/s
	// 0.10 fs: 1.374 mm/N, losses 2.39 kg/s
	// 1.00 fs: 1.250 mm/N, losses 0.72 kg/s
	// 10.00 fs: 1.126 mm/N, losses 0.52 kg/s
}

// Broken in, a suspension of this driver is 30 per cent softer. (Invented driver; the
// figures are those of an own computation.)
func ExampleDriver_BrokenIn() {
	d := ts.Driver{
		Re: 5.8, Bl: 6.7, Mms: 14.2 * units.Gram, Cms: 1.25 * units.MillimetrePerNewton,
		Rms: 0.72, Sd: 136 * units.SquareCentimetre,
	}
	soft, a := d.BrokenIn(1.3), air.Standard()
	fmt.Printf("fs %+.2f %%, Qts %+.2f %%, Vas %+.1f %%, efficiency %+.1f %%\n", 100*(soft.Fs()/d.Fs()-1),
		100*(soft.Qts()/d.Qts()-1), 100*(soft.Vas(a)/d.Vas(a)-1), 100*(soft.Eta0(a)/d.Eta0(a)-1))
	// Output:
	// fs -12.29 %, Qts -12.29 %, Vas +30.0 %, efficiency +0.0 %
}
