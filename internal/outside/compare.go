package outside

import (
	"fmt"
	"maps"
	"math"
	"math/cmplx"
	"slices"
)

// Relative returns the distance of got from want over the modulus of want.
// Equal values are at 0, also zeros.
func Relative(got, want complex128) float64 { return Scaled(got, want, cmplx.Abs(want)) }

// Scaled returns the distance of got from want over a scale.
func Scaled(got, want complex128, scale float64) float64 {
	if got == want {
		return 0
	}
	return cmplx.Abs(got-want) / scale
}

// again is how far a recomputed value may be from a recorded one.
const again = 1e-9

// Differences compares two recordings and returns the largest relative difference,
// with a line for each curve or list in which it exceeds 1e-9 and for each that
// only one of them has. Real values are compared relative to the value, or to a
// millionth of the largest of the list where they are smaller than that.
func Differences(got, want Recording) (worst float64, lines []string) {
	report := func(id, name string, d float64) {
		worst = max(worst, d)
		if !(d <= again) {
			lines = append(lines, fmt.Sprintf("%s: %s: differs by %.2g", id, name, d))
		}
	}
	for _, id := range union(got.Results, want.Results) {
		a, b := got.Results[id], want.Results[id]
		for _, name := range union(a.Curves, b.Curves) {
			report(id, name, apart(a.Curves[name], b.Curves[name], func(x, y complex128) float64 { return Relative(x, y) }))
		}
		for _, name := range union(a.Numbers, b.Numbers) {
			var largest float64
			for _, v := range b.Numbers[name] {
				largest = max(largest, math.Abs(v))
			}
			report(id, name, apart(a.Numbers[name], b.Numbers[name], func(x, y float64) float64 {
				return Scaled(complex(x, 0), complex(y, 0), max(math.Abs(y), 1e-6*largest))
			}))
		}
	}
	return worst, lines
}

// apart returns the largest distance, infinite if the lengths differ.
func apart[T any](a, b []T, distance func(x, y T) float64) float64 {
	if len(a) != len(b) {
		return math.Inf(1)
	}
	var worst float64
	for i := range a {
		d := distance(a[i], b[i])
		if math.IsNaN(d) {
			return math.Inf(1)
		}
		worst = max(worst, d)
	}
	return worst
}

// union returns the keys of both, sorted.
func union[V any](a, b map[string]V) []string {
	all := maps.Clone(a)
	if all == nil {
		all = map[string]V{}
	}
	maps.Copy(all, b)
	return slices.Sorted(maps.Keys(all))
}
