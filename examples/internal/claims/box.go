package claims

import (
	"cmp"
	"errors"
	"math"
	"math/cmplx"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

// A played driver has a voltage and limits besides its figures.
type played struct {
	sheet
	E         units.Voltage   `in:"E,optional" doc:"RMS at the terminals; left out: 1 V"`
	Signal    string          `in:"signal,optional" choice:"sines|pink|programme" doc:"for the loudest outputs; left out: sines, one after the other"`
	From      units.Frequency `in:"from,optional" doc:"lowest of the signal; left out: 20 Hz"`
	To        units.Frequency `in:"to,optional" doc:"highest of the signal; left out: 200 Hz"`
	Crest     float64         `in:"crest,optional" doc:"peak over RMS of noise; left out: 2"`
	AirLimit  units.Velocity  `in:"air speed limit,optional" doc:"peak, in each vent"`
	ConeLimit units.Length    `in:"travel limit,optional" doc:"peak, one way; left out: xmax"`
}

func (p played) volts() units.Voltage {
	if p.E == 0 {
		return 1
	}
	return p.E
}

func (p played) system(e box.Enclosure) (box.System, error) {
	d, err := p.driver()
	if err != nil {
		return box.System{}, err
	}
	s := box.System{Driver: d, Enclosure: e, Air: p.air}
	return s, s.Check()
}

func (p played) limits() box.Limits {
	l := box.Limits{Travel: p.ConeLimit, AirSpeed: p.AirLimit, Heat: p.Power}
	if l.Travel == 0 {
		l.Travel = p.Xmax
	}
	return l
}

func (p played) signal() (box.Signal, error) {
	lo, hi, crest := p.From, p.To, p.Crest
	if lo == 0 {
		lo = 20
	}
	if hi == 0 {
		hi = 200
	}
	if crest == 0 {
		crest = 2
	}
	for _, err := range []error{units.Within("from", lo, 1, 20_000), units.Within("to", hi, 1, 20_000), units.Within("crest", crest, 1, 100)} {
		if err != nil {
			return box.Signal{}, err
		}
	}
	if !(lo < hi) {
		return box.Signal{}, errors.New("from must be below to")
	}
	switch p.Signal {
	case "pink":
		return box.Pink(lo, hi, crest), nil
	case "programme":
		return box.Programme(crest), nil
	}
	return box.Sines(lo, hi), nil
}

// A housed driver is one in an enclosure.
type housed interface {
	enclosed() (box.System, error)
	play() played
}

func (p played) play() played { return p }

// systemOutputs are those of every enclosure.
func systemOutputs[I housed](more ...Output) []Output {
	at := func(x I, hz []float64, f func(s box.System, p box.Point) complex128) ([]complex128, error) {
		s, err := x.enclosed()
		if err != nil {
			return nil, err
		}
		dst := make([]complex128, len(hz))
		for i, f0 := range hz {
			dst[i] = f(s, s.At(units.Frequency(f0)))
		}
		return dst, nil
	}
	cutoff := func(name, doc string, f func(box.System) (units.Frequency, error)) Output {
		return value(name, doc, func(x I) (units.Frequency, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return f(s)
		})
	}
	loudest := func(x I) (box.Verdict, error) {
		s, err := x.enclosed()
		if err != nil {
			return box.Verdict{}, err
		}
		g, err := x.play().signal()
		if err != nil {
			return box.Verdict{}, err
		}
		v, err := s.Loudest(g, x.play().limits())
		if err == nil && v.First == box.None {
			err = errors.New("nothing is limited: give xmax, power or air speed limit")
		}
		return v, err
	}
	functions := func(x I) (box.System, box.Functions, error) {
		s, err := x.enclosed()
		if err != nil {
			return s, box.Functions{}, err
		}
		f, err := s.Functions()
		return s, f, err
	}
	return append([]Output{
		curve[decibels]("response", "pressure re the mass-controlled band without coil inductance", func(x I, hz []float64) ([]complex128, error) {
			return at(x, hz, func(s box.System, p box.Point) complex128 { return p.Pressure / complex(s.Reference(), 0) })
		}),
		curve[units.Pressure]("pressure", "RMS at E, 1 m, half space", func(x I, hz []float64) ([]complex128, error) {
			return at(x, hz, func(_ box.System, p box.Point) complex128 { return p.Times(x.play().volts()).Pressure })
		}),
		along("level", "at E, 1 m, half space", func(x I, f units.Frequency) (units.PressureLevel, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return s.At(f).Times(x.play().volts()).Level(), nil
		}),
		value("level of the pass band", "in the mass-controlled band at E, 1 m, half space", func(x I) (units.PressureLevel, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return units.PressureLevel(20 * math.Log10(s.Reference()*float64(x.play().volts())/20e-6)), nil
		}),
		curve[units.Resistance]("impedance", "at the terminals", func(x I, hz []float64) ([]complex128, error) {
			return at(x, hz, func(_ box.System, p box.Point) complex128 { return p.Impedance })
		}),
		curve[units.Length]("travel", "of the cone at E, peak", func(x I, hz []float64) ([]complex128, error) {
			return at(x, hz, func(_ box.System, p box.Point) complex128 { return p.Times(x.play().volts()).Travel })
		}),
		curve[units.Ratio]("relative travel", "of the cone, over that which the same steady voltage gives in open air", func(x I, hz []float64) ([]complex128, error) {
			return at(x, hz, func(s box.System, p box.Point) complex128 {
				return p.Travel / complex(math.Sqrt2*float64(s.Driver.Bl)*float64(s.Driver.Cms)/float64(s.Driver.Re), 0)
			})
		}),
		along("group delay", "of the pressure, flight time left out", func(x I, f units.Frequency) (units.Time, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return s.GroupDelay(f), nil
		}),
		value("group delay at 0 Hz", "without coil inductance", func(x I) (units.Time, error) {
			_, f, err := functions(x)
			if err != nil {
				return 0, err
			}
			return units.Time(f.G.GroupDelay(0)), nil
		}),
		along("step", "response of the pressure to a step of voltage, without coil inductance, re the pass band", func(x I, t units.Time) (float64, error) {
			_, f, err := functions(x)
			if err != nil {
				return 0, err
			}
			return f.G.Step(float64(t)), nil
		}),
		cutoff("f3", "lower half-power cut-off", box.System.F3),
		cutoff("f6", "lower 6 dB cut-off", func(s box.System) (units.Frequency, error) { return s.Cutoff(6) }),
		cutoff("f10", "lower 10 dB cut-off", func(s box.System) (units.Frequency, error) { return s.Cutoff(10) }),
		cutoff("upper f3", "upper half-power cut-off", func(s box.System) (units.Frequency, error) { return s.UpperCutoff(10 * math.Log10(2)) }),
		value("f3/fs", "lower half-power cut-off over the driver's fs", func(x I) (float64, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			f3, err := s.F3()
			if err != nil {
				return 0, err
			}
			return float64(f3 / s.Driver.Fs()), nil
		}),
		value("f10/fs", "lower 10 dB cut-off over the driver's fs", func(x I) (float64, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			f10, err := s.Cutoff(10)
			if err != nil {
				return 0, err
			}
			return float64(f10 / s.Driver.Fs()), nil
		}),
		value("peak", "of the response", func(x I) (decibels, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			_, db := s.Peak()
			return decibels(db), nil
		}),
		along("efficiency", "acoustic power into half space over electrical power", func(x I, f units.Frequency) (units.Ratio, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return s.Efficiency(f), nil
		}),
		along("largest voltage", "RMS of a sine within xmax, air speed limit and power", func(x I, f units.Frequency) (units.Voltage, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			v, _ := s.MaxVoltage(f, x.play().limits())
			return v, nil
		}),
		along("largest level", "of a sine within xmax, air speed limit and power", func(x I, f units.Frequency) (units.PressureLevel, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			v, _ := s.MaxVoltage(f, x.play().limits())
			return s.At(f).Times(v).Level(), nil
		}),
		value("loudest voltage", "RMS up to which the signal stays within the limits", func(x I) (units.Voltage, error) {
			v, err := loudest(x)
			return v.Volts, err
		}),
		value("loudest level", "of the signal at the loudest voltage", func(x I) (units.PressureLevel, error) {
			v, err := loudest(x)
			return v.Level, err
		}),
		word("what gives first", "cone, vent, heat", func(x I) (string, error) {
			v, err := loudest(x)
			if err != nil {
				return "", err
			}
			return v.First.String(), nil
		}),
	}, more...)
}

type inBaffle struct{ played }

func (x inBaffle) enclosed() (box.System, error) { return x.system(box.InfiniteBaffle{}) }

// Volume over that of the driver, where Vb is not given.
func volume(vb units.Volume, alpha float64, d ts.Driver, p played) (units.Volume, error) {
	switch {
	case (vb == 0) == (alpha == 0):
		return 0, errors.New("want either Vb, or alpha = Vas/Vb")
	case vb != 0:
		return vb, units.Positive("Vb", vb)
	}
	if err := units.Positive("alpha", alpha); err != nil {
		return 0, err
	}
	return d.Vas(p.air) / units.Volume(alpha), nil
}

type inClosed struct {
	played
	Vb    units.Volume    `in:"Vb,optional" doc:"net; or alpha, or Qtc"`
	Alpha float64         `in:"alpha,optional" doc:"Vas/Vb"`
	Qtc   float64         `in:"Qtc,optional" doc:"to be given to the driver by a lossless box"`
	QL    float64         `in:"QL,optional" doc:"of a leak at FQ; left out: none"`
	QA    float64         `in:"QA,optional" doc:"of absorption at FQ; left out: none"`
	FQ    units.Frequency `in:"FQ,optional" doc:"where QL and QA are stated"`
}

func (x inClosed) box() (ts.Driver, box.Closed, error) {
	d, err := x.driver()
	if err != nil {
		return d, box.Closed{}, err
	}
	if x.Qtc != 0 {
		if x.Vb != 0 || x.Alpha != 0 || x.QL != 0 || x.QA != 0 {
			return d, box.Closed{}, errors.New("want Qtc alone, without Vb, alpha, QL and QA")
		}
		c, err := box.ClosedFor(d, x.Qtc, x.air)
		return d, c, err
	}
	vb, err := volume(x.Vb, x.Alpha, d, x.played)
	return d, box.Closed{Vb: vb, QL: x.QL, QA: x.QA, FQ: x.FQ}, err
}

func (x inClosed) enclosed() (box.System, error) {
	_, c, err := x.box()
	if err != nil {
		return box.System{}, err
	}
	return x.system(c)
}

func (x inClosed) alignment() (box.ClosedAlignment, error) {
	d, c, err := x.box()
	if err != nil {
		return box.ClosedAlignment{}, err
	}
	return c.Alignment(d, x.air)
}

type inVented struct {
	played
	Vb    units.Volume    `in:"Vb,optional" doc:"net; or alpha"`
	Alpha float64         `in:"alpha,optional" doc:"Vas/Vb"`
	Fb    units.Frequency `in:"fb,optional" doc:"tuning; or h"`
	H     float64         `in:"h,optional" doc:"fb/fs"`
	QL    float64         `in:"QL,optional" doc:"of a leak; left out: none"`
	QA    float64         `in:"QA,optional" doc:"of absorption; left out: none"`
	QP    float64         `in:"QP,optional" doc:"of friction in the vent; left out: none"`
	Area  units.Area      `in:"vent area,optional" doc:"of all vents together, for the air speed"`
}

func tuning(fb units.Frequency, h float64, d ts.Driver) (units.Frequency, error) {
	switch {
	case (fb == 0) == (h == 0):
		return 0, errors.New("want either fb, or h = fb/fs")
	case fb != 0:
		return fb, units.Positive("fb", fb)
	}
	if err := units.Positive("h", h); err != nil {
		return 0, err
	}
	return d.Fs() * units.Frequency(h), nil
}

func (x inVented) enclosed() (box.System, error) {
	d, err := x.driver()
	if err != nil {
		return box.System{}, err
	}
	vb, err := volume(x.Vb, x.Alpha, d, x.played)
	if err != nil {
		return box.System{}, err
	}
	fb, err := tuning(x.Fb, x.H, d)
	if err != nil {
		return box.System{}, err
	}
	return x.system(box.Vented{Vb: vb, Fb: fb, QL: x.QL, QA: x.QA, QP: x.QP, Area: x.Area})
}

// real frequency of the impedance between two, where it goes from inductive to
// capacitive.
func realImpedance(s box.System, lo, hi units.Frequency) (units.Frequency, error) {
	reactance := func(f units.Frequency) float64 { return imag(s.At(f).Impedance) }
	if !(reactance(lo) > 0 && reactance(hi) < 0) {
		return 0, errors.New("no impedance peak is found there")
	}
	for range 60 {
		if m := units.Frequency(math.Sqrt(float64(lo * hi))); reactance(m) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo, nil
}

func (x inVented) impedancePeak(upper bool) (units.Frequency, error) {
	s, err := x.enclosed()
	if err != nil {
		return 0, err
	}
	fs, fb := s.Driver.Fs(), s.Enclosure.(box.Vented).Fb
	// At fs and fb themselves a box without losses has a real impedance, too.
	if upper {
		return realImpedance(s, max(fs, fb)*(1+1e-9), 20*max(fs, fb))
	}
	return realImpedance(s, min(fs, fb)/20, min(fs, fb)*(1-1e-9))
}

type withRadiator struct {
	played
	Vb    units.Volume    `in:"Vb,optional" doc:"net; or alpha"`
	Alpha float64         `in:"alpha,optional" doc:"Vas/Vb"`
	Delta float64         `in:"delta,optional" doc:"compliance of the radiator's suspension over that of the box, Vap/Vb; or Vap"`
	Vap   units.Volume    `in:"Vap,optional"`
	Fp    units.Frequency `in:"fp,optional" doc:"resonance of the radiator in open air; or h"`
	H     float64         `in:"h,optional" doc:"fp/fs"`
	Qmp   float64         `in:"Qmp,optional" doc:"mechanical Q of the radiator; left out: no loss"`
	Sp    units.Area      `in:"Sp,optional" doc:"area of the radiator, for its travel; left out: 100 cm²"`
	QL    float64         `in:"QL,optional"`
	QA    float64         `in:"QA,optional"`
}

func (x withRadiator) box() (box.PassiveRadiator, error) {
	d, err := x.driver()
	if err != nil {
		return box.PassiveRadiator{}, err
	}
	vb, err := volume(x.Vb, x.Alpha, d, x.played)
	if err != nil {
		return box.PassiveRadiator{}, err
	}
	fp, err := tuning(x.Fp, x.H, d)
	if err != nil {
		return box.PassiveRadiator{}, err
	}
	vap := x.Vap
	if vap == 0 {
		vap = vb * units.Volume(x.Delta)
	}
	sp := x.Sp
	if sp == 0 {
		sp = 0.01
	}
	for _, err := range []error{units.Positive("delta or Vap", vap), units.Positive("Sp", sp), units.NotNegative("Qmp", x.Qmp)} {
		if err != nil {
			return box.PassiveRadiator{}, err
		}
	}
	w := 2 * math.Pi * float64(fp)
	cms := float64(vap) / (float64(x.air.BulkModulus()) * float64(sp*sp))
	mass := 1 / (w * w * cms)
	cone := box.PassiveCone{Sd: sp, Mms: units.Mass(mass), Cms: units.Compliance(cms)}
	if x.Qmp > 0 {
		cone.Rms = units.MechanicalResistance(w * mass / x.Qmp)
	}
	return box.PassiveRadiator{Vb: vb, Radiator: cone, QL: x.QL, QA: x.QA}, nil
}

func (x withRadiator) enclosed() (box.System, error) {
	b, err := x.box()
	if err != nil {
		return box.System{}, err
	}
	return x.system(b)
}

type inBandpass struct {
	played
	Kind string          `in:"kind,optional" choice:"fourth order|sixth order, parallel|sixth order, series" doc:"left out: fourth order"`
	Vr   units.Volume    `in:"Vr" doc:"rear chamber"`
	Fr   units.Frequency `in:"fr,optional" doc:"tuning of the rear chamber, of the sixth order"`
	Vf   units.Volume    `in:"Vf" doc:"front chamber"`
	Fb   units.Frequency `in:"fb" doc:"tuning of the front chamber"`
	QL   float64         `in:"QL,optional" doc:"of a leak of the front chamber"`
	Area units.Area      `in:"vent area,optional" doc:"of the front chamber, for the air speed"`
}

func (x inBandpass) enclosed() (box.System, error) {
	front := box.Vented{Vb: x.Vf, Fb: x.Fb, QL: x.QL, Area: x.Area}
	rear := box.Vented{Vb: x.Vr, Fb: x.Fr}
	switch x.Kind {
	case "sixth order, parallel":
		return x.system(box.Bandpass6{Rear: rear, Front: front})
	case "sixth order, series":
		return x.system(box.Bandpass6Series{Rear: rear, Front: front})
	}
	if x.Fr != 0 {
		return box.System{}, errors.New("fr belongs to boxes of the sixth order")
	}
	return x.system(box.Bandpass4{Rear: box.Closed{Vb: x.Vr}, Front: front})
}

// ventOf is the air speed in a vent and its flow, of boxes that have one.
func ventOf[I housed]() []Output {
	vent := func(x I, hz []float64, f func(s box.System, p box.Point) complex128) ([]complex128, error) {
		s, err := x.enclosed()
		if err != nil {
			return nil, err
		}
		if s.Enclosure.Openings().Vent == 0 {
			return nil, errors.New("the vent area is not given")
		}
		dst := make([]complex128, len(hz))
		for i, f0 := range hz {
			dst[i] = f(s, s.At(units.Frequency(f0)))
		}
		return dst, nil
	}
	return []Output{
		curve[units.Velocity]("air speed", "in the vent at E, peak", func(x I, hz []float64) ([]complex128, error) {
			return vent(x, hz, func(_ box.System, p box.Point) complex128 { return p.Times(x.play().volts()).AirSpeed })
		}),
		curve[units.Ratio]("vent flow", "volume flow of the vent over that of the cone", func(x I, hz []float64) ([]complex128, error) {
			return vent(x, hz, func(s box.System, p box.Point) complex128 {
				cone := p.Travel * complex(0, 2*math.Pi*p.Hz*float64(s.Driver.Sd))
				return p.AirSpeed * complex(float64(s.Enclosure.Openings().Vent), 0) / cone
			})
		}),
		curve[decibels]("response of the vent", "pressure of the vent alone re the mass-controlled band", func(x I, hz []float64) ([]complex128, error) {
			return vent(x, hz, func(s box.System, p box.Point) complex128 {
				flow := p.AirSpeed / math.Sqrt2 * complex(float64(s.Enclosure.Openings().Vent), 0)
				return complex(0, p.Hz*float64(s.Air.Density)) * flow / complex(s.Reference(), 0)
			})
		}),
	}
}

// closedForm is a closed box by its resonance and Q alone.
type closedForm struct {
	Fc  units.Frequency `in:"fc"`
	Qtc float64         `in:"Qtc"`
}

func (x closedForm) alignment() (box.ClosedAlignment, error) {
	a := box.ClosedAlignment{Fc: x.Fc, Qtc: x.Qtc}
	return a, cmp.Or(units.Positive("fc", x.Fc), units.Within("Qtc", x.Qtc, 0.01, 100))
}

func form[Q number](name, doc string, f func(a box.ClosedAlignment) (Q, error)) Output {
	return value(name, doc, func(x closedForm) (Q, error) {
		a, err := x.alignment()
		if err != nil {
			return 0, err
		}
		return f(a)
	})
}

// extremeOfStep is the nth extremum of the step response of a damped pair of poles,
// in units of 1/(2π fc); the first where there is no other.
func extremeOfStep(q float64, n int) (at float64, some bool) {
	z := 1 / (2 * q)
	if z >= 1 {
		return 2, n == 1 && z == 1
	}
	return (2*math.Acos(z) + float64(n-1)*math.Pi) / math.Sqrt(1-z*z), true
}

type filled struct {
	medium
	Packing  units.Density `in:"packing,optional" doc:"mass of fibre over the volume of the box; or fraction"`
	Fraction units.Ratio   `in:"fraction,optional" doc:"of the volume that is fibre"`
	Density  units.Density `in:"density" doc:"of the fibre itself"`
	Heat     specificHeat  `in:"heat" doc:"of the fibre"`
	AirHeat  specificHeat  `in:"heat of air,optional" doc:"at constant volume; left out: that of dry air"`
}

var boxes = []Capability{
	define[inBaffle]("infinite baffle", "A driver in a wall that parts front from rear.", systemOutputs[inBaffle]()...),
	define[inClosed]("closed box", "A driver in a closed box.", systemOutputs[inClosed](
		value("fc", "resonance in the box", func(x inClosed) (units.Frequency, error) {
			a, err := x.alignment()
			return a.Fc, err
		}),
		value("Qtc", "total Q there", func(x inClosed) (float64, error) {
			a, err := x.alignment()
			return a.Qtc, err
		}),
		value("Vb", "volume", func(x inClosed) (units.Volume, error) {
			_, c, err := x.box()
			return c.Vb, err
		}),
	)...),
	define[closedForm]("closed-box response", "The second-order high-pass of a closed box, by fc and Qtc.",
		form("f3", "half-power frequency", func(a box.ClosedAlignment) (units.Frequency, error) { return a.F3(), nil }),
		form("peak", "height", func(a box.ClosedAlignment) (decibels, error) {
			_, db := a.Peak()
			return decibels(db), nil
		}),
		form("frequency of the peak", "", func(a box.ClosedAlignment) (units.Frequency, error) {
			f, _ := a.Peak()
			if f == 0 {
				return 0, errors.New("there is no peak")
			}
			return f, nil
		}),
		form("frequency of the largest travel", "", func(a box.ClosedAlignment) (units.Frequency, error) {
			f, _ := a.Peak()
			if f == 0 {
				return 0, nil
			}
			return a.Fc * a.Fc / f, nil
		}),
		form("largest relative travel", "over that far below resonance", func(a box.ClosedAlignment) (float64, error) {
			_, db := a.Peak() // as high as that of the response
			return math.Pow(10, db/20), nil
		}),
		form("step undershoot", "first extremum of the step response, a negative one", func(a box.ClosedAlignment) (float64, error) {
			g, err := a.Func()
			if err != nil {
				return 0, err
			}
			at, some := extremeOfStep(a.Qtc, 1)
			if !some {
				return 0, errors.New("only for Qtc from 0.5")
			}
			return g.Step(at / (2 * math.Pi * float64(a.Fc))), nil
		}),
		form("step overshoot", "second extremum of the step response; 0 without one", func(a box.ClosedAlignment) (float64, error) {
			g, err := a.Func()
			if err != nil || a.Qtc <= 0.5 {
				return 0, err
			}
			at, _ := extremeOfStep(a.Qtc, 2)
			return g.Step(at / (2 * math.Pi * float64(a.Fc))), nil
		}),
		curve[decibels]("response", "re the pass band", func(x closedForm, hz []float64) ([]complex128, error) {
			a, err := x.alignment()
			if err != nil {
				return nil, err
			}
			g, err := a.Func()
			dst := make([]complex128, len(hz))
			for i, f := range hz {
				dst[i] = g.AtHz(f)
			}
			return dst, err
		}),
		along("group delay", "", func(x closedForm, f units.Frequency) (units.Time, error) {
			a, err := x.alignment()
			if err != nil {
				return 0, err
			}
			g, err := a.Func()
			if err != nil {
				return 0, err
			}
			return units.Time(g.GroupDelay(float64(f))), nil
		}),
		along("normalised group delay", "times 2π fc", func(x closedForm, f units.Frequency) (float64, error) {
			a, err := x.alignment()
			if err != nil {
				return 0, err
			}
			g, err := a.Func()
			if err != nil {
				return 0, err
			}
			return 2 * math.Pi * float64(a.Fc) * g.GroupDelay(float64(f)), nil
		}),
		form("normalised group delay at 0 Hz", "times 2π fc", func(a box.ClosedAlignment) (float64, error) {
			g, err := a.Func()
			if err != nil {
				return 0, err
			}
			return 2 * math.Pi * float64(a.Fc) * g.GroupDelay(0), nil
		}),
	),
	define[inVented]("vented box", "A driver in a box with a vent.", systemOutputs[inVented](append(ventOf[inVented](),
		value("lower impedance peak", "where the impedance is real", func(x inVented) (units.Frequency, error) { return x.impedancePeak(false) }),
		value("upper impedance peak", "where the impedance is real", func(x inVented) (units.Frequency, error) { return x.impedancePeak(true) }),
	)...)...),
	define[withRadiator]("passive-radiator box", "A driver in a box with a passive radiator.", systemOutputs[withRadiator](
		value("fb", "tuning", func(x withRadiator) (units.Frequency, error) {
			b, err := x.box()
			if err != nil {
				return 0, err
			}
			return b.Fb(x.air), b.Check()
		}),
		value("fb/fs", "tuning over the driver's fs", func(x withRadiator) (float64, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return float64(s.Enclosure.(box.PassiveRadiator).Fb(x.air) / s.Driver.Fs()), nil
		}),
		curve[units.Length]("radiator travel", "at E, peak", func(x withRadiator, hz []float64) ([]complex128, error) {
			s, err := x.enclosed()
			if err == nil && x.Sp == 0 {
				err = errors.New("no Sp is given")
			}
			if err != nil {
				return nil, err
			}
			dst := make([]complex128, len(hz))
			for i, f := range hz {
				dst[i] = s.At(units.Frequency(f)).Times(x.volts()).Radiator
			}
			return dst, nil
		}),
	)...),
	define[inBandpass]("band-pass box", "A driver between two chambers.", systemOutputs[inBandpass](append(ventOf[inBandpass](),
		value("gain at fb", "re the mass-controlled band", func(x inBandpass) (decibels, error) {
			s, err := x.enclosed()
			if err != nil {
				return 0, err
			}
			return decibels(20 * math.Log10(cmplx.Abs(s.At(x.Fb).Pressure)/s.Reference())), nil
		}))...)...),
	define[filled]("filling", "Fibre in a box that takes up the heat of the air.",
		value("gain", "apparent over true volume", func(x filled) (float64, error) {
			f := box.Filling{Packing: x.Packing, Density: x.Density, Heat: float64(x.Heat)}
			if x.Fraction != 0 {
				f.Packing = f.Density * units.Density(x.Fraction)
			}
			a := x.air
			if x.AirHeat != 0 {
				// Only the heat per volume of air counts.
				const ours = 8.314463 / 0.0289655 / 0.4
				a.Density *= units.Density(float64(x.AirHeat) / ours)
			}
			if err := cmp.Or(f.Check(), a.Check()); err != nil {
				return 0, err
			}
			return f.Gain(a), nil
		}),
	),
}
