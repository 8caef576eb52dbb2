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

// Slips in print, each with what is printed, what is true and what it costs. The
// list of all of them is ERRATA.md beside the harness for published rows.
//
// The handbook is V. Dickason, The Loudspeaker Design Cookbook, crossover chapter:
// constants k with C = k/(rf) and L = kr/f, all from memory.

// must is for prototypes that an example knows to exist.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// gain returns the gain of a network into a load at one frequency.
func gain(n ladder.Network, hz float64, load complex128) complex128 {
	var h, z [1]complex128
	n.Solve(h[:], z[:], []float64{hz}, []complex128{load})
	return h[0]
}

// input returns the impedance of a network with its load.
func input(n ladder.Network, hz float64, load complex128) complex128 {
	var h, z [1]complex128
	n.Solve(h[:], z[:], []float64{hz}, []complex128{load})
	return z[0]
}

func decibel(z complex128) float64 { return 20 * math.Log10(cmplx.Abs(z)) }

// lowPass returns the network of printed constants, for 1 Hz and 1 Ω.
func lowPass(k ...float64) ladder.Network {
	var n ladder.Network
	for i, v := range k {
		if i%2 == 0 {
			n = append(n, ladder.Series(ladder.L(units.Inductance(v))))
		} else {
			n = append(n, ladder.Shunt(ladder.C(units.Capacitance(v))))
		}
	}
	return n
}

// highPass is its counterpart.
func highPass(k ...float64) ladder.Network {
	var n ladder.Network
	for i, v := range k {
		if i%2 == 0 {
			n = append(n, ladder.Series(ladder.C(units.Capacitance(v))))
		} else {
			n = append(n, ladder.Shunt(ladder.L(units.Inductance(v))))
		}
	}
	return n
}

// extremes returns the least and the largest of g around 1 Hz.
func extremes(g func(hz float64) float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for hz := 0.1; hz < 10; hz *= 1.002 {
		least, most = min(least, g(hz)), max(most, g(hz))
	}
	return least, most
}

// sum returns the level of low- and high-pass together.
func sum(low, high ladder.Network, sign complex128) func(hz float64) float64 {
	return func(hz float64) float64 { return decibel(gain(low, hz, 1) + sign*gain(high, hz, 1)) }
}

// constants returns what a handbook would print for a prototype.
func constants(proto rational.Func) (low, high ladder.Network) {
	return must(filter.LowPass(proto, 1, 1)), must(filter.HighPass(proto, 1, 1))
}

// The handbook's fourth-order Bessel high-pass, .0702 .0862 .0719 .4983, has two
// wrong numbers: the second and the third.
func ExampleHighPass_erratumBessel4() {
	low, high := constants(must(filter.Bessel(4, filter.PhaseNorm)))
	var k []float64
	for _, p := range high.Parts() {
		k = append(k, p.Value)
	}
	right, _ := extremes(sum(low, high, 1))
	wrong, _ := extremes(sum(lowPass(.3583, .2336, .1463, .0504), highPass(.0702, .0862, .0719, .4983), 1))
	fmt.Printf("%.4f\nthe pair dips to %.1f dB, right values to %.1f dB\n", k, wrong, right)
	// Output:
	// [0.0700 0.1075 0.1715 0.4972]
	// the pair dips to -5.6 dB, right values to -1.6 dB
}

// The handbook's second-order Bessel, C .0912 and L .2756: the capacitor is 0.75 %
// low, and the coil should end in 7, so the pair sits 0.4 % high and is no Bessel.
func ExampleLowPass_erratumBessel2() {
	n, _ := constants(must(filter.Bessel(2, filter.PhaseNorm)))
	l, c := n[0].Parts[0].Value, n[1].Parts[0].Value
	f := 1 / (2 * math.Pi * math.Sqrt(.0912*.2756))
	printed := lowPass(.2756, .0912)
	worst := 0.0
	for hz := 0.1; hz < 10; hz *= 1.01 {
		worst = max(worst, math.Abs(decibel(gain(printed, hz, 1))-decibel(gain(n, hz, 1))))
	}
	fmt.Printf("C %.4f, L %.4f; as printed %.2f %% high, up to %.2f dB off\n", c, l, 100*(f-1), worst)
	// Output:
	// C 0.0919, L 0.2757; as printed 0.39 % high, up to 0.07 dB off
}

// Six fourth-order constants of the handbook are one off in the last digit: it has
// .4501 .3000 .2533 .1500 for Linkwitz-Riley, .2437 .2509 for Butterworth.
func ExampleLowPass_erratumLastDigits() {
	for _, c := range []struct {
		name      string
		proto     rational.Func
		low, high ladder.Network
	}{
		{"Linkwitz-Riley", must(filter.LinkwitzRiley(4)), lowPass(.3000, .2533, .1500, .0563), highPass(.0844, .1000, .1688, .4501)},
		{"Butterworth", must(filter.Butterworth(4)), lowPass(.2437, .2509, .1723, .0609), highPass(.1040, .1009, .1470, .4159)},
	} {
		low, high := constants(c.proto)
		for _, n := range []ladder.Network{low, high} {
			for _, p := range n.Parts() {
				fmt.Printf("%.4f ", p.Value)
			}
		}
		right, wrong := sum(low, high, 1), sum(c.low, c.high, 1)
		least, most := extremes(func(hz float64) float64 { return wrong(hz) - right(hz) })
		fmt.Printf("%s: the sum is off by %.3f to %.3f dB\n", c.name, least, most)
	}
	// Output:
	// 0.3001 0.2532 0.1501 0.0563 0.0844 0.1000 0.1688 0.4502 Linkwitz-Riley: the sum is off by -0.002 to 0.003 dB
	// 0.2436 0.2510 0.1723 0.0609 0.1040 0.1009 0.1470 0.4159 Butterworth: the sum is off by -0.003 to 0.003 dB
}

// The handbook's fourth-order Legendre set is consistent but scaled: every corner
// is moved outwards by a factor of 0.894, so the two overlap.
func ExampleLegendre_erratumScale() {
	low, high := constants(must(filter.Legendre(4)))
	printedLow, printedHigh := lowPass(.2294, .2365, .2034, .0910), highPass(.1104, .1073, .1246, .2783)
	fmt.Printf("factors %.3f and %.3f\n", .2294/low[0].Parts[0].Value, high[0].Parts[0].Value/.1104)
	_, right := extremes(sum(low, high, 1))
	_, wrong := extremes(sum(printedLow, printedHigh, 1))
	fmt.Printf("each at f %.2f dB, not %.2f dB; the sum rises to %+.2f dB, not %+.2f dB\n",
		decibel(gain(printedLow, 1, 1)), decibel(gain(low, 1, 1)), wrong, right)
	// Output:
	// factors 0.894 and 0.894
	// each at f -1.07 dB, not -3.01 dB; the sum rises to +4.95 dB, not +1.40 dB
}

// Two more fourth-order sets of the handbook, called Gaussian and linear-phase, fit
// no definition that could be found, and their low- and high-pass do not mirror each
// other: in a pair that does, all eight constants multiply to (2π)⁻⁸.
func ExampleHighPass_erratumGaussian() {
	for _, c := range []struct {
		name      string
		low, high [4]float64
	}{
		{"Gaussian", [4]float64{.3253, .2235, .1674, .0768}, [4]float64{.0767, .1116, .1491, .3251}},
		{"linear-phase", [4]float64{.3285, .2255, .1578, .0632}, [4]float64{.0741, .1079, .1524, .3853}},
	} {
		product := math.Pow(2*math.Pi, 8)
		for i := range 4 {
			product *= c.low[i] * c.high[i]
		}
		low, high := lowPass(c.low[:]...), highPass(c.high[:]...)
		fmt.Printf("%s: halves %.1f %% apart in frequency, sum at f %+.2f dB\n",
			c.name, 100*math.Abs(math.Pow(product, 0.25)-1), sum(low, high, 1)(1))
	}
	// Output:
	// Gaussian: halves 1.5 % apart in frequency, sum at f +0.31 dB
	// linear-phase: halves 4.2 % apart in frequency, sum at f -0.24 dB
}

// The pole table in appendix B of EMI Filter Design (read) prints 0.1737 for the real
// part of a pole of the ninth-order Butterworth, which is sin 10°.
func ExampleButterworth_erratumPole9() {
	proto := must(filter.Butterworth(9))
	printed := rational.Func{Gain: proto.Gain, Poles: append([]complex128(nil), proto.Poles...)}
	part := 1.0
	for i, p := range proto.Poles {
		part = min(part, -real(p))
		if -real(p) < 0.2 {
			printed.Poles[i] = complex(-0.1737, imag(p))
		}
	}
	fmt.Printf("%.4f, not 0.1737: %.4f dB at the corner\n", part, decibel(printed.At(1i)/proto.At(1i)))
	// Output:
	// 0.1736, not 0.1737: -0.0026 dB at the corner
}

// A Zobel for the coil and a trap for the resonance, each right by itself, are
// usually put side by side. Each brings its own Re: together they are no longer
// a resistance. The conjugate of both at once is.
func ExampleResonanceTrap_erratumBesideZobel() {
	const re, le, fs, qes, qms = 6.0, 0.08e-3, 900.0, 0.9, 3.6
	both := append(must(filter.Zobel(re, le)), must(filter.ResonanceTrap(re, fs, qes, qms))...)
	least, at := math.Inf(1), 0.0
	for hz := 100.0; hz < 2e4; hz *= 1.0005 {
		if z := cmplx.Abs(input(both, hz, driver(re, le, fs, qes, qms, hz))); z < least {
			least, at = z, hz
		}
	}
	fmt.Printf("|Z| falls to %.2f Ω at %.2f kHz: %.1f %% of Re, %.2f dB\n", least, at/1000, 100*least/re, 20*math.Log10(least/re))
	// Output:
	// |Z| falls to 5.18 Ω at 3.57 kHz: 86.3 % of Re, -1.28 dB
}

// driver is the impedance of a moving coil.
func driver(re, le, fs, qes, qms, hz float64) complex128 {
	x := hz/fs - fs/hz
	return complex(re, 2*math.Pi*hz*le) + complex(re*qms/qes, 0)/complex(1, qms*x)
}

// trapped returns the extremes of the impedance, in parts of Re, of a driver of 6 Ω
// with its resonance at 900 Hz behind a trap of 7.5 Ω.
func trapped(l, c float64) (least, most float64) {
	n := ladder.Network{ladder.Shunt(ladder.R(7.5), ladder.L(units.Inductance(l)), ladder.C(units.Capacitance(c)))}
	return extremes(func(hz float64) float64 { return cmplx.Abs(input(n, 900*hz, driver(6, 0, 900, 0.9, 3.6, 900*hz))) / 6 })
}

// Pedersen (1996, read; address withheld) offers a short cut from the nominal
// impedance for the resonance trap, C = 0.03003/fs and L = 0.02252/(fs² C). An LC of
// 0.02252/fs² does not resonate at fs: that takes 1/(2π)² = 0.02533.
func ExampleResonanceTrap_erratumShortCut() {
	const fs = 900.0
	c := 0.03003 / fs
	l := 0.02252 / (fs * fs * c)
	least, most := trapped(l, c)
	fmt.Printf("tuned to %.0f Hz, %.2f %% above fs; |Z| from %.2f to %.2f Re\n",
		1/(2*math.Pi*math.Sqrt(l*c)), 100*(1/(2*math.Pi*math.Sqrt(0.02252))-1), least, most)
	// Output:
	// tuned to 955 Hz, 6.06 % above fs; |Z| from 0.93 to 1.03 Re
}

// A page of public notes on loudspeaker design (read) gives the coil of the trap as
// L = Qes Re/fs, without the 2π in the denominator.
func ExampleResonanceTrap_erratumMissing2Pi() {
	trap := must(filter.ResonanceTrap(6, 900, 0.9, 3.6))
	right, c := trap[0].Parts[1].Value, trap[0].Parts[2].Value
	l := 0.9 * 6 / 900
	least, most := trapped(l, c)
	fmt.Printf("%.1f mH instead of %.3f mH: tuned to %.0f Hz instead of 900 Hz, |Z| from %.2f to %.2f Re\n",
		l*1e3, right*1e3, 1/(2*math.Pi*math.Sqrt(l*c)), least, most)
	// Output:
	// 6.0 mH instead of 0.955 mH: tuned to 359 Hz instead of 900 Hz, |Z| from 0.62 to 3.80 Re
}

// "R = 1.25 Re" goes by with two capacitors: Le/Re² (handbook) and Le/R² (a forum
// text, read). They are not the same rule; neither gives a resistance for a plain
// inductance, for which R is Re.
func ExampleZobel_erratumTwoRules() {
	const re, le = 6.2, 0.8e-3
	exact := must(filter.Zobel(re, le))
	for _, c := range []float64{le / (re * re), le / (1.25 * 1.25 * re * re)} {
		n := ladder.Network{ladder.Shunt(ladder.R(1.25*re), ladder.C(units.Capacitance(c)))}
		fmt.Printf("%.1f µF:", c*1e6)
		for _, hz := range []float64{1000, 2000, 20000} {
			coil := complex(re, 2*math.Pi*hz*le)
			fmt.Printf(" %.2f Ω at %.0f Hz,", cmplx.Abs(input(n, hz, coil)), hz)
		}
		fmt.Printf(" exact %.2f Ω\n", cmplx.Abs(input(exact, 1000, complex(re, 2*math.Pi*1000*le))))
	}
	// Output:
	// 20.8 µF: 6.12 Ω at 1000 Hz, 6.68 Ω at 2000 Hz, 7.73 Ω at 20000 Hz, exact 6.20 Ω
	// 13.3 µF: 7.30 Ω at 1000 Hz, 7.95 Ω at 2000 Hz, 7.76 Ω at 20000 Hz, exact 6.20 Ω
}

// Tables of band-pass boxes print .7206, .9560 and 1.2712 for the edges at S = .7, .6
// and .5 (from memory). They are where the level is 3 dB down, not where the power is
// half; the box mirrors a low-pass of Q = 1/(2S) about its tuning.
func ExampleSecondOrder_erratumBandPassEdges() {
	for _, c := range []struct{ s, printed float64 }{{.7, .7206}, {.6, .9560}, {.5, 1.2712}} {
		q := 1 / (2 * c.s)
		low := must(filter.SecondOrder(q))
		half := 1.0
		for lo, hi := 0.1, 10.0; hi-lo > 1e-12; half = (lo + hi) / 2 {
			if cmplx.Abs(low.At(complex(0, half))) > math.Sqrt2/2 {
				lo = half
			} else {
				hi = half
			}
		}
		fmt.Printf("S %.1f: %.3f dB at the printed edge; half power at %.4f, %.2f %% further\n",
			c.s, decibel(low.At(complex(0, c.printed*2*c.s))), half*q, 100*(half*q/c.printed-1))
	}
	// Output:
	// S 0.7: -3.000 dB at the printed edge; half power at 0.7215, 0.12 % further
	// S 0.6: -3.000 dB at the printed edge; half power at 0.9569, 0.09 % further
	// S 0.5: -3.000 dB at the printed edge; half power at 1.2720, 0.06 % further
}

// ripple returns by how much the sum of a three-way set with crossovers at 1 Hz and
// r Hz varies. The constants of the middle ladder are for 1 Hz and 1 Ω.
func ripple(set filter.ThreeWay, r float64, low, mid, high ladder.Network) float64 {
	k := complex(math.Pow(10, set.MidLevel/20), 0)
	if set.MidInverted {
		k = -k
	}
	least, most := extremes(func(x float64) float64 {
		// At the frequency x√r; the low-pass constants are for 1 Hz, the others not.
		return decibel(gain(low, x*math.Sqrt(r), 1) + k*gain(mid, x, 1) + gain(high, x/math.Sqrt(r), 1))
	})
	return most - least
}

// A three-way all-pass of second order with corners a decade apart: .0837 for the
// series coil of the middle (handbook; a slip there or of the memory) against .0847.
func ExampleAllPassThreeWay_erratumSeriesCoil() {
	const r = 10.0
	set := must(filter.AllPassThreeWay(2, 1, r, true))
	_, exact, _, err := set.Networks(1, 1, 1)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.4f\n", exact[2].Parts[0].Value*math.Sqrt(r))
	for _, coil := range []float64{.0847, .0837} {
		// High-pass first, then low-pass.
		mid := append(highPass(.3236, 1.0294), lowPass(coil, .0227)...)
		fmt.Printf("ripple %.3f dB with %.4f\n", ripple(set, r, lowPass(.3203, .0791), mid, highPass(.0791, .3203)), coil)
	}
	// Output:
	// 0.0847
	// ripple 0.003 dB with 0.0847
	// ripple 0.060 dB with 0.0837
}

// Other constants of the table of three-ways differ from the exact ones by one to
// three in the last digit, 0.12 % at most (handbook).
func ExampleAllPassThreeWay_erratumLastDigits() {
	for _, c := range []struct {
		inverted       bool
		low, mid, high []float64
	}{
		{false, []float64{.2227, .2127, .0852}, []float64{.0598, .0765, .0253, .3475, .3789, 1.068}, []float64{.1138, .1191, .2976}},
		{true, []float64{.2546, .2126, .0745}, []float64{.0665, .0683, .0233, .3128, .4285, 1.148}, []float64{.0995, .1191, .3402}},
	} {
		set := must(filter.AllPassThreeWay(3, 1, 10, c.inverted))
		mid := append(lowPass(c.mid[:3]...), highPass(c.mid[3:]...)...)
		fmt.Printf("third order, inverted %v: ripple %.3f dB\n", c.inverted, ripple(set, 10, lowPass(c.low...), mid, highPass(c.high...)))
	}
	// Output:
	// third order, inverted false: ripple 0.005 dB
	// third order, inverted true: ripple 0.008 dB
}
