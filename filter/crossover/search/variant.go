package search

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// A variant is one way from shelf parts, with what a pair of them is judged by.
type variant struct {
	network ladder.Network
	items   []parts.Item
	price   float64

	pressure   []complex128 // at the point, in the band, the order scattered
	below      []float64    // power of the pressure at the grid points below the lowest crossing allowed
	admittance []complex128 // of the branch, on the grid; nil without a limit of the load
}

// variants returns those from the n items nearest to each part that keep the
// limit of travel, the last part changing fastest.
func (p Problem) variants(w int, network ladder.Network, catalogue parts.Catalogue, n int) ([]variant, error) {
	near, err := nearest(w, network, catalogue, n)
	if err != nil {
		return nil, err
	}
	hz := p.Field.Hz
	band := scattered(p.band())
	drive := p.Field.Pressure(w, p.Point)
	h, z := make([]complex128, len(hz)), make([]complex128, len(hz))
	var out []variant
	pick := make([]int, len(near))
	for more := true; more; more = next(pick, near) {
		var v variant
		for i, k := range pick {
			v.items = append(v.items, near[i][k])
			v.price += near[i][k].Price
		}
		v.network = built(network, v.items)
		v.network.Solve(h, z, hz, p.Field.Load(w))
		if p.Travel != nil && p.Travel[w].PerVolt != nil && !(p.Travel[w].largest(h) <= p.Travel[w].Limit) {
			continue
		}
		for _, i := range band {
			v.pressure = append(v.pressure, h[i]*drive[i])
		}
		for i, f := range hz {
			if f < float64(p.Crossing) {
				v.below = append(v.below, power(h[i]*drive[i]))
			}
		}
		if p.Load > 0 {
			for _, z := range z {
				v.admittance = append(v.admittance, 1/z)
			}
		}
		out = append(out, v)
	}
	if out == nil {
		return nil, fmt.Errorf("search: way %d moves more than %v with every combination of shelf values", w+1, p.Travel[w].Limit)
	}
	return out, nil
}

// nearest returns the items that can stand for each part, in the order of the
// signal.
func nearest(w int, network ladder.Network, catalogue parts.Catalogue, n int) ([][]parts.Item, error) {
	var near [][]parts.Item
	count := 1.0
	for letter, part := range network.Parts() {
		items := catalogue.Nearest(part, n)
		if len(items) == 0 {
			return nil, fmt.Errorf("search: way %d, part %s: the catalogue has no %v", w+1, letter, part.Kind)
		}
		for _, item := range items {
			if err := item.Part.Check(); err != nil {
				return nil, fmt.Errorf("search: item %s: %w", item.ID, err)
			}
			if err := units.NotNegative(fmt.Sprintf("search: item %s: price", item.ID), item.Price); err != nil {
				return nil, err
			}
		}
		near = append(near, items)
		count *= float64(len(items))
	}
	if count > maxVariants {
		return nil, &units.RangeError{Field: fmt.Sprintf("search: way %d: combinations:", w+1), Value: fmt.Sprintf("%.0f", count),
			Want: fmt.Sprintf("must be at most %d: take fewer items for each part", maxVariants)}
	}
	return near, nil
}

// built returns the network with its parts replaced.
func built(network ladder.Network, items []parts.Item) ladder.Network {
	n := clone([]ladder.Network{network})[0]
	for a := range n {
		for k := range n[a].Parts {
			n[a].Parts[k] = items[0].Part
			items = items[1:]
		}
	}
	return n
}

// next counts up, the last place fastest, and returns false after the last pick.
func next(pick []int, near [][]parts.Item) bool {
	for k := len(pick) - 1; k >= 0; k-- {
		if pick[k]++; pick[k] < len(near[k]) {
			return true
		}
		pick[k] = 0
	}
	return false
}

// scattered orders a band so that its first few points already span it. There the
// levels differ most, and [squares] stops early.
func scattered(band []int) []int {
	place := make([]int, len(band))
	for i := range place {
		place[i] = i
	}
	slices.SortFunc(place, func(a, b int) int {
		return cmp.Compare(bits.Reverse64(uint64(a)), bits.Reverse64(uint64(b)))
	})
	for i, k := range place {
		place[i] = band[k]
	}
	return place
}
