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

func TestLimitRows(t *testing.T) {
	golden.Run(t, "testdata/limits.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "travel without a box":
			s := box.System{Driver: heavy(t, r), Enclosure: box.InfiniteBaffle{}}
			p := s.At(units.Frequency(r.Num(t, "f", "Hz"))).Times(units.Voltage(r.Num(t, "E", "V")))
			r.Check(t, cmplx.Abs(p.Travel)/math.Sqrt2*1000)
		case "pass-band level of 1 V":
			s := box.System{Driver: heavy(t, r), Enclosure: box.InfiniteBaffle{}, Air: air.Standard()}
			s.Air.Density = units.Density(r.Num(t, "rho", "kg/m3"))
			r.Check(t, 20*math.Log10(s.Reference()))
		case "largest level without a box":
			s := box.System{Driver: woofer, Enclosure: box.InfiniteBaffle{}, Air: air.Standard()}
			s.Driver.Sd = units.Area(r.Num(t, "Sd", "cm2")) * units.SquareCentimetre
			s.Air.Density = units.Density(r.Num(t, "rho", "kg/m3"))
			f := units.Frequency(r.Num(t, "f", "Hz"))
			v, _ := s.MaxVoltage(f, box.Limits{Travel: units.Length(r.Num(t, "xmax", "mm")) * units.Millimetre})
			r.Check(t, float64(s.At(f).Times(v).Level()))
		case "largest pass-band level of a closed box", "largest pass-band power of a closed box":
			checkClosedLimit(t, r)
		case "largest travel above tuning", "frequency of the largest travel above tuning":
			checkVentedTravel(t, r)
		default:
			r.Unknown(t)
		}
	})
}

// heavy reads a driver; what the row leaves out does not matter to its result.
func heavy(t *testing.T, r golden.Row) ts.Driver {
	t.Helper()
	d := ts.Driver{
		Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
		Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Cms: 1e-3, Rms: 1, Sd: 0.05,
	}
	if r.Has("Sd") {
		d.Sd = units.Area(r.Num(t, "Sd", "cm2")) * units.SquareCentimetre
	}
	if r.Has("Cms") {
		d.Cms = units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton
		qms := 1 / (1/r.Num(t, "Qts", "1") - 1/d.Qes())
		d.Rms = units.MechanicalResistance(math.Sqrt(float64(d.Mms)/float64(d.Cms)) / qms)
	}
	return d
}

// checkClosedLimit drives a box to its travel at the lowest frequencies, where a
// Butterworth box travels most, and takes the pressure of the pass band there.
func checkClosedLimit(t *testing.T, r golden.Row) {
	a := air.Air{Density: units.Density(r.Num(t, "rho", "kg/m3")), SpeedOfSound: units.Velocity(r.Num(t, "c", "m/s"))}
	q := r.Num(t, "Qtc", "1")
	d, _, err := ts.Sheet{Re: 6, Fs: units.Frequency(r.Num(t, "f3", "Hz") / 2), Qms: 3, Qts: q / 2, Mms: 0.03, Sd: 0.02}.Driver(a)
	if err != nil {
		t.Fatal(err)
	}
	c, err := box.ClosedFor(d, q, a)
	if err != nil {
		t.Fatal(err)
	}
	s := box.System{Driver: d, Enclosure: c, Air: a}
	xmax := r.Num(t, "Vd", "cm3") * 1e-6 / float64(d.Sd)
	v, at, what := s.MaxVoltageAbove(1e-3, []float64{1e-3, 1, 10, 40, 80}, box.Limits{Travel: units.Length(xmax)})
	if at != 1e-3 || what != box.Cone {
		t.Errorf("the %s gives at %v, want the cone at the bottom", what, at)
	}
	p := s.Reference() * float64(v)
	if r.Unit == "dB" {
		r.Check(t, 20*math.Log10(p/20e-6))
	} else {
		r.Check(t, 2*math.Pi*p*p/a.Impedance())
	}
}

// checkVentedTravel looks for the frequency above tuning that allows least voltage.
func checkVentedTravel(t *testing.T, r golden.Row) {
	qts := r.Num(t, "Qts", "1")
	d, vas := normalised(t, 6*qts, 1.2*qts)
	e := box.Vented{Vb: vas / units.Volume(r.Num(t, "alpha", "1")), Fb: units.Frequency(r.Num(t, "h", "1"))}
	if r.Has("QL") {
		e.QL = r.Num(t, "QL", "1")
	}
	s := box.System{Driver: d, Enclosure: e}
	lo, hi := float64(e.Fb), 3.0
	var v units.Voltage
	var f units.Frequency
	for range 6 { // each grid a tenth as wide as the last
		hz := make([]float64, 101)
		for i := range hz {
			hz[i] = lo + (hi-lo)*float64(i)/100
		}
		v, f, _ = s.MaxVoltageAbove(e.Fb, hz, box.Limits{Travel: 1})
		lo, hi = float64(f)-(hi-lo)/20, float64(f)+(hi-lo)/20
	}
	static := math.Sqrt2 * float64(d.Bl) * float64(d.Cms) / float64(d.Re)
	if r.Calculation == "largest travel above tuning" {
		r.Check(t, 1/(float64(v)*static))
	} else {
		r.Check(t, float64(f))
	}
}
