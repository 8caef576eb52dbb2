package crossover

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// ideal is a point source of flat pressure on a resistance.
type ideal struct{ ohm, pascal float64 }

func (s ideal) Impedance(z []complex128, _ []float64) {
	for i := range z {
		z[i] = complex(s.ohm, 0)
	}
}

func (s ideal) Pressure(p []complex128, _ []float64, _ r3.Vec) {
	for i := range p {
		p[i] = complex(s.pascal, 0)
	}
}

// must fails the test on an error.
func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// networks returns low- and high-pass of a prototype.
func networks(t testing.TB, f rational.Func, fc units.Frequency, r units.Resistance) (lp, hp ladder.Network) {
	t.Helper()
	return must[ladder.Network](t)(filter.LowPass(f, fc, r)), must[ladder.Network](t)(filter.HighPass(f, fc, r))
}

// grid returns n frequencies from lo to hi, equally spaced in the logarithm.
func grid(n int, lo, hi float64) []float64 {
	hz := make([]float64, n)
	for i := range hz {
		hz[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	return hz
}

func decibels(x float64) float64 { return 20 * math.Log10(x) }
