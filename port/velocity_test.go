package port

import (
	"math"
	"testing"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The limits, each from its definition, strictest first, with RMS said.
func TestCriteria(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 340}
	const mu = 1.8e-5 // ν = 1.5e-5
	v := Vent{Diameter: 0.1, Outer: Flanged, OuterRound: 0.02, InnerRound: 0.05}
	list, err := v.Criteria(40, a, mu)
	if err != nil {
		t.Fatal(err)
	}
	omega := 2 * math.Pi * 40
	want := map[string]float64{ // peak
		"turbulent boundary layer":   200 * math.Sqrt(1.5e-5*omega),
		"10 m/s":                     10,
		"17 m/s":                     17,
		"20 m/s":                     20,
		"25 m/s":                     25,
		"30 m/s":                     30,
		"Reynolds number 50 000":     5e4 * 1.5e-5 / 0.1,
		"5 % of the speed of sound":  17 * math.Sqrt2,
		"10 % of the speed of sound": 34,
		"stroke of one edge radius":  0.02 * omega,
	}
	last := units.Velocity(0)
	for _, c := range list {
		near(t, c.Name, float64(c.Peak()), want[c.Name], 1e-12)
		if c.Source == "" || c.Peak() < last {
			t.Errorf("%+v: no source, or out of order", c)
		}
		last = c.Peak()
		delete(want, c.Name)
	}
	if len(want) != 0 {
		t.Errorf("missing: %v", want)
	}
	sharp, err := Vent{Width: 0.2, Height: 0.03}.Criteria(40, a, mu)
	if err != nil || len(sharp) != 9 {
		t.Errorf("sharp ends: %v, %v", sharp, err)
	}
}

// The Reynolds number is that of a round tube of the same section per perimeter: in it the same
// pressure drop stands against the same friction.
func TestReynolds(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 340}
	near(t, "round", Vent{Diameter: 0.1}.Reynolds(10, a, 1.8e-5), 1.2*10*0.1/1.8e-5, 1e-14)
	near(t, "square", Vent{Width: 0.1, Height: 0.1}.Reynolds(10, a, 1.8e-5), 1.2*10*0.1/1.8e-5, 1e-14)
	near(t, "flat", Vent{Width: 1e3, Height: 0.01}.Reynolds(10, a, 1.8e-5), 1.2*10*0.02/1.8e-5, 1e-4)
	near(t, "as the size", Vent{Diameter: 0.2}.Reynolds(10, air.Air{}, 0), 2*Vent{Diameter: 0.1}.Reynolds(10, air.Air{}, 0), 1e-14)
}

// The other rule against Small's: equal where 0.8 fB^1.5 is π/4 20.3², at 55 Hz.
func TestGenerousAreaMeetsMinimumArea(t *testing.T) {
	f := units.Frequency(math.Pow(math.Pi/4*20.3*20.3/0.8, 2./3))
	near(t, "equal", float64(GenerousArea(f, 3e-4)), float64(MinimumArea(f, 3e-4)), 1e-12)
	if !(f > 54 && f < 56) {
		t.Errorf("equal at %v", f)
	}
	near(t, "lower", float64(GenerousArea(f/4, 3e-4)/MinimumArea(f/4, 3e-4)), 8, 1e-12)
	near(t, "stroke", float64(GenerousArea(30, 6e-4)), 2*float64(GenerousArea(30, 3e-4)), 1e-14)
}
