package port

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// randomVents yields vents of every shape with every pair of ends, and boxes for
// them, the same in every run.
func randomVents(t *testing.T, seed uint64, test func(v Vent, vb units.Volume, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 3))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	length := func(lo, hi float64) units.Length { return units.Length(u(lo, hi)) }
	for outer := Free; outer <= InDuct; outer++ {
		for inner := Free; inner <= InDuct; inner++ {
			for range 40 {
				v := Vent{Count: rng.IntN(4), Length: length(0.005, 2), Wall: length(1e-4, 0.03), Outer: outer, Inner: inner}
				if outer <= Flanged && inner <= Flanged && rng.IntN(2) == 0 {
					v.Diameter = length(0.01, 0.3)
				} else {
					v.Width, v.Height = length(0.01, 0.4), length(0.005, 0.2)
					v.Clear = v.Height * length(1.01, 30)
				}
				v.Section = v.Area() * units.Area(u(1.01, 100))
				if rng.IntN(2) == 0 {
					v.Spacing = max(v.Diameter, v.Width) * length(1, 20)
				}
				if v.round() && rng.IntN(2) == 0 {
					v.OuterRound, v.InnerRound = v.Diameter*length(0.01, 1), v.Diameter*length(0.01, 1)
					v.Length += v.OuterRound + v.InnerRound
				}
				if err := v.Check(); err != nil {
					t.Fatal(err)
				}
				test(v, units.Volume(u(1e-3, 1)), u)
			}
		}
	}
}

// Every figure of a vent that passes its check is finite and positive, and the
// length for its tuning is its length.
func TestAlwaysFinite(t *testing.T) {
	randomVents(t, 1, func(v Vent, vb units.Volume, u func(lo, hi float64) float64) {
		for what, x := range map[string]float64{
			"area": float64(v.Area()), "tuning": float64(v.Tuning(vb, air.Air{})), "line": float64(v.LineTuning(vb, air.Air{})),
			"pipe": float64(v.PipeResonance(1, air.Air{})), "displacement": float64(v.Displacement(v.Length)),
			"outer": float64(v.EndCorrection(v.Outer)), "inner": float64(v.EndCorrection(v.Inner)), "speed": float64(v.Velocity(0.01)),
		} {
			if !(x > 0) || math.IsInf(x, 0) {
				t.Errorf("%+v in %v: %s %g", v, vb, what, x)
			}
		}
		got, err := v.Tuned(vb, v.Tuning(vb, air.Air{}), air.Air{})
		// The ends are taken away again: what is left of a short vent loses digits.
		loss := 1e-14 * float64(v.EffectiveLength()/v.Length)
		if !(math.Abs(float64(got.Length/v.Length)-1) <= loss) || err != nil {
			t.Errorf("%+v in %v: length %v, %v", v, vb, got.Length, err)
		}
	})
}

// Longer vents, larger boxes and slower air tune lower; more vents tune higher;
// each end lengthens the more the closer its walls are.
func TestTrends(t *testing.T) {
	randomVents(t, 2, func(v Vent, vb units.Volume, u func(lo, hi float64) float64) {
		more := u(1.001, 3)
		longer, several := v, v
		longer.Length *= units.Length(more)
		several.Section = 2 * v.Section // each has no less of the box
		several.Spacing = 0             // neighbours lengthen each other, which may tune lower
		several.Count = 2 * max(1, v.Count)
		for name, tuning := range map[string]func(Vent, units.Volume, air.Air) units.Frequency{"tuning": Vent.Tuning, "line": Vent.LineTuning} {
			f := tuning(v, vb, air.Air{})
			slow := air.Air{Density: 1, SpeedOfSound: 345 / units.Velocity(more)}
			if a, b, c, d := tuning(longer, vb, air.Air{}), tuning(v, vb*units.Volume(more), air.Air{}), tuning(v, vb, slow), tuning(several, vb, air.Air{}); !(a < f && b < f && c < f && d > f) {
				t.Errorf("%+v in %v: %s %v; longer %v, larger box %v, slower air %v, one more %v", v, vb, name, f, a, b, c, d)
			}
		}
		if !(v.EndCorrection(Free) < v.EndCorrection(Flanged)) {
			t.Errorf("%+v: free %v, flanged %v", v, v.EndCorrection(Free), v.EndCorrection(Flanged))
		}
		if v.round() {
			return
		}
		if f, w, c := v.EndCorrection(Flanged), v.EndCorrection(AlongWall), v.EndCorrection(InCorner); !(f < w && w < c) {
			t.Errorf("%+v: flanged %v, along a wall %v, in a corner %v", v, f, w, c)
		}
	})
}

// A vent in inches, a box in cubic feet: the same tuning as in millimetres and litres,
// but for the digits that the second difference between distant rectangles loses.
func TestUnitsDoNotMatter(t *testing.T) {
	read := func(number float64, unit string) units.Length {
		l, err := units.Parse[units.Length](fmt.Sprintf("%.17g %s", number, unit))
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	randomVents(t, 3, func(v Vent, vb units.Volume, u func(lo, hi float64) float64) {
		w := v
		for _, l := range []*units.Length{&w.Diameter, &w.Width, &w.Height, &w.Length, &w.Wall, &w.Clear, &w.Spacing, &w.OuterRound, &w.InnerRound} {
			*l = read(float64(*l)/0.0254, "in")
		}
		w.Section = units.Area(float64(v.Section)/(0.0254*0.0254)) * units.SquareInch
		feet, err := units.Parse[units.Volume](fmt.Sprintf("%.17g cu ft", float64(vb)/math.Pow(0.3048, 3)))
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%+v in %v", v, vb), float64(w.Tuning(feet, air.Air{})), float64(v.Tuning(vb, air.Air{})), 1e-12)
	})
}
