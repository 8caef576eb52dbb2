package filter

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func TestBiquadRows(t *testing.T) {
	golden.Run(t, "testdata/biquads.csv", func(t *testing.T, r golden.Row) {
		if r.Calculation != "coefficient of digital section" {
			r.Unknown(t)
		}
		fs, f0 := units.Frequency(r.Num(t, "fs", "Hz")), units.Frequency(r.Num(t, "f0", "Hz"))
		q := func() float64 { return r.Num(t, "q", "1") }
		gain := func() float64 { return r.Num(t, "gain", "dB") }
		var f rational.Func
		var err error
		switch kind := r.Word(t, "kind"); kind {
		case "low-pass":
			f, err = SecondOrder(q())
		case "high-pass":
			f, err = SecondOrder(q())
			f = f.HighPass()
		case "band-pass":
			f, err = BandPass(q())
		case "band-stop":
			f, err = BandStop(q())
		case "all-pass":
			f, err = AllPass(must(SecondOrder(q())))
		case "peak":
			f, err = Peak(gain(), q())
		case "low shelf":
			f, err = LowShelf(gain(), r.Num(t, "slope", "1"))
		case "high shelf":
			f, err = HighShelf(gain(), r.Num(t, "slope", "1"))
		default:
			t.Fatalf("no such kind: %s", kind)
		}
		if err != nil {
			t.Fatal(err)
		}
		all, err := Digital(f.Scaled(2*math.Pi*float64(f0)), fs, f0)
		if err != nil || len(all) != 1 {
			t.Fatalf("%d sections, %v", len(all), err)
		}
		b := all[0]
		r.Check(t, map[string]float64{"b0": b.B0, "b1": b.B1, "b2": b.B2, "a1": b.A1, "a2": b.A2}[r.Word(t, "coefficient")])
	})
}

// analog are functions of all shapes with their corner at 1 rad/s.
func analog() map[string]rational.Func {
	all := map[string]rational.Func{
		"constant":       {Gain: 0.7},
		"band-pass":      must(BandPass(1.3)),
		"band-stop":      must(BandStop(3)),
		"three bands":    must(BandPass(1.3)).Mul(must(BandPass(7))).Mul(must(BandPass(0.6))),
		"peak":           must(Peak(7, 2)),
		"dip":            must(Peak(-11, 0.6)),
		"low shelf":      must(LowShelf(5, 0.7)),
		"high shelf":     must(HighShelf(-9, 1)),
		"first order":    must(Butterworth(1)),
		"first all-pass": must(AllPass(must(Butterworth(1)))),
		"all-pass 5":     must(AllPass(must(Bessel(5, PhaseNorm)))),
		"real poles":     {Poles: []complex128{-1, -0.3, -2}, Zeros: []complex128{-0.5}, Gain: 2},
		"mixed":          must(Bessel(3, PhaseNorm)).Mul(must(Chebyshev(4, 1)).HighPass()).Mul(must(LowShelf(-4, 0.5))),
	}
	for name, f := range families(7) {
		all[name+" 7"], all[name+" 7, high-pass"] = f, f.HighPass()
	}
	for name, f := range families(8) {
		all[name+" 8"], all[name+" 8, high-pass"] = f, f.HighPass()
	}
	return all
}

func cascade(all []Biquad, f, fs units.Frequency) complex128 {
	h := complex(1, 0)
	for _, b := range all {
		h *= b.At(f, fs)
	}
	return h
}

// The sections are the analog function on the warped axis, at any frequency, and
// exact where they are matched.
func TestDigitalIsWarpedAnalog(t *testing.T) {
	const fs, match = 48000.0, 2500.0
	k := 2 * math.Pi * match / math.Tan(math.Pi*match/fs)
	for name, proto := range analog() {
		f := proto.Scaled(2 * math.Pi * 2000)
		all, err := Digital(f, fs, match)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if want := max(1, (len(f.Poles)+1)/2); len(all) != want {
			t.Errorf("%s: %d sections, want %d", name, len(all), want)
		}
		for _, hz := range []float64{200, 1000, 2500, 5000, 15000, 23000} {
			want := f.At(complex(0, k*math.Tan(math.Pi*hz/fs)))
			got := cascade(all, units.Frequency(hz), fs)
			if !(cmplx.Abs(got-want) <= 1e-9*cmplx.Abs(want)+1e-13) {
				t.Errorf("%s at %v Hz: sections %v, analog %v", name, hz, got, want)
			}
			if hz == match && !(cmplx.Abs(got-f.AtHz(hz)) <= 1e-10) {
				t.Errorf("%s where matched: %v, want %v", name, got, f.AtHz(hz))
			}
		}
		if got, want := cascade(all, 0, fs), f.At(0); !(cmplx.Abs(got-want) <= 1e-9*(1+cmplx.Abs(want))) {
			t.Errorf("%s at DC: %v, want %v", name, got, want)
		}
		for i, b := range all {
			if !b.Stable() {
				t.Errorf("%s: section %d of %v is unstable", name, i+1, all)
			}
		}
	}
}

// How sections are arranged: poles ever closer to the unit circle, those closest with
// the zeros next to them, and gain 1 in all but the first, at DC or else at the end.
func TestDigitalArrangement(t *testing.T) {
	for name, proto := range analog() {
		all := must(Digital(proto.Scaled(2*math.Pi*2000), 48000, 2000))
		last := 0.0
		for i, b := range all {
			radius := math.Sqrt(math.Abs(b.A2))
			if d := b.A1*b.A1/4 - b.A2; d >= 0 {
				radius = math.Abs(b.A1/2) + math.Sqrt(d)
			}
			if !(radius >= last-1e-6) {
				t.Errorf("%s: poles at %v after %v", name, radius, last)
			}
			last = radius
			if i == 0 {
				continue
			}
			dc, end := cmplx.Abs(b.At(0, 48000)), cmplx.Abs(b.At(24000, 48000))
			match := cmplx.Abs(b.At(2000, 48000))
			if !(math.Abs(dc-1) <= 1e-9 || dc <= 1e-9 && (math.Abs(end-1) <= 1e-9 || end <= 1e-9 && math.Abs(match-1) <= 1e-9)) {
				t.Errorf("%s: section %d has %v at DC, %v at the end and %v where matched", name, i+1, dc, end, match)
			}
		}
	}
	// Two notches with their poles beside them, written apart.
	wide, narrow := must(BandStop(1)).Scaled(2*math.Pi*8000), must(BandStop(30)).Scaled(2*math.Pi*1000)
	f := rational.Func{Zeros: append(wide.Zeros, narrow.Zeros...), Poles: append(narrow.Poles, wide.Poles...), Gain: 1}
	for i, hz := range []units.Frequency{8000, 1000} {
		all := must(Digital(f, 48000, hz))
		if null := cmplx.Abs(all[i].At(hz, 48000)); !(null <= 1e-9) {
			t.Errorf("section %d of %v has %v at %v", i+1, all, null, hz)
		}
	}
}

// What is left of the digits far below the sampling rate.
func TestBiquadDigits(t *testing.T) {
	proto := must(Butterworth(2))
	b := must(Digital(proto.Scaled(2*math.Pi*20), 48000, 20))[0]
	if off := cmplx.Abs(b.At(20, 48000)/proto.At(1i) - 1); !(off <= 2e-10) {
		t.Errorf("off by %v", off)
	}
	worst := 0.0
	for f := 1.0; f < 200; f *= 1.01 {
		want := proto.Scaled(2 * math.Pi * 20).At(complex(0, 2*math.Pi*20/math.Tan(math.Pi*20/48000)*math.Tan(math.Pi*f/48000)))
		worst = max(worst, cmplx.Abs(b.At(units.Frequency(f), 48000)/want-1))
	}
	if !(worst <= 2e-10) || worst < 1e-13 {
		t.Errorf("off by up to %v, the comment speaks of ten digits", worst)
	}
}

// What the difference equation makes of an impulse has the response of At.
func TestBiquadAt(t *testing.T) {
	const fs, n = 48000.0, 4000
	b := must(Digital(must(Peak(6, 2)).Scaled(2*math.Pi*3000), fs, 3000))[0]
	for _, hz := range []float64{0, 700, 3000, 20000, 24000} {
		var x1, x2, y1, y2 float64
		var sum complex128
		for i := range n {
			x := 0.0
			if i == 0 {
				x = 1
			}
			y := b.B0*x + b.B1*x1 + b.B2*x2 - b.A1*y1 - b.A2*y2
			x1, x2, y1, y2 = x, x1, y, y1
			sum += complex(y, 0) * cmplx.Rect(1, -2*math.Pi*hz/fs*float64(i))
		}
		if got := b.At(units.Frequency(hz), fs); !(cmplx.Abs(got-sum) <= 1e-12) {
			t.Errorf("at %v Hz: %v, from the impulse %v", hz, got, sum)
		}
	}
}

// Poles on a grid about the unit circle: Stable is whether both are inside.
func TestBiquadStable(t *testing.T) {
	for r := 0.05; r < 1.6; r += 0.1 {
		for _, turn := range []float64{0, 0.3, 1.2, 3, math.Pi} {
			p := cmplx.Rect(r, turn)
			if b := (Biquad{B0: 1, A1: -2 * real(p), A2: r * r}); b.Stable() != (r < 1) {
				t.Errorf("poles at %v: %v", p, b.Stable())
			}
		}
		for q := -1.55; q < 1.6; q += 0.1 {
			if b := (Biquad{B0: 1, A1: -(r + q), A2: r * q}); b.Stable() != (r < 1 && math.Abs(q) < 1) {
				t.Errorf("poles at %v and %v: %v", r, q, b.Stable())
			}
		}
	}
	if (Biquad{A1: math.NaN()}).Stable() || (Biquad{A2: math.NaN()}).Stable() {
		t.Error("NaN is stable")
	}
}

// Linkwitz-Riley pairs stay flat in z, at any match.
func TestDigitalSumsStayFlat(t *testing.T) {
	const fs = 48000
	for _, n := range []int{2, 4, 8} {
		p := must(LinkwitzRiley(n)).Scaled(2 * math.Pi * 3000)
		low := must(Digital(p, fs, 3000))
		high := must(Digital(must(LinkwitzRiley(n)).HighPass().Scaled(2*math.Pi*3000), fs, 3000))
		sign := complex(1, 0)
		if n%4 == 2 {
			sign = -1
		}
		for hz := 100.0; hz < 24000; hz *= 1.2 {
			got := cascade(low, units.Frequency(hz), fs) + sign*cascade(high, units.Frequency(hz), fs)
			if !(math.Abs(cmplx.Abs(got)-1) <= 1e-10) {
				t.Errorf("order %d at %v Hz: |sum| = %v", n, hz, cmplx.Abs(got))
			}
		}
	}
}

// What the sections of equalisers are defined by, read off the response.
func TestEqualisers(t *testing.T) {
	level := func(f rational.Func, w float64) float64 { return decibel(cmplx.Abs(f.At(complex(0, w)))) }
	for _, db := range []float64{-18, -3, 2, 12} {
		for _, q := range []float64{0.3, 1, 4} {
			peak := must(Peak(db, q))
			lo := math.Sqrt(1+1/(4*q*q)) - 1/(2*q)
			for w, want := range map[float64]float64{1e-6: 0, lo: db / 2, 1: db, lo + 1/q: db / 2, 1e6: 0} {
				if got := level(peak, w); !(math.Abs(got-want) <= 1e-9) {
					t.Errorf("peak %v dB, Q %v at %v: %v dB, want %v dB", db, q, w, got, want)
				}
			}
			undone := peak.Mul(must(Peak(-db, q)))
			if got := undone.At(complex(0, 0.8)); !(cmplx.Abs(got-1) <= 1e-12) {
				t.Errorf("peak %v dB and back: %v", db, got)
			}
			pass, stop := must(BandPass(q)), must(BandStop(q))
			for _, w := range []float64{0.1, lo, 1, 3} {
				if got := pass.At(complex(0, w)) + stop.At(complex(0, w)); !(cmplx.Abs(got-1) <= 1e-12) {
					t.Errorf("band-pass and -stop, Q %v at %v: %v", q, w, got)
				}
			}
			if got := level(pass, lo); !(math.Abs(got+10*math.Log10(2)) <= 1e-9) || !(math.Abs(level(pass, 1)) <= 1e-12) {
				t.Errorf("band-pass, Q %v: edge %v dB", q, got)
			}
		}
		for _, slope := range []float64{0.2, 0.7, 1} {
			low, high := must(LowShelf(db, slope)), must(HighShelf(db, slope))
			for _, w := range []float64{1e-6, 1, 1e6} {
				want := map[float64]float64{1e-6: db, 1: db / 2, 1e6: 0}[w]
				if a, b := level(low, w), level(high, 1/w); !(math.Abs(a-want) <= 1e-9) || !(math.Abs(b-want) <= 1e-9) {
					t.Errorf("shelves of %v dB, slope %v at %v: %v and %v dB, want %v dB", db, slope, w, a, b, want)
				}
			}
			// No bump: steadily from one level to the other.
			for w := 0.01; w < 100; w *= 1.05 {
				if step := level(low, w*1.05) - level(low, w); step*db > 1e-12 {
					t.Errorf("low shelf of %v dB, slope %v turns at %v", db, slope, w)
				}
			}
		}
	}
}

// An all-pass has the prototype's poles, gain 1, and its delay twice.
func TestAllPass(t *testing.T) {
	for n := 1; n <= 8; n++ {
		for name, f := range families(n) {
			a := must(AllPass(f))
			if !IsAllPass(a) || !(cmplx.Abs(a.At(0)-1) <= 1e-12) {
				t.Errorf("%s %d: %v at DC", name, n, a.At(0))
			}
			for _, w := range []float64{0.2, 1, 5} {
				s := complex(0, w)
				// f(s)/f(−s), which is f turned twice as far.
				if got, want := a.At(s), f.At(s)/f.At(-s); !(cmplx.Abs(got-want) <= 1e-11) {
					t.Errorf("%s %d at %v: %v, want %v", name, n, w, got, want)
				}
				if got, want := a.GroupDelay(w), 2*f.GroupDelay(w); !(math.Abs(got-want) <= 1e-11*(1+want)) {
					t.Errorf("%s %d at %v: delay %v, want %v", name, n, w, got, want)
				}
			}
		}
	}
}

func BenchmarkDigital8(b *testing.B) {
	f := must(LinkwitzRiley(8)).Scaled(2 * math.Pi * 2000)
	for b.Loop() {
		if _, err := Digital(f, 48000, 2000); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBiquadAt(b *testing.B) {
	s := Biquad{B0: 1, B1: -1.9, B2: 0.93, A1: -1.93, A2: 0.95}
	for b.Loop() {
		s.At(1000, 48000)
	}
}

func TestSectionErrors(t *testing.T) {
	nan := math.NaN()
	b2 := must(Butterworth(2))
	low := units.Frequency(100)
	for want, err := range map[string]error{
		"filter: Q 0: must be from 0.05 to 50":                                                             second(BandPass(0)),
		"filter: Q NaN: must be from 0.05 to 50":                                                           second(BandStop(nan)),
		"filter: Q 51: must be from 0.05 to 50":                                                            second(Peak(3, 51)),
		"filter: gain in dB NaN: must be from -60 to 60":                                                   second(Peak(nan, 1)),
		"filter: gain in dB 61: must be from -60 to 60":                                                    second(LowShelf(61, 1)),
		"filter: slope 0: must be above 0 and at most 1":                                                   second(LowShelf(3, 0)),
		"filter: slope 2: must be above 0 and at most 1":                                                   second(HighShelf(3, 2)),
		"filter: slope NaN: must be above 0 and at most 1":                                                 second(HighShelf(3, nan)),
		"filter: prototype with 2 zeros: must be a low-pass without zeros":                                 second(AllPass(b2.HighPass())),
		"filter: sampling rate 0 Hz: must be positive and finite":                                          second(Digital(b2, 0, 1)),
		"filter: matched frequency 0 Hz: must be above 0 Hz and below 24 kHz, half of the sampling rate":   second(Digital(b2, 48000, 0)),
		"filter: matched frequency 24 kHz: must be above 0 Hz and below 24 kHz, half of the sampling rate": second(Digital(b2, 48000, 24000)),
		"filter: matched frequency NaN Hz: must be above 0 Hz and below 24 kHz, half of the sampling rate": second(Digital(b2, 48000, units.Frequency(nan))),
		"filter: function of 1 zeros and 0 poles: must be stable and have no more zeros than poles":        second(Digital(rational.Func{Zeros: []complex128{0}, Gain: 1}, 48000, 100)),
		"filter: function of 0 zeros and 1 poles: must be stable and have no more zeros than poles":        second(Digital(rational.Func{Poles: []complex128{1}, Gain: 1}, 48000, 100)),
		"filter: rational: gain NaN: must be finite":                                                       second(Digital(rational.Func{Gain: nan}, 48000, 100)),
		"filter: order of three-way 0: must be from 1 to 4":                                                second(AllPassThreeWay(0, low, 1000, false)),
		"filter: order of three-way 5: must be from 1 to 4":                                                second(AllPassThreeWay(5, low, 1000, false)),
		"filter: lower crossover frequency NaN Hz: must be positive and finite":                            second(AllPassThreeWay(2, units.Frequency(nan), 1000, true)),
		"filter: upper crossover frequency 200 Hz: must be from 300 Hz to 100 kHz":                         second(AllPassThreeWay(2, low, 200, true)),
		"filter: middle of order 2: must be inverted for order 2 and must not for order 4":                 second(AllPassThreeWay(2, low, 1000, false)),
		"filter: middle of order 4: must be inverted for order 2 and must not for order 4":                 second(AllPassThreeWay(4, low, 1000, true)),
		"filter: load 0 Ω: must be positive and finite":                                                    networks(0, 8, 8),
		"filter: load -8 Ω: must be positive and finite":                                                   networks(8, -8, 8),
		"filter: load NaN Ω: must be positive and finite":                                                  networks(8, 8, units.Resistance(nan)),
		"filter: frequency 0 Hz: must be positive and finite":                                              lobes(0, 0.1, 343),
		"filter: spacing 0 mm: must be positive and finite":                                                lobes(100, 0, 343),
		"filter: speed of sound NaN m/s: must be positive and finite":                                      lobes(100, 0.1, units.Velocity(nan)),
		"filter: coil inductance L2 0 mH: must be positive and finite":                                     second(LossyZobel(6, 1e-3, 0, 3)),
		"filter: coil resistance R2 -3 Ω: must be positive and finite":                                     second(LossyZobel(6, 1e-3, 1e-3, -3)),
		"filter: delay 1 ms: must be zero for a rational sum":                                              second(Pair{Low: b2, High: b2, Delay: 1e-3}.Func()),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

func networks(low, mid, high units.Resistance) error {
	_, _, _, err := must(AllPassThreeWay(2, 300, 3000, true)).Networks(low, mid, high)
	return err
}

func lobes(hz float64, spacing units.Length, c units.Velocity) error {
	b2 := must(Butterworth(2))
	_, _, err := Pair{Low: b2, High: b2.HighPass()}.Lobes(hz, spacing, c)
	return err
}
