package response

import (
	"fmt"
	"math"
	"math/cmplx"
	"sort"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/units"
)

// Slopes say how a level rises with frequency where a table does not reach, in
// decibels per octave as they are spoken of, six to an order: 12 stands for exactly
// f², which is 12.04 dB. A woofer in a closed box has Low 12, in a vented one 24; a
// tweeter that falls like a second-order low-pass has High -12. The slopes meant
// are those far out; how the table's own slope goes over into them is part of
// [Curve.MinimumPhase].
type Slopes struct {
	Low  float64 // towards frequency zero
	High float64 // towards frequencies without end
}

// Plausible is how far stated slopes may be off where nobody knows better: one
// order either way. It is a judgement, not a measurement.
func Plausible() Slopes { return Slopes{Low: 6, High: 6} }

const perOrder = 6 // decibels per octave

func (s Slopes) check(field string) error {
	for _, v := range []struct {
		end   string
		slope float64
	}{{"low", s.Low}, {"high", s.High}} {
		// A hundred orders is more than any filter has, and far from overflow.
		if err := units.Within(field+", "+v.end+" end (dB per octave)", v.slope, -600, 600); err != nil {
			return err
		}
	}
	return nil
}

// EndSlopes returns the slopes that c has at its ends, from straight lines
// through the points of the first and the last octaves, by least squares, each
// point weighing the same. They are a start for those who know nothing better: a
// table seldom reaches so far that its ends have the slopes of what lies beyond.
// Points below c.From are left out. It is an error if c fails [Curve.Check], if
// octaves is not positive, or if an end has fewer than two points.
func (c Curve) EndSlopes(octaves float64) (Slopes, error) {
	if err := units.Positive("response: octaves at an end", octaves); err != nil {
		return Slopes{}, err
	}
	c, err := c.valid()
	if err != nil {
		return Slopes{}, err
	}
	n := len(c.Hz)
	width := math.Exp2(octaves) * (1 + rounding)
	low := sort.Search(n, func(i int) bool { return c.Hz[i] > c.Hz[0]*width })
	high := sort.Search(n, func(i int) bool { return c.Hz[i]*width >= c.Hz[n-1] })
	if low < 2 || n-high < 2 {
		return Slopes{}, &units.RangeError{Field: "response: octaves at an end", Value: fmt.Sprint(octaves),
			Want: "must hold at least two points of the table"}
	}
	x, y := c.logs()
	_, atLow := stat.LinearRegression(x[:low], y[:low], nil, false)
	_, atHigh := stat.LinearRegression(x[high:], y[high:], nil, false)
	return Slopes{Low: perOrder * atLow, High: perOrder * atHigh}, nil
}

// MinimumPhase returns c with the phase that belongs to its level if it comes
// from a minimum-phase system: one without delay, and without zeros in the right
// half plane. A phase that c has is ignored, as are points below c.From, which
// the result does not have.
//
// The phase is Bode's integral over u, the logarithm of frequency,
//
//	φ(u) = 1/π ∫ dA/dv ln coth(|u − v|/2) dv,   A = ln |H|,
//
// so that f^n has n times 90°: towards frequency zero the phase of a second-order
// high-pass goes to +180°. (H. W. Bode, Network Analysis and Feedback Amplifier
// Design, 1945, on relations between attenuation and phase.) Between the points, A is
// the same piecewise cubic as in [Curve.Resample], cut into cells so short that
// their straight chords do as well; the integral over each cell is closed. Beyond
// an end, A is
//
//	A = constant + s·u + a·e^(−2|u − end|)
//
// with the stated slope s, and with a from least squares over the last third of
// an octave of the table. To first order this is how the level of every filter of
// poles and zeros goes over into its last slope, so a table may stop before that
// is reached. From a table of 80 points a decade, 20 Hz to 20 kHz, the phase of
// Butterworth filters with corners an octave and a half inside comes back within
// 0.1° from 100 Hz to 6 kHz, that of a fourth-order Bessel filter, which turns
// most slowly, within 0.4°, if the slopes are those of the filter. What wrong
// slopes do, [Curve.MinimumPhaseSpread] tells.
//
// The table is cut into a quarter of a million cells at most: what is finer than
// these is passed over. The time taken grows like n log n.
//
// It is an error if c fails [Curve.Check], has fewer than two points from c.From on,
// or if a slope is beyond ±600 dB per octave.
func (c Curve) MinimumPhase(s Slopes) (Curve, error) {
	c, _, err := c.MinimumPhaseSpread(s, Slopes{})
	return c, err
}

// MinimumPhaseSpread is [Curve.MinimumPhase], and the largest error of its phase
// in degrees at each frequency of the result if the slopes are wrong by up to by
// (see [Plausible]; the sign of by does not matter). The phase is linear in the
// slopes, so this is the largest of the four corners Low±by.Low, High±by.High.
func (c Curve) MinimumPhaseSpread(s, by Slopes) (Curve, []float64, error) {
	if err := s.check("response: slope"); err != nil {
		return Curve{}, nil, err
	}
	if err := by.check("response: error of slope"); err != nil {
		return Curve{}, nil, err
	}
	c, err := c.valid()
	if err != nil {
		return Curve{}, nil, err
	}
	b, err := c.bode()
	if err != nil {
		return Curve{}, nil, err
	}
	out := c
	out.HasPhase = true
	out.H = make([]complex128, len(c.H))
	for i, p := range b.phase(s) {
		out.H[i] = cmplx.Rect(cmplx.Abs(c.H[i]), p)
	}
	return out, b.spread(by), nil
}

// valid returns c without the points below c.From, checked.
func (c Curve) valid() (Curve, error) {
	if err := c.Check(); err != nil {
		return Curve{}, err
	}
	first := sort.SearchFloat64s(c.Hz, float64(c.From)*(1-rounding))
	if len(c.Hz)-first < 2 {
		return Curve{}, &units.RangeError{Field: "response: curve valid", Value: "from " + c.From.String(),
			Want: "must have at least two points from there"}
	}
	c.Hz, c.H = c.Hz[first:], c.H[first:]
	return c, nil
}

// logs returns ln(f/f0) and ln|H| at the points.
func (c Curve) logs() (u, a []float64) {
	u, a = make([]float64, len(c.Hz)), make([]float64, len(c.Hz))
	for i, f := range c.Hz {
		u[i], a[i] = math.Log(f/c.Hz[0]), math.Log(cmplx.Abs(c.H[i]))
	}
	return u, a
}

// bode holds minimum phases in radians, linear in the slopes beyond the ends:
// base with both slopes zero, low and high what is added for each order.
type bode struct{ base, low, high []float64 }

func (b bode) phase(s Slopes) []float64 {
	phase := make([]float64, len(b.base))
	for i, p := range b.base {
		phase[i] = p + s.Low/perOrder*b.low[i] + s.High/perOrder*b.high[i]
	}
	return phase
}

// spread is in degrees.
func (b bode) spread(by Slopes) []float64 {
	spread := make([]float64, len(b.base))
	for i := range spread {
		spread[i] = (math.Abs(by.Low/perOrder*b.low[i]) + math.Abs(by.High/perOrder*b.high[i])) * 180 / math.Pi
	}
	return spread
}

// bode computes the phases of c, which must be checked.
func (c Curve) bode() (bode, error) {
	u, a := c.logs()
	last := len(u) - 1
	finest := math.Inf(1)
	for i, v := range u[1:] {
		finest = min(finest, v-u[i])
	}
	if math.IsInf(u[last], 0) {
		return bode{}, &units.RangeError{Field: "response: frequencies", Value: fmt.Sprintf("%v Hz to %v Hz", c.Hz[0], c.Hz[last]),
			Want: "must have a finite ratio"}
	}
	var spline interp.AkimaSpline
	if err := spline.Fit(u, a); err != nil {
		return bode{}, fmt.Errorf("response: %w", err)
	}

	// Sixty-four cells to the shortest step, but never so few that chords show, nor
	// so many that the transform takes seconds.
	n := 1 << 12
	for n < 1<<18 && u[last]/float64(n) > finest/64 {
		n *= 2
	}
	h := u[last] / float64(n)
	nodes, level := make([]float64, n+1), make([]float64, n+1)
	straight, decaying := make([]float64, n+1), make([]float64, n+1)
	for k := range nodes {
		nodes[k] = u[last] * float64(k) / float64(n)
		level[k] = spline.Predict(nodes[k])
		straight[k], decaying[k] = tail(math.Exp(-nodes[k]))
	}
	window := sort.SearchFloat64s(nodes, min(endWindow, u[last])) + 1
	lowBase, lowPer := bend(nodes[:window], level[:window], 1)
	highBase, highPer := bend(nodes[n+1-window:], level[n+1-window:], -1)

	// The parts have vertical tangents at the ends, their sum has not. So the same
	// straight lines go through all of them, which hides it.
	base, low, high := convolve(level, straight, h), make([]float64, n+1), make([]float64, n+1)
	for k := range nodes {
		base[k] += lowBase*decaying[k] + highBase*decaying[n-k]
		low[k] = straight[k] + lowPer*decaying[k]
		high[k] = straight[n-k] + highPer*decaying[n-k]
	}
	var err error
	at := func(phase []float64) []float64 {
		var line interp.PiecewiseLinear
		if err = line.Fit(nodes, phase); err != nil {
			return nil
		}
		out := make([]float64, len(u))
		for i, v := range u {
			out[i] = line.Predict(v)
		}
		return out
	}
	b := bode{at(base), at(low), at(high)}
	return b, err
}

// convolve returns Bode's integral over the chords of level, which stands at
// nodes h apart, at these nodes, in radians; straight is that of [tail] at the
// distance of each node from the first.
func convolve(level, straight []float64, h float64) []float64 {
	n := len(level) - 1
	size := 2 * n
	rise, kernel := make([]float64, size), make([]float64, size)
	for i := range n {
		rise[i] = level[i+1] - level[i]
		// Integral of the weight over the i-th cell from a node, on either side: the
		// first cell below node k is cell k-1, the first above is cell k.
		w := (straight[i] - straight[i+1]) / h
		kernel[i+1] = w
		kernel[(size-i)%size] = w
	}
	fft := fourier.NewFFT(size)
	a, b := fft.Coefficients(nil, rise), fft.Coefficients(nil, kernel)
	for i := range a {
		a[i] *= b[i] / complex(float64(size), 0)
	}
	return fft.Sequence(rise, a)[:n+1]
}

// chi is Legendre's chi function of order 2, the sum of z^k/k² over odd k, for
// 0 <= z <= 1.
func chi(z float64) float64 {
	return real(mathext.Li2(complex(z, 0))-mathext.Li2(complex(-z, 0))) / 2
}

// tail returns what an end adds to the phase, in radians, at a frequency inside
// it by the ratio z <= 1: for a straight line of slope 1 beyond the end, for which
// the integral of ln coth(v/2) from -ln z to infinity is 2 χ(z), and for a slope
// e^(-2v) at the distance v beyond it, which gives the sum over odd k of
// 2 z^k/(k(k+2)).
func tail(z float64) (straight, decaying float64) {
	straight = 2 / math.Pi * chi(z)
	switch {
	case z == 1:
		return straight, 1 / math.Pi
	case z < 1e-4: // where the closed form would cancel
		return straight, 2 * z / (3 * math.Pi)
	}
	return straight, (1/z - (1-z*z)/(z*z)*math.Atanh(z)) / math.Pi
}

// bend fits s·u + a·e^(2·side·(u-end)) with a constant to a level near an end,
// the first of the nodes if side is 1, the last if -1, and returns the slope that
// the second term has there, 2·side·a, for s = 0 and what s = 1 adds to it.
func bend(nodes, level []float64, side float64) (base, per float64) {
	end := nodes[0]
	if side < 0 {
		end = nodes[len(nodes)-1]
	}
	e := make([]float64, len(nodes))
	for i, v := range nodes {
		e[i] = math.Exp(2 * side * (v - end))
	}
	_, base = stat.LinearRegression(e, level, nil, false)
	_, per = stat.LinearRegression(e, nodes, nil, false)
	return 2 * side * base, -2 * side * per
}
