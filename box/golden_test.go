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

		if !r.Has("Qtc") {
			constant := map[string]func(*testing.T, golden.Row, float64) float64{
				"largest efficiency constant": efficiencyConstant, "largest power constant": powerConstant,
			}[r.Calculation]
			if constant == nil {
				r.Unknown(t)
			}
			most := 0.0
			for q := 1.0; q < 1.3; q += 0.002 {
				most = max(most, constant(t, r, q))
			}
			r.Check(t, most)
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
		case "following overshoot":
			// The second extremum, half a turn later; there is none at Q 1/2.
			z := 1 / (2 * q)
			at := 200.0
			if z < 1 {
				at = (2*math.Acos(z) + math.Pi) / math.Sqrt(1-z*z)
			}
			r.Check(t, g.Step(at/(2*math.Pi)))
		case "travel overshoot":
			z := 1 / (2 * q)
			at := 200.0
			if z < 1 {
				at = math.Pi / math.Sqrt(1-z*z)
			}
			r.Check(t, fns.X.Step(at/(2*math.Pi*fc))*fc*fc-1)
		case "largest normalised delay", "f of largest delay/fc":
			at := 0.0
			if q > 1/math.Sqrt(3)+1e-12 {
				slope := func(f float64) float64 {
					const h = 1e-3
					return 8*(g.GroupDelay(f+h)-g.GroupDelay(f-h)) - (g.GroupDelay(f+2*h) - g.GroupDelay(f-2*h))
				}
				at = falling(slope, 0.1, 2)
			}
			if r.Calculation == "f of largest delay/fc" {
				r.Check(t, at)
			} else {
				r.Check(t, 2*math.Pi*g.GroupDelay(at))
			}
		case "efficiency constant":
			r.Check(t, efficiencyConstant(t, r, q))
		case "power constant":
			r.Check(t, powerConstant(t, r, q))
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

// falling bisects for where g, above zero at a, falls below it before b.
func falling(g func(x float64) float64, a, b float64) float64 {
	for range 60 {
		if m := (a + b) / 2; g(m) > 0 {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}

// boxOfQ returns a driver almost without mechanical losses in a closed box of
// total Q q, in the air of the row; without rho, where that does not matter, 1.18 kg/m³.
func boxOfQ(t *testing.T, r golden.Row, q float64) box.System {
	t.Helper()
	a := air.Air{Density: 1.18, SpeedOfSound: units.Velocity(r.Num(t, "c", "m/s"))}
	if r.Has("rho") {
		a.Density = units.Density(r.Num(t, "rho", "kg/m3"))
	}
	d, _, err := ts.Sheet{Re: 6, Fs: 20, Qms: 1e13, Qes: q / 2, Mms: 0.03, Sd: 0.02}.Driver(a)
	if err != nil {
		t.Fatal(err)
	}
	c, err := box.ClosedFor(d, q, a)
	if err != nil {
		t.Fatal(err)
	}
	return box.System{Driver: d, Enclosure: c, Air: a}
}

func efficiencyConstant(t *testing.T, r golden.Row, q float64) float64 {
	s := boxOfQ(t, r, q)
	f3, err := s.F3()
	if err != nil {
		t.Fatal(err)
	}
	// Far above resonance the impedance is Re.
	eta := float64(s.Efficiency(1e6 * s.Driver.Fs()))
	vb, vas := float64(s.Enclosure.(box.Closed).Vb), float64(s.Driver.Vas(s.Air))
	return eta / (math.Pow(float64(f3), 3) * vb * vas / (vb + vas))
}

func powerConstant(t *testing.T, r golden.Row, q float64) float64 {
	s := boxOfQ(t, r, q)
	f3, err := s.F3()
	if err != nil {
		t.Fatal(err)
	}
	al, err := s.Enclosure.(box.Closed).Alignment(s.Driver, s.Air)
	if err != nil {
		t.Fatal(err)
	}
	at := units.Frequency(1e-4) // the travel is largest far below resonance, or at the peak of X
	if peak, _ := al.Peak(); peak > 0 {
		at = al.Fc * al.Fc / peak
	}
	const stroke = 0.01
	p := s.Reference() * stroke / cmplx.Abs(s.At(at).Travel)
	power := 2 * math.Pi * p * p / s.Air.Impedance()
	return power / math.Pow(float64(f3), 4) / math.Pow(stroke*float64(s.Driver.Sd), 2)
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
		case r.Has("family"):
			checkFamily(t, r)
			return
		case r.Has("alpha") && r.Has("fb"):
			checkImpedancePeak(t, r)
			return
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

// families are the coefficients a1 of s³, a2 and a3 of responses without losses.
func families(name string) (a1, a2, a3 float64) {
	switch name {
	case "B4":
		a := math.Sqrt(4 + 2*math.Sqrt2)
		return a, 2 + math.Sqrt2, a
	case "C4 k 0.6":
		const k2 = 0.36
		d := (k2*k2 + 6*k2 + 1) / 8
		a3 = 0.6 * math.Sqrt(4+2*math.Sqrt2) / math.Pow(d, 0.25)
		return a3 / math.Sqrt(d) * (1 - (1-k2)/(2*math.Sqrt2)), (1 + k2*(1+math.Sqrt2)) / math.Sqrt(d), a3
	case "QB3 B 2":
		a2 = falling(func(a2 float64) float64 { // a3² − 2 a2 is B²
			return 4 - math.Pow((a2*a2+2)/(2*math.Sqrt(2*a2)), 2) + 2*a2
		}, 2+math.Sqrt2, 10)
		return math.Sqrt(2 * a2), a2, (a2*a2 + 2) / (2 * math.Sqrt(2*a2))
	case "BE4":
		w := math.Pow(105, 0.25)
		return 105 / (w * w * w), 45 / (w * w), 10 / w
	}
	return 0, 0, 0
}

func checkFamily(t *testing.T, r golden.Row) {
	s := alignment(families(r.Word(t, "family")))
	fns, err := s.Functions()
	if err != nil {
		t.Fatal(err)
	}
	f0 := math.Sqrt(float64(s.Driver.Fs() * s.Enclosure.(box.Vented).Fb))
	w0 := 2 * math.Pi * f0
	switch r.Calculation {
	case "normalised delay of an alignment at 0":
		r.Check(t, w0*fns.G.GroupDelay(0))
	case "normalised delay of an alignment at f0":
		r.Check(t, w0*fns.G.GroupDelay(f0))
	case "normalised delay of an alignment at f3":
		f3, err := s.F3()
		if err != nil {
			t.Fatal(err)
		}
		r.Check(t, w0*fns.G.GroupDelay(float64(f3)))
	case "step undershoot of an alignment", "step overshoot of an alignment":
		// The impulse response is the slope of the step response. It rises through zero
		// at the first minimum, and falls through it at the next maximum.
		impulse := func(t float64) float64 { return fns.G.Impulse(t / w0) }
		from := 0.0
		for impulse(from) < 0 {
			from += 0.1
		}
		if r.Calculation == "step undershoot of an alignment" {
			at := falling(func(t float64) float64 { return -impulse(t) }, from-0.1, from)
			r.Check(t, fns.G.Step(at/w0))
			return
		}
		to := from
		for impulse(to) > 0 {
			to += 0.1
		}
		r.Check(t, fns.G.Step(falling(impulse, from, to)/w0))
	default:
		r.Unknown(t)
	}
}

// checkImpedancePeak looks for where the impedance turns real; with a lossless box
// that is at its peaks, and at fb between them.
func checkImpedancePeak(t *testing.T, r golden.Row) {
	fs, fb := r.Num(t, "fs", "Hz"), r.Num(t, "fb", "Hz")
	d, vas := sheet(t, ts.Sheet{Re: 6, Fs: units.Frequency(fs), Qms: 4, Qes: 0.4, Mms: 0.02, Sd: 0.02})
	s := box.System{Driver: d, Enclosure: box.Vented{Vb: vas / units.Volume(r.Num(t, "alpha", "1")), Fb: units.Frequency(fb)}}
	reactance := func(f float64) float64 { return imag(s.At(units.Frequency(f)).Impedance) }
	switch r.Calculation {
	case "lower impedance peak":
		r.Check(t, falling(reactance, 1, min(fs, fb)))
	case "upper impedance peak":
		r.Check(t, falling(reactance, max(fs, fb), 1000))
	default:
		r.Unknown(t)
	}
}
