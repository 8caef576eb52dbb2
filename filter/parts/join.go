package parts

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Pair is two items that stand for one part. It is two parts to buy, to count and
// to solder.
type Pair struct {
	A, B     Item
	Parallel bool
	Joined   Item // what the two are together, see [Join]
}

// Pairs returns up to n pairs of items, in series or in parallel, that can stand
// for the part: of the same kind in a circuit and nearest in the ratio of the
// values. Of equal ratios the cheaper comes first, then by the IDs, series before
// parallel. An item pairs with itself if there are two of it. To keep the kinds
// apart, ask the catalogue [Catalogue.Of] one kind.
//
// It panics if the part's value is not positive and finite, or n negative.
func (c Catalogue) Pairs(part ladder.Part, n int) []Pair {
	if !(part.Value > 0) || math.IsInf(part.Value, 0) {
		panic(fmt.Sprintf("parts: %v: value must be positive and finite", part))
	}
	type candidate struct {
		a, b         *Item
		parallel     bool
		ratio, price float64
	}
	var found []candidate
	for i := range c {
		for j := i; j < len(c); j++ {
			a, b := &c[i], &c[j]
			if a.Part.Kind != part.Kind || b.Part.Kind != part.Kind || i == j && a.Quantity == 1 {
				continue
			}
			if a.ID > b.ID {
				a, b = b, a
			}
			for _, parallel := range []bool{false, true} {
				v := joinedValue(part.Kind, parallel, a.Part.Value, b.Part.Value)
				found = append(found, candidate{a, b, parallel, ratio(v, part.Value), a.Price + b.Price})
			}
		}
	}
	slices.SortStableFunc(found, func(x, y candidate) int {
		return cmp.Or(
			cmp.Compare(x.ratio, y.ratio),
			cmp.Compare(x.price, y.price),
			cmp.Compare(x.a.ID, y.a.ID),
			cmp.Compare(x.b.ID, y.b.ID),
		)
	})
	pairs := make([]Pair, min(n, len(found)))
	for i := range pairs {
		f := found[i]
		pairs[i] = Pair{*f.a, *f.b, f.parallel, Join(*f.a, *f.b, f.parallel)}
	}
	return pairs
}

// Join returns two items in series, or in parallel, as one.
//
// The value is that of the two, where coils do not couple: set them apart, or at
// right angles. Resistance and Loss are those of the two together where they are
// small against the reactance, which leaves an error of the second order; in series
// they are exact. The tolerance is the worst case of both. The rating is what the
// two bear together, each with its share; it is not given if one has none, or if an
// air-core coil joins one with iron, whose ratings mean different things. Prices
// add. The kind is the one with the larger losses, iron or electrolytic.
//
// It panics if the two are not of the same kind in a circuit.
func Join(a, b Item, parallel bool) Item {
	kind := a.Part.Kind
	if b.Part.Kind != kind {
		panic(fmt.Sprintf("parts: a %v and a %v do not make one part", kind, b.Part.Kind))
	}
	va, vb := a.Part.Value, b.Part.Value
	sum := adds(kind, parallel)
	j := Item{ID: a.ID + " + " + b.ID, Kind: max(a.Kind, b.Kind), Price: a.Price + b.Price}
	if parallel {
		j.ID = a.ID + " | " + b.ID
	}
	j.Part = ladder.Part{Kind: kind, Value: joinedValue(kind, parallel, va, vb)}

	// How much of the current, in parallel, or of the voltage, in series, each takes.
	share := va / (va + vb)
	if !sum {
		share = vb / (va + vb)
	}
	if parallel {
		// The heat of each by the square of its current.
		j.Part.Resistance = units.Resistance(share*share)*a.Part.Resistance + units.Resistance((1-share)*(1-share))*b.Part.Resistance
	} else {
		j.Part.Resistance = a.Part.Resistance + b.Part.Resistance
	}
	// Of reactive power, each takes its share.
	j.Part.Loss = share*a.Part.Loss + (1-share)*b.Part.Loss

	at := func(sign float64) float64 {
		return joinedValue(kind, parallel, va*(1+sign*float64(a.Tolerance)), vb*(1+sign*float64(b.Tolerance))) / j.Part.Value
	}
	j.Tolerance = units.Ratio(max(at(1)-1, 1-at(-1)))
	j.Part.Tolerance = j.Tolerance

	switch kind {
	case ladder.Resistor:
		j.Rating.Power = least(a.Rating.Power, b.Rating.Power, share)
	case ladder.Capacitor:
		if parallel {
			j.Rating.Voltage = min(a.Rating.Voltage, b.Rating.Voltage)
		} else {
			j.Rating.Voltage = least(a.Rating.Voltage, b.Rating.Voltage, share)
		}
	case ladder.Inductor:
		switch {
		case a.Kind != b.Kind:
		case parallel:
			j.Rating.Current = least(a.Rating.Current, b.Rating.Current, share)
		default:
			j.Rating.Current = min(a.Rating.Current, b.Rating.Current)
		}
	}

	switch {
	case a.ID == b.ID:
		j.Quantity = a.Quantity / 2
	case a.Quantity == 0 || b.Quantity == 0:
		j.Quantity = max(a.Quantity, b.Quantity)
	default:
		j.Quantity = min(a.Quantity, b.Quantity)
	}
	return j
}

// adds says whether values add; if not, their reciprocals do.
func adds(kind ladder.Kind, parallel bool) bool { return (kind == ladder.Capacitor) == parallel }

func joinedValue(kind ladder.Kind, parallel bool, a, b float64) float64 {
	if adds(kind, parallel) {
		return a + b
	}
	return a * b / (a + b)
}

// least returns what two bear together if the first takes a share of it.
func least[Q ~float64](a, b Q, share float64) Q { return min(a/Q(share), b/Q(1-share)) }
