package box_test

import (
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// longThrow is an invented woofer of the 180 mm class in a vented box of 31 L.
func longThrow() (box.System, error) {
	d, _, err := ts.Sheet{
		Re: 6.1, Fs: 33, Qts: 0.38, Qms: 5, Vas: 40 * units.Litre,
		Sd: 154 * units.SquareCentimetre, Xmax: 8 * units.Millimetre,
	}.Driver(air.Standard())
	return box.System{
		Driver:    d,
		Enclosure: box.Vented{Vb: 31 * units.Litre, Fb: 33, QL: 7, Area: 45 * units.SquareCentimetre},
	}, err
}

// Common practice says of a woofer with 8 mm of travel in some 31 L, vented: flat down
// to 30 to 42 Hz; more than 100 W before xmax, on music with a crest factor of 2 that
// is high-passed near the tuning; by sines far less.
//
// With an invented driver all of that comes out, for music of the whole range: most of
// its power lies where the cone hardly moves, and 8 Ω stand for what is 6.1 Ω of coil.
// It does not for the bass alone, nor for a crest factor of 4 (the peaks are the same,
// and watts count RMS). And it is before xmax, not before damage: see
// [box.System.LoudestHot].
func ExampleSystem_Loudest() {
	s, err := longThrow()
	if err != nil {
		fmt.Println(err)
		return
	}
	f3, err := s.F3()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("f3 %.1f Hz\n", f3)
	fb := 33 * units.Hertz
	for _, g := range []box.Signal{
		box.Programme(2).HighPass(fb, 4),
		box.Programme(2),
		box.Programme(4).HighPass(fb, 4),
		box.Pink(20, 20e3, 2).HighPass(fb, 4),
		box.Pink(20, 20e3, 2),
		box.Pink(20, 200, 2).HighPass(fb, 4),
		box.Sines(fb, 20e3),
		box.Sines(20, 20e3),
	} {
		v, err := s.Loudest(g, box.Limits{Travel: s.Driver.Xmax})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%v; %.0f W into 8 Ω, %.1f dB\n", v, v.Watts(8), v.Level)
	}
	// Output:
	// f3 36.3 Hz
	// 39.2 V (RMS) of programme of IEC 60268-1, crest factor 2, high-passed at 33 Hz (order 4): cone gives first; 192 W into 8 Ω, 111.3 dB
	// 34.9 V (RMS) of programme of IEC 60268-1, crest factor 2: cone gives first; 152 W into 8 Ω, 110.2 dB
	// 19.6 V (RMS) of programme of IEC 60268-1, crest factor 4, high-passed at 33 Hz (order 4): cone gives first; 48 W into 8 Ω, 105.2 dB
	// 33.9 V (RMS) of pink noise from 20 Hz to 20 kHz, crest factor 2, high-passed at 33 Hz (order 4): cone gives first; 144 W into 8 Ω, 109.9 dB
	// 21.5 V (RMS) of pink noise from 20 Hz to 20 kHz, crest factor 2: cone gives first; 58 W into 8 Ω, 105.7 dB
	// 18 V (RMS) of pink noise from 20 Hz to 200 Hz, crest factor 2, high-passed at 33 Hz (order 4): cone gives first; 41 W into 8 Ω, 103.9 dB
	// 16.5 V (RMS) of sine of any frequency from 33 Hz to 20 kHz: cone gives first at 48.72 Hz; 34 W into 8 Ω, 102.9 dB
	// 6.32 V (RMS) of sine of any frequency from 20 Hz to 20 kHz: cone gives first at 20 Hz; 5 W into 8 Ω, 77.4 dB
}

// The same for all woofers of the kind, with a tuning from 0.9 to 1.1 of fs: Re 5.8 to
// 6.5 Ω, fs 30 to 35 Hz, Qts 0.35 to 0.40, Vas 35 to 45 L, Sd 150 to 160 cm² (invented).
// More than 100 W holds for the programme of the standard, and all but holds for pink
// noise; f3 is within 30 to 42 Hz only for those that the volume suits.
func ExampleSystem_Loudest_spread() {
	type span struct{ lo, hi float64 }
	all := func(figure func(s box.System) (float64, error)) (span, error) {
		out := span{math.Inf(1), 0}
		for i := range 1 << 5 {
			pick := func(bit int, lo, hi float64) float64 {
				if i>>bit&1 == 1 {
					return hi
				}
				return lo
			}
			d, _, err := ts.Sheet{
				Re: units.Resistance(pick(0, 5.8, 6.5)), Fs: units.Frequency(pick(1, 30, 35)), Qts: pick(2, 0.35, 0.40), Qms: 5,
				Vas: units.Volume(pick(3, 35, 45)) * units.Litre, Sd: units.Area(pick(4, 150, 160)) * units.SquareCentimetre,
				Xmax: 8 * units.Millimetre,
			}.Driver(air.Standard())
			if err != nil {
				return out, err
			}
			for _, h := range []float64{0.9, 1, 1.1} {
				x, err := figure(box.System{Driver: d, Enclosure: box.Vented{Vb: 31 * units.Litre, Fb: units.Frequency(h) * d.Fs(), QL: 7}})
				if err != nil {
					return out, err
				}
				out = span{min(out.lo, x), max(out.hi, x)}
			}
		}
		return out, nil
	}
	f3, err := all(func(s box.System) (float64, error) { f, err := s.F3(); return float64(f), err })
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("f3 %.0f to %.0f Hz\n", f3.lo, f3.hi)
	for _, c := range []struct {
		what   string
		signal func(fb units.Frequency) box.Signal
	}{
		{"programme, crest factor 2, high-passed at fb", func(fb units.Frequency) box.Signal { return box.Programme(2).HighPass(fb, 4) }},
		{"pink noise, crest factor 2, high-passed at fb", func(fb units.Frequency) box.Signal { return box.Pink(20, 20e3, 2).HighPass(fb, 4) }},
		{"programme, crest factor 4, high-passed at fb", func(fb units.Frequency) box.Signal { return box.Programme(4).HighPass(fb, 4) }},
		{"sine of any frequency above fb", func(fb units.Frequency) box.Signal { return box.Sines(fb, 1000) }},
	} {
		w, err := all(func(s box.System) (float64, error) {
			v, err := s.Loudest(c.signal(s.Enclosure.(box.Vented).Fb), box.Limits{Travel: s.Driver.Xmax})
			return float64(v.Watts(8)), err
		})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.0f to %.0f W into 8 Ω\n", c.what, w.lo, w.hi)
	}
	// Output:
	// f3 31 to 48 Hz
	// programme, crest factor 2, high-passed at fb: 138 to 288 W into 8 Ω
	// pink noise, crest factor 2, high-passed at fb: 97 to 229 W into 8 Ω
	// programme, crest factor 4, high-passed at fb: 35 to 72 W into 8 Ω
	// sine of any frequency above fb: 23 to 54 W into 8 Ω
}

// Each limit by itself, cold and after ten minutes. The cone bears 39 V of this music;
// the coil does not: it is as hot as it may be at 27 V, and the level has then fallen
// by 4 dB. (Invented driver, invented ways of the heat.)
func ExampleSystem_LoudestHot() {
	s, err := longThrow()
	if err != nil {
		fmt.Println(err)
		return
	}
	g := box.Programme(2).HighPass(33, 4)
	l := box.Limits{Travel: s.Driver.Xmax, AirSpeed: 17}
	tell := func(when string, v box.Verdict) {
		fmt.Printf("%s: %v gives first, at %.1f V (%.0f W into 8 Ω, %s), %.1f dB\n",
			when, v.First, v.Volts, v.Watts(8), v.Signal.Name, v.Level)
		for i := box.Cone; i <= box.Heat; i++ {
			if x := float64(v.Each[i]); !math.IsInf(x, 1) {
				fmt.Printf("  %v: at %.1f V\n", i, x)
			}
		}
	}
	cold, err := s.Loudest(g, l)
	if err != nil {
		fmt.Println(err)
		return
	}
	tell("cold", cold)
	hot, err := s.LoudestHot(g, l, box.Heating{
		Thermal: ts.Thermal{Rtv: 2.4, Ctv: 6, Rtm: 1.1, Ctm: 900}, // K/W and J/K
		Metal:   ts.Copper, After: 600 * units.Second, Rise: 180,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	tell("after ten minutes", hot)
	fmt.Printf("  the coil is %.0f K warmer, %.1f dB lost\n", hot.Rise, hot.Compression)
	// Output:
	// cold: cone gives first, at 39.2 V (192 W into 8 Ω, programme of IEC 60268-1, crest factor 2, high-passed at 33 Hz (order 4)), 111.3 dB
	//   cone: at 39.2 V
	//   vent: at 93.6 V
	// after ten minutes: heat gives first, at 27.2 V (93 W into 8 Ω, programme of IEC 60268-1, crest factor 2, high-passed at 33 Hz (order 4)), 104.2 dB
	//   heat: at 27.2 V
	//   the coil is 180 K warmer, 3.9 dB lost
}

// What a vented box can radiate before its travel ends, as k in P = k f3⁴ Vd², for
// tones above the tuning. Small gives 3.0 for all vented boxes (1973, part II, from
// memory). The flat alignments do not come so low until the box is more than ten times
// smaller than Vas: the Butterworth one has 7.2. So 3.0 is a cautious round number, and
// no result of the circuit.
func ExampleSines() {
	a := air.Air{Density: 1.18, SpeedOfSound: 345} // Small's
	for _, a2 := range []float64{2 + math.Sqrt2, 4, 5, 7, 10} {
		// The family |G|⁻² = 1 + B² (f0/f)⁶ + (f0/f)⁸, without losses.
		a1 := math.Sqrt(2 * a2)
		a3 := (a2*a2 + 2) / (2 * a1)
		d, _, err := ts.Sheet{Re: 6, Fs: 30, Qms: 1e6, Qts: 1 / math.Sqrt(a1*a3), Vas: 60 * units.Litre, Sd: 0.02, Xmax: 5e-3}.Driver(a)
		if err != nil {
			fmt.Println(err)
			return
		}
		h := a3 / a1
		alpha := a2*h - 1 - h*h
		s := box.System{Driver: d, Enclosure: box.Vented{Vb: d.Vas(a) / units.Volume(alpha), Fb: units.Frequency(30 * h)}, Air: a}
		f3, err := s.F3()
		if err != nil {
			fmt.Println(err)
			return
		}
		v, err := s.Loudest(box.Sines(units.Frequency(30*h), 3000), box.Limits{Travel: d.Xmax})
		if err != nil {
			fmt.Println(err)
			return
		}
		p := s.Reference() * float64(v.Volts) // in the pass band, at 1 m
		power := 2 * math.Pi * p * p / a.Impedance()
		fmt.Printf("Vas/Vb %5.2f: k %.2f\n", alpha, power/(math.Pow(float64(f3), 4)*math.Pow(float64(d.Vd()), 2)))
	}
	// Output:
	// Vas/Vb  1.41: k 7.17
	// Vas/Vb  2.23: k 5.08
	// Vas/Vb  3.93: k 3.87
	// Vas/Vb  8.43: k 3.21
	// Vas/Vb 18.00: k 2.95
}
