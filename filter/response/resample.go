package response

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/interp"

	"example.com/halfspace/units"
)

// rounding is how far, as a share, a frequency may lie outside a curve and still
// be taken as its end: grids computed in two ways differ in the last digits.
const rounding = 1e-9

// Resample writes to dst the values of c at the frequencies hz, which may stand
// in any order. Level and unwrapped phase are interpolated over the logarithm of
// frequency.
//
// The phase must change by less than half a turn from point to point, or it
// unwraps to another curve: take the flight time out of a measurement first.
//
// It is an error if c fails [Curve.Check] or if a frequency lies outside it:
// nothing is extrapolated. Resample panics if dst and hz differ in length.
func (c Curve) Resample(dst []complex128, hz []float64) error {
	if len(dst) != len(hz) {
		panic("response: destination and frequencies differ in length")
	}
	if err := c.Check(); err != nil {
		return err
	}
	if len(hz) == 0 {
		return nil
	}
	lo, hi := hz[0], hz[0]
	for _, f := range hz {
		lo, hi = min(lo, f), max(hi, f) // NaN if any is
	}
	if err := c.Covers(units.Frequency(lo), units.Frequency(hi)); err != nil {
		return err
	}

	x := make([]float64, len(c.Hz))
	y := make([]float64, len(c.Hz))
	for i, f := range c.Hz {
		x[i], y[i] = math.Log(f), math.Log(cmplx.Abs(c.H[i]))
	}
	var level, phase interp.AkimaSpline
	if err := level.Fit(x, y); err != nil {
		return fmt.Errorf("response: %w", err)
	}
	if c.HasPhase {
		for i, h := range c.H {
			y[i] = cmplx.Phase(h)
		}
		unwrap(y, y, 2*math.Pi)
		if err := phase.Fit(x, y); err != nil {
			return fmt.Errorf("response: %w", err)
		}
	}
	for i, f := range hz {
		at := min(max(math.Log(f), x[0]), x[len(x)-1])
		magnitude := math.Exp(level.Predict(at))
		if c.HasPhase {
			dst[i] = cmplx.Rect(magnitude, phase.Predict(at))
		} else {
			dst[i] = complex(magnitude, 0)
		}
	}
	return nil
}

// Covers returns a *[units.RangeError] unless the band from lo to hi lies within
// the frequencies of c, which must pass [Curve.Check].
func (c Curve) Covers(lo, hi units.Frequency) error {
	first, last := c.Hz[0], c.Hz[len(c.Hz)-1]
	if float64(lo) >= first*(1-rounding) && lo <= hi && float64(hi) <= last*(1+rounding) {
		return nil
	}
	return &units.RangeError{Field: "response: band", Value: fmt.Sprintf("%v to %v", lo, hi),
		Want: fmt.Sprintf("must lie within the table's %v to %v", units.Frequency(first), units.Frequency(last))}
}
