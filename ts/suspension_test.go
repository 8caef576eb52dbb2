package ts_test

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// six reads the driver of a row.
func six(t *testing.T, r golden.Row) ts.Driver {
	t.Helper()
	d := ts.Driver{
		Re: units.Resistance(r.Num(t, "Re", "ohm")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
		Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Cms: units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton,
		Rms: units.MechanicalResistance(r.Num(t, "Rms", "kg/s")), Sd: units.Area(r.Num(t, "Sd", "cm2")) * units.SquareCentimetre,
	}
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	return d
}

// creeping returns a driver whose losses at fs are all creep, and the compliance C0.
func creeping(lambda float64) (ts.Driver, float64) {
	d := woofer
	d.Creep = lambda
	b := lambda * math.Pi / 2 / math.Ln10
	d.Rms = units.MechanicalResistance(b * 2 * math.Pi * float64(d.Fs()) * float64(d.Mms))
	return d, float64(d.Cms) / (1 + b*b)
}

func TestSuspensionRows(t *testing.T) {
	golden.Run(t, "testdata/suspension.csv", func(t *testing.T, r golden.Row) {
		if r.Has("lambda") {
			d, c0 := creeping(r.Num(t, "lambda", "1"))
			if err := d.Check(); err != nil {
				t.Fatal(err)
			}
			if r.Calculation == "largest Qms with creep" {
				r.Check(t, d.Qms())
				return
			}
			s := complex(0, 2*math.Pi*float64(d.Fs())*r.Num(t, "f/f0", "1"))
			c := 1 / (s * d.Suspension(s)) / complex(c0, 0)
			switch r.Calculation {
			case "compliance under creep":
				r.Check(t, real(c))
			case "loss factor of creep":
				r.Check(t, -imag(c)/real(c))
			default:
				r.Unknown(t)
			}
			return
		}
		d, a := six(t, r), air.Standard()
		soft := d.BrokenIn(r.Num(t, "ratio", "1"))
		change := func(figure func(ts.Driver) float64) { r.Check(t, 100*(figure(soft)/figure(d)-1)) }
		switch r.Calculation {
		case "change of fs with compliance":
			change(func(d ts.Driver) float64 { return float64(d.Fs()) })
		case "change of Qms with compliance":
			change(ts.Driver.Qms)
		case "change of Qes with compliance":
			change(ts.Driver.Qes)
		case "change of Qts with compliance":
			change(ts.Driver.Qts)
		case "change of Vas with compliance":
			change(func(d ts.Driver) float64 { return float64(d.Vas(a)) })
		case "change of eta0 with compliance":
			change(func(d ts.Driver) float64 { return float64(d.Eta0(a)) })
		case "change of fc with compliance":
			closed := box.Closed{Vb: d.Vas(a) / units.Volume(r.Num(t, "alpha", "1"))}
			change(func(d ts.Driver) float64 {
				al, err := closed.Alignment(d, a)
				if err != nil {
					t.Fatal(err)
				}
				return float64(al.Fc)
			})
		case "largest change of response with compliance":
			var e box.Enclosure
			if r.Has("alpha") {
				e = box.Closed{Vb: d.Vas(a) / units.Volume(r.Num(t, "alpha", "1"))}
			} else {
				e = box.Vented{
					Vb: units.Volume(r.Num(t, "Vb", "L")) * units.Litre, Fb: units.Frequency(r.Num(t, "fb", "Hz")), QL: r.Num(t, "QL", "1"),
				}
			}
			r.Check(t, largestChange(d, soft, e, r.Num(t, "from", "Hz")))
		default:
			r.Unknown(t)
		}
	})
}

// largestChange compares two drivers in a box at 80 points per decade to 200 Hz, in dB.
func largestChange(d, e ts.Driver, in box.Enclosure, from float64) float64 {
	most := 0.0
	for k := range 81 {
		f := units.Frequency(20 * math.Pow(10, float64(k)/80))
		if float64(f) < from {
			continue
		}
		was, is := box.System{Driver: d, Enclosure: in}.At(f).Level(), box.System{Driver: e, Enclosure: in}.At(f).Level()
		most = max(most, math.Abs(float64(is-was)))
	}
	return most
}

// What the comment of BrokenIn says.
func TestBoxHardlyHearsBreakIn(t *testing.T) {
	d := ts.Driver{Re: 5.8, Bl: 6.7, Mms: 14.2e-3, Cms: 1.25e-3, Rms: 0.72, Sd: 136e-4}
	vas := d.Vas(air.Air{})
	for _, c := range []struct {
		in    box.Enclosure
		bound float64
	}{
		{box.Vented{Vb: 22 * units.Litre, Fb: 38, QL: 7}, 0.40},
		{box.Closed{Vb: vas / 3}, 0.49},
		{box.Closed{Vb: vas}, 0.75},
	} {
		if got := largestChange(d, d.BrokenIn(1.3), c.in, 20); !(got <= c.bound && got > c.bound-0.02) {
			t.Errorf("%+v: %.3f dB, said to be %.2f", c.in, got, c.bound)
		}
	}
}

// Creep by real arithmetic on the imaginary axis: a spring of 1/Cms and a loss of Rms
// at fs, a compliance that falls by λ of its middle each decade, and a phase that is a
// quarter turn of that slope.
func TestCreepOnTheAxis(t *testing.T) {
	d := woofer
	d.Creep = 0.09
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	ws := 2 * math.Pi * float64(d.Fs())
	at := d.Suspension(complex(0, ws))
	near(t, "loss at fs", real(at), float64(d.Rms), 1e-13)
	near(t, "stiffness at fs", -imag(at)*ws, 1/float64(d.Cms), 1e-13)
	// The whole mechanical impedance is real at fs, so the impedance peaks there.
	whole := at + complex(0, ws*float64(d.Mms))
	near(t, "at fs", cmplx.Abs(whole), float64(d.Rms), 1e-12)
	near(t, "terminals", real(d.Impedance(complex(0, ws))), float64(d.Zmax()), 1e-12)

	b := d.Creep * math.Pi / 2 / math.Ln10
	c0 := float64(d.Cms) / (1 + b*b)
	friction := float64(d.Rms) - b/(ws*float64(d.Cms))
	for f := 0.5; f < 5000; f *= 1.7 {
		w := 2 * math.Pi * f
		c, lossy := c0*(1-d.Creep*math.Log10(w/ws)), c0*b // C = c − j lossy
		z := d.Suspension(complex(0, w))
		near(t, "loss", real(z), friction+lossy/(w*(c*c+lossy*lossy)), 1e-12)
		near(t, "spring", imag(z), -c/(w*(c*c+lossy*lossy)), 1e-12)
		if !(real(z) > 0) {
			t.Errorf("%.4g Hz: the suspension drives with %g kg/s", f, real(z))
		}
		if back := d.Suspension(complex(0, -w)); !(cmplx.Abs(back-cmplx.Conj(z)) <= 1e-12*cmplx.Abs(z)) {
			t.Errorf("%.4g Hz: %v, at the negative frequency %v", f, z, back)
		}
	}
}

// Zero creep is a plain spring, and a little creep is near it.
func TestNoCreepIsASpring(t *testing.T) {
	randomDrivers(5, func(d ts.Driver, u func(lo, hi float64) float64) {
		s := complex(0, u(1, 1e5))
		plain := d.Suspension(s)
		want := complex(float64(d.Rms), 0) + 1/(s*complex(float64(d.Cms), 0))
		if !(cmplx.Abs(plain-want) <= 1e-14*cmplx.Abs(want)) {
			t.Errorf("%+v: %v, want %v", d, plain, want)
		}
		d.Creep = 1e-9
		if got := d.Suspension(s); !(cmplx.Abs(got-plain) <= 1e-6*cmplx.Abs(plain)) {
			t.Errorf("%+v: %v, want %v", d, got, plain)
		}
	})
}

// A mass on the cone does not touch the suspension: whatever it takes to say so with
// creep about another fs.
func TestAddedMassKeepsTheSuspension(t *testing.T) {
	d := woofer
	d.Creep = 0.1
	for _, m := range []units.Mass{1e-3, 20e-3, 500e-3, -15e-3} {
		e := d.AddMass(m)
		if err := e.Check(); err != nil {
			t.Fatal(err)
		}
		near(t, "mass", float64(e.Mms), float64(d.Mms+m), 1e-15)
		for f := 1.0; f < 3000; f *= 3 {
			s := complex(0, 2*math.Pi*f)
			if got, want := e.Suspension(s), d.Suspension(s); !(cmplx.Abs(got-want) <= 1e-11*cmplx.Abs(want)) {
				t.Errorf("%v at %.4g Hz: %v, want %v", m, f, got, want)
			}
		}
		if softer := e.Cms > d.Cms; softer != (m > 0) {
			t.Errorf("%v: compliance %v after %v", m, e.Cms, d.Cms)
		}
	}
	plain := woofer.AddMass(0.01)
	if plain.Cms != woofer.Cms || plain.Rms != woofer.Rms {
		t.Error("a mass changed a suspension without creep")
	}
}

// The box solves what the free driver has, with its creep and coil.
func TestBoxCreeps(t *testing.T) {
	d := woofer
	d.Creep, d.Coil = 0.09, ts.Coil{Leb: 2e-4, Le: 2e-3, Ke: 0.07, Rss: 90}
	in := box.System{Driver: d, Enclosure: box.InfiniteBaffle{}}
	if err := in.Check(); err != nil {
		t.Fatal(err)
	}
	for f := 5.0; f < 20000; f *= 1.6 {
		got, want := in.At(units.Frequency(f)).Impedance, d.Impedance(complex(0, 2*math.Pi*f))
		if !(cmplx.Abs(got-want) <= 1e-12*cmplx.Abs(want)) {
			t.Errorf("%.4g Hz: %v in the baffle, %v free", f, got, want)
		}
	}
}

func TestTooMuchCreep(t *testing.T) {
	d, _ := creeping(0.1)
	for creep, want := range map[float64]string{
		-0.1: "ts: creep", 0.31: "ts: creep", math.NaN(): "ts: creep", 0.1001: "must be at most 0.1:",
	} {
		d.Creep = creep
		if err := d.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("creep %g: error %v", creep, err)
		}
	}
	s := woofer.Sheet(air.Air{})
	s.Creep = 0.09
	if got := driver(t, s, air.Standard()); got.Creep != 0.09 {
		t.Errorf("creep %g from the sheet", got.Creep)
	}
}

// What a suspension cannot change: mass, motor and area alone set these.
func TestBreakInInvariants(t *testing.T) {
	randomDrivers(6, func(d ts.Driver, u func(lo, hi float64) float64) {
		ratio := u(0.5, 2)
		e := d.BrokenIn(ratio)
		a := air.Standard()
		near(t, "fs/Qts", float64(e.Fs())/e.Qts(), float64(d.Fs())/d.Qts(), 1e-12)
		near(t, "fs² Vas", sq(float64(e.Fs()))*float64(e.Vas(a)), sq(float64(d.Fs()))*float64(d.Vas(a)), 1e-12)
		near(t, "eta0", float64(e.Eta0(a)), float64(d.Eta0(a)), 1e-12)
		near(t, "fs", float64(e.Fs())*math.Sqrt(ratio), float64(d.Fs()), 1e-12)
		// And back again, by the stiffness at low frequency.
		s := complex(0, 1e-3*2*math.Pi*float64(d.Fs()))
		near(t, "stiffness", imag(d.Suspension(s))/imag(e.Suspension(s)), ratio, 1e-12)
	})
}
