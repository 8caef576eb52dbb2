package spread

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"
)

// window is a speaker judged at three points, its drivers' levels varying.
func window(t testing.TB, points int) Speaker {
	s := sixParts(t, points, r3.Vec{Z: 2}, r3.Vec{X: 1, Z: 2}, r3.Vec{Y: 0.5, Z: 2})
	s.Window = []float64{4, 0, 1}
	s.Drivers = []Driver{{Level: 0.5}, {Level: 1}}
	return s
}

// Slopes against differences of the level, solved anew.
func TestSlopesByDifferences(t *testing.T) {
	s := window(t, 40)
	s.Inverted, s.Point = true, 2
	causes := s.causes(func(Driver) bool { return true })
	slopes := must[[][]float64](t)(s.slopes(causes))
	if len(causes) != 8 {
		t.Fatalf("%d causes", len(causes))
	}
	const h = 1e-4
	for i := range causes {
		ends := [2][]float64{}
		for e, sign := range []float64{-1, 1} {
			b := s.builder()
			upper := make([]bool, len(causes))
			upper[i] = sign > 0
			// Only this cause leaves its middle, by h: a share of its value, or in dB.
			for k := range b.reach {
				b.reach[k] = 0
			}
			if causes[i].Part < 0 {
				b.gain[causes[i].Way] *= math.Pow(10, sign*h/20)
			} else {
				j := causes[i].Part
				if causes[i].Way == 1 {
					j += 3
				}
				*b.values[j] *= math.Exp(sign * h)
			}
			ends[e] = make([]float64, 40)
			b.solve(ends[e])
		}
		for k, got := range slopes[i] {
			if want := (ends[1][k] - ends[0][k]) / (2 * h); !(math.Abs(got-want) <= 1e-6*(1+math.Abs(want))) {
				t.Errorf("%+v at %g Hz: %g, want %g", causes[i], s.Field.Hz[k], got, want)
			}
		}
	}
}

// Both ways to rank agree, and the squares of the effects add up to that of all.
func TestRankByBothRoads(t *testing.T) {
	const n = 3000
	s := window(t, 30)
	for _, network := range s.Networks {
		for _, tol := range tolerances(network) {
			*tol /= 2 // so that second orders stay below what the draws can tell
		}
	}
	exact, drawn := must[[]Cause](t)(s.Rank()), must[[]Cause](t)(s.RankByDraws(n))
	if len(exact) != 8 || len(drawn) != 8 {
		t.Fatalf("%d and %d causes", len(exact), len(drawn))
	}
	total := 0.0
	letters := ""
	for i, c := range exact {
		letters += c.Letter
		total += c.Effect * c.Effect
		if i > 0 && !(c.Effect <= exact[i-1].Effect) {
			t.Errorf("%+v after %+v", c, exact[i-1])
		}
		found := false
		for _, d := range drawn {
			if d.Way == c.Way && d.Part == c.Part && d.Letter == c.Letter {
				found = true
				if !(math.Abs(d.Effect/c.Effect-1) <= 4/math.Sqrt(2*n)+0.002) {
					t.Errorf("%+v: %g dB by draws", c, d.Effect)
				}
			}
		}
		if !found {
			t.Errorf("%+v is not among those drawn", c)
		}
	}
	if len(letters) != 6 {
		t.Errorf("letters %q", letters)
	}
	d := must[*Draws](t)(s.Draw(n))
	squares := 0.0
	for k := d.from; k < d.to; k++ {
		var column []float64
		for _, level := range d.Level {
			column = append(column, level[k])
		}
		squares += stat.Variance(column, nil) / float64(d.to-d.from)
	}
	if got := math.Sqrt(total); !(math.Abs(got/math.Sqrt(squares)-1) <= 4/math.Sqrt(2*n)+0.005) {
		t.Errorf("all together %g dB, drawn %g", got, math.Sqrt(squares))
	}
}

// What Vary does is the driver's, and no part's.
func TestRankByDrawsOfVary(t *testing.T) {
	s := window(t, 30)
	s.Drivers = []Driver{{}, {Vary: func(_, p []complex128, _ []float64, rng *rand.Rand) {
		gain := complex(math.Pow(10, (2*rng.Float64()-1)/20), 0) // as a level of 1 dB
		for k := range p {
			p[k] *= gain
		}
	}}}
	for _, c := range must[[]Cause](t)(s.Rank()) {
		if c.Part < 0 {
			t.Errorf("%+v by derivatives, which know nothing of Vary", c)
		}
	}
	want := 0.0
	for _, c := range must[[]Cause](t)(window(t, 30).Rank()) {
		if c.Part < 0 && c.Way == 1 {
			want = c.Effect
		}
	}
	for _, c := range must[[]Cause](t)(s.RankByDraws(4000)) {
		if c.Part < 0 && (c.Way != 1 || !(math.Abs(c.Effect/want-1) < 0.05)) {
			t.Errorf("%+v, want way 1 and %g dB", c, want)
		}
	}
}
