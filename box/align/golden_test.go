package align_test

import (
	"math"
	"testing"

	"example.com/halfspace/box/align"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func optional(t *testing.T, r golden.Row, key, unit string) float64 {
	t.Helper()
	if !r.Has(key) {
		return 0
	}
	return r.Num(t, key, unit)
}

func family(t *testing.T, name string) align.Family {
	t.Helper()
	if name == "pairs" {
		return align.TwoPairs
	}
	for f := align.B4; f <= align.BE4; f++ {
		if f.String() == name {
			return f
		}
	}
	t.Fatalf("no family %q", name)
	return 0
}

// alignment returns the one a row means: by family and Qts, or by its parameter.
func alignment(t *testing.T, r golden.Row) align.Alignment {
	t.Helper()
	ql := optional(t, r, "QL", "1")
	get := must[align.Alignment](t)
	f := family(t, r.Word(t, "family"))
	switch {
	case r.Has("Qts"):
		return get(f.For(r.Num(t, "Qts", "1"), ql))
	case r.Has("B"):
		return get(align.QuasiButterworth(r.Num(t, "B", "1"), ql))
	case r.Has("k"):
		return get(align.Chebyshev(r.Num(t, "k", "1"), ql))
	case f == align.B4:
		return get(align.Butterworth(ql))
	}
	return get(align.Bessel(ql))
}

func driver(t *testing.T, r golden.Row) ts.Driver {
	t.Helper()
	s := ts.Sheet{
		Vas: units.Volume(optional(t, r, "Vas", "L")) * units.Litre,
		Fs:  units.Frequency(optional(t, r, "fs", "Hz")), Re: 6, Sd: 0.02,
	}
	switch {
	case r.Has("Bl"):
		s = ts.Sheet{
			Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "N/A")),
			Cms: units.Compliance(r.Num(t, "Cms", "m/N")), Mms: units.Mass(r.Num(t, "Mms", "kg")),
			Rms: units.MechanicalResistance(r.Num(t, "Rms", "kg/s")), Vas: s.Vas,
		}
	case r.Has("Qms"):
		s.Qms, s.Qes = r.Num(t, "Qms", "1"), r.Num(t, "Qes", "1")
	default:
		qts := r.Num(t, "Qts", "1")
		s.Qts, s.Qms = qts, 10*qts
		if s.Vas == 0 {
			s.Vas = 50 * units.Litre
		}
	}
	d, _, err := s.Driver(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestVentedRows(t *testing.T) {
	golden.Run(t, "testdata/vented.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "Qts":
			r.Check(t, alignment(t, r).Qts)
		case "Vas/Vb":
			r.Check(t, alignment(t, r).Alpha)
		case "fb/fs":
			r.Check(t, alignment(t, r).H)
		case "B", "k":
			r.Check(t, alignment(t, r).Parameter)
		case "ripple":
			r.Check(t, alignment(t, r).Ripple)
		case "f3/fs":
			r.Check(t, alignment(t, r).F3())
		case "f6/fs":
			r.Check(t, alignment(t, r).Cutoff(6))
		case "f10/fs":
			r.Check(t, alignment(t, r).Cutoff(10))
		case "f3/fb":
			v := alignment(t, r)
			r.Check(t, v.F3()/v.H)
		case "Qts of two pairs", "Vas/Vb of two pairs":
			v := must[align.Alignment](t)(align.Pairs(r.Num(t, "q1", "1"), r.Num(t, "q2", "1"), 0))
			if r.Calculation == "Qts of two pairs" {
				r.Check(t, v.Qts)
			} else {
				r.Check(t, v.Alpha)
			}
		case "k of a ripple":
			r.Check(t, must[float64](t)(align.ChebyshevK(r.Num(t, "ripple", "dB"))))
		case "ripple of k":
			r.Check(t, align.ChebyshevRipple(r.Num(t, "k", "1")))
		case "Vb of a driver", "fb of a driver", "f3 of a driver", "Vb of a raw driver", "fb of a raw driver":
			d := driver(t, r)
			v := must[align.VentedDesign](t)(align.Vented(d, family(t, r.Word(t, "family")), r.Num(t, "QL", "1"), air.Standard()))
			switch r.Calculation[:2] {
			case "Vb":
				r.Check(t, v.Box.Vb.In(units.Litre))
			case "fb":
				r.Check(t, float64(v.Box.Fb))
			default:
				r.Check(t, float64(v.Cutoff))
			}
		default:
			r.Unknown(t)
		}
	})
}

func TestFittedRows(t *testing.T) {
	golden.Run(t, "testdata/fitted.csv", func(t *testing.T, r golden.Row) {
		if r.Has("alpha") {
			qts := 0.3
			if r.Has("Qts") {
				qts = r.Num(t, "Qts", "1")
			}
			f, peak, err := align.FittedOffSize(qts, 1/r.Num(t, "alpha", "1"))
			if err != nil {
				t.Fatal(err)
			}
			switch r.Calculation {
			case "fitted peak":
				r.Check(t, peak)
			case "fitted off-size fb/fs":
				r.Check(t, f.Tuning)
			case "fitted off-size f3/fs":
				r.Check(t, f.Cutoff)
			default:
				r.Unknown(t)
			}
			return
		}
		qts := r.Num(t, "Qts", "1")
		rule := align.Fitted15
		if r.Word(t, "rule") == "20" {
			rule = align.Fitted20
		}
		f := must[align.Fitted](t)(rule(qts))
		exact, err := align.QB3.For(qts, 7)
		if err != nil {
			exact = must[align.Alignment](t)(align.C4.For(qts, 7))
		}
		switch r.Calculation {
		case "fitted Vb/Vas":
			r.Check(t, f.Volume)
		case "fitted fb/fs":
			r.Check(t, f.Tuning)
		case "fitted f3/fs":
			r.Check(t, f.Cutoff)
		case "error of fitted Vb":
			r.Check(t, 100*(f.Volume*exact.Alpha-1))
		case "error of fitted fb":
			r.Check(t, 100*(f.Tuning/exact.H-1))
		case "error of fitted f3":
			r.Check(t, 100*(f.Cutoff/exact.F3()-1))
		default:
			r.Unknown(t)
		}
	})
}

func TestRadiatorRows(t *testing.T) {
	golden.Run(t, "testdata/radiator.csv", func(t *testing.T, r golden.Row) {
		if r.Calculation == "flat radiator delta" {
			r.Check(t, must[align.RadiatorAlignment](t)(align.FlatRadiatorFor(r.Num(t, "Qts", "1"))).Delta)
			return
		}
		a := must[align.RadiatorAlignment](t)(align.FlatRadiator(r.Num(t, "delta", "1")))
		switch r.Calculation {
		case "flat radiator Qts":
			r.Check(t, a.Qts)
		case "flat radiator Vas/Vb":
			r.Check(t, a.Alpha)
		case "flat radiator fp/fs":
			r.Check(t, a.Y)
		case "flat radiator fb/fs":
			r.Check(t, a.H())
		case "flat radiator f3/fs":
			r.Check(t, a.F3())
		default:
			r.Unknown(t)
		}
	})
}

func TestBandPassRows(t *testing.T) {
	golden.Run(t, "testdata/bandpass.csv", func(t *testing.T, r golden.Row) {
		s := r.Num(t, "S", "1")
		if !r.Has("fs") {
			b := align.BandPassAlignment{S: s}
			switch r.Calculation {
			case "band-pass b":
				r.Check(t, b.Width(r.Num(t, "drop", "dB")))
			case "band-pass ripple":
				r.Check(t, b.Ripple())
			default:
				r.Unknown(t)
			}
			return
		}
		b := must[align.BandPassAlignment](t)(align.SymmetricBandPass(s, r.Num(t, "gain", "dB"), r.Num(t, "Qts", "1")))
		fs, vas := r.Num(t, "fs", "Hz"), r.Num(t, "Vas", "L")
		lo, hi := b.Edges(10 * math.Log10(2))
		switch r.Calculation {
		case "band-pass Qbp":
			r.Check(t, b.Qbp)
		case "band-pass fb":
			r.Check(t, b.H*fs)
		case "band-pass Vf":
			r.Check(t, b.Front*vas)
		case "band-pass Vr":
			r.Check(t, b.Rear*vas)
		case "band-pass lower edge":
			r.Check(t, lo*fs)
		case "band-pass upper edge":
			r.Check(t, hi*fs)
		default:
			r.Unknown(t)
		}
	})
}

func TestClosedRows(t *testing.T) {
	golden.Run(t, "testdata/closed.csv", func(t *testing.T, r golden.Row) {
		if r.Calculation != "Q of a ripple" {
			r.Unknown(t)
		}
		r.Check(t, must[float64](t)(align.ChebyshevQ(r.Num(t, "ripple", "dB"))))
	})
}
