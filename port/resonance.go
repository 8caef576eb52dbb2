package port

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Resonance is one of the tube itself, half a wave or more between its ends.
type Resonance struct {
	N         int // half waves
	Frequency units.Frequency
	Q         float64
}

// Bandwidth returns the width of the resonance between its half-power points,
// Frequency/Q.
func (r Resonance) Bandwidth() units.Frequency { return r.Frequency / units.Frequency(r.Q) }

// PipeResonance returns the nth resonance of the tube itself, n·c/(2·Leff), at
// which a vent passes on what the box holds of midrange; n = 1 is the first.
// End corrections are those of low frequency, so it is a few per cent low for
// wide vents. It panics if n < 1. Zero air is standard air.
func (v Vent) PipeResonance(n int, a air.Air) units.Frequency {
	if n < 1 {
		panic("port: pipe resonances count from 1")
	}
	return units.Frequency(float64(n) * float64(a.OrStandard().SpeedOfSound) / (2 * float64(v.EffectiveLength())))
}

// Resonances returns the resonances of the tube that lie below a frequency, in order:
// with the crossover's frequency, those that the driver can excite. Frequencies are
// those of [Vent.PipeResonance], and
//
//	Q = nπ/(2α Leff − ln|R(outer) R(inner)|)
//
// with [Vent.Attenuation] α and the reflections of [Mouth.OpenEnd]; a rectangle counts as
// the round vent of equal area. The end in a real box reflects more than that in open
// space: expect Q to be off by a third. Those beyond the first
// wave across the vent (ka = 1.84) are left out, since the tube is no line there. It
// is an error unless the vent passes its check, below is positive and mu not negative.
// Zero air is standard air, zero mu [StandardViscosity].
func (v Vent) Resonances(below units.Frequency, a air.Air, mu units.Viscosity) ([]Resonance, error) {
	a = a.OrStandard()
	if err := cmp.Or(v.Check(), units.Positive("port: frequency", below), a.Check(), units.NotNegative("port: viscosity", mu)); err != nil {
		return nil, err
	}
	var list []Resonance
	radius := math.Sqrt(v.section(0) / math.Pi)
	for n := 1; ; n++ {
		f := v.PipeResonance(n, a)
		ka := 2 * math.Pi * float64(f) * radius / float64(a.SpeedOfSound)
		if !(f < below && ka < 1.84) {
			return list, nil
		}
		_, outer := v.Outer.OpenEnd(ka)
		_, inner := v.Inner.OpenEnd(ka)
		lost := 2*v.Attenuation(f, a, mu)*float64(v.EffectiveLength()) - math.Log(outer*inner)
		list = append(list, Resonance{N: n, Frequency: f, Q: float64(n) * math.Pi / lost})
	}
}
