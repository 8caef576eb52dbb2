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
	try := func(want float64, with func(partner float64)) {
		below, above := s.Bracket(want)
		with(below)
		if above != below {
			with(above)
		}
	}
	lower, upper := s.Bracket(v)
	half, _ := s.Bracket(v / 2)
	_, double := s.Bracket(2 * v)
	for _, a := range s.Between(half, upper) {
		try(max(v-a, a/100), func(b float64) { add(a, b, true) })
	}
	for _, b := range s.Between(lower, double) {
		// What is left of the conductance; none or less calls for the largest partner.
		a := 100 * b
		if rest := 1/v - 1/b; rest*a > 1 {
			a = 1 / rest
		}
		try(a, func(a float64) { add(a, b, false) })
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
