package filter

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// must is for prototypes that a test knows to exist.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// families gives every prototype of an order.
func families(n int) map[string]rational.Func {
	all := map[string]rational.Func{
		"Butterworth":      must(Butterworth(n)),
		"Bessel delay":     must(Bessel(n, DelayNorm)),
		"Bessel phase":     must(Bessel(n, PhaseNorm)),
		"Bessel magnitude": must(Bessel(n, MagnitudeNorm)),
		"Chebyshev 0.1 dB": must(Chebyshev(n, 0.1)),
		"Chebyshev 3 dB":   must(Chebyshev(n, 3)),
		"Legendre":         must(Legendre(n)),
	}
	if n%2 == 0 {
		all["Linkwitz-Riley"] = must(LinkwitzRiley(n))
	}
	if n == 2 {
		all["second order"] = must(SecondOrder(0.8))
	}
	return all
}

// What each family is defined by, read off the response.
func TestDefinitions(t *testing.T) {
	const half = math.Sqrt2 / 2
	for n := 1; n <= maxOrder; n++ {
		for name, f := range families(n) {
			if err := f.Check(); err != nil || !f.Stable() || len(f.Poles) != n {
				t.Errorf("%s %d: %v, stable %v, %d poles", name, n, err, f.Stable(), len(f.Poles))
			}
			near(t, name, n, "gain at DC", real(f.At(0)), 1, 1e-13)
			at := func(w float64) float64 { return cmplx.Abs(f.At(complex(0, w))) }
			switch name {
			case "Butterworth":
				for _, w := range []float64{0.5, 1, 2} {
					near(t, name, n, "gain", at(w), 1/math.Sqrt(1+math.Pow(w, 2*float64(n))), 1e-13)
				}
			case "Linkwitz-Riley":
				near(t, name, n, "gain at 1 rad/s", at(1), 0.5, 1e-13)
			case "Bessel delay":
				near(t, name, n, "delay at DC", f.GroupDelay(0), 1, 1e-12)
				// Maximally flat: τ differs from 1 by order w^2n.
				near(t, name, n, "delay at 0.01 rad/s", f.GroupDelay(0.01/(2*math.Pi)), 1, 1e-12+math.Pow(0.01, 2*float64(n)))
			case "Bessel phase":
				_, den := f.Polynomials()
				near(t, name, n, "last coefficient", den[0], 1, 1e-12)
				// Far above, that of Butterworth.
				near(t, name, n, "gain at 1e4 rad/s", at(1e4)*math.Pow(1e4, float64(n)), 1, 1e-6)
				// At 1 rad/s, not quite half of the final phase, n·90°.
				off := math.Abs(cmplx.Phase(f.At(1i) * cmplx.Rect(1, math.Pi/4*float64(n))))
				most := map[int]float64{1: 1e-12, 2: 1e-12, 3: 0.9, 4: 1.9, maxOrder: 20.1}
				if limit, ok := most[n]; ok && !(off*180/math.Pi <= limit) {
					t.Errorf("%s %d: phase at 1 rad/s is %.3f° from half of the final one", name, n, off*180/math.Pi)
				}
			case "second order":
				near(t, name, n, "gain at 1 rad/s", at(1), 0.8, 1e-13)
			case "Bessel magnitude":
				near(t, name, n, "gain at 1 rad/s", at(1), half, 1e-12)
			case "Legendre":
				tolerance := 1e-12
				if n > 9 {
					tolerance = 1e-10 // as its comment says
				}
				near(t, name, n, "gain at 1 rad/s", at(1), half, tolerance)
			case "Chebyshev 0.1 dB", "Chebyshev 3 dB":
				// 1 + e²T²(w), with the ripple above 1 for even n.
				e2 := math.Pow(10, 0.01) - 1
				if name == "Chebyshev 3 dB" {
					e2 = math.Pow(10, 0.3) - 1
				}
				for _, w := range []float64{0.1, 0.7, 1, 1.5} {
					c := math.Cos(float64(n) * math.Acos(w))
					if w > 1 {
						c = math.Cosh(float64(n) * math.Acosh(w))
					}
					want := 1 / math.Sqrt(1+e2*c*c)
					if n%2 == 0 {
						want *= math.Sqrt(1 + e2)
					}
					near(t, name, n, "gain", at(w), want, 1e-11)
				}
			}
			if strings.HasPrefix(name, "Chebyshev") || name == "second order" {
				continue
			}
			for w, last := 0.0, 1.0; w < 3; w += 0.01 {
				if g := at(w); !(g <= last*(1+1e-12)) {
					t.Errorf("%s %d: rises at %.2f rad/s", name, n, w)
				} else {
					last = g
				}
			}
		}
	}
}

func near(t *testing.T, name string, n int, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s %d: %s: got %.15g, want %.15g", name, n, what, got, want)
	}
}

// The Legendre polynomial L(ω²) as Papoulis gives it.
func TestOptimum(t *testing.T) {
	for n, want := range map[int][]float64{
		2: {0, 0, 1},
		3: {0, 1, -3, 3},
		4: {0, 0, 3, -8, 6},
		5: {0, 1, -8, 28, -40, 20},
	} {
		for k, got := range optimum(n) {
			if !(math.Abs(got-want[k]) <= 1e-12) {
				t.Errorf("order %d, x^%d: got %v, want %v", n, k, got, want[k])
			}
		}
	}
}

// A ladder in its load has the response of the prototype: the network solver
// and the rational function are two roads to one number.
func TestLaddersAgainstPrototypes(t *testing.T) {
	const f, r = 2500.0, 8.0
	for n := 1; n <= maxOrder; n++ {
		for name, proto := range families(n) {
			low, err := LowPass(proto, f, r)
			if err != nil {
				t.Errorf("%s %d: %v", name, n, err)
				continue
			}
			high, err := HighPass(proto, f, r)
			if err != nil {
				t.Errorf("%s %d: %v", name, n, err)
				continue
			}
			if err := errors.Join(low.Check(), high.Check()); err != nil {
				t.Errorf("%s %d: %v", name, n, err)
			}
			lp, hp := proto.Scaled(2*math.Pi*f), proto.HighPass().Scaled(2*math.Pi*f)
			for _, hz := range []float64{100, 1000, 2000, 2500, 3000, 8000, 20000} {
				got, zl := solve(low, hz, r)
				if want := lp.AtHz(hz); !(cmplx.Abs(got-want) <= 1e-11*cmplx.Abs(want)) {
					t.Errorf("%s %d: low-pass at %v Hz: network %v, prototype %v", name, n, hz, got, want)
				}
				got, zh := solve(high, hz, r)
				if want := hp.AtHz(hz); !(cmplx.Abs(got-want) <= 1e-11*cmplx.Abs(want)) {
					t.Errorf("%s %d: high-pass at %v Hz: network %v, prototype %v", name, n, hz, got, want)
				}
				// A Butterworth pair is a resistance to the amplifier.
				if z := 1 / (1/zl + 1/zh); name == "Butterworth" && !(cmplx.Abs(z-r) <= 1e-10*r) {
					t.Errorf("order %d: pair at %v Hz: impedance %v, want %v", n, hz, z, r)
				}
			}
		}
	}
}

// Pairs that add up to an all-pass, at all frequencies.
func TestFlatSums(t *testing.T) {
	for _, c := range []struct {
		name string
		f    rational.Func
		sign complex128
	}{
		{"Butterworth 1", must(Butterworth(1)), 1},
		{"Butterworth 1, inverted", must(Butterworth(1)), -1},
		{"Butterworth 3", must(Butterworth(3)), 1},
		{"Butterworth 3, inverted", must(Butterworth(3)), -1},
		{"Linkwitz-Riley 2, inverted", must(LinkwitzRiley(2)), -1},
		{"Linkwitz-Riley 4", must(LinkwitzRiley(4)), 1},
		{"Linkwitz-Riley 6, inverted", must(LinkwitzRiley(6)), -1},
		{"Linkwitz-Riley 8", must(LinkwitzRiley(8)), 1},
		{"Linkwitz-Riley 24", must(LinkwitzRiley(24)), 1},
	} {
		high := c.f.HighPass()
		for x := 0.05; x < 20; x *= 1.1 {
			s := complex(0, x)
			if got := cmplx.Abs(c.f.At(s) + c.sign*high.At(s)); !(math.Abs(got-1) <= 1e-12) {
				t.Errorf("%s at %v: |sum| = %v", c.name, x, got)
			}
		}
	}
}

// The printed fourth-order Bessel constants that the comment of HighPass warns of.
func TestPrintedBesselHighPass(t *testing.T) {
	low := ladder.Network{
		ladder.Series(ladder.L(0.3583)), ladder.Shunt(ladder.C(0.2336)),
		ladder.Series(ladder.L(0.1463)), ladder.Shunt(ladder.C(0.0504)),
	}
	high := ladder.Network{
		ladder.Series(ladder.C(0.0702)), ladder.Shunt(ladder.L(0.0862)),
		ladder.Series(ladder.C(0.0719)), ladder.Shunt(ladder.L(0.4983)),
	}
	least := math.Inf(1)
	for hz := 0.2; hz < 5; hz *= 1.01 {
		l, _ := solve(low, hz, 1)
		h, _ := solve(high, hz, 1)
		least = min(least, decibel(cmplx.Abs(l+h)))
	}
	if !(math.Abs(least+5.6) <= 0.05) {
		t.Errorf("the sum dips to %.2f dB, the comment says −5.6 dB", least)
	}
	right := must(HighPass(must(Bessel(4, PhaseNorm)), 1, 1))
	for i, want := range []float64{0.0700, 0.1075, 0.1715, 0.4972} {
		if got := part(t, i)(right, nil); !(math.Abs(got-want) <= 0.00005) {
			t.Errorf("element %d is %v, the comment says %v", i+1, got, want)
		}
	}
}

func TestPads(t *testing.T) {
	for _, db := range []float64{0.01, 1, 6, 20, 60} {
		for _, r := range []units.Resistance{4, 6.2, 16} {
			k := math.Pow(10, -db/20)
			for _, c := range []struct {
				name string
				n    ladder.Network
				zin  float64
			}{
				{"L", must(Pad(db, r)), float64(r)},
				{"T", must(TPad(db, r)), float64(r)},
				{"π", must(PiPad(db, r)), float64(r)},
				{"series", must(SeriesPad(db, r)), float64(r) / k},
			} {
				h, zin := solve(c.n, 1000, complex(float64(r), 0))
				if !(cmplx.Abs(h-complex(k, 0)) <= 1e-12*k) || !(cmplx.Abs(zin-complex(c.zin, 0)) <= 1e-12*c.zin) {
					t.Errorf("%s, %v dB into %v: gain %v, want %v, impedance %v, want %v", c.name, db, r, h, k, zin, c.zin)
				}
			}
		}
	}
	// Two pads in a row attenuate by the sum.
	two := append(must(Pad(2, 8)), must(Pad(4, 8))...)
	if h, _ := solve(two, 1000, 8); !(math.Abs(decibel(cmplx.Abs(h))+6) <= 1e-12) {
		t.Errorf("2 dB and 4 dB: got %v dB", decibel(cmplx.Abs(h)))
	}
}

// With its compensation a driver is a resistance at all frequencies.
func TestCompensation(t *testing.T) {
	const re, le, fs, qes, qms = 6.0, 0.08e-3, 900.0, 0.9, 3.6
	zobel := must(Zobel(re, le))
	trap := must(ResonanceTrap(re, fs, qes, qms))
	least := math.Inf(1)
	var at float64
	for hz := 10.0; hz < 1e5; hz *= 1.0005 {
		coil := complex(0, 2*math.Pi*hz*le)
		if _, z := solve(zobel, hz, re+coil); !(cmplx.Abs(z-re) <= 1e-13*re) {
			t.Errorf("Zobel at %v Hz: %v", hz, z)
		}
		motion := resonant(re, fs, qes, qms, hz)
		if _, z := solve(trap, hz, motion); !(cmplx.Abs(z-re) <= 1e-13*re) {
			t.Errorf("trap at %v Hz: %v", hz, z)
		}
		if _, z := solve(append(zobel[:1:1], trap...), hz, motion+coil); cmplx.Abs(z) < least {
			least, at = cmplx.Abs(z), hz
		}
	}
	// The comment of ResonanceTrap: the two side by side undershoot by 14 %.
	if !(math.Abs(least/re-0.8632) <= 1e-4) || !(math.Abs(at-3569.3) <= 2) {
		t.Errorf("both: least |Z| is %.4f of Re at %.0f Hz, want 0.8632 at 3569 Hz", least/re, at)
	}
}

func TestShelfAndNotch(t *testing.T) {
	level := func(n ladder.Network, hz float64) float64 {
		h, _ := solve(n, hz, 6)
		return decibel(cmplx.Abs(h))
	}
	for _, db := range []float64{0.5, 3, 6, 12, 40} {
		shelf := must(Shelf(db, 500, 6))
		for _, c := range []struct{ hz, want float64 }{{1e-6, 0}, {500, -db / 2}, {1e9, -db}} {
			if got := level(shelf, c.hz); !(math.Abs(got-c.want) <= 1e-9) {
				t.Errorf("shelf of %v dB at %v Hz: got %v dB, want %v dB", db, c.hz, got, c.want)
			}
		}
		const f, width = 3000.0, 800.0
		notch := must(Notch(db, f, width, 6))
		// The two frequencies lie a width apart, f in their geometric mean.
		lo := math.Sqrt(f*f+width*width/4) - width/2
		for _, c := range []struct{ hz, want float64 }{{1e-3, 0}, {lo, -db / 2}, {f, -db}, {lo + width, -db / 2}, {1e9, 0}} {
			if got := level(notch, c.hz); !(math.Abs(got-c.want) <= 1e-9) {
				t.Errorf("notch of %v dB at %v Hz: got %v dB, want %v dB", db, c.hz, got, c.want)
			}
		}
	}
}

func TestErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	b2 := must(Butterworth(2))
	for want, err := range map[string]error{
		"filter: Butterworth order 0: must be from 1 to 12":                                   second(Butterworth(0)),
		"filter: Butterworth order 13: must be from 1 to 12":                                  second(Butterworth(13)),
		"filter: Linkwitz-Riley order 3: must be even, from 2 to 24":                          second(LinkwitzRiley(3)),
		"filter: Linkwitz-Riley order 0: must be even, from 2 to 24":                          second(LinkwitzRiley(0)),
		"filter: Linkwitz-Riley order 26: must be even, from 2 to 24":                         second(LinkwitzRiley(26)),
		"filter: Bessel order -1: must be from 1 to 12":                                       second(Bessel(-1, DelayNorm)),
		"filter: Bessel norm 3: must be DelayNorm, PhaseNorm or MagnitudeNorm":                second(Bessel(2, 3)),
		"filter: Legendre order 0: must be from 1 to 12":                                      second(Legendre(0)),
		"filter: Chebyshev order 0: must be from 1 to 12":                                     second(Chebyshev(0, 1)),
		"filter: Chebyshev ripple 0 dB: must be from 0.001 dB to 12 dB":                       second(Chebyshev(2, 0)),
		"filter: Chebyshev ripple NaN dB: must be from 0.001 dB to 12 dB":                     second(Chebyshev(2, nan)),
		"filter: Q NaN: must be from 0.05 to 50":                                              second(SecondOrder(nan)),
		"filter: Q 0: must be from 0.05 to 50":                                                second(SecondOrder(0)),
		"filter: prototype of order 0: must be of order 1 to 24":                              second(Elements(rational.Func{Gain: 1})),
		"filter: prototype with 2 zeros: must be a low-pass without zeros":                    second(Elements(b2.HighPass())),
		"filter: prototype with gain 2 at DC: must have gain 1 there":                         second(Elements(rational.Func{Poles: []complex128{-1}, Gain: 2})),
		"filter: prototype with a pole not in the left half plane: must be stable":            second(Elements(rational.Func{Poles: []complex128{1}, Gain: -1})),
		"filter: prototype: rational: pole 0 at (-1+1i) rad/s: must stand with its conjugate": second(Elements(rational.Func{Poles: []complex128{-1 + 1i}, Gain: 1})),
		"filter: frequency 0 Hz: must be positive and finite":                                 second(LowPass(b2, 0, 8)),
		"filter: frequency +Inf Hz: must be positive and finite":                              second(HighPass(b2, units.Frequency(inf), 8)),
		"filter: load -8 Ω: must be positive and finite":                                      second(HighPass(b2, 100, -8)),
		"filter: attenuation 0 dB: must be above 0 dB and at most 60 dB":                      second(Pad(0, 8)),
		"filter: attenuation NaN dB: must be above 0 dB and at most 60 dB":                    second(SeriesPad(nan, 8)),
		"filter: attenuation 61 dB: must be above 0 dB and at most 60 dB":                     second(TPad(61, 8)),
		"filter: load 0 Ω: must be positive and finite":                                       second(PiPad(6, 0)),
		"filter: coil resistance 0 Ω: must be positive and finite":                            second(Zobel(0, 1e-3)),
		"filter: coil inductance -1 mH: must be positive and finite":                          second(Zobel(6, -1e-3)),
		"filter: qes 0: must be positive and finite":                                          second(ResonanceTrap(6, 900, 0, 3)),
		"filter: qms +Inf: must be positive and finite":                                       second(ResonanceTrap(6, 900, 0.5, inf)),
		"filter: resonance NaN Hz: must be positive and finite":                               second(ResonanceTrap(6, units.Frequency(nan), 0.5, 3)),
		"filter: attenuation -3 dB: must be above 0 dB and at most 60 dB":                     second(Shelf(-3, 500, 6)),
		"filter: frequency -1 Hz: must be positive and finite":                                second(Shelf(3, -1, 6)),
		"filter: width 0 Hz: must be positive and finite":                                     second(Notch(3, 500, 0, 6)),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func BenchmarkLinkwitzRiley4(b *testing.B) {
	for b.Loop() {
		if _, err := LinkwitzRiley(4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBessel4Magnitude(b *testing.B) {
	for b.Loop() {
		if _, err := Bessel(4, MagnitudeNorm); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLowPass4(b *testing.B) {
	proto := must(LinkwitzRiley(4))
	for b.Loop() {
		if _, err := LowPass(proto, 2500, 8); err != nil {
			b.Fatal(err)
		}
	}
}
