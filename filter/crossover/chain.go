package crossover

import (
	"fmt"
	"slices"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A Chain takes a driver's curve, as it was measured or printed, to that of the
// driver as it is built in: brought to 1 V and 1 m, times the effect of the box,
// times the effect of the panel. How the curve was taken says what it already
// contains, and each effect counts once.
type Chain struct {
	Name  string         // of the driver, for errors
	Curve []complex128   // pressure in Pa with its phase, flight time left out
	Taken response.Taken // how; must be said
	Box   Effect
	Panel Effect
}

// An Effect is what a box or a panel does to the pressure of a driver. The zero
// value changes nothing.
//
// Of a box it is the pressure in the box over that with a free rear side, of a
// panel that on the panel in full space over that in half space.
type Effect struct {
	Name     string       // of what the driver is built into, in words
	Built    []complex128 // its effect; nil if there is none to apply
	Measured []complex128 // of the one in which the curve was taken, to be taken out; nil for none
}

// A Stage is a curve on its way through a chain.
type Stage struct {
	Taken response.Taken // as if it had been taken like this
	P     []complex128   // Pa at 1 m per volt at the terminals
}

// Pressure returns the end of the chain, in Pa at 1 m per volt. The errors are
// those of [Chain.Stages].
func (c Chain) Pressure() ([]complex128, error) {
	stages, err := c.Stages()
	if err != nil {
		return nil, err
	}
	return stages[len(stages)-1].P, nil
}

// Stages returns the curve per volt and at 1 m, in full or half space; then in the
// box and on the panel, as far as they change it.
//
// A curve taken on the floor is halved first, since there the image in the floor
// doubles the pressure. It is an error if an effect would count twice; if one is
// to be taken out that is not in the curve; and if nobody said how the curve was
// taken, or it is a near field, which must be brought to half space first
// ([response.NearField]). It panics if slices differ in length.
func (c Chain) Stages() ([]Stage, error) {
	if err := c.Taken.Check(); err != nil {
		return nil, fmt.Errorf("crossover: %s: %w", c.Name, err)
	}
	gain := 1.0
	switch c.Taken.Mounting {
	case response.HalfSpace, response.OnPanel:
	case response.OnFloor:
		gain = 0.5
	case response.Unsaid:
		return nil, fmt.Errorf("crossover: %s: nobody said how its curve was taken: want half space, on a panel, or on the floor", c.Name)
	default:
		return nil, fmt.Errorf("crossover: %s: its curve was taken %v: bring it to half space first", c.Name, c.Taken.Mounting)
	}
	if c.Taken.Voltage > 0 {
		gain /= float64(c.Taken.Voltage)
	}
	if c.Taken.Distance > 0 {
		gain *= float64(c.Taken.Distance / units.Metre)
	}
	at := Stage{Taken: c.Taken, P: make([]complex128, len(c.Curve))}
	for i, p := range c.Curve {
		at.P[i] = complex(gain, 0) * p
	}
	at.Taken.Voltage, at.Taken.Distance = 0, 0
	if at.Taken.Mounting == response.OnFloor {
		at.Taken.Mounting = response.OnPanel
	}
	stages := []Stage{at}

	boxed := c.Taken.Box != ""
	if changed, err := c.apply(&at, "box", c.Box, boxed); err != nil {
		return nil, err
	} else if changed {
		at.Taken.Box = name(c.Box, "the box")
		stages = append(stages, at)
	}
	mounted := at.Taken.Mounting == response.OnPanel
	if changed, err := c.apply(&at, "panel", c.Panel, mounted); err != nil {
		return nil, err
	} else if changed {
		at.Taken.Mounting, at.Taken.Panel = response.OnPanel, name(c.Panel, "the panel")
		if c.Panel.Built == nil {
			at.Taken.Mounting, at.Taken.Panel = response.HalfSpace, ""
		}
		stages = append(stages, at)
	}
	return stages, nil
}

// name returns what an effect leaves the driver in.
func name(e Effect, otherwise string) string {
	switch {
	case e.Built == nil:
		return ""
	case e.Name == "":
		return otherwise
	}
	return e.Name
}

// apply multiplies by an effect, on a copy, and says whether it changes anything.
func (c Chain) apply(at *Stage, what string, e Effect, contained bool) (bool, error) {
	switch {
	case e.Built == nil && e.Measured == nil:
		return false, nil
	case contained && e.Measured == nil:
		return false, fmt.Errorf("crossover: %s: its curve already contains the %s, whose effect would count twice", c.Name, what)
	case !contained && e.Measured != nil:
		return false, fmt.Errorf("crossover: %s: the effect of a %s is to be taken out of a curve that has none", c.Name, what)
	}
	at.P = slices.Clone(at.P)
	for _, f := range [][]complex128{e.Built, e.Measured} {
		if f != nil && len(f) != len(at.P) {
			panic(fmt.Sprintf("crossover: slices of different lengths: %s %d, curve %d", what, len(f), len(at.P)))
		}
	}
	for i := range at.P {
		if e.Built != nil {
			at.P[i] *= e.Built[i]
		}
		if e.Measured != nil {
			at.P[i] /= e.Measured[i]
		}
	}
	return true, nil
}
