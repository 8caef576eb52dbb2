package parts

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Choices returns the items whose value is within a ratio of that of the part, as
// 0.02 for two per cent: the same coil of thin and of thick wire or with iron, the
// same capacitor as film and as electrolytic. The cheapest comes first, then that
// of the least series resistance at 1 kHz, then that whose ID sorts first.
//
// It panics if the part's value is not positive and finite, or within negative.
func (c Catalogue) Choices(part ladder.Part, within units.Ratio) []Item {
	if !(part.Value > 0) || math.IsInf(part.Value, 0) || !(within >= 0) {
		panic(fmt.Sprintf("parts: %v within %v: value must be positive and finite, ratio zero or positive", part, within))
	}
	var found []Item
	for _, item := range c {
		// A hair, as the ends of a decimal ratio are not binary.
		if item.Part.Kind == part.Kind && ratio(item.Part.Value, part.Value) <= (1+float64(within))*(1+1e-12) {
			found = append(found, item)
		}
	}
	slices.SortStableFunc(found, func(a, b Item) int {
		return cmp.Or(
			cmp.Compare(a.Price, b.Price),
			cmp.Compare(real(a.Part.Impedance(1000)), real(b.Part.Impedance(1000))),
			cmp.Compare(a.ID, b.ID),
		)
	})
	return found
}

// CheckStock returns a *[units.RangeError] that names the first item, by its ID,
// that stands in items more often than there are of it.
func CheckStock(items []Item) error {
	used := map[string]int{}
	for _, item := range items {
		used[item.ID]++
		if item.Quantity > 0 && used[item.ID] > item.Quantity {
			return &units.RangeError{Field: "parts: " + item.ID + ": number in use", Value: fmt.Sprint(used[item.ID]), Want: fmt.Sprintf("must be at most %d, as many as there are", item.Quantity)}
		}
	}
	return nil
}
