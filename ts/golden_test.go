package ts_test

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func TestDriverRows(t *testing.T) {
	golden.Run(t, "testdata/driver.csv", func(t *testing.T, r golden.Row) {
		a := air.Standard()
		if r.Has("rho") {
			a.Density = units.Density(r.Num(t, "rho", "kg/m3"))
		}
		if r.Has("c") {
			a.SpeedOfSound = units.Velocity(r.Num(t, "c", "m/s"))
		}
		if r.Calculation == "eta0 from fs, Vas, Qes" {
			// Any driver with these figures: what is left free (area, mass) cancels.
			s := ts.Sheet{
				Fs: units.Frequency(r.Num(t, "fs", "Hz")), Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre,
				Qes: r.Num(t, "Qes", "1"), Qms: 5, Re: 6, Sd: 0.03,
			}
			r.Check(t, driver(t, s, a).Eta0(a).In(units.Percent))
			return
		}
		if checkSheet(t, r, a) {
			return
		}
		d := ts.Driver{
			Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
			Cms: 1e-3, Rms: 1, Sd: 0.03, // where the row's result does not depend on them
		}
		switch {
		case r.Has("Cms"):
			d.Cms = units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton
		case r.Has("Kms"):
			d.Cms = units.Compliance(1e-3 / r.Num(t, "Kms", "N/mm"))
		}
		if r.Has("Rms") {
			d.Rms = units.MechanicalResistance(r.Num(t, "Rms", "kg/s"))
		}
		if r.Has("Sd") {
			d.Sd = units.Area(r.Num(t, "Sd", "m2"))
		}
		if r.Has("a") {
			radius := r.Num(t, "a", "mm") / 1000
			d.Sd = units.Area(math.Pi * radius * radius)
		}
		if r.Has("Mms") {
			d.Mms = units.Mass(r.Num(t, "Mms", "g")) * units.Gram
		} else {
			d.Mms = units.Mass(r.Num(t, "Mmd", "g"))*units.Gram + ts.AirMass(d.Sd, a)
		}
		if err := d.Check(); err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "Sd":
			r.Check(t, float64(d.Sd))
		case "air mass":
			r.Check(t, float64(ts.AirMass(d.Sd, a)))
		case "Mms":
			r.Check(t, float64(d.Mms))
		case "fs":
			r.Check(t, float64(d.Fs()))
		case "fs without baffle":
			r.Check(t, float64(d.AddMass(-ts.AirMass(d.Sd, a)/2).Fs()))
		case "Qms":
			r.Check(t, d.Qms())
		case "Qes":
			r.Check(t, d.Qes())
		case "Qts":
			r.Check(t, d.Qts())
		case "Vas":
			r.Check(t, float64(d.Vas(a)))
		case "eta0":
			eta := float64(d.Eta0(a))
			if r.Unit == "%" {
				eta *= 100
			}
			r.Check(t, eta)
		case "SPL 1 W":
			r.Check(t, float64(d.SPL1W(a)))
		case "SPL 2.83 V":
			r.Check(t, float64(d.SPL283(a)))
		case "EBP":
			r.Check(t, float64(d.EBP()))
		case "Res":
			r.Check(t, float64(d.Res()))
		case "Cmes":
			r.Check(t, float64(d.Cmes()))
		case "Lces":
			r.Check(t, float64(d.Lces()))
		case "Zmax":
			r.Check(t, float64(d.Zmax()))
		default:
			r.Unknown(t)
		}
	})
}

// checkSheet checks rows that start from a few figures of a sheet; what else a
// driver needs cancels.
func checkSheet(t *testing.T, r golden.Row, a air.Air) bool {
	s := ts.Sheet{Re: 6, Fs: 40, Qms: 5, Qes: 0.5, Sd: 0.03, Mms: 0.03}
	switch r.Calculation {
	case "SPL 1 W from eta0":
		s.Mms, s.Eta0 = 0, units.Ratio(r.Num(t, "eta0", "%"))*units.Percent
		r.Check(t, float64(driver(t, s, a).SPL1W(a)))
	case "SPL 2.83 V less SPL 1 W":
		s.Re = units.Resistance(r.Num(t, "Re", "ohm"))
		d := driver(t, s, a)
		r.Check(t, float64(d.SPL283(a)-d.SPL1W(a)))
	case "Vas from Cms and diameter":
		s.Mms, s.Sd = 0, 0
		s.Cms = units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton
		s.Diameter = units.Length(r.Num(t, "diameter", "mm")) * units.Millimetre
		r.Check(t, driver(t, s, a).Vas(a).In(units.Litre))
	case "eta0 of a driver":
		s = ts.Sheet{
			Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
			Cms: units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton,
			Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Rms: units.MechanicalResistance(r.Num(t, "Rms", "kg/s")),
			Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre,
		}
		r.Check(t, driver(t, s, a).Eta0(a).In(units.Percent))
	case "Sd from Vas and Cms":
		s.Mms, s.Sd = 0, 0
		s.Vas = units.Volume(r.Num(t, "Vas", "L")) * units.Litre
		s.Cms = units.Compliance(1e-3 / r.Num(t, "Kms", "N/mm"))
		r.Check(t, driver(t, s, a).Sd.In(units.SquareCentimetre))
	case "Sd from diameter":
		s.Sd, s.Diameter = 0, units.Length(r.Num(t, "diameter", "mm"))*units.Millimetre
		r.Check(t, driver(t, s, a).Sd.In(units.SquareCentimetre))
	case "Qms from Qts and Qes":
		s.Qms, s.Qts, s.Qes = 0, r.Num(t, "Qts", "1"), r.Num(t, "Qes", "1")
		r.Check(t, driver(t, s, a).Qms())
	default:
		return false
	}
	return true
}

func TestCoilRows(t *testing.T) {
	golden.Run(t, "testdata/coil.csv", func(t *testing.T, r golden.Row) {
		num := func(key, unit string) float64 {
			if !r.Has(key) {
				return 0
			}
			return r.Num(t, key, unit)
		}
		c := ts.Coil{
			Leb: units.Inductance(num("Leb", "H")), Le: units.Inductance(num("Le", "H")),
			Ke: num("Ke", "1"), Rss: units.Resistance(num("Rss", "ohm")),
			K: num("K", "1"), N: num("N", "1"),
		}
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		f := units.Frequency(num("f", "Hz"))
		z := c.Impedance(complex(0, 2*math.Pi*float64(f)))
		switch r.Calculation {
		case "real part":
			r.Check(t, real(z))
		case "imaginary part":
			r.Check(t, imag(z))
		case "inductance":
			r.Check(t, float64(c.Inductance(f)))
		default:
			r.Unknown(t)
		}
	})
}

func driver(t *testing.T, s ts.Sheet, a air.Air) ts.Driver {
	t.Helper()
	d, _, err := s.Driver(a)
	if err != nil {
		t.Fatal(err)
	}
	return d
}
