package ts

import (
	"cmp"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Spread is how the parts of drivers of one production run differ: one standard
// deviation of each of the six numbers as a fraction, each independent of the others.
// What a sheet prints is not: a soft suspension makes fs low and Vas large, so drawing
// fs, Q and Vas one by one gives drivers that cannot be built. Zero means that all
// are alike.
//
// Print has few figures. Makers hold Re within 5 per cent and fs within 10 to 15
// (sheets of one maker; M. Turnmire 2007, talk, read). The compliance is the least
// controlled: 8 per cent of Cms and Rms, 2 of Re and Mms, 2.5 of Bl and half a per cent
// of Sd, an assumption, give 4.1 per cent of fs, 6.5 of Qts and 8.1 of Vas.
type Spread struct {
	Re, Bl, Mms, Cms, Rms, Sd float64
}

// most is the largest part of a Spread accepted: beyond it a driver is another model.
const most = 0.5

// Check refuses parts that are negative or above 0.5.
func (s Spread) Check() error {
	return cmp.Or(
		units.Within("ts: spread of Re", s.Re, 0, most),
		units.Within("ts: spread of Bl", s.Bl, 0, most),
		units.Within("ts: spread of Mms", s.Mms, 0, most),
		units.Within("ts: spread of Cms", s.Cms, 0, most),
		units.Within("ts: spread of Rms", s.Rms, 0, most),
		units.Within("ts: spread of Sd", s.Sd, 0, most),
	)
}

// Draw returns one driver of the run whose middle is d: each number times e to a
// normal deviate, six deviates in the order of the fields, also for parts that do not
// spread, so that draws with one seed stay comparable. Coil, travel, power and creep
// stay; where creep makes up nearly all of Rms, [Driver.Check] may refuse a draw of
// low Rms.
//
// For draws that do not depend on their order give each a generator of its own, as in
// rand.New(rand.NewPCG(seed, index)).
func (s Spread) Draw(d Driver, rng *rand.Rand) Driver {
	next := func(part float64) float64 { return math.Exp(part * rng.NormFloat64()) }
	d.Re *= units.Resistance(next(s.Re))
	d.Bl *= units.ForceFactor(next(s.Bl))
	d.Mms *= units.Mass(next(s.Mms))
	d.Cms *= units.Compliance(next(s.Cms))
	d.Rms *= units.MechanicalResistance(next(s.Rms))
	d.Sd *= units.Area(next(s.Sd))
	return d
}

// Estimates returns how far the figures of the drawn drivers stand from those of d,
// and how they hang together, to first order in the spread. The zero air is standard
// air.
func (s Spread) Estimates(d Driver, a air.Air) Estimates {
	c := mat.NewSymDense(6, nil)
	for i, part := range []float64{s.Re, s.Bl, s.Mms, s.Cms, s.Rms, s.Sd} {
		c.SetSym(i, i, part*part)
	}
	return estimate(d, c, a.OrStandard())
}
