package crossover

import "fmt"

// Effects are the things between a driver and what a microphone hears.
type Effects uint8

// The effects a curve may already contain.
const (
	InBox   Effects = 1 << iota // measured in its enclosure
	OnPanel                     // measured on a front panel of finite size
)

// A Chain takes a driver's curve to that of the driver as it is built in: the
// curve, times the effect of the box (as built over as measured), times the effect
// of the panel (full space over half space). Each effect counts once.
type Chain struct {
	Name  string       // of the driver, for errors
	Curve []complex128 // Pa at 1 m per volt
	Has   Effects      // what Curve already contains
	Box   []complex128 // nil for none
	Panel []complex128 // nil for none
}

// Pressure returns the product. It is an error if an effect would count twice;
// slices of different lengths panic.
func (c Chain) Pressure() ([]complex128, error) {
	out := append([]complex128(nil), c.Curve...)
	for _, e := range []struct {
		name   string
		which  Effects
		factor []complex128
	}{
		{"box", InBox, c.Box}, {"panel", OnPanel, c.Panel},
	} {
		if e.factor == nil {
			continue
		}
		if c.Has&e.which != 0 {
			return nil, fmt.Errorf("crossover: %s: its curve already contains the %s, whose effect would count twice", c.Name, e.name)
		}
		if len(e.factor) != len(out) {
			panic(fmt.Sprintf("crossover: %d values of the %s for %d of the curve", len(e.factor), e.name, len(out)))
		}
		for i, f := range e.factor {
			out[i] *= f
		}
	}
	return out, nil
}
