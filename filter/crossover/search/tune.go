package search

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Tuned is the end of [Problem.Tune].
type Tuned struct {
	Networks    []ladder.Network
	Score       Score
	Converged   bool // the values are a minimum; false says that the search ran out of steps
	Starts      int
	Evaluations int // of all networks on the grid, with or without derivatives
}

// Tune changes the part values of the networks, within a factor of span either
// way, so that [Score.Flatness] is as small as it can be within the limits. It
// starts where the networks stand and at three points spread in the span, and returns
// the best end: the best solution near, not the best of all. Resistances and losses of
// the parts stay. Values are rounded to 6 digits before the score is taken. The
// networks given are not changed.
//
// Tune aims 0.2 % inside the limits, so that a limit that binds is kept, not
// just missed. If no values keep a limit it comes as near as it can;
// [Problem.Broken] tells.
//
// It is an error if the problem or a network fails its check, if the networks are
// not as many as the ways, if span is not above 1 and finite, or if the sum has a
// null in the band to start with.
func (p Problem) Tune(span float64, networks ...ladder.Network) (Tuned, error) {
	if err := p.ready(networks); err != nil {
		return Tuned{}, err
	}
	if !(span > 1) || math.IsInf(span, 0) {
		return Tuned{}, &units.RangeError{Field: "search: span", Value: fmt.Sprint(span), Want: "must be above 1 and finite"}
	}
	t := newTuner(p.model(1), clone(networks))
	first := t.at()
	if !t.finite(first) {
		lo, hi := p.Band()
		return Tuned{}, fmt.Errorf("search: the networks to start from: the sum has a null from %v to %v", lo, hi)
	}
	for i, x := range first {
		t.lo[i], t.hi[i] = x-math.Log(span), x+math.Log(span)
	}
	var best Tuned
	least := math.Inf(1)
	for start := range starts {
		x := slices.Clone(first)
		for i := range x {
			x[i] += spread * math.Log(span) * scatter(start, i)
		}
		e := t.minimize(x, full)
		t.set(e.x)
		for _, v := range t.values {
			*v = round6(*v)
		}
		score := p.Score(t.networks...)
		if k := p.Limits().key(score, 0); best.Networks == nil || k < least-tie {
			least = k
			best = Tuned{Networks: clone(t.networks), Score: score, Converged: e.converged}
		}
	}
	best.Starts, best.Evaluations = starts, t.evaluations
	return best, nil
}

const (
	starts = 4
	spread = 0.5  // share of the span in which the starts lie
	tie    = 1e-6 // difference of keys that counts as none, in dB
)

// key orders scores: those that break limits behind those that do not, then the
// flattest first.
func (l Limits) key(s Score, price float64) float64 {
	k := s.Flatness
	if e := l.excess(s, price); e > 0 {
		k += 100 * (1 + e)
	}
	return k
}

// scatter returns where start number start has variable i, from −1 to 1: the sequence
// of Halton (1960), which fills the space evenly; the first is the middle.
func scatter(start, i int) float64 {
	base := [...]int{2, 3, 5, 7, 11, 13, 17, 19}[i%8]
	x, f := 0.0, 1/float64(base)
	for k := start + 11*(i/8); k > 0; k /= base {
		x += float64(f * float64(k%base))
		f /= float64(base)
	}
	if start == 0 {
		return 0
	}
	return 2*x - 1
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
	for _, p := range partsOf(networks) {
		out = append(out, &p.Value)
	}
	return out
}

// partsOf returns where the parts stand.
func partsOf(networks []ladder.Network) []*ladder.Part {
	var out []*ladder.Part
	for _, n := range networks {
		for a := range n {
			for i := range n[a].Parts {
				out = append(out, &n[a].Parts[i])
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
