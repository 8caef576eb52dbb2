package port

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Tuning returns the Helmholtz resonance of the vents with a box of net volume
// vb: the air in the vents as one mass, the air in the box as one spring.
//
//	fB = (c/2π) √(S/(V Leff))
//
// It is high by a share of about S·Leff/(6V); see [Vent.LineTuning]. Zero air
// is standard air.
func (v Vent) Tuning(vb units.Volume, a air.Air) units.Frequency {
	c := float64(a.OrStandard().SpeedOfSound)
	return units.Frequency(c / (2 * math.Pi) * math.Sqrt(float64(v.Area())/(float64(vb)*float64(v.EffectiveLength()))))
}

// Tuned returns v with the Length that tunes a box of net volume vb to fb: the
// inverse of [Vent.Tuning]. The Length of v itself is not looked at. It is an
// error if the mouths alone already hold so much air that no length is left.
func (v Vent) Tuned(vb units.Volume, fb units.Frequency, a air.Air) (Vent, error) {
	if err := cmp.Or(v.checkSection(), units.Positive("port: box volume", vb),
		units.Positive("port: tuning", fb), a.OrStandard().Check()); err != nil {
		return Vent{}, err
	}
	k := 2 * math.Pi * float64(fb) / float64(a.OrStandard().SpeedOfSound)
	v.Length = 0
	limit := v.Tuning(vb, a)
	v.Length = units.Length(float64(v.Area())/(k*k*float64(vb))) - v.ends()
	if !(v.Length > 0) {
		return Vent{}, &units.RangeError{Field: "port: tuning", Value: fb.String(),
			Want: fmt.Sprintf("must be below %v, where vents of %v in %v have no length left (needs %v); take more area", limit, v.Area(), vb, v.Length)}
	}
	if err := units.Positive("port: length", v.Length); err != nil {
		return Vent{}, err
	}
	return v, nil
}

// LineTuning returns the resonance with the vents as transmission lines rather
// than one mass, the lowest root of
//
//	tan(k Leff) = S/(kV),  k = 2πf/c
//
// It lies below [Vent.Tuning]; compare the two when k·Leff exceeds 0.2. The box
// is still one spring: a box that is long itself tunes lower again. Zero air is
// standard air.
func (v Vent) LineTuning(vb units.Volume, a air.Air) units.Frequency {
	l := float64(v.EffectiveLength())
	x := lineRoot(float64(v.Area()) * l / float64(vb))
	return units.Frequency(x * float64(a.OrStandard().SpeedOfSound) / (2 * math.Pi * l))
}

// lineRoot returns the root of x tan x = m in 0 < x < π/2. Newton's method on
// x sin x − m cos x, which has one root there and rises all the way; steps that
// would leave the bracket are halved into it.
func lineRoot(m float64) float64 {
	lo, hi := 0., math.Pi/2
	x := math.Sqrt(m / (1 + m*4/(math.Pi*math.Pi))) // right at both ends
	for range 50 {
		sin, cos := math.Sincos(x)
		f := float64(x*sin) - float64(m*cos)
		if f < 0 {
			lo = x
		} else {
			hi = x
		}
		next := x - f/(float64((1+m)*sin)+float64(x*cos))
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) <= 1e-15*x {
			return next
		}
		x = next
	}
	return x
}

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
