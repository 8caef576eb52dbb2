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
// error if the mouths alone already hold so much air that no length is left, or
// less than rounded ends take.
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
	if err := v.checkLength(); err != nil {
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

// LongBoxTuning returns the resonance with both the vents and the box as
// transmission lines, the box depth long from the end that holds the vents to the
// closed one, its section vb/depth: the lowest root of
//
//	tan(k Leff) tan(k depth) = S/(vb/depth)
//
// With a depth of zero it is [Vent.LineTuning], with a box of
// 0.4 m and a vent of 0.2 m it lies some 2 % below [Vent.Tuning]. The end corrections stay
// those of the vent's mouths; [InDuct] is the inner one that belongs to such a box. Zero
// air is standard air.
func (v Vent) LongBoxTuning(vb units.Volume, depth units.Length, a air.Air) units.Frequency {
	l := float64(v.EffectiveLength())
	x := longRoot(float64(v.Area())*l/float64(vb), float64(depth)/l)
	return units.Frequency(x * float64(a.OrStandard().SpeedOfSound) / (2 * math.Pi * l))
}

// lineRoot is the root of x tan x = m in 0 < x < π/2.
func lineRoot(m float64) float64 { return longRoot(m, 0) }

// longRoot returns the lowest root of x tan x · tan(βx)/(βx) = m, where β ≥ 0 is the
// length of the box in those of the vent. With y = βx and T = sin y/y, Newton's method on
// x sin x T − m cos x cos y, which rises up to the first zero of either cosine;
// steps that would leave the bracket are halved into it.
func longRoot(m, beta float64) float64 {
	lo, hi := 0., math.Pi/2/max(1, beta)
	x := hi * math.Sqrt(m/(hi*hi+m)) // right at both ends, without the box's length
	for range 60 {
		sin, cos := math.Sincos(x)
		y := beta * x
		siny, cosy := math.Sincos(y)
		t, dt := 1-y*y/6, -beta*y/3 // sin y/y and its slope over x
		if y > 1e-4 {
			t = siny / y
			dt = (cosy - t) / x
		}
		f := float64(x*sin*t) - float64(m*cos*cosy)
		if f < 0 {
			lo = x
		} else {
			hi = x
		}
		slope := float64(sin*t) + float64(x*cos*t) + float64(x*sin*dt) + float64(m*(float64(sin*cosy)+float64(beta*cos*siny)))
		step := f / slope
		if math.Abs(step) <= 1e-9*x {
			return x - step // what is left goes with the square of the step
		}
		if x -= step; !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
	}
	return x
}
