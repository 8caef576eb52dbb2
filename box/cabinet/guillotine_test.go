package cabinet_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// A small sheet by trying every cut at every whole place with every share of the
// pieces.
func TestYieldByTryingAll(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 6))
	for range 25 {
		s := Sheet{Length: units.Length(4 + r.IntN(4)), Width: units.Length(3 + r.IntN(4)), Kerf: 1e-12}
		var list []Piece
		var value []float64
		for range 3 {
			list = append(list, Piece{Name: "p", Count: 1 + r.IntN(2), Length: units.Length(1 + r.IntN(3)), Width: units.Length(1 + r.IntN(3)), Grain: Grain(r.IntN(3))})
			value = append(value, float64(1+r.IntN(9)))
		}
		memo := map[string]float64{}
		var best func(x, y int, have [3]int) float64
		best = func(x, y int, have [3]int) float64 {
			key := fmt.Sprint(x, y, have)
			if v, ok := memo[key]; ok {
				return v
			}
			v := 0.0
			for i, p := range list {
				l, w := int(p.Length), int(p.Width)
				lies := p.Grain != GrainAcross && l <= x && w <= y || p.Grain != GrainAlong && w <= x && l <= y
				if have[i] > 0 && lies {
					v = max(v, value[i])
				}
			}
			for a := range have[0] + 1 {
				for b := range have[1] + 1 {
					for c := range have[2] + 1 {
						one, two := [3]int{a, b, c}, [3]int{have[0] - a, have[1] - b, have[2] - c}
						for cut := 1; cut < x; cut++ {
							v = max(v, best(cut, y, one)+best(x-cut, y, two))
						}
						for cut := 1; cut < y; cut++ {
							v = max(v, best(x, cut, one)+best(x, y-cut, two))
						}
					}
				}
			}
			memo[key] = v
			return v
		}
		want := 0.0
		fits := true
		for _, p := range list {
			l, w := p.Length, p.Width
			along, across := l <= s.Length && w <= s.Width, w <= s.Length && l <= s.Width
			fits = fits && (p.Grain != GrainAcross && along || p.Grain != GrainAlong && across)
		}
		if !fits {
			continue
		}
		want = best(int(s.Length), int(s.Width), [3]int{list[0].Count, list[1].Count, list[2].Count})
		y, err := s.Yield(list, value)
		if err != nil || y.Value != want {
			t.Errorf("%+v %+v %v: got %v, %v, want %g", s, list, value, y, err, want)
		}
	}
}

func TestYieldRefuses(t *testing.T) {
	s := Sheet{Length: 2.5, Width: 1.25}
	p := []Piece{{Name: "slat", Count: 3, Length: 0.5, Width: 0.1}}
	for _, v := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := s.Yield(p, []float64{v}); err == nil || !strings.Contains(err.Error(), "slat: value") {
			t.Errorf("value %g: %v", v, err)
		}
	}
	if y, err := s.Yield(p, []float64{1}); err != nil || y.Value != 3 || y.Counts[0] != 3 {
		t.Errorf("got %+v, %v", y, err)
	}
	if y, err := s.Yield(nil, nil); err != nil || y.Value != 0 {
		t.Errorf("nothing: %+v, %v", y, err)
	}
	p[0].Length = 3
	if _, err := s.Yield(p, []float64{1}); err == nil {
		t.Error("a piece larger than the sheet must be refused")
	}
	var many []Piece
	for i := range 9 {
		many = append(many, Piece{Name: "chip", Count: 50, Length: units.Length(0.0301 + 0.00137*float64(i)), Width: units.Length(0.0213 + 0.00091*float64(i))})
	}
	if _, err := s.Yield(many, make([]float64, 9)); err == nil || !strings.Contains(err.Error(), "too many ways") {
		t.Errorf("too many ways: %v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("a missing value must panic")
		}
	}()
	_, _ = s.Yield(p, nil)
}

// The bound of rolls is the linear program over all patterns, listed one by one.
func TestBoundByListingAllPatterns(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	for range 30 {
		s := Sheet{Length: units.Length(60 + r.IntN(60)), Width: 1, Kerf: 1e-12}
		var list []Piece
		for i := range 2 + r.IntN(4) {
			list = append(list, Piece{Name: "roll", Count: 20 + r.IntN(80), Length: units.Length(17 + 6*i + r.IntN(6)), Width: 1})
		}
		var patterns [][]float64
		counts := make([]float64, len(list))
		var all func(i int, room units.Length)
		all = func(i int, room units.Length) {
			if i == len(list) {
				patterns = append(patterns, append([]float64(nil), counts...))
				return
			}
			for n := units.Length(0); n*list[i].Length <= room; n++ {
				counts[i] = float64(n)
				all(i+1, room-n*list[i].Length)
			}
			counts[i] = 0
		}
		all(0, s.Length)
		n, m := len(patterns), len(list)
		a := mat.NewDense(m, n-1+m, nil)
		cost, demand := make([]float64, n-1+m), make([]float64, m)
		for j, p := range patterns[1:] { // the first is empty
			a.SetCol(j, p)
			cost[j] = 1
		}
		for i := range m {
			a.Set(i, n-1+i, -1)
			demand[i] = float64(list[i].Count)
		}
		want, _, err := lp.Simplex(cost, a, demand, 1e-10, nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Bound(list)
		if err != nil || !(math.Abs(got.Relaxed-want) <= 1e-5*want) || got.Relaxed > want*(1+1e-9) {
			t.Errorf("%+v: got %.9g, %v, all %d patterns give %.9g", list, got.Relaxed, err, n, want)
		}
	}
}
