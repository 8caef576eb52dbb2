package parts

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Kind is what an item is made as.
type Kind uint8

// The kinds of items.
const (
	AirCoil Kind = iota
	IronCoil
	FilmCapacitor
	BipolarCapacitor
	Resistor
)

var kinds = [...]struct {
	name string
	part ladder.Kind
}{
	AirCoil:          {"air-core coil", ladder.Inductor},
	IronCoil:         {"iron-cored coil", ladder.Inductor},
	FilmCapacitor:    {"film capacitor", ladder.Capacitor},
	BipolarCapacitor: {"bipolar electrolytic capacitor", ladder.Capacitor},
	Resistor:         {"resistor", ladder.Resistor},
}

// String returns the name that stands in a price list, as "air-core coil".
func (k Kind) String() string {
	if int(k) < len(kinds) {
		return kinds[k].name
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// Item is one article of a catalogue.
type Item struct {
	ID        string
	Kind      Kind
	Part      ladder.Part // value, losses and tolerance
	Tolerance units.Ratio // of the value, either way; that of Part
	Rating    Rating
	Price     float64 // for one, in the currency of the catalogue
	Note      string
	Quantity  int // how many there are; zero is as many as one likes
}

// Rating is what an item bears; the field that belongs to its kind is given.
type Rating struct {
	Current units.Current // coil: continuous; with an iron core: peak, where the core saturates
	Voltage units.Voltage // capacitor
	Power   units.Power   // resistor
}

// Catalogue is a price list.
type Catalogue []Item

// Of returns the items of the given kinds, in the order of the catalogue.
func (c Catalogue) Of(wanted ...Kind) Catalogue {
	var some Catalogue
	for _, item := range c {
		if slices.Contains(wanted, item.Kind) {
			some = append(some, item)
		}
	}
	return some
}

// Nearest returns up to n items that can stand for the part: of the same kind in a
// circuit, so a coil with or without iron, and nearest in the ratio of the values.
// Of equal ratios the cheaper comes first, then the one whose ID sorts first. The
// losses of part do not matter.
//
// It panics if the part's value is not positive and finite, or n negative.
func (c Catalogue) Nearest(part ladder.Part, n int) []Item {
	if !(part.Value > 0) || math.IsInf(part.Value, 0) {
		panic(fmt.Sprintf("parts: %v: value must be positive and finite", part))
	}
	var found []Item
	for _, item := range c {
		if item.Part.Kind == part.Kind {
			found = append(found, item)
		}
	}
	slices.SortStableFunc(found, func(a, b Item) int {
		return cmp.Or(
			cmp.Compare(ratio(a.Part.Value, part.Value), ratio(b.Part.Value, part.Value)),
			cmp.Compare(a.Price, b.Price),
			cmp.Compare(a.ID, b.ID),
		)
	})
	return found[:min(n, len(found))]
}

// ratio returns the larger over the smaller.
func ratio(x, y float64) float64 { return max(x, y) / min(x, y) }
