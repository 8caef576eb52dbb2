package port

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// vents of every shape and end.
func vents() []Vent {
	return []Vent{
		{Diameter: 0.1, Length: 0.2},
		{Diameter: 0.07, Length: 0.25, Wall: 0.003, Outer: Flanged},
		{Diameter: 0.05, Length: 0.1, Count: 3, Outer: Flanged, Inner: Flanged},
		{Width: 0.2, Height: 0.03, Length: 0.3, Wall: 0.015, Outer: AlongWall, Inner: InCorner},
		{Width: 0.03, Height: 0.2, Length: 0.3, Count: 2, Inner: AlongWall},
		{Width: 0.22, Height: 0.02, Length: 0.4, Wall: 0.018, Outer: Flanged, Inner: AcrossBox, Clear: 0.5},
	}
}

// Length for a tuning, and the tuning of that length.
func TestTunedInverts(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, v := range vents() {
		if err := v.Check(); err != nil {
			t.Errorf("%+v: %v", v, err)
		}
		for range 50 {
			vb := units.Volume(5+100*random.Float64()) * units.Litre
			a := air.Air{Density: 1.2, SpeedOfSound: units.Velocity(330 + 20*random.Float64())}
			fb := v.Tuning(vb, a)
			got, err := v.Tuned(vb, fb, a)
			if d := cmp.Diff(v, got, golden.Approx(1e-12, 0)); err != nil || d != "" {
				t.Errorf("%v in %v: %v (-want +got)\n%s", fb, vb, err, d)
			}
		}
	}
}

// A second road to the tuning: mass and spring, with the density that cancels.
func TestTuningIsMassOnSpring(t *testing.T) {
	a := air.Air{Density: 1.1, SpeedOfSound: 340}
	vb := 40 * units.Litre
	for _, v := range vents() {
		mass := float64(a.Density) * float64(v.EffectiveLength()) / float64(v.Area())
		compliance := float64(vb) / float64(a.BulkModulus())
		near(t, "tuning", float64(v.Tuning(vb, a)), 1/(2*math.Pi*math.Sqrt(mass*compliance)), 1e-14)
	}
}

// Tuning goes with the speed of sound, and doubling all dimensions halves it.
func TestScaling(t *testing.T) {
	slow := air.Air{Density: 1, SpeedOfSound: 300}
	fast := air.Air{Density: 2, SpeedOfSound: 360}
	vb := 30 * units.Litre
	for _, v := range vents() {
		w := v
		for _, l := range []*units.Length{&w.Diameter, &w.Width, &w.Height, &w.Length, &w.Wall, &w.Clear} {
			*l *= 2
		}
		for name, f := range map[string]func(Vent, units.Volume, air.Air) units.Frequency{
			"tuning": Vent.Tuning, "line": Vent.LineTuning,
			"pipe": func(v Vent, _ units.Volume, a air.Air) units.Frequency { return v.PipeResonance(2, a) },
		} {
			near(t, name+" in fast air", float64(f(v, vb, fast)), 1.2*float64(f(v, vb, slow)), 1e-13)
			near(t, name+" of twice the size", float64(f(w, 8*vb, slow)), float64(f(v, vb, slow))/2, 1e-13)
		}
		near(t, "displacement of twice the size", float64(w.Displacement(0.2)), 8*float64(v.Displacement(0.1)), 1e-13)
	}
}

// N equal vents in a box are one vent in an Nth of the box.
func TestSeveralVents(t *testing.T) {
	one := Vent{Diameter: 0.06, Length: 0.15, Wall: 0.002}
	three := one
	three.Count = 3
	near(t, "area", float64(three.Area()), 3*float64(one.Area()), 1e-15)
	near(t, "tuning", float64(three.Tuning(0.06, air.Air{})), float64(one.Tuning(0.02, air.Air{})), 1e-14)
	near(t, "line tuning", float64(three.LineTuning(0.06, air.Air{})), float64(one.LineTuning(0.02, air.Air{})), 1e-14)
	near(t, "displacement", float64(three.Displacement(0.1)), 3*float64(one.Displacement(0.1)), 1e-15)
	near(t, "speed", float64(three.Velocity(0.03)), float64(one.Velocity(0.01)), 1e-15)
	one.Count = 1
	if got, want := one.Area(), (Vent{Diameter: 0.06}).Area(); got != want {
		t.Errorf("area of count 1 is %v, of count 0 %v", got, want)
	}
}

// The line's root solves its equation, tends to the lumped tuning for small
// boxes of mass, and to a quarter of a wave for a box that is no load.
func TestLineTuning(t *testing.T) {
	a := air.Standard()
	for _, v := range vents() {
		l := float64(v.EffectiveLength())
		for vb := units.Volume(1e-7); vb < 10; vb *= 3 {
			f := float64(v.LineTuning(vb, a))
			k := 2 * math.Pi * f / float64(a.SpeedOfSound)
			near(t, "tan(kL)", math.Sin(k*l)*k*float64(vb), math.Cos(k*l)*float64(v.Area()), 1e-9)
			if lumped := float64(v.Tuning(vb, a)); !(f < lumped) || !(k*l > 0 && k*l < math.Pi/2) {
				t.Errorf("%v: line %v Hz, lumped %v Hz, kL %v", vb, f, lumped, k*l)
			}
			m := float64(v.Area()) * l / float64(vb)
			if m < 1e-2 {
				near(t, "first order", f/float64(v.Tuning(vb, a)), 1-m/6, m*m)
			}
		}
	}
	for m := 1e-12; m < 1e12; m *= 1.7 {
		x := lineRoot(m)
		if !(x > 0 && x < math.Pi/2) {
			t.Fatalf("m = %g: root %v", m, x)
		}
		// The residual changes sign within two roundings of the root.
		f := func(x float64) float64 { return x*math.Sin(x) - m*math.Cos(x) }
		if lo, hi := f(x*(1-4e-15)), f(x*(1+4e-15)); !(lo <= 0 && hi >= 0) {
			t.Errorf("m = %g: root %.17g, residual %g to %g", m, x, lo, hi)
		}
	}
}

// Transmission lines as matrices, with pressure and flow carried from the closed end of the
// box to the mouth, where there is no pressure at resonance.
func TestLongBoxTuningByMatrices(t *testing.T) {
	a := air.Standard()
	rho, c := float64(a.Density), float64(a.SpeedOfSound)
	randomVents(t, 4, func(v Vent, vb units.Volume, u func(lo, hi float64) float64) {
		depth := u(0.05, 3)
		pressureAtMouth := func(hz float64) float64 {
			k := 2 * math.Pi * hz / c
			p, q := 1.0, 0.0 // q is j times the flow
			for _, line := range [][2]float64{{depth, float64(vb) / depth}, {float64(v.EffectiveLength()), float64(v.Area())}} {
				z := rho * c / line[1]
				sin, cos := math.Sincos(k * line[0])
				p, q = p*cos-q*z*sin, p*sin/z+q*cos
			}
			return p
		}
		// From zero upwards the first change of sign.
		f := float64(v.LongBoxTuning(vb, units.Length(depth), a))
		if lo, hi := pressureAtMouth(f*(1-1e-9)), pressureAtMouth(f*(1+1e-9)); !(lo > 0 && hi < 0) {
			t.Errorf("%+v in %v, %v m deep: %v Hz, pressure %g to %g", v, vb, depth, f, lo, hi)
		}
		for i := range 50 {
			if p := pressureAtMouth(f * float64(i) / 50); !(p > 0) {
				t.Errorf("%+v in %v, %v m deep: another below %v Hz", v, vb, depth, f)
				break
			}
		}
		if line := float64(v.LineTuning(vb, a)); !(f < line) {
			t.Errorf("long box %v Hz, short box %v Hz", f, line)
		}
		near(t, "no depth", float64(v.LongBoxTuning(vb, 0, a)), float64(v.LineTuning(vb, a)), 1e-14)
		near(t, "little depth", float64(v.LongBoxTuning(vb, 1e-6, a)), float64(v.LineTuning(vb, a)), 1e-9)
	})
	// Lengths of box and vent change places: tan(kL) tan(kD) is the same.
	v := Vent{Diameter: 0.1, Length: 0.4, Outer: Flanged}
	w := v
	w.Length = 0.7 - v.ends()
	section := 0.05
	there := v.LongBoxTuning(units.Volume(0.7*section), 0.7, a)
	back := w.LongBoxTuning(units.Volume(float64(v.EffectiveLength())*section), v.EffectiveLength(), a)
	near(t, "box and vent exchanged", float64(there), float64(back), 1e-13)
}

func TestPipeResonance(t *testing.T) {
	v := withEnds(Vent{Diameter: 0.1}, 0.2, 1.46213)
	c := air.Air{Density: 1.2, SpeedOfSound: 343.2}
	near(t, "first", float64(v.PipeResonance(1, c)), 628.3, 0.05/628.3)
	near(t, "third", float64(v.PipeResonance(3, c)), 3*float64(v.PipeResonance(1, c)), 1e-15)
	near(t, "standard air", float64(v.PipeResonance(1, air.Air{})), 345/(2*float64(v.EffectiveLength())), 1e-15)
	defer func() {
		if recover() == nil {
			t.Error("resonance 0: no panic")
		}
	}()
	v.PipeResonance(0, c)
}

// 104.63 dB at 1 m in the half space from a vent of 100 mm at 30 Hz is a speed
// of 17 m/s peak: the flow from the level, and the speed from the flow.
func TestVelocity(t *testing.T) {
	const density, hz = 1.2041, 30
	rms := 20e-6 * math.Pow(10, 104.63/20) / (density * hz) // p = ρ f U, r = 1 m
	v := Vent{Diameter: 0.1}
	near(t, "peak speed", float64(v.Velocity(rms*math.Sqrt2)), 17, 0.002)
	near(t, "RMS speed", float64(v.Velocity(rms)), 17/math.Sqrt2, 0.002)
}

// The circuit of a lossless Butterworth system that travels to Vd above its tuning:
// in a vent of the rule's area the air moves at about 5 % of the speed of sound RMS.
// Cone displacement goes as |x²−1|/√(1+x⁸), vent flow as x/√(1+x⁸), x = f/fb.
func TestMinimumAreaKeepsAirSlow(t *testing.T) {
	const fb, vd = 30.0, 3e-4
	displacement, flow := 0.0, 0.0
	for x := 0.5; x < 5; x += 1e-3 {
		d := math.Sqrt(1 + math.Pow(x, 8))
		flow = max(flow, x/d)
		if x > 1 {
			displacement = max(displacement, (x*x-1)/d)
		}
	}
	peak := 2 * math.Pi * fb * vd * flow / displacement / float64(MinimumArea(fb, vd))
	near(t, "air speed", peak/math.Sqrt2, 0.05*345, 2e-3)
}

func TestDisplacement(t *testing.T) {
	inside := 0.1 * units.Metre
	for name, c := range map[string]struct {
		v    Vent
		want float64
	}{
		"round":     {Vent{Diameter: 0.1, Wall: 0.005}, math.Pi * 0.055 * 0.055 * 0.1},
		"thin":      {Vent{Diameter: 0.1}, math.Pi * 0.05 * 0.05 * 0.1},
		"rectangle": {Vent{Width: 0.2, Height: 0.03, Wall: 0.01}, 0.22 * 0.05 * 0.1},
		"on a wall": {Vent{Width: 0.2, Height: 0.03, Wall: 0.01, Inner: AlongWall}, 0.22 * 0.04 * 0.1},
		"upright":   {Vent{Width: 0.03, Height: 0.2, Wall: 0.01, Inner: AlongWall}, 0.22 * 0.04 * 0.1},
		"corner":    {Vent{Width: 0.2, Height: 0.03, Wall: 0.01, Inner: InCorner}, 0.21 * 0.04 * 0.1},
		"across":    {Vent{Width: 0.2, Height: 0.03, Wall: 0.01, Inner: AcrossBox, Clear: 0.3}, 0.2 * 0.04 * 0.1},
	} {
		near(t, name, float64(c.v.Displacement(inside)), c.want, 1e-13)
	}
}

func TestCheck(t *testing.T) {
	nan, inf := units.Length(math.NaN()), units.Length(math.Inf(1))
	for want, v := range map[string]Vent{
		"give a diameter, or a width and a height": {Length: 1},
		"cannot stand beside":                      {Diameter: 1, Width: 1, Height: 1, Length: 1},
		"port: diameter -":                         {Diameter: -1, Length: 1},
		"port: diameter NaN":                       {Diameter: nan, Length: 1},
		"port: diameter +Inf":                      {Diameter: inf, Length: 1},
		"port: width -":                            {Width: -1, Height: 1, Length: 1},
		"port: width 0":                            {Height: 1, Length: 1},
		"port: height 0":                           {Width: 1, Length: 1},
		"port: height NaN":                         {Width: 1, Height: nan, Length: 1},
		"port: count -1: must not be negative":     {Diameter: 1, Count: -1, Length: 1},
		"port: wall -":                             {Diameter: 1, Wall: -1, Length: 1},
		"port: wall NaN":                           {Diameter: 1, Wall: nan, Length: 1},
		"port: length 0":                           {Diameter: 1},
		"port: length NaN":                         {Diameter: 1, Length: nan},
		"port: outer end across the box: is for rectangular vents only":                {Diameter: 1, Length: 1, Outer: AcrossBox},
		"port: distance to the wall 0":                                                 {Diameter: 1, Length: 1, Outer: AlongWall},
		"port: distance to the wall 400 mm: must be at least the radius, 500 mm":       {Diameter: 1, Length: 1, Inner: InCorner, ToWall: 0.4},
		"port: distance to the wall NaN":                                               {Diameter: 1, Length: 1, Inner: InCorner, ToWall: nan},
		"port: distance to the wall +Inf":                                              {Diameter: 1, Length: 1, Inner: InCorner, ToWall: inf},
		"port: section of the box 0":                                                   {Diameter: 1, Length: 1, Inner: InDuct},
		"port: section of the box 1 m²: must be above the area of the vents, 1.571 m²": {Diameter: 1, Count: 2, Length: 1, Inner: InDuct, Section: 1},
		"port: section of the box NaN":                                                 {Diameter: 1, Length: 1, Inner: InDuct, Section: units.Area(nan)},
		"port: section of the box +Inf":                                                {Diameter: 1, Length: 1, Inner: InDuct, Section: units.Area(inf)},
		"port: spacing 900 mm: must be at least the width of a vent, 1 m":              {Diameter: 1, Count: 2, Length: 1, Spacing: 0.9},
		"port: spacing NaN":                                                            {Diameter: 1, Count: 2, Length: 1, Spacing: nan},
		"port: spacing +Inf":                                                           {Diameter: 1, Count: 2, Length: 1, Spacing: inf},
		"port: length 190 mm: must be at least that of its rounded ends, 200 mm":       {Diameter: 1, Length: 0.19, OuterRound: 0.05, InnerRound: 0.15},
		"port: outer rounding 1.5 m: must be from 0 mm to 1 m":                         {Diameter: 1, Length: 1, OuterRound: 1.5},
		"port: inner rounding -":                                                       {Diameter: 1, Length: 1, InnerRound: -0.1},
		"port: inner rounding NaN":                                                     {Diameter: 1, Length: 1, InnerRound: nan},
		"port: inner rounding 100 mm: is for round vents whose end is free or flanged": {Diameter: 1, Length: 1, Inner: AlongWall, ToWall: 1, InnerRound: 0.1},
		"port: outer rounding 100 mm: is for round vents":                              {Width: 1, Height: 1, Length: 1, OuterRound: 0.1},
		"port: inner end Mouth(9): must be one of the named kinds":                     {Diameter: 1, Length: 1, Inner: 9},
		"port: clear height 0":                                                         {Width: 1, Height: 1, Length: 1, Inner: AcrossBox},
		"port: clear height NaN":                                                       {Width: 1, Height: 1, Length: 1, Outer: AcrossBox, Clear: nan},
		"port: clear height +In":                                                       {Width: 1, Height: 1, Length: 1, Outer: AcrossBox, Clear: inf},
		"must be above the heig":                                                       {Width: 1, Height: 1, Length: 1, Outer: AcrossBox, Clear: 1},
	} {
		err := v.Check()
		var e *units.RangeError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: error %v, want %s", v, err, want)
		}
	}
}

func TestTunedRefuses(t *testing.T) {
	v := Vent{Diameter: 0.1, Outer: Flanged}
	limit := v.Tuning(50*units.Litre, air.Air{}) // no length at all
	v.Length = 0.2                               // to be ignored
	if _, err := v.Tuned(50*units.Litre, limit*(1-1e-9), air.Air{}); err != nil {
		t.Error(err)
	}
	nan := math.NaN()
	for _, c := range []struct {
		v    Vent
		vb   units.Volume
		fb   units.Frequency
		a    air.Air
		want string
	}{
		{v, 50 * units.Litre, limit * (1 + 1e-9), air.Air{}, "port: tuning"},
		{v, 50 * units.Litre, 100, air.Air{}, "port: tuning 100 Hz: must be below " + limit.String()},
		{Vent{}, 0.05, 40, air.Air{}, "port: diameter"},
		{Vent{Diameter: 0.1, OuterRound: 0.09}, 0.05, 70, air.Air{}, "port: length"},
		{v, 0, 40, air.Air{}, "port: box volume"},
		{v, units.Volume(nan), 40, air.Air{}, "port: box volume"},
		{v, 0.05, 0, air.Air{}, "port: tuning"},
		{v, 0.05, units.Frequency(nan), air.Air{}, "port: tuning"},
		{v, 0.05, 1e-170, air.Air{}, "port: length"},
		{v, 0.05, 40, air.Air{SpeedOfSound: -345, Density: 1}, "air: speed of sound"},
	} {
		got, err := c.v.Tuned(c.vb, c.fb, c.a)
		var e *units.RangeError
		if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), c.want) || got != (Vent{}) {
			t.Errorf("%v, %v: %+v, error %v, want %s", c.vb, c.fb, got, err, c.want)
		}
	}
}

func TestMouthNames(t *testing.T) {
	seen := map[string]bool{}
	for m := Free; m <= InDuct; m++ {
		if s := m.String(); seen[s] || strings.HasPrefix(s, "Mouth") {
			t.Errorf("mouth %d is called %q", m, s)
		} else {
			seen[s] = true
		}
	}
}

func BenchmarkTuned(b *testing.B) {
	v := Vent{Width: 0.2, Height: 0.03, Outer: AlongWall, Inner: InCorner}
	for b.Loop() {
		if _, err := v.Tuned(0.05, 35, air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTuning(b *testing.B) {
	v := Vent{Diameter: 0.1, Length: 0.2, Outer: Flanged}
	for b.Loop() {
		v.Tuning(0.05, air.Air{})
	}
}

func BenchmarkLongBoxTuning(b *testing.B) {
	v := Vent{Diameter: 0.1, Length: 0.2, Outer: Flanged}
	for b.Loop() {
		v.LongBoxTuning(0.05, 0.4, air.Air{})
	}
}

func BenchmarkMutualEnd(b *testing.B) {
	for b.Loop() {
		MutualEnd(3)
	}
}

func BenchmarkLosses(b *testing.B) {
	v := Vent{Diameter: 0.1, Length: 0.2, Outer: Flanged}
	for b.Loop() {
		if _, err := v.Losses(35, 10, air.Air{}, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAlternatives(b *testing.B) {
	v := Vent{Diameter: 0.1, Outer: Flanged}
	s := Space{Depth: 0.3, Width: 0.25, Height: 0.6, Panel: 0.018}
	for b.Loop() {
		if _, err := v.Alternatives(0.05, 30, 0.1, s, air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLineTuning(b *testing.B) {
	v := Vent{Diameter: 0.1, Length: 0.2}
	for b.Loop() {
		v.LineTuning(0.05, air.Air{})
	}
}
