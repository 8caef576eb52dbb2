package parts

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// Place is where an item stands: the frequency and the current, RMS, at which it is
// judged, and what it feeds.
type Place struct {
	Frequency units.Frequency
	Current   units.Current
	Load      units.Resistance // behind the item in series with it
}

// Difference is what one item has over another. A negative figure is less.
type Difference struct {
	Resistance units.Resistance // in series, at the frequency of the place
	Power      units.Power      // turned into heat at the current of the place
	Loss       float64          // dB, of the level in the load
	Price      float64
	Tolerance  units.Ratio
}

// Compare returns what item a has over item b in a place: the coil with iron over
// that without, the electrolytic capacitor over the film. It compares losses and
// price, not values, and knows nothing of distortion: iron saturates, and
// electrolytic capacitors drift; for the first see [Item.Bears].
//
// Loss is 20 log((Load + Ra)/(Load + Rb)), in which reactances are left out.
//
// It is a *[units.RangeError] if frequency or load is not positive or the current
// negative. It panics if the items are not of the same kind in a circuit.
func Compare(a, b Item, p Place) (Difference, error) {
	if a.Part.Kind != b.Part.Kind {
		panic(fmt.Sprintf("parts: a %v and a %v do not compare", a.Part.Kind, b.Part.Kind))
	}
	if err := cmp.Or(
		units.Positive("parts: frequency", p.Frequency),
		units.NotNegative("parts: current", p.Current),
		units.Positive("parts: load", p.Load),
	); err != nil {
		return Difference{}, err
	}
	ra, rb := real(a.Part.Impedance(float64(p.Frequency))), real(b.Part.Impedance(float64(p.Frequency)))
	i, load := float64(p.Current), float64(p.Load)
	return Difference{
		Resistance: units.Resistance(ra - rb),
		Power:      units.Power(i * i * (ra - rb)),
		Loss:       20 * math.Log10((load+ra)/(load+rb)),
		Price:      a.Price - b.Price,
		Tolerance:  a.Tolerance - b.Tolerance,
	}, nil
}
