package parts

import (
	"cmp"
	"fmt"
	"slices"
)

// Combination is two preferred values that together make a third.
type Combination struct {
	A, B float64 // A is not below B

	// Sum says that the values add: resistors and coils in series, capacitors in
	// parallel. If not, their reciprocals do.
	Sum   bool
	Value float64 // A + B or AB/(A+B)
}

// Combinations returns up to n pairs of values of the series that come nearest to
// v by ratio, the nearest first; of equal ones that with the smaller A first. Each
// is two parts to buy. Pairs whose values are more than a hundred apart are left
// out, as the tolerance of the one covers the other.
//
// For each possible A or B, only the two nearest partners are looked at, so of
// combinations on one side of v the second best with the same value may be missing.
// It panics if v is not from 1e-290 to 1e290, n negative, or s not a series of the
// standard.
func (s Series) Combinations(v float64, n int) []Combination {
	if !(v >= 1e-290 && v <= 1e290) {
		panic(fmt.Sprintf("parts: value %v: must be from 1e-290 to 1e290", v))
	}
	var found []Combination
	add := func(a, b float64, sum bool) {
		if a < b || a > 100*b {
			return
		}
		c := Combination{A: a, B: b, Sum: sum, Value: a + b}
		if !sum {
			c.Value = a * b / (a + b)
		}
		found = append(found, c)
	}
	_, wide := s.Bracket(2 * v)
	narrow, _ := s.Bracket(v / 2)
	for _, a := range s.Between(narrow, v) {
		if rest := v - a; rest > a/1000 {
			below, above := s.Bracket(rest)
			add(a, below, true)
			if above != below {
				add(a, above, true)
			}
		}
	}
	for _, b := range s.Between(v, wide) {
		if rest := 1 / (1/v - 1/b); rest > 0 && rest < 1000*b {
			below, above := s.Bracket(rest)
			add(below, b, false)
			if above != below {
				add(above, b, false)
			}
		}
	}
	slices.SortFunc(found, func(x, y Combination) int {
		return cmp.Or(
			cmp.Compare(ratio(x.Value, v), ratio(y.Value, v)),
			cmp.Compare(x.A, y.A),
			cmp.Compare(x.B, y.B),
		)
	})
	return found[:min(n, len(found))]
}
