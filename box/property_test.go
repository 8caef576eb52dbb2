package box_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// randomSystems yields drivers with lossy coils in every kind of enclosure, with
// and without losses, the same in every run.
func randomSystems(seed uint64, test func(s box.System, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 11))
	for range 300 {
		d, u := random(rng)
		d.Coil = ts.Coil{Leb: units.Inductance(u(1e-5, 1e-3))}
		if rng.IntN(2) == 0 {
			d.Coil = ts.Coil{Le: units.Inductance(u(1e-4, 5e-3)), Ke: u(0.005, 0.1), Rss: units.Resistance(u(5, 200)), K: u(1e-3, 0.05), N: u(0.4, 1)}
		}
		some := func() float64 {
			if rng.IntN(3) == 0 {
				return 0
			}
			return u(2, 200)
		}
		s := box.System{Driver: d, Air: air.Air{Density: units.Density(u(0.8, 1.4)), SpeedOfSound: units.Velocity(u(320, 360))}}
		vb := d.Vas(s.Air) / units.Volume(u(0.05, 20))
		vented := func() box.Vented {
			return box.Vented{
				Vb: vb * units.Volume(u(0.5, 2)), Fb: d.Fs() * units.Frequency(u(0.3, 3)),
				QL: some(), QA: some(), QP: some(), Area: units.Area(u(1e-4, 0.05)),
			}
		}
		passive := box.PassiveCone{
			Sd: d.Sd * units.Area(u(0.5, 2)), Mms: units.Mass(u(0.05, 0.5)), Cms: units.Compliance(u(1e-4, 3e-3)),
			Added: units.Mass(u(1e-3, 0.2)), Count: rng.IntN(3),
		}
		if q := some(); q > 0 {
			passive.Rms = units.MechanicalResistance(math.Sqrt(float64(passive.Mms+passive.Added)/float64(passive.Cms)) / min(q, 80))
		}
		for _, s.Enclosure = range []box.Enclosure{
			box.InfiniteBaffle{},
			box.Closed{Vb: vb, QL: some(), QA: some(), FQ: d.Fs() * units.Frequency(u(1, 4))},
			vented(),
			box.PassiveRadiator{Vb: vb, QL: some(), QA: some(), Radiator: passive},
			box.Bandpass4{Rear: box.Closed{Vb: vb, QL: some(), QA: some(), FQ: d.Fs() * units.Frequency(u(1, 4))}, Front: vented()},
			box.Bandpass6{Rear: vented(), Front: vented()},
			box.Bandpass6Series{Rear: vented(), Front: vented()},
		} {
			test(s, u)
		}
	}
}

// From far below to far above, every figure is finite and no system gives power.
func TestAlwaysFiniteAndPassive(t *testing.T) {
	randomSystems(1, func(s box.System, u func(lo, hi float64) float64) {
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		for x := 1e-3; x < 2e4; x *= 7 * u(0.9, 1.1) {
			f := x * float64(s.Driver.Fs())
			p := s.At(units.Frequency(f))
			for what, v := range map[string]complex128{
				"pressure": p.Pressure, "travel": p.Travel, "air speed": p.AirSpeed, "rear air speed": p.RearSpeed,
				"radiator": p.Radiator, "current": p.Current, "impedance": p.Impedance,
			} {
				if cmplx.IsNaN(v) || cmplx.IsInf(v) {
					t.Errorf("%+v at %g Hz: %s %v", s, f, what, v)
				}
			}
			// The coil's resistance is in series with whatever else there is.
			if !(real(p.Impedance) >= float64(s.Driver.Re)*(1-1e-12)) {
				t.Errorf("%+v at %g Hz: impedance %v", s, f, p.Impedance)
			}
			flow := s.Enclosure.Flow(complex(0, 2*math.Pi*f), s.Air)
			if !(real(flow.Za) >= 0) {
				t.Errorf("%+v at %g Hz: Za %v", s.Enclosure, f, flow.Za)
			}
		}
	})
}

// No air is lost: what goes out is what the cone, the vent and the leak push out.
func TestFlowsAddUp(t *testing.T) {
	randomSystems(7, func(s box.System, u func(lo, hi float64) float64) {
		f := float64(s.Driver.Fs()) * u(0.01, 100)
		flow := s.Enclosure.Flow(complex(0, 2*math.Pi*f), s.Air)
		var vb units.Volume
		var at units.Frequency
		var ql float64
		switch b := s.Enclosure.(type) {
		case box.Closed:
			vb, at, ql = b.Vb, b.FQ, b.QL
		case box.Vented:
			vb, at, ql = b.Vb, b.Fb, b.QL
		default: // by their elements: TestAgainstElements
			return
		}
		leak := complex(0, 0)
		if ql > 0 {
			ral := ql * float64(s.Air.BulkModulus()) / (2 * math.Pi * float64(at) * float64(vb))
			leak = -flow.Za / complex(ral, 0) // the pressure inside is low as the cone moves out
		}
		if sum := 1 + flow.Vent + leak; !(cmplx.Abs(flow.Net-sum) <= 1e-12*(1+cmplx.Abs(flow.Vent)+cmplx.Abs(leak))) {
			t.Errorf("%+v at %g Hz: net flow %v, the parts add up to %v", s.Enclosure, f, flow.Net, sum)
		}
	})
}

// k times the impedance, by the coil alone: the same at √k times the voltage.
func TestImpedanceScaling(t *testing.T) {
	randomSystems(2, func(s box.System, u func(lo, hi float64) float64) {
		k := u(0.1, 10)
		e := s
		e.Driver.Re *= units.Resistance(k)
		e.Driver.Bl *= units.ForceFactor(math.Sqrt(k))
		c := &e.Driver.Coil
		c.Leb, c.Le, c.Ke, c.Rss, c.K = c.Leb*units.Inductance(k), c.Le*units.Inductance(k), c.Ke*k, c.Rss*units.Resistance(k), c.K*k
		f := s.Driver.Fs() * units.Frequency(u(0.05, 50))
		sameState(t, s, s.At(f), e.At(f).Times(units.Voltage(math.Sqrt(k))), 1, 1, 1/math.Sqrt(k), k, 1e-10)
	})
}

// Every mass, compliance, inductance and volume divided by k: the same at k times
// the frequency, with the cone as fast, the travel 1/k and the pressure k times.
func TestFrequencyScaling(t *testing.T) {
	randomSystems(3, func(s box.System, u func(lo, hi float64) float64) {
		k := u(0.1, 10)
		e := s
		d := &e.Driver
		d.Mms /= units.Mass(k)
		d.Cms /= units.Compliance(k)
		c := &d.Coil
		c.Leb, c.Le, c.Ke, c.K = c.Leb/units.Inductance(k), c.Le/units.Inductance(k), c.Ke/math.Sqrt(k), c.K/math.Pow(k, c.N)
		closed := func(b box.Closed) box.Closed {
			b.Vb /= units.Volume(k)
			b.FQ *= units.Frequency(k)
			return b
		}
		vented := func(b box.Vented) box.Vented {
			b.Vb /= units.Volume(k)
			b.Fb *= units.Frequency(k)
			return b
		}
		switch b := s.Enclosure.(type) {
		case box.Closed:
			e.Enclosure = closed(b)
		case box.Vented:
			e.Enclosure = vented(b)
		case box.PassiveRadiator:
			b.Vb /= units.Volume(k)
			b.Radiator.Mms /= units.Mass(k)
			b.Radiator.Added /= units.Mass(k)
			b.Radiator.Cms /= units.Compliance(k)
			e.Enclosure = b
		case box.Bandpass4:
			e.Enclosure = box.Bandpass4{Rear: closed(b.Rear), Front: vented(b.Front)}
		case box.Bandpass6:
			e.Enclosure = box.Bandpass6{Rear: vented(b.Rear), Front: vented(b.Front)}
		case box.Bandpass6Series:
			e.Enclosure = box.Bandpass6Series{Rear: vented(b.Rear), Front: vented(b.Front)}
		}
		f := s.Driver.Fs() * units.Frequency(u(0.05, 50))
		sameState(t, s, s.At(f), e.At(f*units.Frequency(k)), k, 1/k, 1, 1, 1e-10)
	})
}

// sameState compares q with p, whose figures are to grow by the given factors, to a
// relative tolerance.
func sameState(t *testing.T, s box.System, p, q box.Point, pressure, travel, current, impedance, tolerance float64) {
	t.Helper()
	for what, c := range map[string]struct {
		p, q  complex128
		times float64
	}{
		"pressure": {p.Pressure, q.Pressure, pressure}, "travel": {p.Travel, q.Travel, travel},
		"air speed": {p.AirSpeed, q.AirSpeed, 1}, "rear air speed": {p.RearSpeed, q.RearSpeed, 1},
		"radiator": {p.Radiator, q.Radiator, travel}, "current": {p.Current, q.Current, current}, "impedance": {p.Impedance, q.Impedance, impedance},
	} {
		want := c.p * complex(c.times, 0)
		if !(cmplx.Abs(c.q-want) <= tolerance*cmplx.Abs(want)) {
			t.Errorf("%+v at %g Hz: %s %v, want %v", s, p.Hz, what, c.q, want)
		}
	}
}

// A larger closed box tunes lower and damps more; the box for a Q has that Q, and
// the cut-off of the closed form is that of the circuit.
func TestClosedBoxes(t *testing.T) {
	randomSystems(4, func(s box.System, u func(lo, hi float64) float64) {
		c, ok := s.Enclosure.(box.Closed)
		if !ok {
			return
		}
		s.Driver.Coil, c.QL = ts.Coil{}, 0
		s.Enclosure = c
		small, err := c.Alignment(s.Driver, s.Air)
		if err != nil {
			t.Fatal(err)
		}
		c.Vb *= units.Volume(u(1.01, 3))
		c.QA = 0
		large, err := c.Alignment(s.Driver, s.Air)
		if err != nil {
			t.Fatal(err)
		}
		if !(large.Fc < small.Fc) || !(large.Fc > s.Driver.Fs()) || !(large.Qtc > s.Driver.Qts()) {
			t.Errorf("%+v: %+v in %v, %+v in %v", s.Driver, small, s.Enclosure, large, c)
		}
		again, err := box.ClosedFor(s.Driver, large.Qtc, s.Air)
		// The difference of squares that gives Vb loses digits where it is small.
		loss := 1e-14 * float64(s.Driver.Vas(s.Air)/c.Vb+1) * float64(1+c.Vb/s.Driver.Vas(s.Air))
		if !(math.Abs(float64(again.Vb/c.Vb)-1) <= loss) || err != nil {
			t.Errorf("box for Q %g: %v, want %v (%v)", large.Qtc, again.Vb, c.Vb, err)
		}
		// Below a Q of 0.2 the cut-off may lie where the search no longer looks.
		if small.Qtc < 0.2 || small.Qtc > 3 {
			return
		}
		f3, err := s.F3()
		if want := small.F3(); !(math.Abs(float64(f3/want)-1) <= 1e-9) || err != nil {
			t.Errorf("%+v: f3 %v, closed form %v (%v)", s, f3, want, err)
		}
	})
}

// Where a cut-off is given, the response has fallen by just so much there, and a
// deeper one lies lower.
func TestCutoffs(t *testing.T) {
	systems, found := 0, 0
	randomSystems(5, func(s box.System, u func(lo, hi float64) float64) {
		if systems++; systems%5 != 0 { // each takes thousands of points
			return
		}
		last := units.Frequency(math.Inf(1))
		for _, db := range []float64{1, 3, 6, 10} {
			f, err := s.Cutoff(db)
			if err != nil {
				continue // never so low, or never so high
			}
			found++
			if got := s.Gain(f); !(math.Abs(got+db) <= 1e-8) || !(f <= last) {
				t.Errorf("%+v: −%g dB at %v after %v, where the gain is %g dB", s, db, f, last, got)
			}
			last = f
		}
	})
	if found < 200 {
		t.Errorf("only %d cut-offs", found)
	}
}

// A vent without losses stops the cone at its tuning: the load is infinite there,
// and everything else what it is beside it.
func TestLosslessTuning(t *testing.T) {
	randomSystems(6, func(s box.System, u func(lo, hi float64) float64) {
		v, ok := s.Enclosure.(box.Vented)
		if !ok {
			return
		}
		v.QL, v.QA, v.QP = 0, 0, 0
		s.Enclosure = v
		at, beside := s.At(v.Fb), s.At(v.Fb*(1+1e-12))
		if !(cmplx.Abs(at.Travel) < 1e-9*math.Sqrt2*float64(s.Driver.Bl)*float64(s.Driver.Cms)/float64(s.Driver.Re)) {
			t.Errorf("%+v: travel %v at the tuning", s, at.Travel)
		}
		at.Travel = beside.Travel
		sameState(t, s, beside, at, 1, 1, 1, 1, 1e-6)
		if gain, delay := s.Gain(v.Fb), s.GroupDelay(v.Fb); math.IsNaN(gain+float64(delay)) || math.IsInf(gain+float64(delay), 0) {
			t.Errorf("%+v: gain %g dB, delay %v at the tuning", s, gain, delay)
		}
		free := box.System{Driver: s.Driver, Enclosure: box.InfiniteBaffle{}, Air: s.Air}.At(v.Fb)
		z, effect := s.InBox(v.Fb, free.Impedance)
		if d := cmplx.Abs(z/at.Impedance - 1); !(d < 1e-9) {
			t.Errorf("%+v: impedance in the box %v, want %v", s, z, at.Impedance)
		}
		if d := cmplx.Abs(free.Pressure*effect/at.Pressure - 1); !(d < 1e-9) {
			t.Errorf("%+v: pressure in the box %v, want %v", s, free.Pressure*effect, at.Pressure)
		}
	})
}
