package crossover

import (
	"fmt"
	"slices"
)

// Effects are the things between a driver and what a microphone hears, as a set.
type Effects uint8

// The effects a curve may already contain.
const (
	InBox   Effects = 1 << iota // of the enclosure the driver will have
	OnPanel                     // of a front panel of finite size
)

// A Chain takes a driver's curve to that of the driver as it is built in: the
// curve, times the effect of the box, times the effect of the panel. Each effect
// counts once.
//
// Box is the pressure in the box as built over that in the mounting of the
// measurement, both from one model. So a curve measured in some other box takes
// its factor here and does not have InBox; the curve of the driver in the very box
// has InBox and takes none. Panel is the pressure on the panel in full space over
// that in half space.
type Chain struct {
	Name  string       // of the driver, for errors
	Curve []complex128 // Pa at 1 m per volt at the terminals
	Has   Effects      // what Curve already contains
	Box   []complex128 // nil for none
	Panel []complex128 // nil for none
}

// Pressure returns the product, in Pa at 1 m per volt. It is an error if an effect
// would count twice. It panics if the slices differ in length.
func (c Chain) Pressure() ([]complex128, error) {
	out := slices.Clone(c.Curve)
	for _, e := range []struct {
		name   string
		effect Effects
		factor []complex128
	}{
		{"box", InBox, c.Box}, {"panel", OnPanel, c.Panel},
	} {
		if e.factor == nil {
			continue
		}
		if c.Has&e.effect != 0 {
			return nil, fmt.Errorf("crossover: %s: its curve already contains the %s, whose effect would count twice", c.Name, e.name)
		}
		if len(e.factor) != len(out) {
			panic(fmt.Sprintf("crossover: slices of different lengths: %s %d, curve %d", e.name, len(e.factor), len(out)))
		}
		for i, f := range e.factor {
			out[i] *= f
		}
	}
	return out, nil
}
