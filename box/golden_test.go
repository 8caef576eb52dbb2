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

// normalised returns a driver with fs = 1 Hz and the given Q, and its Vas.
func normalised(t *testing.T, qms, qes float64) (ts.Driver, units.Volume) {
	t.Helper()
	return sheet(t, ts.Sheet{Re: 6, Fs: 1, Qms: qms, Qes: qes, Mms: 0.02, Sd: 0.02})
}

func sheet(t *testing.T, s ts.Sheet) (ts.Driver, units.Volume) {
	t.Helper()
	d, _, err := s.Driver(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	return d, d.Vas(air.Standard())
}

func TestClosedRows(t *testing.T) {
	golden.Run(t, "testdata/closed.csv", func(t *testing.T, r golden.Row) {
		if r.Has("Bl") {
			checkDriverInBox(t, r)
			return
		}
		if r.Has("fs") {
			qts := r.Num(t, "Qts", "1")
			d, _ := sheet(t, ts.Sheet{
				Re: 6, Fs: units.Frequency(r.Num(t, "fs", "Hz")), Qms: 10 * qts, Qts: qts,
				Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre, Sd: 0.03,
			})
			c := box.Closed{Vb: 40 * units.Litre}
			if r.Calculation != "f3 in 40 L" {
				var err error
				if c, err = box.ClosedFor(d, math.Sqrt2/2, air.Standard()); err != nil {
					t.Fatal(err)
				}
			}
			f3, err := box.System{Driver: d, Enclosure: c}.F3()
			if err != nil {
				t.Fatal(err)
			}
			switch r.Calculation {
			case "Butterworth volume":
				r.Check(t, c.Vb.In(units.Litre))
			case "Butterworth f3", "f3 in 40 L":
				r.Check(t, float64(f3))
			default:
				r.Unknown(t)
			}
			return
		}

		// The closed form, and the circuit of a driver that has this Q in its box.
		q := r.Num(t, "Qtc", "1")
		form := box.ClosedAlignment{Fc: 1, Qtc: q}
		g, err := form.Func()
		if err != nil {
			t.Fatal(err)
		}
		d, vas := normalised(t, 5*q, q/1.6) // Qts = 0.555 q: α = 2.24
		alpha := q*q/(d.Qts()*d.Qts()) - 1
		s := box.System{Driver: d, Enclosure: box.Closed{Vb: vas / units.Volume(alpha)}}
		fc := math.Sqrt(1 + alpha)
		fns, err := s.Functions()
		if err != nil {
			t.Fatal(err)
		}
		travel := func(f float64) float64 { return cmplx.Abs(fns.X.AtHz(f*fc)) * fc * fc }
		switch r.Calculation {
		case "f3/fc":
			r.Check(t, float64(form.F3()))
			f3, err := s.F3()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(f3)/fc)
		case "peak":
			_, db := form.Peak()
			r.Check(t, db)
			if r.Value.Float() > 0 {
				_, db = s.Peak()
				r.Check(t, db)
			}
		case "f of peak/fc":
			f, _ := form.Peak()
			r.Check(t, float64(f))
		case "gain at fc":
			r.Check(t, 20*math.Log10(cmplx.Abs(g.AtHz(1))))
			r.Check(t, s.Gain(units.Frequency(fc)))
		case "largest X":
			// The travel peaks where G does, mirrored about fc, and by as much.
			f, _ := form.Peak()
			r.Check(t, travel(inverseOrZero(float64(f))))
		case "f of largest X/fc":
			f, _ := form.Peak()
			r.Check(t, 1/float64(f))
		case "normalised delay at 0":
			r.Check(t, 2*math.Pi*g.GroupDelay(0))
		case "normalised delay at fc":
			r.Check(t, 2*math.Pi*g.GroupDelay(1))
			r.Check(t, 2*math.Pi*fc*float64(s.GroupDelay(units.Frequency(fc))))
		case "normalised delay at f":
			r.Check(t, 2*math.Pi*g.GroupDelay(r.Num(t, "f", "1")))
		case "step undershoot":
			// The first extremum of the step, at 2π fc t = 2 acos ζ/√(1 − ζ²).
			z := 1 / (2 * q)
			at := 2.0
			if z < 1 {
				at = 2 * math.Acos(z) / math.Sqrt(1-z*z)
			}
			r.Check(t, g.Step(at/(2*math.Pi)))
		default:
			r.Unknown(t)
		}
	})
}

// checkDriverInBox takes a driver with all its figures, and Vas as printed.
func checkDriverInBox(t *testing.T, r golden.Row) {
	a := air.Standard()
	d := ts.Driver{
		Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
		Cms: units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton,
		Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Rms: units.MechanicalResistance(r.Num(t, "Rms", "kg/s")),
	}
	d.Sd = units.Area(math.Sqrt(r.Num(t, "Vas", "L") / 1000 / float64(d.Cms) / float64(a.BulkModulus())))
	if !r.Has("Vb") {
		c, err := box.ClosedFor(d, math.Sqrt2/2, a)
		if err != nil {
			t.Fatal(err)
		}
		al, err := c.Alignment(d, a)
		if err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "Butterworth volume of a driver":
			r.Check(t, c.Vb.In(units.Litre))
		case "Butterworth fc of a driver":
			r.Check(t, float64(al.Fc))
		default:
			r.Unknown(t)
		}
		return
	}
	c := box.Closed{Vb: units.Volume(r.Num(t, "Vb", "L")) * units.Litre}
	al, err := c.Alignment(d, a)
	if err != nil {
		t.Fatal(err)
	}
	switch r.Calculation {
	case "fc of a driver in a box":
		r.Check(t, float64(al.Fc))
	case "Qtc of a driver in a box":
		r.Check(t, al.Qtc)
	case "f3 of a driver in a box":
		r.Check(t, float64(al.F3()))
		f3, err := box.System{Driver: d, Enclosure: c}.F3()
		if err != nil {
			t.Fatal(err)
		}
		r.Check(t, float64(f3))
	default:
		r.Unknown(t)
	}
}

func inverseOrZero(x float64) float64 {
	if x == 0 {
		return 0
	}
	return 1 / x
}

func TestVentedRows(t *testing.T) {
	golden.Run(t, "testdata/vented.csv", func(t *testing.T, r golden.Row) {
		loss := func(key string) float64 {
			if !r.Has(key) {
				return 0
			}
			return r.Num(t, key, "1")
		}
		v := box.Vented{QL: loss("QL"), QA: loss("QA"), QP: loss("QP"), Area: 0.004}
		var s box.System
		var f units.Frequency
		switch {
		case r.Has("Vb"):
			d, _ := sheet(t, ts.Sheet{
				Re: units.Resistance(r.Num(t, "Re", "ohm")), Fs: units.Frequency(r.Num(t, "fs", "Hz")),
				Qms: r.Num(t, "Qms", "1"), Qes: r.Num(t, "Qes", "1"),
				Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre, Sd: 0.02,
			})
			v.Vb, v.Fb = units.Volume(r.Num(t, "Vb", "L"))*units.Litre, units.Frequency(r.Num(t, "fb", "Hz"))
			s = box.System{Driver: d, Enclosure: v}
			if r.Has("f") {
				f = units.Frequency(r.Num(t, "f", "Hz"))
			}
		case r.Has("x"):
			qts := 1 / math.Sqrt(4+2*math.Sqrt2)
			d, vas := normalised(t, 5, 1/(1/qts-1.0/5))
			v.Vb, v.Fb = vas/math.Sqrt2, d.Fs()
			s = box.System{Driver: d, Enclosure: v}
			f = units.Frequency(r.Num(t, "x", "1"))
		default:
			qts := r.Num(t, "Qts", "1")
			d, vas := normalised(t, 6*qts, 1.2*qts)
			v.Vb, v.Fb = vas/units.Volume(r.Num(t, "alpha", "1")), units.Frequency(r.Num(t, "h", "1"))
			s = box.System{Driver: d, Enclosure: v}
		}
		d := s.Driver
		fns, err := s.Functions()
		if err != nil {
			t.Fatal(err)
		}
		p := s.At(f)
		switch r.Calculation {
		case "gain", "gain of a flat box":
			r.Check(t, s.Gain(f))
			r.Check(t, 20*math.Log10(cmplx.Abs(fns.G.AtHz(float64(f)))))
		case "phase":
			r.Check(t, cmplx.Phase(p.Pressure)*180/math.Pi)
		case "excursion":
			r.Check(t, cmplx.Abs(p.Travel)/math.Sqrt2*float64(d.Re)/(float64(d.Bl)*float64(d.Cms)))
			r.Check(t, cmplx.Abs(fns.X.AtHz(float64(f))))
		case "vent flow":
			cone := cmplx.Abs(p.Travel) * 2 * math.Pi * float64(f) * float64(d.Sd)
			r.Check(t, cmplx.Abs(p.AirSpeed)*float64(v.Area)/cone)
		case "impedance":
			r.Check(t, cmplx.Abs(p.Impedance))
			r.Check(t, cmplx.Abs(fns.Z.AtHz(float64(f))))
		case "a1", "a2", "a3":
			// Coefficients of the fourth-order form, normalised to √(fs fb).
			_, den := fns.G.Polynomials()
			w := 2 * math.Pi * math.Sqrt(float64(d.Fs()*v.Fb))
			power := map[string]int{"a1": 3, "a2": 2, "a3": 1}[r.Calculation]
			r.Check(t, den[power]/den[4]*math.Pow(w, float64(power-4)))
		case "group delay at 0":
			r.Check(t, 1000*fns.G.GroupDelay(0))
		case "f3", "f3 of an alignment":
			f3, err := s.F3()
			if err != nil {
				t.Fatal(err)
			}
			if r.Calculation == "f3 of an alignment" {
				f3 *= units.Frequency(r.Num(t, "fs", "Hz"))
			}
			r.Check(t, float64(f3))
		case "f3/fs":
			f3, err := s.F3()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(f3))
		case "f10/fs":
			f10, err := s.Cutoff(10)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(f10))
		default:
			r.Unknown(t)
		}
	})
}
