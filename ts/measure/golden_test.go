package measure_test

import (
	"fmt"
	"math"
	"testing"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// simple returns the driver of a row that gives Re, fs, Qms, and Qes or Res.
func simple(t *testing.T, r golden.Row, coil ts.Coil) subject {
	t.Helper()
	s := ts.Sheet{
		Re: units.Resistance(r.Num(t, "Re", "ohm")), Fs: units.Frequency(r.Num(t, "fs", "Hz")), Qms: r.Num(t, "Qms", "1"),
		Mms: 0.0142, Sd: 0.0136, // cancel
	}
	if r.Has("Res") {
		s.Qes = s.Qms * float64(s.Re) / r.Num(t, "Res", "ohm")
	} else {
		s.Qes = r.Num(t, "Qes", "1")
	}
	d, _, err := s.Driver(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	d.Coil = coil
	return subject{Driver: d}
}

func reading(t *testing.T, c response.Curve, re float64) measure.Reading {
	t.Helper()
	p, err := measure.ReadPeak(c, units.Resistance(re))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestThreeFrequencyRows(t *testing.T) {
	golden.Run(t, "testdata/three.csv", func(t *testing.T, r golden.Row) {
		re := r.Num(t, "Re", "ohm")
		if !r.Has("Qms") {
			p := measure.Reading{Re: units.Resistance(re), Zmax: units.Resistance(r.Num(t, "Zmax", "ohm"))}
			if r.Calculation == "classic level" {
				r.Check(t, float64(p.ClassicLevel()))
				return
			}
			p.Fs = units.Frequency(r.Num(t, "fs", "Hz"))
			p.F1, p.F2 = units.Frequency(r.Num(t, "f1", "Hz")), units.Frequency(r.Num(t, "f2", "Hz"))
			if r.Has("level") {
				p.Level = units.Resistance(r.Num(t, "level", "ohm"))
			}
			qms, qes, qts, err := p.Q()
			if err != nil {
				t.Fatal(err)
			}
			switch r.Calculation {
			case "Qms by three frequencies":
				r.Check(t, qms)
			case "Qes by three frequencies":
				r.Check(t, qes)
			case "Qts by three frequencies":
				r.Check(t, qts)
			default:
				r.Unknown(t)
			}
			return
		}
		var coil ts.Coil
		if r.Has("Leb") {
			coil.Leb = units.Inductance(r.Num(t, "Leb", "mH")) * units.Millihenry
		}
		s := simple(t, r, coil)
		if r.Has("off") {
			re *= 1 + r.Num(t, "off", "%")/100
		}
		fs := float64(s.Fs())
		p := reading(t, s.curve(grid(fs/8, fs*8, 4000), 0, 0), re)
		qms, qes, qts, err := p.Q()
		if err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "f1 of a peak":
			r.Check(t, float64(p.F1))
		case "f2 of a peak":
			r.Check(t, float64(p.F2))
		case "error of √(f1 f2) by inductance":
			r.Check(t, 100*(p.Symmetry()*float64(p.Fs)/fs-1))
		case "error of Qms by inductance", "error of Qms by a wrong Re":
			r.Check(t, 100*(qms/s.Qms()-1))
		case "error of Qes by inductance", "error of Qes by a wrong Re":
			r.Check(t, 100*(qes/s.Qes()-1))
		case "error of Qts by a wrong Re":
			r.Check(t, 100*(qts/s.Qts()-1))
		default:
			r.Unknown(t)
		}
	})
}

func TestMassRows(t *testing.T) {
	golden.Run(t, "testdata/mass.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "Mms by one added mass":
			m, err := measure.MassByAdded(units.Frequency(r.Num(t, "fs", "Hz")), units.Frequency(r.Num(t, "loaded", "Hz")), units.Mass(r.Num(t, "added", "g"))*units.Gram)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(m))
		case "gain of an added mass":
			r.Check(t, measure.MassGain(units.Frequency(r.Num(t, "fs", "Hz")), units.Frequency(r.Num(t, "loaded", "Hz"))))
		case "Mms by several added masses", "Cms by several added masses":
			var all []measure.Loaded
			for i := 0; r.Has(fmt.Sprint("m", i)); i++ {
				all = append(all, measure.Loaded{Added: units.Mass(r.Num(t, fmt.Sprint("m", i), "g")) * units.Gram, Fs: units.Frequency(r.Num(t, fmt.Sprint("f", i), "Hz"))})
			}
			mms, cms, err := measure.MassLine(all...)
			if err != nil {
				t.Fatal(err)
			}
			if r.Unit == "kg" {
				r.Check(t, float64(mms.Value))
			} else {
				r.Check(t, float64(cms.Value))
			}
		default:
			r.Unknown(t)
		}
	})
}

func TestVolumeRows(t *testing.T) {
	golden.Run(t, "testdata/volume.csv", func(t *testing.T, r golden.Row) {
		hz := func(key string) units.Frequency { return units.Frequency(r.Num(t, key, "Hz")) }
		v := units.Volume(r.Num(t, "V", "L")) * units.Litre
		if r.Calculation == "Vas by a closed box" {
			qes, qec := 1.0, float64(hz("fc")/hz("fs"))
			if r.Has("Qec") {
				qes, qec = r.Num(t, "Qes", "1"), r.Num(t, "Qec", "1")
			}
			vas, err := measure.VasInClosed(hz("fs"), qes, hz("fc"), qec, v)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(vas))
			return
		}
		vas, fs, err := measure.VasInVented(hz("fl"), hz("fb"), hz("fh"), v)
		if err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "Vas by a vented box":
			r.Check(t, float64(vas))
		case "fs by a vented box":
			r.Check(t, float64(fs))
		default:
			r.Unknown(t)
		}
	})
}

var byName = map[string]measure.CoilModel{
	"plain": measure.Plain, "power-law": measure.PowerLaw, "two-branch": measure.TwoBranch, "semi-inductance": measure.SemiInductance,
}

func TestPrecisionRows(t *testing.T) {
	golden.Run(t, "testdata/precision.csv", func(t *testing.T, r golden.Row) {
		num := func(key, unit string) float64 {
			if !r.Has(key) {
				return 0
			}
			return r.Num(t, key, unit)
		}
		s := simple(t, r, ts.Coil{
			Leb: units.Inductance(num("Leb", "mH")) * units.Millihenry, Le: units.Inductance(num("Le", "mH")) * units.Millihenry,
			Rss: units.Resistance(num("Rss", "ohm")), Ke: num("Ke", "1"), K: num("K", "1"), N: num("N", "1"),
		})
		fit := measure.Fit{
			Coil:  byName[r.Word(t, "coil")],
			Noise: units.Ratio(num("noise", "%")) * units.Percent, PhaseNoise: units.Angle(num("phase", "deg") * math.Pi / 180),
		}
		if r.Word(t, "Re-is") == "given" {
			fit.Re = s.Re
		}
		density := 80
		switch r.Calculation {
		case "least standard deviation":
			density = int(num("density", "1"))
		case "bias of a wrong coil":
			fit.To = units.Frequency(num("to", "Hz"))
		default:
			r.Unknown(t)
		}
		got, err := fit.Curves(measure.Run{Curve: s.curve(grid(20, 20000, density), 0, 0)})
		if err != nil {
			t.Fatal(err)
		}
		c, sd := got.Coil, got.CoilScatter
		f := map[string]struct{ value, scatter, truth float64 }{
			"Re":  {float64(got.Re.Value), float64(got.Re.Scatter), float64(s.Re)},
			"fs":  {float64(got.Fs.Value), float64(got.Fs.Scatter), float64(s.Fs())},
			"Qms": {got.Qms.Value, got.Qms.Scatter, s.Qms()},
			"Qes": {got.Qes.Value, got.Qes.Scatter, s.Qes()},
			"Leb": {float64(c.Leb), float64(sd.Leb), float64(s.Coil.Leb)},
			"Le":  {float64(c.Le), float64(sd.Le), float64(s.Coil.Le)},
			"Rss": {float64(c.Rss), float64(sd.Rss), float64(s.Coil.Rss)},
			"Ke":  {c.Ke, sd.Ke, s.Coil.Ke},
			"K":   {c.K, sd.K, s.Coil.K},
			"N":   {c.N, sd.N, s.Coil.N},
		}[r.Word(t, "of")]
		if r.Calculation == "bias of a wrong coil" {
			r.Check(t, 100*(f.value/f.truth-1))
		} else {
			r.Check(t, 100*f.scatter/f.truth)
		}
	})
}
