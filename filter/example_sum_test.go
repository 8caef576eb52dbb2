package filter_test

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// The table of the package comment.
func ExamplePair() {
	const corner = 1 / (2 * math.Pi) // Hz, of the prototypes
	for _, c := range []struct {
		name  string
		proto rational.Func
	}{
		{"Butterworth 1", must(filter.Butterworth(1))},
		{"Butterworth 2", must(filter.Butterworth(2))},
		{"Butterworth 3", must(filter.Butterworth(3))},
		{"Butterworth 4", must(filter.Butterworth(4))},
		{"Linkwitz-Riley 2", must(filter.LinkwitzRiley(2))},
		{"Linkwitz-Riley 4", must(filter.LinkwitzRiley(4))},
		{"Bessel 2", must(filter.Bessel(2, filter.PhaseNorm))},
		{"Bessel 4", must(filter.Bessel(4, filter.PhaseNorm))},
		{"second order, Q = 1", must(filter.SecondOrder(1))},
	} {
		pair := filter.Pair{Low: c.proto, High: c.proto.HighPass()}
		polarity := pair.Polarity(corner)
		pair.Inverted = polarity == filter.Inverted
		sum := decibel(pair.AtHz(corner))
		if filter.IsAllPass(must(pair.Func())) {
			fmt.Printf("%-20s %-9s flat     ", c.name, polarity)
		} else {
			fmt.Printf("%-20s %-9s %+.2f dB ", c.name, polarity, sum)
		}
		fmt.Printf("each %.2f dB, power %.2f dB, load %.2f R\n",
			decibel(pair.Low.AtHz(corner)), 10*math.Log10(pair.Power(corner))+1e-12, 1/pair.Power(corner))
	}
	// Output:
	// Butterworth 1        either    flat     each -3.01 dB, power 0.00 dB, load 1.00 R
	// Butterworth 2        inverted  +3.01 dB each -3.01 dB, power 0.00 dB, load 1.00 R
	// Butterworth 3        either    flat     each -3.01 dB, power 0.00 dB, load 1.00 R
	// Butterworth 4        same      +3.01 dB each -3.01 dB, power 0.00 dB, load 1.00 R
	// Linkwitz-Riley 2     inverted  flat     each -6.02 dB, power -3.01 dB, load 2.00 R
	// Linkwitz-Riley 4     same      flat     each -6.02 dB, power -3.01 dB, load 2.00 R
	// Bessel 2             inverted  +1.25 dB each -4.77 dB, power -1.76 dB, load 1.50 R
	// Bessel 4             same      -1.56 dB each -7.58 dB, power -4.57 dB, load 2.86 R
	// second order, Q = 1  inverted  +6.02 dB each 0.00 dB, power 3.01 dB, load 0.50 R
}

// The third-order Butterworth pair is flat in either polarity; the inverted one has
// the shorter delay, 2 over the angular frequency of the corner at low frequencies.
func ExamplePair_GroupDelay() {
	proto := must(filter.Butterworth(3))
	for _, inverted := range []bool{false, true} {
		pair := filter.Pair{Low: proto, High: proto.HighPass(), Inverted: inverted}
		most, at := 0.0, 0.0
		for x := 0.0; x < 3; x += 0.001 {
			if d := pair.GroupDelay(x / (2 * math.Pi)); d > most+1e-12 {
				most, at = d, x
			}
		}
		fmt.Printf("inverted %v: %.4f at DC, %.4f at %.3f of the corner\n", inverted, pair.GroupDelay(0), most, at)
	}
	// Output:
	// inverted false: 2.0000 at DC, 4.3094 at 0.856 of the corner
	// inverted true: 2.0000 at DC, 2.0000 at 0.000 of the corner
}

// A fourth-order Linkwitz-Riley pair is (s² − √2 s + 1)/(s² + √2 s + 1).
func ExamplePair_Func() {
	proto := must(filter.LinkwitzRiley(4))
	sum := must(filter.Pair{Low: proto, High: proto.HighPass()}.Func())
	num, den := sum.Polynomials()
	fmt.Printf("%.4f over %.4f\n", num, den)
	// Output:
	// [1.0000 -1.4142 1.0000] over [1.0000 1.4142 1.0000]
}

// Third-order Butterworth ways one wavelength apart send their lobe 14.5° to one
// side of the axis, printed as 15°, and a null to the other. Linkwitz-Riley ways
// keep the axis, with nulls at 30°.
func ExamplePair_Lobes() {
	const f, c = 2000.0, 343 * units.MetrePerSecond
	spacing := units.Length(float64(c) / f)
	for _, proto := range []rational.Func{must(filter.Butterworth(3)), must(filter.LinkwitzRiley(4))} {
		w := 2 * math.Pi * f
		pair := filter.Pair{Low: proto.Scaled(w), High: proto.HighPass().Scaled(w)}
		lobes, nulls, err := pair.Lobes(f, spacing, c)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Print("lobes")
		for _, a := range lobes {
			fmt.Printf(" %.1f°", a.In(units.Degree)+1e-9)
		}
		fmt.Print(", nulls")
		for _, a := range nulls {
			fmt.Printf(" %.1f°", a.In(units.Degree)+1e-9)
		}
		fmt.Printf(", most %+.2f dB\n", decibel(pair.Toward(f, spacing, lobes[len(lobes)/2], c))+1e-12)
	}
	// Output:
	// lobes -48.6° 14.5°, nulls -14.5° 48.6°, most +3.01 dB
	// lobes -90.0° 0.0° 90.0°, nulls -30.0° 30.0°, most +0.00 dB
}

// Half a wavelength from each low way to the high one between them, 30° off the
// axis: ways 90° apart lose 3 dB, and have no null in any direction; ways in phase
// lose 6 dB.
func ExamplePair_TowardSymmetric() {
	for _, proto := range []rational.Func{must(filter.Butterworth(3)), must(filter.LinkwitzRiley(4))} {
		w := 2 * math.Pi * 2000
		pair := filter.Pair{Low: proto.Scaled(w), High: proto.HighPass().Scaled(w)}
		const c = 343 * units.MetrePerSecond
		fmt.Printf("%.2f dB\n", decibel(pair.TowardSymmetric(2000, units.Length(343.0/2000/2), 30*units.Degree, c)))
	}
	// Output:
	// -3.01 dB
	// -6.02 dB
}

// Second order, crossovers a decade apart: the handbook prints .0791 and .3202 for
// the outer ways, .3236 1.0291 .0837 .0227 for the middle, of which .0837 is a slip.
func ExampleAllPassThreeWay() {
	set, err := filter.AllPassThreeWay(2, 400*units.Hertz, 4000*units.Hertz, true)
	if err != nil {
		fmt.Println(err)
		return
	}
	low, mid, high, err := set.Networks(1*units.Ohm, 1*units.Ohm, 1*units.Ohm)
	if err != nil {
		fmt.Println(err)
		return
	}
	constants := func(n ladder.Network, f float64) (k []float64) {
		for _, p := range n.Parts() {
			k = append(k, p.Value*f)
		}
		return k
	}
	fmt.Printf("%.4f %.4f %.4f\n", constants(low, 400), constants(mid, math.Sqrt(400*4000)), constants(high, 4000))
	fmt.Printf("middle inverted, %.4f dB\n", set.MidLevel)
	// Output:
	// [0.3203 0.0791] [0.3236 1.0294 0.0847 0.0227] [0.0791 0.3203]
	// middle inverted, -2.0797 dB
}

// A three-way that splits twice, at 500 Hz and at 3 kHz, needs the all-pass of the
// upper split in its low way, or it dips.
func ExampleAllPass() {
	proto := must(filter.LinkwitzRiley(4))
	at := func(f float64) filter.Pair {
		return filter.Pair{Low: proto.Scaled(2 * math.Pi * f), High: proto.HighPass().Scaled(2 * math.Pi * f)}
	}
	lower, upper := at(500), at(3000)
	align := must(filter.AllPass(must(filter.Butterworth(2)))).Scaled(2 * math.Pi * 3000)
	without, with, where := 0.0, 0.0, 0.0
	for hz := 100.0; hz < 20000; hz *= 1.0005 {
		rest := lower.High.AtHz(hz) * upper.AtHz(hz)
		if d := decibel(lower.Low.AtHz(hz) + rest); d < without {
			without, where = d, hz
		}
		with = max(with, math.Abs(cmplx.Abs(lower.Low.AtHz(hz)*align.AtHz(hz)+rest)-1))
	}
	fmt.Printf("without: %.4f dB at %.0f Hz; with: flat %v\n", without, where, with < 1e-12)
	// Output:
	// without: -0.3245 dB at 657 Hz; with: flat true
}
