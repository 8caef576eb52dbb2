package search

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/filter/rational"
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

func (s source) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for i, f := range hz {
		p[i] = s.p(f)
	}
}

// ideal is flat, on a resistance.
func ideal(ohm float64) source {
	return source{
		z: func(float64) complex128 { return complex(ohm, 0) },
		p: func(float64) complex128 { return 1 },
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

// speaker returns a problem without limits, flat from 300 Hz to 15 kHz.
func speaker(t testing.TB, points int, lo, hi source) Problem {
	t.Helper()
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: lo},
		{Name: "tweeter", Radiator: hi, Inverted: true},
	}, grid(points, 100, 20000), 344, r3.Vec{Z: 1}))
	return unlimited(Problem{Field: f, Lo: 300, Hi: 15000})
}

// unlimited takes all limits away; the sum is wanted flat.
func unlimited(p Problem) Problem {
	p.Crossing, p.Highest, p.Load, p.Resistance = Off, Off, Off, Off
	p.Travel = make([]Travel, p.Field.Ways())
	for w := range p.Travel {
		p.Travel[w].Limit = Off
	}
	p.Target = make([]float64, len(p.Field.Hz))
	return p
}

// linkwitzRiley returns fourth-order networks.
func linkwitzRiley(t testing.TB, fc units.Frequency, lo, hi units.Resistance) []ladder.Network {
	t.Helper()
	f := must[rational.Func](t)(filter.LinkwitzRiley(4))
	return []ladder.Network{
		must[ladder.Network](t)(filter.LowPass(f, fc, lo)),
		must[ladder.Network](t)(filter.HighPass(f, fc, hi)),
	}
}

// shop sells every value of a series, in the ranges of crossovers.
func shop(s parts.Series) parts.Catalogue {
	var c parts.Catalogue
	add := func(kind parts.Kind, part ladder.Part, price float64) {
		c = append(c, parts.Item{ID: fmt.Sprintf("%v %v", kind, part), Kind: kind, Part: part, Price: price})
	}
	for _, decade := range []float64{1, 10, 100} {
		for _, v := range s.Values() {
			v *= decade
			milli, micro := v*0.1*1e-3, v*1e-6
			add(parts.AirCoil, ladder.L(units.Inductance(milli)).WithResistance(units.Resistance(0.4*math.Sqrt(v*0.1))), 3+2*math.Sqrt(v*0.1))
			add(parts.IronCoil, ladder.L(units.Inductance(milli)).WithResistance(units.Resistance(0.1*math.Sqrt(v*0.1))), 5+2*math.Sqrt(v*0.1))
			add(parts.FilmCapacitor, ladder.C(units.Capacitance(micro)).WithLoss(0.0005), 1+0.5*v)
			add(parts.BipolarCapacitor, ladder.C(units.Capacitance(micro)).WithLoss(0.05), 0.5+0.05*v)
			add(parts.Resistor, ladder.R(units.Resistance(v*0.1)), 0.6)
		}
	}
	return c
}
