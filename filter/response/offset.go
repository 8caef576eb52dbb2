package response

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
)

// An Offset is how much later than one driver another sounds, found from levels.
type Offset struct {
	Delay    units.Time // of b against a; negative if b is early
	Inverted bool       // b had to be turned over
	SD       units.Time // standard uncertainty of Delay, one sigma

	Gain     float64 // dB of the curve of both over the sum of a and b
	Residual float64 // dB, root mean square, of the level that both would have in phase

	// Other delays which the levels do not rule out, the likeliest first: a whole
	// period off, or the same delay of the other sign for drivers in phase all over the
	// band, with the other polarity for drivers a quarter of a turn apart. If there are
	// any, take a wider band, or a ruler to tell them apart.
	Rivals []Rival
}

// A Rival is another delay that fits nearly as well.
type Rival struct {
	Delay    units.Time
	Inverted bool
	Residual float64 // as of Offset
}

const (
	fewestLevels = 12 // from which a delay, a gain and an uncertainty are found
	longest      = 20 * units.Millisecond
	perPeriod    = 24   // delays tried in a period of the highest frequency
	refined      = 12   // minima of the scan that are followed to the bottom
	finestLevel  = 1e-4 // share to which no table knows its levels better: 0.001 dB
	// unlikely is the fall of twice the logarithm of the likelihood beyond which a
	// delay is ruled out: a twentieth of the best one's, 2 ln 20.
	unlikely = 5.99
)

// RelativeDelay finds the acoustic offset of two drivers from three sweeps with the
// microphone in one place and one voltage: of a alone, of b alone and of both
// together. It is the delay τ, from −within to within, for which the level of
//
//	A ± B e^{−jωτ}
//
// matches that of both, up to a gain common to all frequencies, in the band from lo to
// hi. Take the band where the drivers overlap, an octave or two about the crossover.
// a and b have the phase of each driver from its own acoustic centre, with the flight
// time out: minimum phase, as a rule. Of both only the magnitude is used. Both
// polarities of b are tried.
//
// Misfits count as shares of |A| + |B|, the level the drivers would have in phase, not
// in decibels: where they cancel, decibels make most of what is known least, while the
// difference in pressure still tells delays apart. Every frequency of the curve of
// both counts once. All delays are scanned in steps of 1/24 of the shortest period; the
// best minima are followed to the bottom.
//
// SD is the standard uncertainty from the scatter of the misfits, as far as the sum of
// their squares lets the delay go; it is widened where they hang together from point
// to point, as in smoothed or finely interpolated tables. On levels with independent
// errors of 0.1 to 0.5 dB, the truth lies within two of them in about 95 of 100 cases.
// It knows nothing of an error that the phase of b over a has throughout the band: one
// degree at 3 kHz is 0.9 µs, or 0.3 mm. A minimum with more than a twentieth of
// the best one's likelihood is a rival. Of delays that fit equally well, as they do
// either way for drivers in phase, the latest without inversion comes first.
//
// It is an error if a or b has no phase, if the curves were not taken alike, if the
// band is not covered or holds fewer than 12 frequencies of both, if the best
// delay lies at the end of ±within, or if the band says nothing of the delay: SD is
// larger than within, or more than half of all delays fit nearly as well as the best.
func RelativeDelay(a, b, both Curve, lo, hi units.Frequency, within units.Time) (Offset, error) {
	if err := checkSweeps(a, b, both, lo, hi, within); err != nil {
		return Offset{}, err
	}
	first, _ := slices.BinarySearch(both.Hz, float64(lo)*(1-rounding))
	end, _ := slices.BinarySearch(both.Hz, float64(hi)*(1+rounding))
	hz := both.Hz[first:end]
	if len(hz) < fewestLevels {
		return Offset{}, fmt.Errorf("response: delay: band %v to %v holds %s of the curve of both: must hold at least %d", lo, hi, plural(len(hz), "point"), fewestLevels)
	}
	s, err := newSweeps(a, b, both.H[first:end], hz)
	if err != nil {
		return Offset{}, err
	}
	return s.search(float64(within))
}

func checkSweeps(a, b, both Curve, lo, hi units.Frequency, within units.Time) error {
	const field = "response: delay: "
	for _, c := range []struct {
		name string
		Curve
	}{{"the first driver", a}, {"the second driver", b}, {"both", both}} {
		if err := c.Check(); err != nil {
			return fmt.Errorf("%s%s: %w", field, c.name, err)
		}
		t, first := c.Taken.full(), a.Taken.full()
		switch {
		case !c.HasPhase && c.name != "both":
			return fmt.Errorf("%s%s has no phase: must be given its minimum phase first", field, c.name)
		case t.Mounting == NearCone || t.Mounting == NearVent:
			return &units.RangeError{Field: field + c.name, Value: "taken " + t.Mounting.String(),
				Want: "must be taken where both drivers are heard"}
		case t.Mounting != first.Mounting || t.Distance != first.Distance || t.Voltage != first.Voltage:
			return &units.RangeError{Field: field + c.name, Value: fmt.Sprintf("taken %q", t),
				Want: fmt.Sprintf("must be taken as the first driver was, %q", first)}
		}
		if !(lo > 0) || !(lo < hi) || math.IsInf(float64(hi), 0) {
			return &units.RangeError{Field: field + "band", Value: fmt.Sprintf("%v to %v", lo, hi), Want: "must run upward"}
		}
		if err := c.holds(field+"band", "curve of "+c.name, lo, hi); err != nil {
			return err
		}
	}
	return cmp.Or(units.Positive(field+"within", within), units.Within(field+"within", within, 0, longest))
}

// sweeps are the levels in the band, as shares of |A| + |B|.
type sweeps struct {
	omega     []float64
	a, b      []float64 // of each driver, a + b = 1
	turn      []float64 // phase of b over a
	both      []float64
	intensity float64 // sum of squares of both
}

func newSweeps(first, second Curve, both []complex128, hz []float64) (*sweeps, error) {
	n := len(hz)
	a, b := make([]complex128, n), make([]complex128, n)
	if err := cmp.Or(first.Resample(a, hz), second.Resample(b, hz)); err != nil {
		return nil, err
	}
	s := &sweeps{omega: make([]float64, n), a: make([]float64, n), b: make([]float64, n), turn: make([]float64, n), both: make([]float64, n)}
	for i, f := range hz {
		p, q := cmplx.Abs(a[i]), cmplx.Abs(b[i])
		s.omega[i] = 2 * math.Pi * f
		s.a[i], s.b[i], s.both[i] = p/(p+q), q/(p+q), cmplx.Abs(both[i])/(p+q)
		s.turn[i] = cmplx.Phase(b[i]) - cmplx.Phase(a[i])
		s.intensity += float64(s.both[i] * s.both[i])
	}
	return s, nil
}

// level returns |A ± B e^{−jωτ}| for the cosine of the angle between them.
func (s *sweeps) level(i int, cosine float64) float64 {
	a, b := s.a[i], s.b[i]
	return math.Sqrt(max(0, float64(a*a)+float64(b*b)+float64(2*a*b*cosine)))
}

// A candidate is a delay with the sum of squares that the best gain leaves there.
type candidate struct {
	delay, gain, sum float64
	sign             float64
}

// at tries one delay with both polarities.
func (s *sweeps) at(delay float64) (c [2]candidate) {
	var cross, power [2]float64
	for i, w := range s.omega {
		cosine := math.Cos(s.turn[i] - float64(w*delay))
		for k, sign := range signs {
			m := s.level(i, sign*cosine)
			cross[k] += float64(m * s.both[i])
			power[k] += float64(m * m)
		}
	}
	for k, sign := range signs {
		gain := cross[k] / power[k]
		c[k] = candidate{delay, gain, max(0, s.intensity-float64(gain*cross[k])), sign}
	}
	return c
}

var signs = [2]float64{1, -1}

func (s *sweeps) search(within float64) (Offset, error) {
	top := s.omega[len(s.omega)-1] / (2 * math.Pi)
	half := int(math.Ceil(within * top * perPeriod))
	step := within / float64(half)
	scan := make([][2]candidate, 2*half+1)
	for i := range scan {
		scan[i] = s.at(float64(i-half) * step)
	}

	// An end of the scan counts as a minimum where the sum falls toward it.
	var minima []candidate
	for k := range signs {
		for i, c := range scan {
			if (i == 0 || c[k].sum < scan[i-1][k].sum) && (i == len(scan)-1 || c[k].sum <= scan[i+1][k].sum) {
				minima = append(minima, c[k])
			}
		}
	}
	order := func(a, b candidate) int { return cmp.Compare(a.sum, b.sum) }
	slices.SortStableFunc(minima, order)
	minima = minima[:min(len(minima), refined)]
	for i := range minima {
		if err := s.refine(&minima[i], step, within); err != nil {
			return Offset{}, err
		}
	}
	slices.SortStableFunc(minima, order)
	n := float64(len(s.omega))
	floor := n * finestLevel * finestLevel
	tied := 1
	for tied < len(minima) && minima[tied].sum-minima[0].sum <= indifferent*(minima[0].sum+floor) {
		tied++
	}
	// Rounding must not choose between drivers in phase and their mirror image.
	slices.SortStableFunc(minima[:tied], func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.sign, a.sign), cmp.Compare(b.delay, a.delay))
	})

	best := minima[0]
	rest := s.misfits(best)
	alike := clump(rest)
	free := n / alike // misfits that count as independent
	// fall is that of twice the logarithm of the likelihood.
	fall := func(sum float64) float64 { return free * math.Log((sum+floor)/(best.sum+floor)) }
	likely := 0
	for _, c := range scan {
		if fall(min(c[0].sum, c[1].sum)) < unlikely {
			likely++
		}
	}
	sd := s.sd(best, (best.sum+floor)/(n-2)*alike, step, within)
	mute := errors.New("response: delay: the band holds no information on the delay: the drivers do not overlap there, or the levels are too rough")
	switch {
	case 2*likely > len(scan):
		return Offset{}, mute
	case within-math.Abs(best.delay) < 1e-6*step:
		return Offset{}, &units.RangeError{Field: "response: delay", Value: units.Time(best.delay).String(),
			Want: fmt.Sprintf("must lie inside ±%v: widen it, or see that the sweeps belong together", units.Time(within))}
	case !(sd <= within):
		return Offset{}, mute
	}
	// In dB of the level in phase, as the best gain has it.
	residual := func(c candidate) float64 { return 20 / math.Ln10 * math.Sqrt(c.sum/n) / best.gain }
	o := Offset{
		Delay: units.Time(best.delay), Inverted: best.sign < 0, SD: units.Time(sd),
		Gain: DB(complex(best.gain, 0)), Residual: residual(best),
	}
	for _, c := range minima[1:] {
		if fall(c.sum) < unlikely {
			o.Rivals = append(o.Rivals, Rival{Delay: units.Time(c.delay), Inverted: c.sign < 0, Residual: residual(c)})
		}
	}
	return o, nil
}

// refine follows a minimum of the scan to the bottom, one step to either side at
// most.
func (s *sweeps) refine(c *candidate, step, within float64) error {
	start := *c
	problem := lsq.Problem{
		M: len(s.omega),
		Residuals: func(r, x []float64) {
			delay, gain := start.delay+float64(x[0]*step), start.gain*x[1]
			for i, w := range s.omega {
				cosine := c.sign * math.Cos(s.turn[i]-float64(w*delay))
				r[i] = s.both[i] - float64(gain*s.level(i, cosine))
			}
		},
		Lo: []float64{max(-1, (-within-start.delay)/step), 0.1},
		Hi: []float64{min(1, (within-start.delay)/step), 10},
	}
	fit, err := problem.Minimize([]float64{0, 1})
	if err != nil {
		return fmt.Errorf("response: delay: %w", err)
	}
	c.delay, c.gain, c.sum = start.delay+float64(fit.X[0]*step), start.gain*fit.X[1], fit.Sum
	return nil
}

func (s *sweeps) misfits(c candidate) []float64 {
	rest := make([]float64, len(s.omega))
	for i, w := range s.omega {
		rest[i] = s.both[i] - float64(c.gain*s.level(i, c.sign*math.Cos(s.turn[i]-float64(w*c.delay))))
	}
	return rest
}

// sd returns the standard uncertainty of the delay: half of how far it may go until
// the sum of squares, with the best gain, has risen by four times the variance of one
// misfit, to the side where that is farther. Where the sum is a parabola this is what
// its curvature says; between drivers in phase it is not, since neither sign of a
// small delay is preferred, but twice of it still holds 95 of 100. It is infinite if
// the sum does not rise enough within reach.
func (s *sweeps) sd(c candidate, variance, step, within float64) float64 {
	side := 0
	if c.sign < 0 {
		side = 1
	}
	bottom := s.at(c.delay)[side].sum
	high := func(off float64) bool { return s.at(c.delay + off)[side].sum >= bottom+4*variance }
	sd := 0.
	for _, sign := range signs {
		off := step * 1e-6
		for !high(sign * off) {
			if off *= 2; !(off <= 4*within) {
				return math.Inf(1)
			}
		}
		lo, hi := 0., off
		for range 30 {
			if middle := (lo + hi) / 2; high(sign * middle) {
				hi = middle
			} else {
				lo = middle
			}
		}
		sd = max(sd, hi/2)
	}
	return sd
}

// clump returns how many neighbouring values say the same: one plus twice the sum
// of their autocorrelations, up to the first that is not positive. It is 1 for
// independent values.
func clump(values []float64) float64 {
	correlation := func(lag int) (sum float64) {
		for i := range len(values) - lag {
			sum += float64(values[i] * values[i+lag])
		}
		return sum
	}
	power := correlation(0)
	if power == 0 {
		return 1
	}
	clump := 1.
	for lag := 1; lag < len(values); lag++ {
		r := correlation(lag) / power
		if !(r > 0) {
			break
		}
		clump += 2 * r
	}
	return clump
}

// CentreUncertainty is how well a ruler finds the acoustic centre of a cone, to
// either side: common practice, no source.
const CentreUncertainty = 8 * units.Millimetre

// CentreDepth returns how far behind the front of the panel the acoustic centre of a
// cone lies, where no sweeps tell: a cone radiates from about where it meets the
// former of its voice coil, apex behind the front of the driver's flange, and that
// front stands ahead of the panel by proud: the thickness of the flange if it is
// screwed on, zero if it is let in flush, negative if it lies deeper.
//
// It is common practice without a source, good to [CentreUncertainty]; divided by the
// speed of sound, 23 µs, or a twelfth of a turn at 3.6 kHz. Where it matters, take
// [RelativeDelay]. It is an error if a length is not finite or apex is negative.
func CentreDepth(apex, proud units.Length) (units.Length, error) {
	if err := cmp.Or(units.NotNegative("response: centre: depth of the apex", apex),
		units.Within("response: centre: height of the flange", proud, -units.Metre, units.Metre)); err != nil {
		return 0, err
	}
	return apex - proud, nil
}
