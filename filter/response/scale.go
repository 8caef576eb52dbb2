package response

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// Shift returns c louder by so many decibels. It is an error if c fails [Curve.Check],
// or would after that.
func (c Curve) Shift(db float64) (Curve, error) {
	gain := complex(FromDB(db), 0)
	return c.scale("shift", fmt.Sprint(db, " dB"), func(float64) complex128 { return gain })
}

// Delay returns c later by t: times e^(−j2πft). A negative t takes a flight time out,
// the distance over the speed of sound. It is an error if c has no phase, fails
// [Curve.Check], or t is not finite.
func (c Curve) Delay(t units.Time) (Curve, error) {
	if !c.HasPhase {
		return Curve{}, &units.RangeError{Field: "response: delay", Value: t.String(),
			Want: "must not be given to a curve without phase"}
	}
	return c.scale("delay", t.String(), func(f float64) complex128 {
		// Whole turns go first: a long delay times a high frequency keeps its digits.
		turns := float64(f * float64(t))
		return cmplx.Rect(1, -2*math.Pi*(turns-math.Round(turns)))
	})
}

// PerVolt returns the pressure c at 1 m and per volt at the terminals: divided by the
// voltage in c.Taken and, in the far field, multiplied by the distance over 1 m, as
// pressure falls with distance there (from several times the largest dimension of the
// source on). Near cone or vent the distance means nothing and stays. So does the
// mounting: on the floor pressure is twice that on the panel alone, which a Shift of
// −6.02 dB undoes. So does the flight time, which [Curve.Delay] takes out.
//
// It is an error if nobody said how c was taken, or if c fails [Curve.Check].
func (c Curve) PerVolt() (Curve, error) {
	gain := 1.
	taken := c.Taken.full()
	switch taken.Mounting {
	case Unsaid:
		return Curve{}, &units.RangeError{Field: "response: curve per volt, taken", Value: c.Taken.String(),
			Want: "must be said"}
	case HalfSpace, OnPanel, OnFloor:
		gain = float64(taken.Distance / units.Metre)
		taken.Distance = 0
	default:
		taken.Distance = c.Taken.Distance
	}
	gain /= float64(taken.Voltage / units.Volt)
	taken.Voltage = 0
	out, err := c.scale("per volt, taken", c.Taken.String(), func(float64) complex128 { return complex(gain, 0) })
	if err != nil {
		return Curve{}, err
	}
	out.Taken = taken
	return out, nil
}

// scale multiplies by a factor over frequency, for which the value named stands.
func (c Curve) scale(field, value string, factor func(f float64) complex128) (Curve, error) {
	if err := c.Check(); err != nil {
		return Curve{}, err
	}
	out := c
	out.H = make([]complex128, len(c.H))
	for i, f := range c.Hz {
		out.H[i] = c.H[i] * factor(f)
	}
	if out.Check() != nil {
		return Curve{}, &units.RangeError{Field: "response: " + field, Value: value,
			Want: "must leave finite values that are not zero"}
	}
	return out, nil
}
