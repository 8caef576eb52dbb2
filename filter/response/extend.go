package response

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/interp"

	"example.com/halfspace/units"
)

const (
	extended  = 24           // points to an octave beyond a table
	endWindow = math.Ln2 / 3 // a third of an octave, whose bend goes on beyond the end
)

// Extend returns the level of c on its own frequencies and beyond, down to lo and
// up to hi, as it goes on with the slopes in the sense of [Curve.MinimumPhase],
// which is the phase to give it: what it may have had is left out. A level that
// somebody measured no further is a guess there. Points below c.From are
// replaced.
//
// It is an error if c fails [Curve.Check], if a slope is beyond ±600 dB per octave,
// or if lo or hi is not positive and finite.
func (c Curve) Extend(lo, hi units.Frequency, s Slopes) (Curve, error) {
	if err := s.check("response: slope"); err != nil {
		return Curve{}, err
	}
	for _, f := range []units.Frequency{lo, hi} {
		if err := units.Positive("response: extend to", f); err != nil {
			return Curve{}, err
		}
	}
	c, err := c.valid()
	if err != nil {
		return Curve{}, err
	}
	u, a := c.logs()
	out := Curve{Taken: c.Taken, Hz: slices.Clone(c.Hz)}
	for _, h := range c.H {
		out.H = append(out.H, complex(cmplx.Abs(h), 0))
	}
	var spline interp.AkimaSpline
	if err := spline.Fit(u, a); err != nil {
		return Curve{}, fmt.Errorf("response: %w", err)
	}
	below, err := beyond(&spline, u, float64(lo)/c.Hz[0], s.Low/perOrder, 1)
	if err != nil {
		return Curve{}, err
	}
	above, err := beyond(&spline, u, c.Hz[len(c.Hz)-1]/float64(hi), s.High/perOrder, -1)
	if err != nil {
		return Curve{}, err
	}
	slices.Reverse(below)
	for i, x := range below {
		out.Hz = slices.Insert(out.Hz, i, c.Hz[0]*math.Exp(x.u))
		out.H = slices.Insert(out.H, i, complex(math.Exp(x.a), 0))
	}
	if len(below) > 0 {
		out.Hz[0] = float64(lo)
	}
	for _, x := range above {
		out.Hz = append(out.Hz, c.Hz[0]*math.Exp(x.u))
		out.H = append(out.H, complex(math.Exp(x.a), 0))
	}
	if len(above) > 0 {
		out.Hz[len(out.Hz)-1] = float64(hi)
	}
	return out, out.Check()
}

type logPoint struct{ u, a float64 }

// beyond returns points outside an end, the first of u if side is 1, the last if -1,
// from there on, as far as the ratio of frequencies below 1 says.
func beyond(spline *interp.AkimaSpline, u []float64, ratio, slope, side float64) ([]logPoint, error) {
	far := -math.Log(ratio)
	if !(far > rounding) {
		return nil, nil
	}
	if math.IsInf(far, 0) || far > 1000 {
		return nil, &units.RangeError{Field: "response: extend", Value: fmt.Sprintf("by a factor of %g", 1/ratio), Want: "must be finite"}
	}
	end, span := u[0], u[len(u)-1]-u[0]
	if side < 0 {
		end = u[len(u)-1]
	}
	const n = 256
	nodes, level := make([]float64, n+1), make([]float64, n+1)
	window := min(endWindow, span)
	for k := range nodes {
		nodes[k] = window * float64(k) / n
		if side < 0 {
			nodes[k] += end - window
		}
		level[k] = spline.Predict(nodes[k])
	}
	base, per := bend(nodes, level, side)
	a := side * (base + slope*per) / 2
	steps := int(math.Ceil(far / (math.Ln2 / extended)))
	out := make([]logPoint, steps)
	for i := range out {
		v := far * float64(i+1) / float64(steps)
		out[i] = logPoint{end - side*v, spline.Predict(end) - side*slope*v + a*math.Expm1(-2*v)}
	}
	return out, nil
}
