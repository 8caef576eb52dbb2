package spread

import (
	"math"
	"testing"

	"example.com/halfspace/units"
)

func TestCompareByHand(t *testing.T) {
	c := Compare([]float64{1, 2, 3, 4}, []float64{0.5, 2, 3.5, 2})
	// Differences 0.5, 0, -0.5, 2: mean 0.5, variance (0 + 0.25 + 1 + 2.25)/3.
	if want := (Comparison{4, 0.625, 0.5, math.Sqrt(3.5 / 3)}); c.Pairs != 4 || c.Probability != want.Probability || c.Gain != want.Gain || !(math.Abs(c.Noise-want.Noise) < 1e-15) {
		t.Errorf("%+v, want %+v", c, want)
	}
	back := Compare([]float64{0.5, 2, 3.5, 2}, []float64{1, 2, 3, 4})
	if back.Probability != 1-c.Probability || back.Gain != -c.Gain || back.Noise != c.Noise {
		t.Errorf("the other way round %+v, of %+v", back, c)
	}
	inf := math.Inf(1)
	if c := Compare([]float64{inf, inf, 1}, []float64{inf, 1, 1}); c.Probability != 2./3 || c.Gain != inf {
		t.Errorf("with nulls: %+v", c)
	}
	for _, bad := range [][2][]float64{{{1, 2}, {1}}, {{1}, {1}}, {nil, nil}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v: no panic", bad)
				}
			}()
			Compare(bad[0], bad[1])
		}()
	}
}

// A design is not distinguishable from itself, nor from one a little off within wide
// tolerances, but from that within narrow ones.
func TestIndistinguishable(t *testing.T) {
	ripples := func(tolerance units.Ratio, change float64, seed uint64) []float64 {
		s := sixParts(t, 40)
		s.Seed = seed
		for _, n := range s.Networks {
			for _, x := range tolerances(n) {
				*x = tolerance
			}
		}
		s.Networks[0][0].Parts[0].Value *= 1 + change
		return must[*Draws](t)(s.Draw(500)).Flatness()
	}
	a := ripples(0.2, 0, 1)
	if c, same := Indistinguishable(a, a, 0.9); !same || c.Probability != 0.5 || c.Gain != 0 || c.Noise != 0 {
		t.Errorf("against itself: %v, %+v", same, c)
	}
	if c, same := Indistinguishable(a, ripples(0.2, 0, 2), 0.9); !same || math.Abs(c.Probability-0.5) > 0.1 {
		t.Errorf("against other draws of itself: %v, %+v", same, c)
	}
	exact, moved := ripples(0, 0, 1), ripples(0, 0.02, 1)
	if c, same := Indistinguishable(exact, moved, 0.9); same || c.Probability != 0 && c.Probability != 1 || c.Noise > 1e-12 {
		t.Errorf("exact parts: %v, %+v", same, c)
	}
	if c, same := Indistinguishable(a, ripples(0.2, 0.02, 3), 0.9); !same {
		t.Errorf("a change of 2 %% within ±20 %%: %v, %+v", same, c)
	}
	if _, same := Indistinguishable([]float64{1, 1, 1, 1}, []float64{0, 0, 0, 2}, 0.75); same {
		t.Error("better in three of four pairs: not told apart at a share of 0.75")
	}
	if _, same := Indistinguishable([]float64{1, 1, 1, 1}, []float64{0, 0, 0, 2}, math.NaN()); !same {
		t.Error("told apart at a share of NaN")
	}
}
