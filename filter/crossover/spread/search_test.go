package spread_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/units"
)

// The figures of the design itself are those that a search would give it.
func TestSameFiguresAsSearch(t *testing.T) {
	s, err := twoWay()
	if err != nil {
		t.Fatal(err)
	}
	s.Field, err = crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: cone{}, Position: r3.Vec{Y: -0.1}},
		{Name: "tweeter", Radiator: dome{900}, Inverted: true},
	}, s.Field.Hz, 344, r3.Vec{X: 0.5, Z: 1.9}, r3.Vec{Z: 2}, r3.Vec{Y: 0.4, Z: 1.9})
	if err != nil {
		t.Fatal(err)
	}
	s.Inverted, s.Point = true, 1
	for _, n := range s.Networks {
		for a := range n {
			for i := range n[a].Parts {
				n[a].Parts[i].Tolerance = 0
			}
		}
	}
	tilted := make([]float64, len(s.Field.Hz))
	for k := range tilted {
		tilted[k] = 3 - 0.05*float64(k)
	}
	for _, c := range []struct {
		window, target []float64
		lo, hi         units.Frequency
	}{{nil, nil, 0, 0}, {[]float64{0, 1, 0}, nil, 300, 15000}, {[]float64{1, 2, 3}, tilted, 500, 10000}} {
		s.Window, s.Target, s.Lo, s.Hi = c.window, c.target, c.lo, c.hi
		d, err := s.Draw(1)
		if err != nil {
			t.Fatal(err)
		}
		p := search.Problem{Field: s.Field, Inverted: s.Inverted, Point: s.Point, Window: s.Window, Lo: s.Lo, Hi: s.Hi, Target: s.Target}
		want, got := p.Score(s.Networks...), d.Figures[0]
		for name, pair := range map[string][2]float64{
			"flatness": {got.Flatness, want.Flatness}, "ripple": {got.Ripple, want.Ripple},
			"window": {got.Window, want.Window}, "load": {float64(got.Load), float64(want.Load)},
		} {
			if !(math.Abs(pair[0]-pair[1]) <= 1e-11) || !(pair[1] > 0.01) {
				t.Errorf("%v to %v: %s %.14g, the search says %.14g", c.lo, c.hi, name, pair[0], pair[1])
			}
		}
	}
}
