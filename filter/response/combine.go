package response

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// Average returns the root of the mean of |H|² of the curves, which is the mean for
// places of a microphone or specimens of a driver: their phases differ by more than
// is meant. The result has no phase.
//
// It stands on the frequencies of the first curve within the band where all are
// valid; the others are resampled there. All must have been taken alike, and the
// result says so; no distance is 1 m, no voltage 1 V. It is an error if they were not
// (to average them all the same, bring them to one state, or clear Taken), if there is
// no curve, if one fails [Curve.Check], or if fewer than two frequencies are left.
func Average(curves ...Curve) (Curve, error) {
	out, columns, err := gather(curves)
	if err != nil {
		return Curve{}, err
	}
	n := math.Sqrt(float64(len(curves)))
	for i := range out.H {
		sum := 0.
		for _, h := range columns {
			sum = math.Hypot(sum, cmplx.Abs(h[i])/n)
		}
		out.H[i] = complex(sum, 0)
	}
	return out, nil
}

// AverageComplex returns the mean of the complex values of the curves, otherwise as
// [Average] does. It is the mean for sweeps repeated with nothing moved: noise goes
// down, and so does whatever differs in phase. It is an error if a curve has no phase.
func AverageComplex(curves ...Curve) (Curve, error) {
	for i, c := range curves {
		if !c.HasPhase {
			return Curve{}, fmt.Errorf("response: average: curve %d has no phase: must have one for a mean of complex values", i+1)
		}
	}
	out, columns, err := gather(curves)
	if err != nil {
		return Curve{}, err
	}
	out.HasPhase = true
	n := complex(float64(len(curves)), 0)
	for i := range out.H {
		for _, h := range columns {
			out.H[i] += h[i] / n
		}
	}
	// Values may cancel to the last bit.
	if err := out.Check(); err != nil {
		return Curve{}, fmt.Errorf("response: average: %w", err)
	}
	return out, nil
}

// gather brings curves that were taken alike to the frequencies of the first.
func gather(curves []Curve) (out Curve, columns [][]complex128, err error) {
	if len(curves) == 0 {
		return Curve{}, nil, errors.New("response: average: no curve")
	}
	first := curves[0].Taken
	for i, c := range curves[1:] {
		if c.Taken.full() != first.full() {
			return Curve{}, nil, &units.RangeError{Field: fmt.Sprintf("response: average: curve %d taken", i+2),
				Value: c.Taken.String(), Want: "must be taken as curve 1 was, " + first.String()}
		}
	}
	if out, err = common(curves...); err != nil {
		return Curve{}, nil, fmt.Errorf("response: average: %w", err)
	}
	out.Taken = first
	for _, c := range curves {
		h := make([]complex128, len(out.Hz))
		if err := c.Resample(h, out.Hz); err != nil {
			return Curve{}, nil, err
		}
		columns = append(columns, h)
	}
	return out, columns, nil
}

// Over returns the ratio of c to d, the difference of their levels. It stands on the
// frequencies of c, within the band where both are valid. It has a phase if both have
// one. How the curves were taken is dropped, since a ratio is something else: an
// effect such as a panel's, to multiply by ([Curve.Times]); if d was a correction and
// c is still a pressure, set Taken again. It is an error if either fails [Curve.Check]
// or if fewer than two frequencies are left.
func (c Curve) Over(d Curve) (Curve, error) {
	ratio, err := common(c, d)
	if err != nil {
		return Curve{}, fmt.Errorf("response: ratio: %w", err)
	}
	if ratio.HasPhase = c.HasPhase && d.HasPhase; !ratio.HasPhase {
		c, d = c.magnitude(), d.magnitude()
	}
	h := make([]complex128, len(ratio.Hz))
	if err := cmp.Or(c.Resample(ratio.H, ratio.Hz), d.Resample(h, ratio.Hz)); err != nil {
		return Curve{}, err
	}
	for i, v := range h {
		ratio.H[i] /= v
	}
	if err := ratio.Check(); err != nil { // it may be too large or too small for a number
		return Curve{}, fmt.Errorf("response: ratio: %w", err)
	}
	return ratio, nil
}
