package crossover

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// randomSpeakers yields ways in space with networks, the same in every run.
func randomSpeakers(seed uint64, test func(ways []Way, n []ladder.Network, points []r3.Vec, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 13))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	place := func(size float64) r3.Vec {
		return r3.Scale(size, r3.Vec{X: rng.Float64() - 0.5, Y: rng.Float64() - 0.5, Z: rng.Float64() - 0.5})
	}
	for range 60 {
		var ways []Way
		var n []ladder.Network
		for range 1 + rng.IntN(4) {
			ways = append(ways, Way{Radiator: coil{u(3, 12), u(1e-5, 3e-3)}, Position: place(0.6), Inverted: rng.IntN(2) == 0})
			n = append(n, ladder.Network{
				ladder.Series(ladder.L(units.Inductance(u(1e-4, 5e-3))).WithResistance(units.Resistance(u(0.05, 1)))),
				ladder.Shunt(ladder.C(units.Capacitance(u(1e-6, 1e-4)))),
				ladder.Series(ladder.C(units.Capacitance(u(1e-6, 1e-4))), ladder.R(units.Resistance(u(1, 50)))),
			}[rng.IntN(3):])
		}
		test(ways, n, []r3.Vec{r3.Add(place(2), r3.Vec{Z: 3}), r3.Add(place(1), r3.Vec{Z: 1.5})}, u)
	}
}

// compare evaluates two speakers that should differ in pressure by a factor only.
func compare(t *testing.T, what string, a, b *Field, na, nb []ladder.Network, times complex128) {
	t.Helper()
	var ra, rb Result
	a.Evaluate(&ra, na...)
	b.Evaluate(&rb, nb...)
	for k := range ra.Sum {
		for i, p := range ra.Sum[k] {
			// The ways may cancel: an error of 1e-11 of each is one of the sum.
			size := 0.0
			for w := range a.Ways() {
				size += cmplx.Abs(ra.Transfer[w][i] * a.Pressure(w, k)[i])
			}
			if got := rb.Sum[k][i] / times; !(cmplx.Abs(got-p) <= 1e-10*size) {
				t.Errorf("%s: point %d at %g Hz: %v, want %v", what, k, a.Hz[i], got, p)
			}
		}
	}
	for i, z := range ra.Load {
		if !(cmplx.Abs(rb.Load[i]-z) <= 1e-11*cmplx.Abs(z)) || !(real(z) >= 0) {
			t.Errorf("%s: load at %g Hz: %v, want %v", what, a.Hz[i], rb.Load[i], z)
		}
	}
}

// Where the speaker stands in the room of the calculation, and in which order its
// ways are given, is nobody's business.
func TestPlaceAndOrderDoNotMatter(t *testing.T) {
	hz := grid(12, 20, 20000)
	randomSpeakers(1, func(ways []Way, n []ladder.Network, points []r3.Vec, u func(lo, hi float64) float64) {
		f := must[*Field](t)(Sample(ways, hz, sound, points...))
		by := r3.Vec{X: u(0.1, 3), Y: -u(0.1, 3), Z: u(0.1, 3)}
		moved, backwards := slices.Clone(ways), slices.Clone(ways)
		for i := range moved {
			moved[i].Position = r3.Add(moved[i].Position, by)
		}
		slices.Reverse(backwards)
		back := slices.Clone(n)
		slices.Reverse(back)
		there := []r3.Vec{r3.Add(points[0], by), r3.Add(points[1], by)}
		compare(t, "moved", f, must[*Field](t)(Sample(moved, hz, sound, there...)), n, n, 1)
		compare(t, "in reverse order", f, must[*Field](t)(Sample(backwards, hz, sound, points...)), n, back, 1)
	})
}

// A speaker and a distance k times as large, in air k times as fast, differ by the
// distance law alone; all ways inverted, by the sign alone.
func TestSizeScales(t *testing.T) {
	hz := grid(12, 20, 20000)
	randomSpeakers(2, func(ways []Way, n []ladder.Network, points []r3.Vec, u func(lo, hi float64) float64) {
		k := u(0.2, 5)
		f := must[*Field](t)(Sample(ways, hz, sound, points...))
		large, inverted := slices.Clone(ways), slices.Clone(ways)
		for i := range ways {
			large[i].Position = r3.Scale(k, ways[i].Position)
			inverted[i].Inverted = !ways[i].Inverted
		}
		far := []r3.Vec{r3.Scale(k, points[0]), r3.Scale(k, points[1])}
		compare(t, "large", f, must[*Field](t)(Sample(large, hz, units.Velocity(k*sound), far...)), n, n, complex(1/k, 0))
		compare(t, "inverted", f, must[*Field](t)(Sample(inverted, hz, sound, points...)), n, n, -1)
	})
}
