package search

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
)

// Tune changes the part values of the networks, within a factor of span either
// way, so that the sum at the point is as flat as it can be within the limits. It
// starts where the networks stand, so it finds the best solution near them, not
// the best of all. Resistances and losses of the parts stay. Values are rounded
// to 6 digits before the score is taken. The networks given are not changed.
//
// Tune aims 0.2 % inside the limits, so that a limit that binds is kept, not
// just missed. If no values keep a limit it comes as near as it can;
// [Problem.Broken] tells.
//
// It is an error if the problem or a network fails its check, if the networks are
// not as many as the ways, if span is not above 1 and finite, or if the sum has a
// null in the band to start with.
func (p Problem) Tune(span float64, networks ...ladder.Network) ([]ladder.Network, Score, error) {
	if err := p.ready(networks); err != nil {
		return nil, Score{}, err
	}
	if !(span > 1) || math.IsInf(span, 0) {
		return nil, Score{}, &units.RangeError{Field: "search: span", Value: fmt.Sprint(span), Want: "must be above 1 and finite"}
	}
	tuned := clone(networks)
	values := values(tuned)
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
	var result crossover.Result
	// A limit is a residual that is zero where it is kept. Each round pushes those
	// that bind further, by what they were missed by, until they are just kept: the
	// method of multipliers (Hestenes and Powell, both 1969, from memory). Unlike
	// a stiff wall this leaves the residuals smooth where the solution lies.
	var missed, push []float64
	residuals := func(r, x []float64) {
		set(x)
		p.Field.Evaluate(&result, tuned...)
		mean := 0.0
		for k, i := range band {
			r[k] = decibels(result.Sum[p.Point][i])
			mean += r[k]
		}
		mean /= float64(len(band))
		scale := 1 / math.Sqrt(float64(len(band)))
		for k := range band {
			r[k] = (r[k] - mean) * scale
		}
		for k, m := range p.missed(missed[:0], &result) {
			r[len(band)+k] = stiff * max(0, m+push[k])
		}
	}
	p.Field.Evaluate(&result, tuned...)
	missed = p.missed(nil, &result)
	push = make([]float64, len(missed))
	problem := lsq.Problem{Residuals: residuals, M: len(band) + len(push), Lo: lo, Hi: hi}
	for range rounds {
		fit, err := problem.Minimize(x)
		if err != nil {
			return nil, Score{}, fmt.Errorf("search: the networks to start from: %w", err)
		}
		x = fit.X
		set(x)
		p.Field.Evaluate(&result, tuned...)
		change := 0.0
		for k, m := range p.missed(missed[:0], &result) {
			next := max(0, m+push[k])
			change = max(change, math.Abs(next-push[k]))
			push[k] = next
		}
		if change < settled || change > hopeless {
			break
		}
	}
	set(x)
	for _, v := range values {
		*v = round6(*v)
	}
	return tuned, p.Score(tuned...), nil
}

const (
	stiff    = 30    // weight, in dB of ripple, of a limit missed by its own size
	margin   = 0.002 // how far inside the limits Tune aims, as a share of them
	rounds   = 20
	settled  = 1e-10 // change of a push that ends the rounds
	hopeless = 10    // share by which a limit is missed that nothing will mend
)

// missed appends to m by which share each limit, tightened by the margin, is
// missed; it is negative for one that is kept.
func (p Problem) missed(m []float64, res *crossover.Result) []float64 {
	if p.Crossing > 0 {
		for w := 1; w < p.Field.Ways(); w++ {
			// A lead in dB as a share of the pressure, for small ones.
			m = append(m, p.leadBelow(res, w)*math.Ln10/20+margin)
		}
	}
	if p.Load > 0 {
		_, least := ladder.MinimumImpedance(p.Field.Hz, res.Load)
		m = append(m, 1+margin-float64(least/p.Load))
	}
	for w, t := range p.Travel {
		if t.PerVolt != nil {
			m = append(m, float64(t.largest(res.Transfer[w])/t.Limit)-1+margin)
		}
	}
	return m
}

// leadBelow returns the largest lead of way w below the lowest crossing allowed,
// in dB from −100 to 100: negative if and only if the crossing is not lower.
func (p Problem) leadBelow(r *crossover.Result, w int) float64 {
	const most = 100
	lead := func(i int) float64 { return min(max(p.lead(r, w, i), -most), most) }
	hz, limit := p.Field.Hz, float64(p.Crossing)
	n := sort.SearchFloat64s(hz, limit)
	worst := -float64(most)
	for i := range n {
		worst = max(worst, lead(i))
	}
	if 0 < n && n < len(hz) {
		before, now := lead(n-1), lead(n)
		worst = max(worst, before+(now-before)*math.Log(limit/hz[n-1])/math.Log(hz[n]/hz[n-1]))
	}
	return worst
}

// clone copies networks so that their values can be changed.
func clone(networks []ladder.Network) []ladder.Network {
	out := make([]ladder.Network, len(networks))
	for w, n := range networks {
		out[w] = slices.Clone(n)
		for a := range out[w] {
			out[w][a].Parts = slices.Clone(n[a].Parts)
		}
	}
	return out
}

// values returns where the values of all parts stand, way by way in the order of
// the signal.
func values(networks []ladder.Network) []*float64 {
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

// round6 rounds to six significant digits, to the number that is written so.
func round6(x float64) float64 {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 5, 64), 64)
	return rounded
}
