package search

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// A Choice is a set of networks, from parts one can buy if there is a catalogue.
type Choice struct {
	Networks []ladder.Network
	Inverted bool           // as [Problem.Inverted]: what the networks were chosen for
	Items    [][]parts.Item // of each way, in the order of the signal; nil without a catalogue
	Price    float64        // of all items, for one speaker
	Score    Score
	Broken   []string // limits that are broken, price included; nil if none is
}

// What one search may take on, in time and in memory.
const (
	maxCombinations = 100_000_000
	maxVariants     = 50_000 // of one way
)

// Shelf replaces every part of the two networks by one of the n items of the
// catalogue nearest in value, losses included, and returns the combination with
// the least [Score.Flatness] that keeps the limits and the budget. All combinations
// count, so the answer is the best of this neighbourhood. Of equal ones, to 1e-9 dB,
// the cheapest stands, and of equal prices, to a millionth, the one that is nearest in
// the first part in which they differ.
//
// It is an error if the problem, a network or an item fails its check, if there
// are not two ways, if a way has more than 50 000 variants or both together more
// than 100 million, or if no combination keeps the limits and the budget; the
// error then says what the flattest within the budget breaks.
func (p Problem) Shelf(networks []ladder.Network, catalogue parts.Catalogue, n int) (Choice, error) {
	if err := p.ready(networks); err != nil {
		return Choice{}, err
	}
	if n < 1 {
		return Choice{}, &units.RangeError{Field: "search: items for each part:", Value: fmt.Sprint(n), Want: "must be at least 1"}
	}
	if ways := p.Field.Ways(); ways != 2 {
		return Choice{}, &units.RangeError{Field: "search: shelf values for", Value: fmt.Sprintf("%d ways", ways), Want: "must be 2"}
	}
	return p.shelf(p.model(1), networks, catalogue, [2]int{n, n})
}

// shelf is Shelf with a number of items of its own for each way.
func (p Problem) shelf(m *model, networks []ladder.Network, catalogue parts.Catalogue, n [2]int) (Choice, error) {
	var ways [2][]variant
	for w, network := range networks {
		var err error
		if ways[w], err = m.variants(w, network, catalogue, n[w]); err != nil {
			return Choice{}, err
		}
	}
	if all := float64(len(ways[0])) * float64(len(ways[1])); all > maxCombinations {
		return Choice{}, &units.RangeError{Field: "search: combinations:", Value: fmt.Sprintf("%.0f", all),
			Want: fmt.Sprintf("must be at most %d: take fewer items for each part", maxCombinations)}
	}

	j := m.judge()
	s := m.state()
	score := func(c pair) Score {
		networks := []ladder.Network{c.lo.network, c.hi.network}
		m.solve(s, networks)
		return m.score(s, networks)
	}
	var best, miss pair // miss: the best of those that break a limit, until there is a best
	affordable := false
	for i := range ways[0] {
		for k := range ways[1] {
			c := pair{lo: &ways[0][i], hi: &ways[1][k]}
			c.price = math.Round((c.lo.price+c.hi.price)*1e6) / 1e6
			if c.price > m.limits.Budget {
				continue
			}
			affordable = true
			if best.none() && !m.mayKeep(c) {
				if c.flatness = j.measure(c, miss); c.before(miss) {
					miss = c
				}
				continue
			}
			if c.flatness = j.measure(c, best); !c.before(best) || !m.mayKeep(c) {
				continue
			}
			if m.limits.broken(score(c)) == nil {
				best = c
			} else if best.none() && c.before(miss) {
				miss = c
			}
		}
	}
	switch {
	case !best.none():
		choice := Choice{
			Networks: []ladder.Network{best.lo.network, best.hi.network},
			Inverted: p.Inverted,
			Items:    [][]parts.Item{best.lo.items, best.hi.items},
			Price:    best.price,
		}
		choice.Score = score(best)
		return choice, nil
	case !affordable:
		return Choice{}, fmt.Errorf("search: the cheapest parts cost more than the budget of %.2f", m.limits.Budget)
	case miss.none():
		lo, hi := p.Band()
		return Choice{}, fmt.Errorf("search: the sum of every combination of shelf values has a null from %v to %v", lo, hi)
	default:
		broken := m.limits.broken(score(miss))
		return Choice{}, fmt.Errorf("search: no combination of shelf values keeps the limits: with the flattest, %s", broken[0])
	}
}

// A pair is one combination.
type pair struct {
	lo, hi   *variant
	flatness float64 // in steps of 1e-9 dB, infinite if it is above what it was measured against
	price    float64
}

const perDecibel = 1e9

func (a pair) none() bool { return a.lo == nil }

// before says whether a is better than b.
func (a pair) before(b pair) bool {
	return !math.IsInf(a.flatness, 1) && (b.none() || a.flatness < b.flatness || a.flatness == b.flatness && a.price < b.price)
}

// A judge measures pairs in a model.
type judge struct {
	x, target []float64 // of the band, the order scattered
	window    bool
	loSlope   float64 // steepest fall allowed; 0 with a target
}

func (m *model) judge() judge {
	order := scattered(len(m.x))
	j := judge{x: pick(m.x, order), window: m.window, loSlope: steepest}
	if m.target != nil {
		j.target, j.loSlope = pick(m.target, order), 0
	}
	return j
}

// measure returns the flatness of a in steps, or infinity as soon as it is certain
// that it is above that of b. Rounding to steps makes equal what differs
// only by the order of the operations, as with two coils that change places.
func (j judge) measure(a, b pair) float64 {
	// flatness = √(sum of squares / n), the window being as many points again.
	n := float64(len(j.x))
	if j.window {
		n *= 2
	}
	most := math.Inf(1)
	if !b.none() {
		r := (b.flatness + 1) / perDecibel
		most = n * r * r
	}
	lo, hi := a.lo.pressure, a.hi.pressure
	sum := j.squares(func(k int) float64 { return power(lo[k] + hi[k]) }, most)
	if j.window && sum <= most {
		sum += j.squares(func(k int) float64 {
			u, v := a.lo.across[k], a.hi.across[k]
			return a.lo.own[k] + a.hi.own[k] + float64(real(u)*real(v)) + float64(imag(u)*imag(v))
		}, most-sum)
	}
	return math.Round(perDecibel * math.Sqrt(sum/n))
}

// squares returns the sum of the squares of the levels of some powers, in dB, about
// their line, or infinity as soon as that of the first points about their own line,
// which it cannot fall below, is above most; also if there is a null.
func (j judge) squares(power func(k int) float64, most float64) float64 {
	level := func(k int) float64 {
		l := 10 * math.Log10(power(k))
		if j.target != nil {
			l -= j.target[k]
		}
		return l
	}
	zero, x0 := level(0), j.x[0] // taken from here, so that little cancels
	if math.IsInf(zero, 0) || math.IsNaN(zero) {
		return math.Inf(1)
	}
	var s, s2, sx, sxx, sxy float64
	for k := 1; k < len(j.x); k++ {
		d, x := level(k)-zero, j.x[k]-x0
		s += d
		s2 += float64(d * d)
		sx += x
		sxx += float64(x * x)
		sxy += float64(x * d)
		last := k == len(j.x)-1
		if k&3 != 3 && !last {
			continue
		}
		n := float64(k + 1)
		vx, vxy := sxx-float64(sx*sx)/n, sxy-float64(sx*s)/n
		slope := min(max(vxy/vx, j.loSlope), 0)
		v := s2 - float64(s*s)/n - 2*float64(slope*vxy) + float64(slope*slope)*vx
		if last {
			if v <= most {
				return max(0, v)
			}
			return math.Inf(1)
		}
		if v > most {
			return math.Inf(1)
		}
	}
	return math.Inf(1)
}

// mayKeep is false only if the pair breaks the limits of load or crossing; it is
// much quicker than a score.
func (m *model) mayKeep(c pair) bool {
	hi := c.hi.below
	for i, lo := range c.lo.below {
		if !(hi[i] < lo) && hi[i] > 0 {
			return false
		}
	}
	if least := m.limits.Load; least > 0 {
		most := (1 + 1e-9) / float64(least*least)
		hi := c.hi.admittance
		for i, lo := range c.lo.admittance {
			if !(power(lo+hi[i]) <= most) {
				return false
			}
		}
	}
	return true
}
