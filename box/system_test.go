package box_test

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// woofer is invented: 165 mm, fs 37.8 Hz, Qts 0.398, Vas 32.5 L.
var woofer = ts.Driver{Re: 5.8, Bl: 6.7, Mms: 14.2e-3, Cms: 1.25e-3, Rms: 0.72, Sd: 136e-4, Xmax: 5e-3, Power: 70}

var vented = box.Vented{Vb: 25 * units.Litre, Fb: 39, QL: 7, Area: 38.5 * units.SquareCentimetre}

func random(rng *rand.Rand) (ts.Driver, func(lo, hi float64) float64) {
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	return ts.Driver{
		Re: units.Resistance(u(2, 12)), Bl: units.ForceFactor(u(2, 20)), Mms: units.Mass(u(2e-3, 0.2)),
		Cms: units.Compliance(u(1e-4, 3e-3)), Rms: units.MechanicalResistance(u(0.2, 5)), Sd: units.Area(u(2e-3, 0.09)),
	}, u
}

// The circuit and the rational functions are two roads to the same numbers.
func TestCircuitAgreesWithClosedForm(t *testing.T) {
	worst := 0.0
	randomSystems(3, func(s box.System, u func(lo, hi float64) float64) {
		s.Driver.Coil = ts.Coil{}
		d, fs := s.Driver, float64(s.Driver.Fs())
		fns, err := s.Functions()
		if err != nil {
			t.Fatal(err)
		}
		o := s.Enclosure.Openings()
		for range 10 {
			f := fs * u(0.05, 20)
			p := s.At(units.Frequency(f))
			static := complex(math.Sqrt2*float64(d.Bl)*float64(d.Cms)/float64(d.Re), 0)
			moved := static * complex(float64(d.Sd), 0)
			jw := complex(0, 2*math.Pi*f)
			for name, pair := range map[string][2]complex128{
				"G":        {p.Pressure / complex(s.Reference(), 0), fns.G.AtHz(f)},
				"X":        {p.Travel / static, fns.X.AtHz(f)},
				"Z":        {p.Impedance, fns.Z.AtHz(f)},
				"vent":     {p.AirSpeed * complex(float64(o.Vent), 0) / (jw * moved), fns.Vent.AtHz(f)},
				"rear":     {p.RearSpeed * complex(float64(o.Rear), 0) / (jw * moved), fns.Rear.AtHz(f)},
				"radiator": {p.Radiator * complex(float64(o.Radiator), 0) / moved, fns.Radiator.AtHz(f)},
			} {
				if pair[0] == 0 && pair[1] == 0 {
					continue
				}
				d := cmplx.Abs(pair[0]-pair[1]) / cmplx.Abs(pair[1])
				worst = max(worst, d)
				if !(d <= 1e-12) {
					t.Errorf("%#v: %s at %.4g Hz: circuit %v, closed form %v: off by %.2g", s.Enclosure, name, f, pair[0], pair[1], d)
				}
			}
			if sharp(fns.G) {
				continue // more than the differences of GroupDelay promise
			}
			if want := fns.G.GroupDelay(f); !(math.Abs(float64(s.GroupDelay(units.Frequency(f)))-want) <= 1e-8*math.Abs(want)+1e-9/f) {
				t.Errorf("%#v: delay at %.4g Hz: %g, closed form %g", s.Enclosure, f, float64(s.GroupDelay(units.Frequency(f))), want)
			}
		}
	})
	t.Logf("worst relative difference %.2g", worst)
}

// sharp says whether f has a root, but for zeros at 0, of a Q above 100.
func sharp(f rational.Func) bool {
	return slices.ContainsFunc(append(slices.Clone(f.Poles), f.Zeros...), func(r complex128) bool {
		return cmplx.Abs(r) > 200*math.Abs(real(r))
	})
}

// Power in equals power lost: in Re, in the suspension, in the box.
func TestEnergyBalance(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 200 {
		d, u := random(rng)
		d.Coil = ts.Coil{Leb: 1e-4, Le: 1e-3, Ke: 0.03, Rss: 50}
		a := air.Standard()
		v := box.Vented{Vb: units.Volume(u(0.005, 0.1)), Fb: units.Frequency(u(20, 80)), QL: u(3, 30), QA: u(3, 30), QP: u(3, 30)}
		s := box.System{Driver: d, Enclosure: v}
		f := u(5, 500)
		jw := complex(0, 2*math.Pi*f)
		p := s.At(units.Frequency(f))
		if real(p.Impedance) <= 0 {
			t.Errorf("Re Z = %g", real(p.Impedance))
		}
		flow := v.Flow(jw, a)
		if real(flow.Za) < 0 {
			t.Errorf("the box gives power: Za = %v", flow.Za)
		}
		speed := cmplx.Abs(p.Travel*jw) / math.Sqrt2
		i2 := cmplx.Abs(p.Current) * cmplx.Abs(p.Current)
		sd := float64(d.Sd)
		lost := i2*(float64(d.Re)+real(d.Coil.Impedance(jw))) + speed*speed*(float64(d.Rms)+sd*sd*real(flow.Za))
		in := real(cmplx.Conj(p.Current))
		if apparent := cmplx.Abs(p.Current); !(math.Abs(in-lost) <= 1e-12*apparent) {
			t.Errorf("%g W in, %g W lost", in, lost)
		}
	}
}

func TestLimitingCases(t *testing.T) {
	at := func(e box.Enclosure, f units.Frequency) box.Point {
		return box.System{Driver: woofer, Enclosure: e}.At(f)
	}
	const f = 70
	for name, c := range map[string]struct {
		a, b      box.Enclosure
		tolerance float64
	}{
		"huge box is an infinite baffle":  {box.Closed{Vb: 1e9}, box.InfiniteBaffle{}, 1e-9},
		"vent tuned to nothing is closed": {box.Vented{Vb: 0.02, Fb: 1e-5}, box.Closed{Vb: 0.02}, 1e-9},
		"leak of huge Q is none":          {box.Closed{Vb: 0.02, QL: 1e12, FQ: 60}, box.Closed{Vb: 0.02}, 1e-9},
		"losses of huge Q are none":       {box.Vented{Vb: 0.02, Fb: 40, QL: 1e12, QA: 1e12, QP: 1e12}, box.Vented{Vb: 0.02, Fb: 40}, 1e-9},
		"absorption stops a closed box":   {box.Closed{Vb: 0.02, QA: 1e12, FQ: 60}, box.Closed{Vb: 0.02}, 1e-9},
	} {
		x, y := at(c.a, f), at(c.b, f)
		for what, pair := range map[string][2]complex128{
			"pressure": {x.Pressure, y.Pressure}, "travel": {x.Travel, y.Travel}, "impedance": {x.Impedance, y.Impedance},
		} {
			if d := cmplx.Abs(pair[0]-pair[1]) / cmplx.Abs(pair[1]); !(d < c.tolerance) {
				t.Errorf("%s: %s off by %g", name, what, d)
			}
		}
	}
	// Far below tuning the vent undoes the cone: 24 dB per octave, exactly.
	lossless := box.System{Driver: woofer, Enclosure: box.Vented{Vb: 0.025, Fb: 39}}
	if slope := lossless.Gain(0.02) - lossless.Gain(0.01); math.Abs(slope-80*math.Log10(2)) > 1e-3 {
		t.Errorf("slope %.4f dB per octave", slope)
	}
}

func TestMaxVoltage(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	l := box.Limits{Travel: woofer.Xmax, AirSpeed: 17, Heat: woofer.Power}
	seen := map[box.Limit]bool{}
	var hz []float64
	for f := 15.0; f < 1000; f *= 1.02 {
		hz = append(hz, f)
		v, what := s.MaxVoltage(units.Frequency(f), l)
		seen[what] = true
		p := s.At(units.Frequency(f)).Times(v)
		i := cmplx.Abs(p.Current)
		used := map[box.Limit]float64{
			box.Cone: cmplx.Abs(p.Travel) / float64(l.Travel), box.Vent: cmplx.Abs(p.AirSpeed) / float64(l.AirSpeed),
			box.Heat: i * i * float64(s.Driver.Re) / float64(l.Heat),
		}
		for k, x := range used {
			if x > 1+1e-12 || k == what && x < 1-1e-12 {
				t.Errorf("%.1f Hz: at the limit of the %s, the %s is used to %g", f, what, k, x)
			}
		}
	}
	if !seen[box.Cone] || !seen[box.Vent] || !seen[box.Heat] {
		t.Errorf("only %v ever gives first", seen)
	}
	v, at, what := s.MaxVoltageAbove(40, hz, l)
	if w, _ := s.MaxVoltage(at, l); at < 40 || w != v || what != box.Cone {
		t.Errorf("above 40 Hz: %v at %v by %v", v, at, what)
	}
	if v, what := s.MaxVoltage(50, box.Limits{}); !math.IsInf(float64(v), 1) || what != box.None {
		t.Errorf("without limits: %v, %v", v, what)
	}
}

func TestPointTimesIsLinear(t *testing.T) {
	p := box.System{Driver: woofer, Enclosure: vented}.At(45)
	q := p.Times(2.83)
	if got := float64(q.Level() - p.Level()); math.Abs(got-20*math.Log10(2.83)) > 1e-9 {
		t.Errorf("level rose by %g dB", got)
	}
	if q.Impedance != p.Impedance {
		t.Error("impedance changed with the voltage")
	}
}

// foreign is an enclosure that tells only its flow.
type foreign struct{}

func (foreign) Flow(complex128, air.Air) box.Flow { return box.Flow{Net: 1} }
func (foreign) Openings() box.Openings            { return box.Openings{} }
func (foreign) Check() error                      { return nil }

func TestRefusals(t *testing.T) {
	nan := units.Volume(math.NaN())
	for field, s := range map[string]box.System{
		"box: enclosure":              {Driver: woofer},
		"box: volume":                 {Driver: woofer, Enclosure: box.Closed{Vb: nan}},
		"box: frequency of QL and QA": {Driver: woofer, Enclosure: box.Closed{Vb: 0.02, QL: 7}},
		"box: tuning":                 {Driver: woofer, Enclosure: box.Vented{Vb: 0.02}},
		"box: QP":                     {Driver: woofer, Enclosure: box.Vented{Vb: 0.02, Fb: 40, QP: -1}},
		"ts: Re":                      {Enclosure: vented},
	} {
		var re *units.RangeError
		if err := s.Check(); !errors.As(err, &re) || re.Field != field {
			t.Errorf("%s: error %v", field, err)
		}
		if _, err := s.F3(); err == nil {
			t.Errorf("%s: F3 gives no error", field)
		}
	}
	s := box.System{Driver: woofer, Enclosure: foreign{}}
	if _, err := s.Functions(); err == nil {
		t.Error("functions of an enclosure of another package: no error")
	}
	if _, err := s.Cutoff(-3); err == nil {
		t.Error("negative cut-off: no error")
	}
	if _, err := box.ClosedFor(woofer, 0.3, air.Standard()); err == nil {
		t.Error("Qtc below Qts: no error")
	}
	if _, err := (box.Closed{Vb: 0.02, QL: 7, FQ: 60}).Alignment(woofer, air.Standard()); err == nil {
		t.Error("alignment of a leaking box: no error")
	}
}

// A closed box with absorption is still of second order.
func TestAlignmentWithAbsorption(t *testing.T) {
	c := box.Closed{Vb: 0.02, QA: 6, FQ: 60}
	al, err := c.Alignment(woofer, air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	fns, err := box.System{Driver: woofer, Enclosure: c}.Functions()
	if err != nil {
		t.Fatal(err)
	}
	g, err := al.Func()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []float64{20, 60, 200} {
		if d := cmplx.Abs(g.AtHz(f)/fns.G.AtHz(f) - 1); !(d < 1e-12) {
			t.Errorf("%g Hz: off by %g", f, d)
		}
	}
}

func TestSweepAllocatesNothing(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	hz := []float64{20, 40, 80, 160}
	dst := make([]box.Point, len(hz))
	if n := testing.AllocsPerRun(100, func() { s.Sweep(dst, hz) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
	for i, f := range hz {
		if dst[i] != s.At(units.Frequency(f)) {
			t.Errorf("sweep differs from At at %g Hz", f)
		}
	}
}
