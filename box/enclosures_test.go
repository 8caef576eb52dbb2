package box_test

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

var (
	cone       = box.PassiveCone{Sd: 0.022, Mms: 0.045, Cms: 1.5e-3, Rms: 0.9, Added: 0.02}
	front      = box.Vented{Vb: 0.012, Fb: 70, QL: 12, QA: 60, QP: 40, Area: 0.006}
	enclosures = map[string]box.Enclosure{
		"passive radiator": box.PassiveRadiator{Vb: 0.025, QL: 9, QA: 50, Radiator: cone},
		"fourth order":     box.Bandpass4{Rear: box.Closed{Vb: 0.02, QL: 10, QA: 5, FQ: 60}, Front: front},
		"sixth, parallel":  box.Bandpass6{Rear: vented, Front: front},
		"sixth, series":    box.Bandpass6Series{Rear: vented, Front: front},
	}
)

// Enclosures become others in their limits.
func TestEnclosuresInTheirLimits(t *testing.T) {
	// A cone on a suspension so soft that only its mass counts is a vent.
	soft := cone
	soft.Cms, soft.Rms = 1e6, 0
	fb := box.PassiveRadiator{Vb: 0.025, Radiator: soft}.Fb(air.Standard())
	two := cone
	two.Count = 2
	// Twice the area, four times all of the mechanics per area is the same as two.
	one := box.PassiveCone{Sd: 2 * cone.Sd, Mms: 2 * cone.Mms, Cms: cone.Cms / 2, Rms: 2 * cone.Rms, Added: 2 * cone.Added}
	shut := front
	shut.Fb = 1e-5
	shut.QL, shut.QA, shut.QP = 0, 0, 0
	for name, c := range map[string]struct{ a, b box.Enclosure }{
		"soft radiator is a vent":       {box.PassiveRadiator{Vb: 0.025, QL: 7, QA: 40, Radiator: soft}, box.Vented{Vb: 0.025, Fb: fb, QL: 7, QA: 40}},
		"heavy radiator is none":        {box.PassiveRadiator{Vb: 0.025, Radiator: box.PassiveCone{Sd: 0.02, Mms: 1e12, Cms: 1e-3}}, box.Closed{Vb: 0.025}},
		"two radiators are one of both": {box.PassiveRadiator{Vb: 0.025, Radiator: two}, box.PassiveRadiator{Vb: 0.025, Radiator: one}},
		"parallel without rear vent": {
			box.Bandpass6{Rear: box.Vented{Vb: 0.02, Fb: 1e-5}, Front: front}, box.Bandpass4{Rear: box.Closed{Vb: 0.02}, Front: front},
		},
		"series without rear vent": {
			box.Bandpass6Series{Rear: box.Vented{Vb: 0.02, Fb: 1e-5}, Front: front}, box.Bandpass4{Rear: box.Closed{Vb: 0.02}, Front: front},
		},
		"series with an open front": {box.Bandpass6Series{Rear: vented, Front: box.Vented{Vb: 1e-9, Fb: 1e9}}, vented},
	} {
		for _, f := range []units.Frequency{25, 50, 90} {
			x := box.System{Driver: woofer, Enclosure: c.a}.At(f)
			y := box.System{Driver: woofer, Enclosure: c.b}.At(f)
			for what, pair := range map[string][2]complex128{
				"pressure": {x.Pressure, y.Pressure}, "travel": {x.Travel, y.Travel}, "impedance": {x.Impedance, y.Impedance},
			} {
				if d := cmplx.Abs(pair[0]-pair[1]) / cmplx.Abs(pair[1]); !(d < 1e-6) {
					t.Errorf("%s: %s at %v off by %g", name, what, f, d)
				}
			}
		}
	}
}

// With lossless chambers the cone stops at the tuning of the front one, and no
// figure is infinite.
func TestLosslessBandpassTuning(t *testing.T) {
	v := box.Vented{Vb: 0.012, Fb: 70, Area: 0.006}
	for _, e := range []box.Enclosure{
		box.Bandpass4{Rear: box.Closed{Vb: 0.02}, Front: v},
		box.Bandpass6{Rear: box.Vented{Vb: 0.03, Fb: 35, Area: 0.004}, Front: v},
	} {
		s := box.System{Driver: woofer, Enclosure: e}
		at, beside := s.At(70), s.At(70*(1+1e-12))
		if !(cmplx.Abs(at.Travel) < 1e-12) || !(cmplx.Abs(at.RearSpeed) < 1e-12) {
			t.Errorf("%+v: travel %v at the tuning, rear air speed %v", e, at.Travel, at.RearSpeed)
		}
		at.Travel, at.RearSpeed = beside.Travel, beside.RearSpeed
		sameState(t, s, beside, at, 1, 1, 1, 1, 1e-6)
	}
	// Both chambers alike: silence, with a cone that moves.
	s := box.System{Driver: woofer, Enclosure: box.Bandpass6{Rear: v, Front: box.Vented{Vb: 0.05, Fb: 70}}}
	for _, f := range []units.Frequency{30, 70, 90} {
		if p := s.At(f); p.Pressure != 0 || cmplx.IsNaN(p.Travel) {
			t.Errorf("at %v: %v", f, p)
		}
	}
	fns, err := s.Functions()
	if err != nil {
		t.Fatal(err)
	}
	if g := fns.G.AtHz(50); g != 0 {
		t.Errorf("G is %v", g)
	}
}

func TestPassiveCones(t *testing.T) {
	a := air.Standard()
	// A sheet's figures come back, whichever are given.
	full := ts.Sheet{Fs: cone.Fp(), Qms: cone.Qmp(), Vas: cone.Vap(a), Sd: cone.Sd, Xmax: 0.012}
	heavy := cone
	heavy.Mms, heavy.Added = cone.Mms+cone.Added, 0
	for name, s := range map[string]ts.Sheet{
		"fs, Qms, Vas, Sd":   full,
		"fs, Rms, Cms, Sd":   {Fs: full.Fs, Rms: cone.Rms, Cms: cone.Cms, Sd: cone.Sd, Xmax: 0.012},
		"Mms, Cms, Qms, Sd":  {Mms: heavy.Mms, Cms: cone.Cms, Qms: full.Qms, Sd: cone.Sd, Xmax: 0.012},
		"bare mass, Cms":     {Mmd: heavy.Mms - ts.AirMass(cone.Sd, a), Cms: cone.Cms, Qms: full.Qms, Sd: cone.Sd, Xmax: 0.012},
		"figures of a motor": {Fs: full.Fs, Qms: full.Qms, Vas: full.Vas, Sd: full.Sd, Bl: 10, Re: 6, Qes: 0.3, Xmax: 0.012},
	} {
		got, err := box.PassiveConeOf(s, a)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for what, pair := range map[string][2]float64{
			"mass": {float64(got.Mms), float64(heavy.Mms)}, "Cms": {float64(got.Cms), float64(heavy.Cms)},
			"Rms": {float64(got.Rms), float64(heavy.Rms)}, "Sd": {float64(got.Sd), float64(heavy.Sd)}, "Xmax": {float64(got.Xmax), 0.012},
		} {
			if !(math.Abs(pair[0]/pair[1]-1) < 1e-12) {
				t.Errorf("%s: %s %v, want %v", name, what, pair[0], pair[1])
			}
		}
	}
	// The weight that tunes the box tunes it, and the cone is at its slowest there.
	b := box.PassiveRadiator{Vb: 0.03, Radiator: cone}
	m, err := b.AddedFor(32, a)
	if err != nil {
		t.Fatal(err)
	}
	b.Radiator.Added, b.Radiator.Rms = m, 0
	if got := b.Fb(a); !(math.Abs(float64(got)-32) < 1e-12) {
		t.Errorf("tuned to %v", got)
	}
	s := box.System{Driver: woofer, Enclosure: b}
	if at, beside := s.At(32), s.At(33); !(cmplx.Abs(at.Travel) < 1e-6*cmplx.Abs(beside.Travel)) {
		t.Errorf("travel %v at the tuning, %v beside", at.Travel, beside.Travel)
	}
	// Air moves by pressure: radiator and box of one air in another.
	if at := s.At(b.Radiator.Fp()); !(cmplx.Abs(at.Pressure) < 1e-9*s.Reference()) {
		t.Errorf("at the notch %v Pa", at.Pressure)
	}
}

// The efficiency is that of the sheet in the mass-controlled band, less than one
// everywhere, and where it is found by way of the motional resistance.
func TestEfficiency(t *testing.T) {
	randomSystems(12, func(s box.System, u func(lo, hi float64) float64) {
		f := s.Driver.Fs() * units.Frequency(u(0.1, 20))
		got := float64(s.Efficiency(f))
		p := s.At(f)
		pressure, current := cmplx.Abs(p.Pressure), cmplx.Abs(p.Current)
		w := 2 * math.Pi * pressure * pressure / s.Air.Impedance()
		if want := w / (current * current * real(p.Impedance)); !(math.Abs(got-want) <= 1e-11*want) {
			t.Errorf("%+v at %v: %g, want %g", s, f, got, want)
		}
	})
	s := box.System{Driver: woofer, Enclosure: box.InfiniteBaffle{}}
	if got, want := s.Efficiency(1e6*woofer.Fs()), woofer.Eta0(air.Standard()); !(math.Abs(float64(got/want)-1) < 1e-9) {
		t.Errorf("%v, the sheet says %v", got, want)
	}
}

// A resistor and a coil before the terminals, as a network that multiplies, are the
// same as the driver with that much more resistance and inductance in its coil.
func TestNetworkMeetsBoxExactly(t *testing.T) {
	const r, l = 0.8, 0.7e-3
	n := ladder.Network{ladder.Series(ladder.R(r)), ladder.Series(ladder.L(l))}
	randomSystems(13, func(s box.System, u func(lo, hi float64) float64) {
		f := float64(s.Driver.Fs()) * u(0.05, 50)
		p := s.At(units.Frequency(f))
		h, z := make([]complex128, 1), make([]complex128, 1)
		n.Solve(h, z, []float64{f}, []complex128{p.Impedance})
		in := s
		in.Driver.Re += r
		in.Driver.Coil.Leb += l
		want := in.At(units.Frequency(f))
		for what, pair := range map[string][2]complex128{
			"pressure": {h[0] * p.Pressure, want.Pressure}, "travel": {h[0] * p.Travel, want.Travel},
			"current": {h[0] * p.Current, want.Current}, "impedance": {z[0], want.Impedance},
		} {
			if !(cmplx.Abs(pair[0]-pair[1]) <= 1e-12*cmplx.Abs(pair[1])) {
				t.Errorf("%+v at %g Hz: %s %v, want %v", s, f, what, pair[0], pair[1])
			}
		}
		// And a resistor alone the same as the driver seen through it.
		through := s
		through.Driver = s.Driver.WithSource(r)
		ladder.Network{ladder.Series(ladder.R(r))}.Solve(h, z, []float64{f}, []complex128{p.Impedance})
		if got, want := h[0]*p.Pressure, through.At(units.Frequency(f)).Pressure; !(cmplx.Abs(got-want) <= 1e-12*cmplx.Abs(want)) {
			t.Errorf("%+v at %g Hz: pressure %v, want %v", s, f, got, want)
		}
	})
}

func TestFillings(t *testing.T) {
	a := air.Standard()
	if g := box.Polyester(0).Gain(a); g != 1 {
		t.Errorf("no filling gains %g", g)
	}
	// First law, by hand: a relative change of volume dv of air and fibre together.
	// Fibre gives up the heat the air takes: dT ρ cv V = −p V dv − ... solved as the
	// stiffness between isothermal, 1/γ, and adiabatic.
	for _, f := range []box.Filling{box.Polyester(3), box.Polyester(12), box.Glass(20)} {
		p := float64(f.Packing / f.Density)
		cv := 8.314463 / 0.0289655 / 0.4
		cAir := float64(a.Density) * cv * (1 - p)
		cFibre := float64(f.Packing) * f.Heat
		// Heat capacities of the mixture at constant pressure over constant volume.
		gamma := (cAir*1.4 + cFibre) / (cAir + cFibre)
		want := (1 - p) * 1.4 / gamma
		if got := f.Gain(a); !(math.Abs(got-want) <= 1e-12) || !(got > 1 && got < 1.4) {
			t.Errorf("%+v: %g, want %g", f, got, want)
		}
	}
	for field, f := range map[string]box.Filling{
		"box: packing": box.Polyester(1380), "box: density of the fibre": {Packing: 3, Heat: 1000},
		"box: specific heat of the fibre": {Packing: 3, Density: 1000},
	} {
		var re *units.RangeError
		if err := f.Check(); !errors.As(err, &re) || re.Field != field {
			t.Errorf("%s: %v", field, err)
		}
	}
	if err := box.Glass(units.Density(math.NaN())).Check(); err == nil {
		t.Error("packing NaN: no error")
	}
}

func TestEnclosureRefusals(t *testing.T) {
	with := func(change func(*box.PassiveCone)) box.Enclosure {
		c := cone
		change(&c)
		return box.PassiveRadiator{Vb: 0.02, Radiator: c}
	}
	for want, e := range map[string]box.Enclosure{
		"box: volume 0":                             box.PassiveRadiator{Radiator: cone},
		"box: QA -1":                                box.PassiveRadiator{Vb: 0.02, QA: -1, Radiator: cone},
		"box: radiator: Sd 0":                       with(func(c *box.PassiveCone) { c.Sd = 0 }),
		"box: radiator: Cms NaN":                    with(func(c *box.PassiveCone) { c.Cms = units.Compliance(math.NaN()) }),
		"box: radiator: Rms -1":                     with(func(c *box.PassiveCone) { c.Rms = -1 }),
		"box: radiator: added mass -10 g":           with(func(c *box.PassiveCone) { c.Added = -0.01 }),
		"box: radiator: count -2":                   with(func(c *box.PassiveCone) { c.Count = -2 }),
		"box: radiator: moving mass 1 g":            with(func(c *box.PassiveCone) { c.Mms = 1e-3 }),
		"box: rear chamber: volume":                 box.Bandpass4{Front: front},
		"box: front chamber: tuning":                box.Bandpass4{Rear: box.Closed{Vb: 0.02}, Front: box.Vented{Vb: 0.01}},
		"box: rear chamber: frequency of QL and QA": box.Bandpass4{Rear: box.Closed{Vb: 0.02, QA: 5}, Front: front},
		"box: rear chamber: QP -1":                  box.Bandpass6{Rear: box.Vented{Vb: 0.01, Fb: 40, QP: -1}, Front: front},
		"box: front chamber: vent area":             box.Bandpass6Series{Rear: vented, Front: box.Vented{Vb: 0.01, Fb: 40, Area: -1}},
		"box: front chamber: volume":                box.Bandpass6Series{Rear: vented},
	} {
		s := box.System{Driver: woofer, Enclosure: e}
		var re *units.RangeError
		if err := s.Check(); !errors.As(err, &re) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: error %v", want, err)
		}
		if _, err := s.Functions(); err == nil {
			t.Errorf("%s: functions without error", want)
		}
		if _, err := s.UpperCutoff(3); err == nil {
			t.Errorf("%s: upper cut-off without error", want)
		}
	}
	b := box.PassiveRadiator{Vb: 0.03, Radiator: cone}
	for want, f := range map[string]units.Frequency{"must be at most": 200, "must be positive": 0, "tuning NaN": units.Frequency(math.NaN())} {
		if _, err := b.AddedFor(f, air.Standard()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("tuning to %v: error %v", f, err)
		}
	}
	for want, s := range map[string]ts.Sheet{
		"Qms": {Fs: 20, Vas: 0.05, Sd: 0.02}, "moving mass": {Mms: 1e-4, Cms: 1e-3, Qms: 5, Sd: 0.02}, "too few figures": {}, "fs -20 Hz": {Fs: -20},
	} {
		if _, err := box.PassiveConeOf(s, air.Standard()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v", want, err)
		}
	}
	closed := box.System{Driver: woofer, Enclosure: box.Closed{Vb: 0.02}}
	if _, err := closed.UpperCutoff(3); err == nil {
		t.Error("upper cut-off of a box without one: no error")
	}
	if _, err := closed.UpperCutoff(-3); err == nil {
		t.Error("negative upper cut-off: no error")
	}
}

// The edges of a band-pass box mirror each other about fb, and the response has
// fallen there by what was asked.
func TestUpperCutoff(t *testing.T) {
	for _, damping := range []float64{0.4, 0.7, 0.9} {
		s, fb := symmetric(t, 40, 0.35, damping, 0)
		for _, db := range []float64{1, 3, 10} {
			lower, err := s.Cutoff(db)
			if err != nil {
				t.Fatal(err)
			}
			upper, err := s.UpperCutoff(db)
			if err != nil {
				t.Fatal(err)
			}
			if !(math.Abs(float64(lower*upper/(fb*fb))-1) < 1e-9) || !(math.Abs(s.Gain(upper)+db) < 1e-8) {
				t.Errorf("S %g: −%g dB from %v to %v about %v", damping, db, lower, upper, fb)
			}
		}
	}
}

func TestEnclosuresAllocateNothing(t *testing.T) {
	hz := []float64{20, 40, 80, 160}
	dst := make([]box.Point, len(hz))
	for name, e := range enclosures {
		s := box.System{Driver: woofer, Enclosure: e}
		if n := testing.AllocsPerRun(100, func() { s.Sweep(dst, hz) }); n != 0 {
			t.Errorf("%s: %g allocations", name, n)
		}
	}
}
