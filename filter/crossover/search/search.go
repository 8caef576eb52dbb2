// Package search finds part values for the networks of a speaker: first freely,
// by least squares ([Problem.Tune]), then from what a catalogue has, by trying
// every combination near ([Problem.Shelf]).
package search

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
)

// A Problem is a speaker whose networks are to be found. The ways of the field
// are ordered from low to high.
type Problem struct {
	Field *crossover.Field
	Point int // of the field, where the sum is to be flat

	Lo, Hi   units.Frequency  // the band in which it is to be flat
	Crossing units.Frequency  // no way may take over from the one below it lower than this; zero is no limit
	Load     units.Resistance // the least modulus of the load on the grid; zero is no limit
	Travel   []Travel         // of each way; nil is no limit
}

// Travel limits how far a cone or dome moves.
type Travel struct {
	PerVolt []float64     // m, peak, per volt at the driver's terminals, on the grid; nil is no limit
	Volts   units.Voltage // sine at the speaker's input, at any frequency of the grid
	Limit   units.Length  // peak, one way
}

// A Score is what a set of networks does.
type Score struct {
	Ripple   float64           // RMS deviation in dB from Level, over the grid points in the band
	Level    float64           // mean of the band in dB re 1 Pa per volt
	Crossing []units.Frequency // where each way takes over from the one below it; 0: never within the grid
	Load     units.Resistance  // least modulus
	LoadAt   units.Frequency
	Travel   []units.Length // largest, of each way, at its Volts; 0 where there is no limit
}

// Check reports what makes the problem senseless.
func (p Problem) Check() error {
	if p.Field == nil || p.Point < 0 || p.Point >= p.Field.Points() {
		return fmt.Errorf("search: no field, or no point %d in it", p.Point)
	}
	for _, err := range []error{
		units.Positive("search: lower end of the band", p.Lo),
		units.Within("search: upper end of the band", p.Hi, p.Lo, math.MaxFloat64),
		units.NotNegative("search: lowest crossing", p.Crossing),
		units.NotNegative("search: least load", p.Load),
	} {
		if err != nil {
			return err
		}
	}
	if len(p.band()) < 2 {
		return fmt.Errorf("search: fewer than two frequencies of the grid lie from %v to %v", p.Lo, p.Hi)
	}
	if p.Travel != nil && len(p.Travel) != p.Field.Ways() {
		return fmt.Errorf("search: %d limits of travel for %d ways", len(p.Travel), p.Field.Ways())
	}
	for _, t := range p.Travel {
		if t.PerVolt == nil {
			continue
		}
		if len(t.PerVolt) != len(p.Field.Hz) {
			return fmt.Errorf("search: %d values of travel for %d frequencies", len(t.PerVolt), len(p.Field.Hz))
		}
		if err := errors.Join(units.Positive("search: voltage for the travel", t.Volts), units.Positive("search: travel", t.Limit)); err != nil {
			return err
		}
	}
	return nil
}

// band returns the indices of the grid in the band.
func (p Problem) band() []int {
	var in []int
	for i, f := range p.Field.Hz {
		if f >= float64(p.Lo) && f <= float64(p.Hi) {
			in = append(in, i)
		}
	}
	return in
}

// Score evaluates networks, one per way.
func (p Problem) Score(networks ...ladder.Network) Score {
	var r crossover.Result
	p.Field.Evaluate(&r, networks...)
	return p.score(&r)
}

func (p Problem) score(r *crossover.Result) Score {
	var s Score
	s.Level, s.Ripple = flatness(r.Sum[p.Point], p.band())
	s.LoadAt, s.Load = ladder.MinimumImpedance(p.Field.Hz, r.Load)
	for w := 1; w < p.Field.Ways(); w++ {
		s.Crossing = append(s.Crossing, p.crossing(r, w))
	}
	for w, t := range p.Travel {
		s.Travel = append(s.Travel, 0)
		for i, x := range t.PerVolt {
			s.Travel[w] = max(s.Travel[w], units.Length(x*cmplx.Abs(r.Transfer[w][i])*float64(t.Volts)))
		}
	}
	return s
}

// flatness returns the mean level of some points in dB and the RMS deviation.
func flatness(sum []complex128, in []int) (mean, rms float64) {
	levels := make([]float64, len(in))
	for k, i := range in {
		levels[k] = decibels(sum[i])
		mean += levels[k]
	}
	mean /= float64(len(in))
	for _, l := range levels {
		rms += (l - mean) * (l - mean)
	}
	return mean, math.Sqrt(rms / float64(len(in)))
}

func decibels(z complex128) float64 {
	return 10 * math.Log10(real(z)*real(z)+imag(z)*imag(z))
}

// lead returns by how many dB way w is louder than the one below it.
func (p Problem) lead(r *crossover.Result, w, i int) float64 {
	hi := r.Transfer[w][i] * p.Field.Pressure(w, p.Point)[i]
	lo := r.Transfer[w-1][i] * p.Field.Pressure(w-1, p.Point)[i]
	return decibels(hi) - decibels(lo)
}

// crossing returns the lowest frequency of the grid, interpolated, at which way w
// becomes louder than the one below it.
func (p Problem) crossing(r *crossover.Result, w int) units.Frequency {
	hz := p.Field.Hz
	before := p.lead(r, w, 0)
	if before >= 0 {
		return units.Frequency(hz[0])
	}
	for i := 1; i < len(hz); i++ {
		now := p.lead(r, w, i)
		if now >= 0 {
			return units.Frequency(hz[i-1] * math.Pow(hz[i]/hz[i-1], before/(before-now)))
		}
		before = now
	}
	return 0
}

// Broken says which limits a score breaks, and by how much.
func (p Problem) Broken(s Score) []string {
	var out []string
	for w, f := range s.Crossing {
		if f > 0 && f < p.Crossing {
			out = append(out, fmt.Sprintf("way %d takes over at %v, the limit is %v", w+2, f, p.Crossing))
		}
	}
	if s.Load < p.Load {
		out = append(out, fmt.Sprintf("the load falls to %v at %v, the limit is %v", s.Load, s.LoadAt, p.Load))
	}
	for w, x := range s.Travel {
		if p.Travel[w].PerVolt != nil && x > p.Travel[w].Limit {
			out = append(out, fmt.Sprintf("way %d moves %v, the limit is %v", w+1, x, p.Travel[w].Limit))
		}
	}
	return out
}

// Weights of the limits while tuning, in dB of ripple per share by which a
// limit is missed. They only have to be stiff.
const stiff = 300

// limits appends to r how far the limits are missed, smoothly in the part
// values: dB of the upper way's lead at the lowest crossing allowed, shares of
// the least load and of the largest travel.
func (p Problem) limits(r []float64, res *crossover.Result) []float64 {
	hz := p.Field.Hz
	if p.Crossing > 0 {
		i, _ := slices.BinarySearch(hz, float64(p.Crossing))
		i = min(i, len(hz)-1)
		for w := 1; w < p.Field.Ways(); w++ {
			r = append(r, max(0, p.lead(res, w, i))*stiff/100)
		}
	}
	if p.Load > 0 {
		_, least := ladder.MinimumImpedance(hz, res.Load)
		r = append(r, max(0, 1-float64(least/p.Load))*stiff)
	}
	for w, t := range p.Travel {
		x := 0.0
		for i, per := range t.PerVolt {
			x = max(x, per*cmplx.Abs(res.Transfer[w][i])*float64(t.Volts))
		}
		if t.PerVolt != nil {
			x = max(0, x/float64(t.Limit)-1)
		}
		r = append(r, x*stiff)
	}
	return r
}

// Tune changes the part values of the networks, within a factor of span either
// way, so that the sum at the point is as flat as it can be within the limits. It
// starts where the networks stand, so it finds the best solution near them, not
// the best of all. Resistances and losses of the parts stay. Values are rounded
// to 6 digits before the score is taken.
func (p Problem) Tune(span float64, networks ...ladder.Network) ([]ladder.Network, Score, error) {
	if err := p.ready(networks); err != nil {
		return nil, Score{}, err
	}
	if !(span > 1) || math.IsInf(span, 0) {
		return nil, Score{}, fmt.Errorf("search: span %g: must be above 1 and finite", span)
	}
	tuned := clone(networks)
	values := pointers(tuned)
	x := make([]float64, len(values))
	lo, hi := make([]float64, len(x)), make([]float64, len(x))
	for i, v := range values {
		x[i] = math.Log(*v)
		lo[i], hi[i] = x[i]-math.Log(span), x[i]+math.Log(span)
	}
	set := func(x []float64) {
		for i, v := range values {
			*v = math.Exp(x[i])
		}
	}
	band := p.band()
	var res crossover.Result
	scale := 1 / math.Sqrt(float64(len(band)))
	residuals := func(r, x []float64) {
		set(x)
		p.Field.Evaluate(&res, tuned...)
		mean, _ := flatness(res.Sum[p.Point], band)
		for k, i := range band {
			r[k] = (decibels(res.Sum[p.Point][i]) - mean) * scale
		}
		p.limits(r[:len(band):cap(r)], &res)
	}
	p.Field.Evaluate(&res, tuned...)
	fit, err := lsq.Problem{Residuals: residuals, M: len(band) + len(p.limits(nil, &res)), Lo: lo, Hi: hi}.Minimize(x)
	if err != nil {
		return nil, Score{}, fmt.Errorf("search: %w", err)
	}
	set(fit.X)
	for _, v := range values {
		*v = round6(*v)
	}
	return tuned, p.Score(tuned...), nil
}

// ready checks the problem and the networks.
func (p Problem) ready(networks []ladder.Network) error {
	if err := p.Check(); err != nil {
		return err
	}
	if len(networks) != p.Field.Ways() {
		return fmt.Errorf("search: %d networks for %d ways", len(networks), p.Field.Ways())
	}
	for w, n := range networks {
		if err := n.Check(); err != nil {
			return fmt.Errorf("search: way %d: %w", w+1, err)
		}
	}
	if len(pointers(networks)) == 0 {
		return errors.New("search: the networks have no parts")
	}
	return nil
}

func clone(networks []ladder.Network) []ladder.Network {
	out := make([]ladder.Network, len(networks))
	for w, n := range networks {
		for _, arm := range n {
			arm.Parts = slices.Clone(arm.Parts)
			out[w] = append(out[w], arm)
		}
	}
	return out
}

// pointers returns the values of all parts, way by way in signal order.
func pointers(networks []ladder.Network) []*float64 {
	var out []*float64
	for _, n := range networks {
		for a := range n {
			for i := range n[a].Parts {
				out = append(out, &n[a].Parts[i].Value)
			}
		}
	}
	return out
}

// round6 rounds to six significant digits.
func round6(x float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(x))-5)
	return math.Round(x/unit) * unit
}
