package parts

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestBetween compares with the values of each decade.
func TestBetween(t *testing.T) {
	for _, s := range all {
		var want []float64
		for e := -7; e <= 2; e++ {
			for i := range s.Values() {
				want = append(want, decimal(s.hundredths(i), e))
			}
		}
		if got := s.Between(want[3], want[len(want)-2]); !slices.Equal(got, want[3:len(want)-1]) {
			t.Errorf("%v: got %v, want %v", s, got, want[3:len(want)-1])
		}
		inside := s.Between(math.Nextafter(want[3], 1), math.Nextafter(want[9], 0))
		if !slices.Equal(inside, want[4:9]) {
			t.Errorf("%v: got %v, want %v", s, inside, want[4:9])
		}
	}
	if got := E3.Between(5, 9); got != nil {
		t.Errorf("nothing is between: %v", got)
	}
}

func TestBracket(t *testing.T) {
	for _, test := range []struct {
		s               Series
		v, below, above float64
	}{
		{E3, 5e-6, 4.7e-6, 10e-6}, {E6, 1, 1, 1}, {E12, 9.99, 8.2, 10}, {E12, 0.83, 0.82, 1}, {E24, 3.95, 3.9, 4.3}, {E192, 9.2e-3, 9.2e-3, 9.2e-3}, {E3, 1.01e-300, 1e-300, 2.2e-300},
	} {
		if below, above := test.s.Bracket(test.v); below != test.below || above != test.above {
			t.Errorf("%v: %v is between %v and %v, want %v and %v", test.s, test.v, below, above, test.below, test.above)
		}
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		s := all[rnd.IntN(len(all))]
		v := math.Pow(10, rnd.Float64()*20-10)
		below, above := s.Bracket(v)
		if !(below <= v && v <= above && above/below < 2.3) || below != s.Nearest(v) && above != s.Nearest(v) {
			t.Errorf("%v: %v is between %v and %v, nearest %v", s, v, below, above, s.Nearest(v))
		}
	}
}

// TestCombinations compares the best with all pairs of five decades, and each with
// what it says of itself.
func TestCombinations(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		s := all[rnd.IntN(5)] // to E48
		v := math.Pow(10, rnd.Float64())
		best := math.Inf(1)
		values := s.Between(2e-3*v, 500*v)
		for i, b := range values {
			for _, a := range values[i:] {
				if a <= 100*b {
					best = min(best, ratio(a+b, v), ratio(a*b/(a+b), v))
				}
			}
		}
		got := s.Combinations(v, 5)
		if r := ratio(got[0].Value, v); r != best {
			t.Errorf("%v: %v by %+v, off by %g, but %g is possible", s, v, got[0], r-1, best-1)
		}
		for i, c := range got {
			want := c.A * c.B / (c.A + c.B)
			if c.Sum {
				want = c.A + c.B
			}
			if c.Value != want || c.A < c.B || c.A > 100*c.B || s.Nearest(c.A) != c.A || s.Nearest(c.B) != c.B {
				t.Errorf("%v: %+v", s, c)
			}
			if i > 0 && ratio(got[i-1].Value, v) > ratio(c.Value, v) {
				t.Errorf("%v: %v before %v for %v", s, got[i-1], c, v)
			}
		}
	}
	if got := E12.Combinations(1, 0); len(got) != 0 {
		t.Errorf("none asked for: %v", got)
	}
}

func TestCombinationPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"bracket of zero":      func() { E12.Bracket(0) },
		"bracket of NaN":       func() { E12.Bracket(math.NaN()) },
		"bracket of much":      func() { E12.Bracket(1e301) },
		"from zero":            func() { E12.Between(0, 1) },
		"descending":           func() { E12.Between(2, 1) },
		"to infinity":          func() { E12.Between(2, math.Inf(1)) },
		"NaN":                  func() { E12.Between(math.NaN(), 1) },
		"no series":            func() { Series(5).Between(1, 2) },
		"combinations of zero": func() { E12.Combinations(0, 1) },
		"combinations of NaN":  func() { E12.Combinations(math.NaN(), 1) },
		"combinations: none":   func() { E12.Combinations(1, -1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

func BenchmarkCombinations(b *testing.B) {
	for b.Loop() {
		E24.Combinations(3.77e-6, 5)
	}
}
