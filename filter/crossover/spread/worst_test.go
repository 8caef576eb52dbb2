package spread

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// All corners, by new networks and Evaluate.
func TestWorstByBruteForce(t *testing.T) {
	s := sixParts(t, 40)
	s.Target = make([]float64, 40)
	worst := 0.0
	for mask := range 64 {
		networks := sixNetworks()
		bit := 0
		for w := range networks {
			for a := range networks[w] {
				for i := range networks[w][a].Parts {
					part := &networks[w][a].Parts[i]
					part.Value *= 1 + float64(part.Tolerance)*float64(2*(mask>>bit&1)-1)
					bit++
				}
			}
		}
		var r crossover.Result
		s.Field.Evaluate(&r, networks...)
		var levels []float64
		for k, p := range r.Sum[0] {
			if f := s.Field.Hz[k]; f >= 300 && f <= 15000 {
				levels = append(levels, 10*math.Log10(power(p)))
			}
		}
		worst = max(worst, stat.PopStdDev(levels, nil))
	}
	c := must[Corner](t)(s.Worst())
	if !c.Exhaustive || c.Tried != 64 || !(math.Abs(c.Figures.Flatness-worst) <= 1e-11) {
		t.Errorf("%d corners, flatness %g dB, want 64 and %g", c.Tried, c.Figures.Flatness, worst)
	}
	// The networks are that corner.
	s.Networks = c.Networks
	for _, n := range s.Networks {
		for _, tol := range tolerances(n) {
			*tol = 0
		}
	}
	d := must[*Draws](t)(s.Draw(1))
	if d.Figures[0] != c.Figures {
		t.Errorf("its networks have %+v, want %+v", d.Figures[0], c.Figures)
	}
}

// No draw of this speaker is worse than its worst corner, and some come near.
func TestDrawsStayWithinTheCorner(t *testing.T) {
	s := window(t, 40)
	c := must[Corner](t)(s.Worst())
	d := must[*Draws](t)(s.Draw(3000))
	if most := slices.Max(d.Flatness()); !(most <= c.Figures.Flatness) || !(most >= 0.6*c.Figures.Flatness) {
		t.Errorf("up to %g dB, the corner has %g", most, c.Figures.Flatness)
	}
	if c.Tried != 256 || len(c.Levels) != 2 || math.Abs(math.Abs(c.Levels[1])-1) > 1e-12 {
		t.Errorf("%d corners, levels %v", c.Tried, c.Levels)
	}
}

// At its frequency each corner has all slopes on its side.
func TestCornersBySigns(t *testing.T) {
	s := window(t, 40)
	slopes := must[[][]float64](t)(s.slopes(s.causes(func(Driver) bool { return true })))
	from, to := s.band()
	corners := s.bySigns(slopes)
	if len(corners) != 2*(to-from) {
		t.Fatalf("%d corners", len(corners))
	}
	for c, upper := range corners {
		k := from + c/2
		moved, most := 0.0, 0.0
		for i := range slopes {
			step := slopes[i][k]
			if !upper[i] {
				step = -step
			}
			moved += step
			most += math.Abs(step)
		}
		if c%2 == 1 {
			moved = -moved
		}
		if !(math.Abs(moved-most) <= 1e-12*most) {
			t.Errorf("corner %d moves the level at %g Hz by %g, others by %g", c, s.Field.Hz[k], moved, most)
		}
	}
}

// Where both roads are open they end at the same corner.
func TestClimbFindsTheCorner(t *testing.T) {
	many := window(t, 40) // 13 causes
	many.Networks = []ladder.Network{
		append(slices.Clone(many.Networks[0]), ladder.Shunt(ladder.R(40).WithTolerance(0.1), ladder.C(2*units.Microfarad).WithTolerance(0.1))),
		append(slices.Clone(many.Networks[1]), ladder.Series(ladder.R(0.5).WithTolerance(0.1)), ladder.Shunt(ladder.R(30).WithTolerance(0.1)), ladder.Shunt(ladder.C(1*units.Microfarad).WithTolerance(0.1))),
	}
	for _, s := range []Speaker{sixParts(t, 40), window(t, 40), many} {
		all, few := must[Corner](t)(s.worst(13)), must[Corner](t)(s.worst(0))
		if !all.Exhaustive || few.Exhaustive || all.Figures != few.Figures {
			t.Errorf("%d corners: %g dB of all %d, %g dB by signs", few.Tried, all.Figures.Flatness, all.Tried, few.Figures.Flatness)
		}
	}
	if c := must[Corner](t)(many.Worst()); c.Exhaustive || c.Tried > 1000 {
		t.Errorf("13 things vary: %d corners tried", c.Tried)
	}
}
