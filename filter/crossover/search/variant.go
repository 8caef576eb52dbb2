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

	pressure   []complex128 // on axis, in the band, the order scattered
	below      []float64    // power of the pressure at the grid points below the lowest crossing allowed
	admittance []complex128 // of the branch, on the grid; nil without a limit of the load

	// Of the window, in the band, the order scattered: its own power, and what the
	// product with that of the other way adds, the real part of twice across times
	// the conjugate of the other's.
	own    []float64
	across []complex128
}

// variants returns those from the n items nearest to each part that keep the
// limits of travel and of resistance, the last part changing fastest.
func (m *model) variants(w int, network ladder.Network, catalogue parts.Catalogue, n int) ([]variant, error) {
	near, err := nearest(w, network, catalogue, n)
	if err != nil {
		return nil, err
	}
	order := scattered(len(m.x))
	h, z := make([]complex128, len(m.hz)), make([]complex128, len(m.hz))
	var out []variant
	moves := false
	pick := make([]int, len(near))
	for more := true; more; more = next(pick, near) {
		var v variant
		for i, k := range pick {
			v.items = append(v.items, near[i][k])
			v.price += near[i][k].Price
		}
		v.network = built(network, v.items)
		if w == 0 && !(atDC(v.network) <= m.limits.Resistance) {
			continue
		}
		v.network.Solve(h, z, m.hz, m.load[w])
		if m.travel != nil && !(m.travel[w].most(h) <= m.limits.Travel[w]) {
			moves = true
			continue
		}
		m.describe(&v, w, h, z, order)
		out = append(out, v)
	}
	switch {
	case out != nil:
		return out, nil
	case moves:
		return nil, fmt.Errorf("search: way %d moves more than %v with every combination of shelf values", w+1, m.limits.Travel[w])
	}
	return nil, fmt.Errorf("search: way 1 has more than %v in series with every combination of shelf values", m.limits.Resistance)
}

// describe works out what v is judged by.
func (m *model) describe(v *variant, w int, h, z []complex128, order []int) {
	for _, k := range order {
		v.pressure = append(v.pressure, h[m.from+k]*m.drive[w][m.from+k])
	}
	for i := range m.below {
		v.below = append(v.below, power(h[i]*m.drive[w][i]))
	}
	if m.limits.Load > 0 {
		for _, z := range z {
			v.admittance = append(v.admittance, reciprocal(z))
		}
	}
	if !m.window {
		return
	}
	for _, k := range order {
		h := h[m.from+k]
		v.own = append(v.own, power(h)*real(m.together[w][w][k]))
		if w == 0 {
			h *= 2 * m.together[0][1][k]
		}
		v.across = append(v.across, h)
	}
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
		if err := checkItems(items); err != nil {
			return nil, err
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

// checkItems returns the error of the first item that cannot be built with.
func checkItems(items []parts.Item) error {
	for _, item := range items {
		if err := item.Part.Check(); err != nil {
			return fmt.Errorf("search: item %s: %w", item.ID, err)
		}
		if err := units.NotNegative(fmt.Sprintf("search: item %s: price", item.ID), item.Price); err != nil {
			return err
		}
	}
	return nil
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

// scattered orders the n places of a band so that the first few already span it.
// There the levels differ most, and [judge.squares] stops early.
func scattered(n int) []int {
	place := make([]int, n)
	for i := range place {
		place[i] = i
	}
	slices.SortFunc(place, func(a, b int) int {
		return cmp.Compare(bits.Reverse64(uint64(a)), bits.Reverse64(uint64(b)))
	})
	return place
}
