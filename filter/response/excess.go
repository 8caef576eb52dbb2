package response

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/units"
)

// ExcessPhase returns what is left of c when its minimum phase is taken out: an
// all-pass of magnitude 1, whose phase is the phase of c less that of
// [Curve.MinimumPhase] with the slopes s. Of a driver it is the delay between the
// time to which phase refers and the driver's acoustic centre, and 180° if it is
// connected in reverse. Points below c.From are left out, and how the curve was
// taken is not said, since it is no pressure. It is an error if the phase of c is
// not known or if MinimumPhase fails.
func (c Curve) ExcessPhase(s Slopes) (Curve, error) {
	excess, _, err := c.excess(s, Slopes{})
	return excess, err
}

func (c Curve) excess(s, by Slopes) (Curve, bode, error) {
	if !c.HasPhase {
		return Curve{}, bode{}, errNoPhase
	}
	if err := s.check("response: slope"); err != nil {
		return Curve{}, bode{}, err
	}
	if err := by.check("response: error of slope"); err != nil {
		return Curve{}, bode{}, err
	}
	c, err := c.valid()
	if err != nil {
		return Curve{}, bode{}, err
	}
	b, err := c.bode()
	if err != nil {
		return Curve{}, bode{}, err
	}
	out := Curve{Hz: c.Hz, H: make([]complex128, len(c.H)), HasPhase: true, From: c.From}
	for i, p := range b.phase(s) {
		out.H[i] = cmplx.Rect(1, cmplx.Phase(c.H[i])-p)
	}
	return out, b, nil
}

var errNoPhase = errors.New("response: a curve without phase: must have one for this")

// A Lag is a delay read from excess phase, with what there is to doubt about it.
type Lag struct {
	Delay  units.Time
	SD     units.Time // standard deviation of Delay from the scatter about the line, if errors at the points are independent
	Spread units.Time // how far Delay moves if the slopes are off

	Inverted  bool    // whether the curve is upside down: the line starts from 180° and not from 0
	Intercept float64 // degrees by which a line with a free start misses 0 or 180; near ±90 Inverted is a guess
	Residual  float64 // degrees RMS about the line
}

// ExcessDelay fits a delay to the excess phase of c in the band from lo to hi:
// the straight line over frequency, from 0° or 180° at frequency zero, that has
// the least squares of phase, each point weighing the same. A line with a free
// start decides from which of the two. The slopes s are those beyond the ends of
// c, as for [Curve.MinimumPhase]; Spread says what it does to the delay if they
// are off by up to by (see [Plausible]).
//
// From point to point excess phase must turn by less than half a turn. If it does
// not, the fit is of another curve and Residual is tens of degrees: take most of
// the flight time out first.
//
// It is an error if the phase of c is not known, if the band is not within c, or
// if fewer than three points lie in it.
func (c Curve) ExcessDelay(lo, hi units.Frequency, s, by Slopes) (Lag, error) {
	excess, b, err := c.excess(s, by)
	if err != nil {
		return Lag{}, err
	}
	if err := excess.Covers(lo, hi); err != nil {
		return Lag{}, err
	}
	first := sort.SearchFloat64s(excess.Hz, float64(lo)*(1-rounding))
	end := sort.SearchFloat64s(excess.Hz, float64(hi)*(1+rounding))
	n := end - first
	if n < 3 {
		return Lag{}, &units.RangeError{Field: "response: band", Value: lo.String() + " to " + hi.String(),
			Want: fmt.Sprintf("must hold at least 3 points of the table; it holds %d", n)}
	}

	w, phase := make([]float64, n), make([]float64, n)
	for i := range n {
		w[i], phase[i] = 2*math.Pi*excess.Hz[first+i], cmplx.Phase(excess.H[first+i])
	}
	unwrap(phase, phase, 2*math.Pi)
	start, _ := stat.LinearRegression(w, phase, nil, false)
	half := math.RoundToEven(start / math.Pi)
	for i := range phase {
		phase[i] -= half * math.Pi
	}
	_, slope := stat.LinearRegression(w, phase, nil, true)

	// SD and spread belong to a line through the origin.
	var squares, weight, low, high float64
	for i, v := range w {
		d := phase[i] - slope*v
		squares += d * d
		weight += v * v
		low += v * b.low[first+i]
		high += v * b.high[first+i]
	}
	return Lag{
		Delay:     units.Time(-slope),
		SD:        units.Time(math.Sqrt(squares / float64(n-1) / weight)),
		Spread:    units.Time((math.Abs(by.Low*low) + math.Abs(by.High*high)) / perOrder / weight),
		Inverted:  math.Mod(half, 2) != 0,
		Intercept: (start - half*math.Pi) * 180 / math.Pi,
		Residual:  math.Sqrt(squares/float64(n)) * 180 / math.Pi,
	}, nil
}

// GroupDelay returns the group delay of c in seconds at each of its frequencies,
//
//	τ = −dφ/dω
//
// from Akima's piecewise cubic through the unwrapped phase over frequency, on a
// linear axis, so that a pure delay comes back exactly. It needs phase steps below
// half a turn, as [Curve.Resample] does. Noise of phase is magnified where points
// stand close. It is an error if c fails [Curve.Check] or its phase is not known.
func (c Curve) GroupDelay() ([]float64, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	if !c.HasPhase {
		return nil, errNoPhase
	}
	phase := make([]float64, len(c.H))
	for i, h := range c.H {
		phase[i] = cmplx.Phase(h)
	}
	unwrap(phase, phase, 2*math.Pi)
	var spline interp.AkimaSpline
	if err := spline.Fit(c.Hz, phase); err != nil {
		return nil, fmt.Errorf("response: %w", err)
	}
	delay := make([]float64, len(c.Hz))
	for i, f := range c.Hz {
		delay[i] = -spline.PredictDerivative(f) / (2 * math.Pi)
	}
	return delay, nil
}
