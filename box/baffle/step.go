package baffle

import (
	"cmp"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// Step returns the simplest model of a panel's effect on axis, full space over half
// space: a shelf of first order that rises from 1/2 to 1 and is −3.01 dB at c/(3 W) for
// a panel of the width W, the smaller of its sides:
//
//	H(s) = (s + ω/2)/(s + ω),  ω = 2π √2 c/(3W)
//
// The frequency is the rule 115/W, common practice without a source, which is c/(3W)
// for 345 m/s. Against a boundary-element solution of a cube with a source in the
// middle of its face the shelf is 0.3 dB low at kW = 1, 1.5 dB at kW = 2 and 4.6 dB at
// kW = 4, since a panel rises to 4 dB above its mean and ripples, as no shelf does.
// Use it for the level of the bass against the rest, no more.
//
// It is an error if width or speed of sound is not positive.
func Step(width units.Length, c units.Velocity) (rational.Func, error) {
	if err := cmp.Or(units.Positive("baffle: width", width), units.Positive("baffle: speed of sound", c)); err != nil {
		return rational.Func{}, err
	}
	w := 2 * math.Pi * math.Sqrt2 * float64(c) / (3 * float64(width/units.Metre))
	return rational.Func{Zeros: []complex128{complex(-w/2, 0)}, Poles: []complex128{complex(-w, 0)}, Gain: 1}, nil
}
