package coil

import (
	"math"
	"testing"

	"example.com/halfspace/units"
)

// TestBrooksIsBest: with the wire's length kept, the shape may change by a fifth
// for less than one per cent of inductance and never gains more than a hair;
// shapes far from it lose.
func TestBrooksIsBest(t *testing.T) {
	// L² /wire³ at one pitch does not depend on the size: L ∝ size N², wire ∝ size N,
	// N ∝ size².
	merit := func(s Section) float64 {
		n := float64(s.Length) * float64(s.Depth)
		l := float64(must[units.Inductance](t)(s.Inductance(n)))
		wire := 2 * math.Pi * n * float64(s.Mean())
		return l / math.Pow(wire, 5./3)
	}
	best := merit(brooks(1))
	for _, q := range []units.Length{0.8, 0.9, 1.1, 1.2} {
		for _, s := range []Section{{q, 1, 1}, {1, q, 1}, {1, 1, q}} {
			if m := merit(s) / best; !(m < 1.001 && m > 0.99) {
				t.Errorf("%v: %.5f of the inductance", s, m)
			}
		}
	}
	for _, s := range []Section{{3, 1, 1}, {0.2, 1, 1}, {1, 4, 1}, {1, 0.25, 1}} {
		if m := merit(s) / best; !(m < 0.97) {
			t.Errorf("%v: %.5f of the inductance", s, m)
		}
	}
}

// TestBrooks goes back from the coil to its inductance.
func TestBrooks(t *testing.T) {
	for _, w := range []Wire{{Diameter: 1e-3, Pitch: 1.1e-3}, {Diameter: 0.5e-3}} {
		for _, l := range []units.Inductance{50e-6, 1e-3, 20e-3} {
			c := must[Coil](t)(Brooks(l, w))
			s := c.Section
			if s.Inner != s.Length || s.Length != s.Depth {
				t.Errorf("shape %v", s)
			}
			near(t, "turns", c.Turns, float64(s.Length/w.pitch()*(s.Depth/w.pitch())), 1e-12)
			near(t, "inductance", float64(must[units.Inductance](t)(s.Inductance(c.Turns))), float64(l), 1e-12)
			near(t, "wire", float64(c.WireLength()), 3*math.Pi*float64(s.Inner)*c.Turns, 1e-12)
			near(t, "mass", float64(c.Mass()), 8890*float64(c.WireLength())*math.Pi/4*float64(w.Diameter*w.Diameter), 1e-12)
			near(t, "price", c.Price(20), 20*float64(c.Mass()), 1e-15)
			near(t, "across", float64(c.OuterDiameter()), 4*float64(s.Inner), 1e-15)
			near(t, "hot", float64(c.Resistance(units.Celsius(70))/c.Resistance(units.Celsius(20))), 1.1965, 1e-12)
		}
	}
}

// checkWound checks what every wound coil must be: whole turns that no turn more or
// less would serve better, in the section that they fill.
func checkWound(t *testing.T, c Coil, l units.Inductance, perLayer int) {
	t.Helper()
	p := c.Wire.pitch()
	if c.Turns != math.Trunc(c.Turns) || c.Layers != (int(c.Turns)+perLayer-1)/perLayer {
		t.Errorf("%g turns in %d layers of %d", c.Turns, c.Layers, perLayer)
	}
	near(t, "inductance", float64(c.Inductance), float64(must[units.Inductance](t)(c.Section.Inductance(c.Turns))), 1e-15)
	if c.Turns >= float64(perLayer) {
		near(t, "area", float64(c.Section.Length)*float64(c.Section.Depth), c.Turns*float64(p)*float64(p), 1e-12)
		near(t, "length", float64(c.Section.Length), float64(perLayer)*float64(p), 1e-12)
		for _, other := range []float64{-1, 1} {
			s := c.Section
			s.Depth = units.Length(max(1, (c.Turns+other)/float64(perLayer))) * p
			if m, err := s.Inductance(c.Turns + other); err == nil && c.Turns+other >= float64(perLayer) && math.Abs(float64(m-l)) < math.Abs(float64(c.Inductance-l)) {
				t.Errorf("%g turns give %v, but %+g more %v, which is nearer to %v", c.Turns, c.Inductance, other, m, l)
			}
		}
	}
}

func TestDesign(t *testing.T) {
	for _, w := range []Wire{{Diameter: 1e-3, Pitch: 1.1e-3}, {Diameter: 0.5e-3}, {Diameter: 1.4e-3}} {
		for _, l := range []units.Inductance{30e-6, 0.1e-3, 1e-3, 4.7e-3} {
			c := must[Coil](t)(Design(l, w))
			ideal := must[Coil](t)(Brooks(l, w))
			checkWound(t, c, l, int(math.Round(float64(c.Section.Length/w.pitch()))))
			near(t, "wire", float64(c.WireLength()), float64(ideal.WireLength()), 0.05)
			if d := math.Abs(float64(c.Section.Length-ideal.Section.Length)) / float64(w.pitch()); !(d <= 0.5) {
				t.Errorf("length is off by %g turns", d)
			}
			near(t, "inductance", float64(c.Inductance), float64(l), 1.2/c.Turns)
		}
	}
}

func TestWind(t *testing.T) {
	w := Wire{Diameter: 1e-3, Pitch: 1.1e-3}
	space := Section{Inner: 10e-3, Length: 16.5e-3, Depth: 22e-3}
	for _, l := range []units.Inductance{1e-6, 20e-6, 0.3e-3, 1e-3} {
		c := must[Coil](t)(space.Wind(l, w))
		checkWound(t, c, l, 15) // 15 pitches are 16.5 mm but for rounding
		if c.Section.Inner != space.Inner || c.Section.Length > space.Length*(1+1e-12) || units.Length(c.Layers)*w.Pitch > space.Depth {
			t.Errorf("%+v is not in the space", c)
		}
	}
	// The full space serves, and a hair more is too much.
	full := must[units.Inductance](t)(Section{10e-3, 15 * 1.1e-3, 20 * 1.1e-3}.Inductance(300))
	c := must[Coil](t)(space.Wind(full*(1-1e-12), w))
	if c.Turns != 300 || c.Layers != 20 {
		t.Errorf("full space: %g turns in %d layers", c.Turns, c.Layers)
	}
}

func TestDesignErrors(t *testing.T) {
	w := Wire{Diameter: 1e-3}
	space := Section{10e-3, 20e-3, 20e-3}
	nan := math.NaN()
	brooks := func(l units.Inductance, w Wire) error { _, err := Brooks(l, w); return err }
	design := func(l units.Inductance, w Wire) error { _, err := Design(l, w); return err }
	wound := func(s Section, l units.Inductance, w Wire) error { _, err := s.Wind(l, w); return err }
	section := func(s Section, n float64) error { _, err := s.Inductance(n); return err }
	sheet := func(s Solenoid, n float64) error { _, err := s.Inductance(n); return err }
	mutual := func(a, b, z units.Length) error { _, err := Mutual(a, b, z); return err }
	gauge := func(n int) error { _, err := AWG(n); return err }
	wheeler := func(s Section) error { _, err := s.Wheeler(1); return err }
	layer := func(s Solenoid) error { _, err := s.Wheeler(1); return err }
	for _, test := range []struct {
		err  error
		want string
	}{
		{brooks(0, w), "coil: inductance 0 mH: must be positive and finite"},
		{design(-1e-3, w), "coil: inductance -1 mH: must be positive and finite"},
		{brooks(1e-3, Wire{}), "coil: wire diameter 0 mm: must be positive and finite"},
		{brooks(1e-3, Wire{Diameter: 1e-3, Pitch: -1e-3}), "coil: wire pitch -1 mm: must be positive and finite"},
		{design(1e-3, Wire{Diameter: 1e-3, Pitch: 0.9e-3}), "coil: wire pitch 0.9 mm: must be at least the diameter of the wire, 1 mm"},
		{design(1e-12, w), "coil: inductance 0.000001 µH: must be at least that of one turn, 0.002804 µH"},
		{wound(space, 1e-9, w), "coil: inductance 0.001 µH: must be at least that of one turn, 0.04173 µH"},
		{wound(space, 1, w), "coil: inductance 1 H: must be at most that of the full winding space, 2.656 mH"},
		{wound(space, 1e-3, Wire{Diameter: 25e-3}), "coil: wire pitch 27.5 mm: must be at most the smaller side of the winding space, 20 mm"},
		{wound(Section{10e-3, 20e-3, 1e-3}, 1e-3, w), "coil: wire pitch 1.1 mm: must be at most the smaller side of the winding space, 1 mm"},
		{wound(Section{1, 1, 1}, 1e-3, Wire{Diameter: 1e-5}), "coil: wire pitch 11 µm: must be at least a 10000th of the larger side of the winding space, 1 m"},
		{design(1e9, Wire{Diameter: 1e-6}), "coil: inductance 1000000000 H: must need at most 10000 turns in a layer, but needs 12896"},
		{wound(Section{-1, 1, 1}, 1e-3, w), "coil: inner radius -1 m: must be zero or positive, and finite"},
		{wound(space, units.Inductance(nan), w), "coil: inductance NaN mH: must be positive and finite"},
		{wound(space, 1e-3, Wire{Diameter: units.Length(nan)}), "coil: wire diameter NaN mm: must be positive and finite"},
		{section(Section{1, 0, 1}, 1), "coil: length 0 mm: must be positive and finite"},
		{section(Section{1, 1, 0}, 1), "coil: depth 0 mm: must be positive and finite"},
		{section(Section{1, 1, 1}, 0), "coil: turns 0: must be positive and finite"},
		{wheeler(Section{1, 1e-4, 1}), "coil: smaller side of the winding 0.1 mm: must be at least a thousandth of the largest size, 1 m"},
		{sheet(Solenoid{0, 1}, 1), "coil: radius 0 mm: must be positive and finite"},
		{layer(Solenoid{1, 0}), "coil: length 0 mm: must be positive and finite"},
		{sheet(Solenoid{1, 1}, math.Inf(1)), "coil: turns +Inf: must be positive and finite"},
		{mutual(0, 1, 1), "coil: radius 0 mm: must be positive and finite"},
		{mutual(1, 1, 0), "coil: distance 0 mm: must not be zero between rings of one radius"},
		{mutual(1, 2, units.Length(math.Inf(-1))), "coil: distance +Inf mm: must be zero or positive, and finite"},
		{gauge(-1), "coil: wire gauge -1: must be from 0 to 40"},
		{gauge(41), "coil: wire gauge 41: must be from 0 to 40"},
	} {
		if test.err == nil || test.err.Error() != test.want {
			t.Errorf("got  %v\nwant %s", test.err, test.want)
		}
	}
	for _, x := range []float64{-1, nan, math.Inf(1)} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v: no panic", x)
				}
			}()
			Nagaoka(x)
		}()
	}
}

// TestMetric: the diameters are equal steps of a fortieth of a decade, or two,
// within what the preferred numbers round.
func TestMetric(t *testing.T) {
	d := Metric()
	for i, v := range d {
		step := 40 * math.Log10(float64(v/d[0]))
		if near := math.Round(step); !(math.Abs(step-near) < 0.3) {
			t.Errorf("%v is %.2f steps above %v", v, step, d[0])
		}
		if i > 0 && !(v/d[i-1] > 1.04 && v/d[i-1] < 1.27) {
			t.Errorf("%v follows %v", v, d[i-1])
		}
	}
	d[0] = 7
	if Metric()[0] != 0.2*units.Millimetre {
		t.Error("the list can be changed from outside")
	}
}

// TestAWG: six gauges double the diameter, nearly; 36 and 0000 are its two ends.
func TestAWG(t *testing.T) {
	for n := range 35 {
		near(t, "six gauges", float64(must[units.Length](t)(AWG(n))/must[units.Length](t)(AWG(n+6))), 2, 0.0026)
	}
	near(t, "36", float64(must[units.Length](t)(AWG(36))), 0.005*0.0254, 1e-15)
	near(t, "0", float64(must[units.Length](t)(AWG(0)))*math.Pow(92, 3./39), 0.46*0.0254, 1e-14)
}

// TestShopCoils are coils of a shop of whole turns in the shape of Brooks, whose
// size makes up for the whole turns, calculated there with Wheeler's formula with
// 31.6 in place of 31.496, a pitch of 1.09 and copper of 0.01724 µΩ m.
func TestShopCoils(t *testing.T) {
	for _, c := range []struct {
		mH, mm, ohm float64
		turns       float64
		across      float64 // mm
		grams       float64
	}{
		{0.10, 0.6, 0.276, 82, 23, 11}, {0.33, 1.4, 0.146, 94, 59, 180}, {1.0, 1.4, 0.285, 146, 74, 351}, {2.7, 1.4, 0.517, 217, 90, 637},
	} {
		w := Wire{Diameter: units.Length(c.mm) * units.Millimetre, Pitch: units.Length(1.09*c.mm) * units.Millimetre}
		unit := float64(must[units.Inductance](t)(brooks(1).Wheeler(1))) * 31.6 / (0.8e-6 / 0.0254 * 1e6)
		l := c.mH * 1e-3
		turns := math.Round(math.Pow(l/unit/float64(w.Pitch), 0.4))
		if turns != c.turns {
			t.Errorf("%g mH of %g mm: %g turns, want %g", c.mH, c.mm, turns, c.turns)
		}
		size := units.Length(l / unit / turns / turns)
		got := Coil{Wire: w, Section: brooks(size), Turns: turns}
		ohm := float64(got.Resistance(units.Celsius(20))) * 1.724e-8 / resistivity20
		if !(math.Abs(ohm-c.ohm) <= 0.5e-3*1.0001) {
			t.Errorf("%g mH of %g mm: %.4f ohm, want %g", c.mH, c.mm, ohm, c.ohm)
		}
		if mm := got.OuterDiameter().In(units.Millimetre); !(math.Abs(mm-c.across) <= 0.6) {
			t.Errorf("%g mH of %g mm: %.1f mm across, want %g", c.mH, c.mm, mm, c.across)
		}
		near(t, "mass", got.Mass().In(units.Gram), c.grams, 0.05)

		// Our own design of the same wire differs by no more than Wheeler's error and
		// a turn.
		own := must[Coil](t)(Design(units.Inductance(l), w))
		near(t, "turns", own.Turns, c.turns, 0.02)
		near(t, "resistance", float64(own.Resistance(units.Celsius(20))), c.ohm, 0.03)
	}
}

func BenchmarkDesign(b *testing.B) {
	for b.Loop() {
		Design(1e-3, Wire{Diameter: 1e-3})
	}
}

// FuzzWind: what comes out is finite and within the space, for every size of coil.
func FuzzWind(f *testing.F) {
	f.Add(1e-3, 1e-3, 0.01, 0.02, 0.02)
	f.Add(1e-6, 0.0, 0.0, 1.0, 1.0)
	f.Add(1e300, 1e-300, 1.0, 1e-300, 1e300)
	f.Fuzz(func(t *testing.T, l, d, inner, length, depth float64) {
		w := Wire{Diameter: units.Length(d)}
		s := Section{units.Length(inner), units.Length(length), units.Length(depth)}
		if length > 100*depth || depth > 100*length || inner > 100*min(length, depth) {
			return // accepted or refused, but slow
		}
		c, err := s.Wind(units.Inductance(l), w)
		if err != nil {
			return
		}
		if !(c.Turns >= 1 && c.Inductance > 0 && !math.IsInf(float64(c.Inductance), 0)) ||
			float64(c.Section.Length) > length*(1+1e-9) || float64(c.Section.Depth) > depth*(1+1e-9) || c.Section.Inner != s.Inner {
			t.Errorf("%+v in %+v", c, s)
		}
		if r := c.Resistance(units.Celsius(20)); !(r > 0) {
			t.Errorf("%+v: %v", c, r)
		}
	})
}
