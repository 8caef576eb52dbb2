package spread

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// source is a driver given by functions of frequency.
type source struct {
	z, p func(hz float64) complex128
}

func (s source) Impedance(z []complex128, hz []float64) {
	for i, f := range hz {
		z[i] = s.z(f)
	}
}

func (s source) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	for i, f := range hz {
		// A little less aside, so that points differ.
		p[i] = s.p(f) * complex(0.5+0.5*toward.Z, 0)
	}
}

// woofer and tweeter have coils, a roll-off toward the other, and a resonance.
var (
	woofer = source{
		z: func(f float64) complex128 { return complex(5.6, 2*math.Pi*f*0.7e-3) },
		p: func(f float64) complex128 { return 0.11 / complex(1-f*f/(6000*6000), f/6000) },
	}
	tweeter = source{
		z: func(f float64) complex128 {
			return complex(4.9, 2*math.Pi*f*0.05e-3) + 3/complex(1, 2*(f/900-900/f))
		},
		p: func(f float64) complex128 { x := f / 900; return complex(-0.2*x*x, 0) / complex(1-x*x, x/0.9) },
	}
	ideal = source{
		z: func(float64) complex128 { return 8 },
		p: func(float64) complex128 { return 1 },
	}
)

func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// grid returns n frequencies from lo to hi, equally spaced in the logarithm.
func grid(n int, lo, hi float64) []float64 {
	hz := make([]float64, n)
	for i := range hz {
		hz[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	return hz
}

// sixParts is a speaker of three parts each way, tolerances 5 % and 2 %.
func sixParts(t testing.TB, points int, at ...r3.Vec) Speaker {
	t.Helper()
	if at == nil {
		at = []r3.Vec{{Z: 2}}
	}
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: woofer, Position: r3.Vec{Y: -0.14}},
		{Name: "tweeter", Radiator: tweeter, Inverted: true},
	}, grid(points, 100, 20000), 344, at...))
	return Speaker{Field: f, Networks: sixNetworks(), Lo: 300, Hi: 15000, Seed: 7}
}

func sixNetworks() []ladder.Network {
	return []ladder.Network{
		{
			ladder.Series(ladder.L(1.1 * units.Millihenry).WithResistance(0.3).WithTolerance(0.05)),
			ladder.Shunt(ladder.C(9*units.Microfarad).WithTolerance(0.05), ladder.R(2).WithTolerance(0.02)),
		},
		{
			ladder.Series(ladder.R(2.4).WithTolerance(0.02)),
			ladder.Series(ladder.C(6 * units.Microfarad).WithTolerance(0.05)),
			ladder.Shunt(ladder.L(0.35 * units.Millihenry).WithResistance(0.2).WithTolerance(0.05)),
		},
	}
}

// one is a single way with ideal driver behind a network.
func one(t testing.TB, hz []float64, n ladder.Network) Speaker {
	t.Helper()
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{{Name: "full", Radiator: ideal}}, hz, 344, r3.Vec{Z: 1}))
	return Speaker{Field: f, Networks: []ladder.Network{n}, Lo: units.Frequency(hz[0]), Hi: units.Frequency(hz[len(hz)-1])}
}
