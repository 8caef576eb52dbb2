package box_test

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// passive returns a radiator with a suspension of volume vap, resonant at fp.
func passive(vap units.Volume, fp, qmp float64) box.PassiveCone {
	const sd = 0.01
	w := 2 * math.Pi * fp
	cms := float64(vap) / (float64(air.Standard().BulkModulus()) * sd * sd)
	mass := 1 / (w * w * cms)
	return box.PassiveCone{Sd: sd, Mms: units.Mass(mass), Cms: units.Compliance(cms), Rms: units.MechanicalResistance(w * mass / qmp)}
}

func checkGainAndPhase(t *testing.T, r golden.Row, s box.System) {
	t.Helper()
	f := units.Frequency(r.Num(t, "f", "Hz"))
	fns, err := s.Functions()
	if err != nil {
		t.Fatal(err)
	}
	p, g := s.At(f).Pressure, fns.G.AtHz(float64(f))
	if r.Unit == "deg" {
		r.Check(t, cmplx.Phase(p)*180/math.Pi)
		r.Check(t, cmplx.Phase(g)*180/math.Pi)
		return
	}
	r.Check(t, s.Gain(f))
	r.Check(t, 20*math.Log10(cmplx.Abs(g)))
}

// small is the driver of several rows, with its Q as printed.
func small(t *testing.T, r golden.Row) ts.Driver {
	t.Helper()
	d, _ := sheet(t, ts.Sheet{
		Re: 6.5, Fs: units.Frequency(r.Num(t, "fs", "Hz")), Qms: r.Num(t, "Qms", "1"), Qes: r.Num(t, "Qes", "1"),
		Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre, Sd: 0.02,
	})
	return d
}

func TestPassiveRadiatorRows(t *testing.T) {
	golden.Run(t, "testdata/passive_radiator.csv", func(t *testing.T, r golden.Row) {
		delta := units.Volume(r.Num(t, "delta", "1"))
		switch r.Calculation {
		case "gain with a passive radiator", "phase with a passive radiator":
			vb := units.Volume(r.Num(t, "Vb", "L")) * units.Litre
			checkGainAndPhase(t, r, box.System{Driver: small(t, r), Enclosure: box.PassiveRadiator{
				Vb: vb, QL: r.Num(t, "QL", "1"), Radiator: passive(delta*vb, r.Num(t, "fp", "Hz"), r.Num(t, "Qmp", "1")),
			}})
		case "tuning of a passive radiator":
			b := box.PassiveRadiator{Vb: 0.03, Radiator: passive(delta*0.03, r.Num(t, "fp", "Hz"), 7)}
			r.Check(t, float64(b.Fb(air.Standard())))
		case "f3/fs of a flat passive-radiator box", "fB/fs of a flat passive-radiator box":
			qts := r.Num(t, "Qts", "1")
			d, vas := normalised(t, 6*qts, 1.2*qts)
			vb := vas / units.Volume(r.Num(t, "alpha", "1"))
			b := box.PassiveRadiator{Vb: vb, Radiator: passive(delta*vb, r.Num(t, "h", "1"), math.Inf(1))}
			if r.Calculation == "fB/fs of a flat passive-radiator box" {
				r.Check(t, float64(b.Fb(air.Standard())))
				return
			}
			f3, err := box.System{Driver: d, Enclosure: b}.F3()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(f3))
		default:
			r.Unknown(t)
		}
	})
}

// symmetric returns the lossless box of damping s and gain in dB for a driver of
// Qts, tuned to its resonance in the rear chamber, and that.
func symmetric(t *testing.T, fs, qts, damping, gain float64) (box.System, units.Frequency) {
	t.Helper()
	d, vas := sheet(t, ts.Sheet{Re: 6, Fs: units.Frequency(fs), Qms: 6 * qts, Qes: 1.2 * qts, Mms: 0.02, Sd: 0.02})
	qbp := math.Pow(10, gain/40) / (2 * damping)
	ratio := qbp / qts
	fb := units.Frequency(fs * ratio)
	return box.System{Driver: d, Enclosure: box.Bandpass4{
		Rear:  box.Closed{Vb: vas / units.Volume(ratio*ratio-1)},
		Front: box.Vented{Vb: vas * units.Volume(math.Pow(2*damping*qts, 2)), Fb: fb},
	}}, fb
}

func TestBandpassRows(t *testing.T) {
	halfPower := 10 * math.Log10(2)
	golden.Run(t, "testdata/bandpass.csv", func(t *testing.T, r golden.Row) {
		litres := func(key string) units.Volume { return units.Volume(r.Num(t, key, "L")) * units.Litre }
		edges := func(s box.System, db float64) (lower, upper float64) {
			lo, err := s.Cutoff(db)
			if err != nil {
				t.Fatal(err)
			}
			hi, err := s.UpperCutoff(db)
			if err != nil {
				t.Fatal(err)
			}
			return float64(lo), float64(hi)
		}
		switch r.Calculation {
		case "width of a band-pass box, half power", "width of a band-pass box, 3 dB":
			db := 3.0
			if r.Calculation == "width of a band-pass box, half power" {
				db = halfPower
			}
			s, _ := symmetric(t, 1, 0.3, r.Num(t, "S", "1"), 0)
			lower, upper := edges(s, db)
			r.Check(t, (upper-lower)*s.Driver.Qts())
		case "ripple of a band-pass box":
			s, fb := symmetric(t, 1, 0.3, r.Num(t, "S", "1"), 0)
			_, peak := s.Peak()
			r.Check(t, peak-s.Gain(fb))
		case "lower edge of a band-pass box", "upper edge of a band-pass box":
			gain := r.Num(t, "gain", "dB")
			s, _ := symmetric(t, r.Num(t, "fs", "Hz"), r.Num(t, "Qts", "1"), r.Num(t, "S", "1"), gain)
			lower, upper := edges(s, halfPower-gain)
			if r.Calculation == "lower edge of a band-pass box" {
				r.Check(t, lower)
			} else {
				r.Check(t, upper)
			}
		case "gain of the vent of a band-pass box":
			s := box.System{Driver: small(t, r), Enclosure: box.Bandpass4{
				Rear:  box.Closed{Vb: litres("Vr")},
				Front: box.Vented{Vb: litres("Vf"), Fb: units.Frequency(r.Num(t, "fb", "Hz")), QL: r.Num(t, "QL", "1"), Area: 0.01},
			}}
			f := units.Frequency(r.Num(t, "f", "Hz"))
			flow := cmplx.Abs(s.At(f).AirSpeed) / math.Sqrt2 * 0.01
			r.Check(t, 20*math.Log10(float64(f)*float64(air.Standard().Density)*flow/s.Reference()))
			fns, err := s.Functions()
			if err != nil {
				t.Fatal(err)
			}
			x := float64(f / s.Driver.Fs())
			r.Check(t, 20*math.Log10(x*x*cmplx.Abs(fns.Vent.AtHz(float64(f)))))
		case "gain of a double-vented band-pass box":
			checkGainAndPhase(t, r, box.System{Driver: small(t, r), Enclosure: box.Bandpass6{
				Rear:  box.Vented{Vb: litres("Vr"), Fb: units.Frequency(r.Num(t, "fr", "Hz"))},
				Front: box.Vented{Vb: litres("Vf"), Fb: units.Frequency(r.Num(t, "fb", "Hz"))},
			}})
		default:
			r.Unknown(t)
		}
	})
}

func TestFillingRows(t *testing.T) {
	golden.Run(t, "testdata/filling.csv", func(t *testing.T, r golden.Row) {
		if r.Calculation != "gain of a filling" {
			r.Unknown(t)
		}
		f := box.Filling{Density: units.Density(r.Num(t, "rhof", "kg/m3")), Heat: r.Num(t, "cf", "J/(kg·K)")}
		if r.Has("fraction") {
			f.Packing = f.Density * units.Density(r.Num(t, "fraction", "1"))
		} else {
			f.Packing = units.Density(r.Num(t, "packing", "kg/m3"))
		}
		if err := f.Check(); err != nil {
			t.Fatal(err)
		}
		// Only the heat per volume of air counts, so air of the row's specific heat is
		// as much thicker or thinner air of ours: R/(γ−1) of dry air.
		ours := 8.314463 / 0.0289655 / 0.4
		a := air.Air{Density: units.Density(r.Num(t, "rho", "kg/m3") * r.Num(t, "cv", "J/(kg·K)") / ours), SpeedOfSound: 345}
		r.Check(t, f.Gain(a))
	})
}

func TestEfficiencyRows(t *testing.T) {
	golden.Run(t, "testdata/efficiency.csv", func(t *testing.T, r golden.Row) {
		a := air.Standard()
		if r.Has("rho") {
			a.Density = units.Density(r.Num(t, "rho", "kg/m3"))
		}
		a.SpeedOfSound = units.Velocity(r.Num(t, "c", "m/s"))
		d := woofer
		if r.Has("Bl") {
			d = ts.Driver{
				Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
				Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Cms: 1e-3, Rms: 1,
			}
			if r.Has("Sd") {
				d.Sd = units.Area(r.Num(t, "Sd", "cm2")) * units.SquareCentimetre
			} else {
				d.Cms = units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton
				d.Sd = units.Area(math.Sqrt(r.Num(t, "Vas", "L") / 1000 / float64(d.Cms) / float64(a.BulkModulus())))
			}
		}
		s := box.System{Driver: d, Enclosure: box.InfiniteBaffle{}, Air: a}
		far := 1e6 * d.Fs() // where the impedance is Re
		eta := float64(s.Efficiency(far))
		switch r.Calculation {
		case "efficiency in the mass-controlled band":
			r.Check(t, 100*eta)
		case "efficiency per fs³ Vas/Qes":
			r.Check(t, eta*d.Qes()/(math.Pow(float64(d.Fs()), 3)*float64(d.Vas(a))))
		case "ρ/(2πc)":
			r.Check(t, eta*float64(d.Re)/math.Pow(float64(d.Bl)*float64(d.Sd)/float64(d.Mms), 2))
		case "level of 1 W of sound":
			watts := eta * real(s.At(far).Current)
			r.Check(t, float64(s.At(far).Times(units.Voltage(1/math.Sqrt(watts))).Level()))
		default:
			r.Unknown(t)
		}
	})
}
