package search

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// A Choice is a set of networks from parts one can buy.
type Choice struct {
	Networks []ladder.Network
	Items    [][]parts.Item // of each way, in the order of the signal
	Price    float64        // of all items, for one speaker
	Score    Score
}

// What one search may take on, in time and in memory.
const (
	maxCombinations = 100_000_000
	maxVariants     = 50_000 // of one way
)

// Shelf replaces every part of the two networks by one of the n items of the
// catalogue nearest in value, losses included, and returns the combination with
// the least ripple that keeps the limits and costs no more than budget, in the
// currency of the catalogue (0: no ceiling). All combinations count, so the answer
// is the best of this neighbourhood. Of equal ripples, to 1e-9 dB, the cheapest
// stands, and of equal prices, to a millionth, the one that is nearest in the first
// part in which they differ.
//
// It is an error if the problem, a network or an item fails its check, if there
// are not two ways, if a way has more than 50 000 variants or both together more
// than 100 million, or if no combination keeps the limits and the budget; the
// error then says what the flattest within the budget breaks.
func (p Problem) Shelf(networks []ladder.Network, catalogue parts.Catalogue, n int, budget float64) (Choice, error) {
	if err := p.ready(networks); err != nil {
		return Choice{}, err
	}
	if n < 1 {
		return Choice{}, &units.RangeError{Field: "search: items for each part:", Value: fmt.Sprint(n), Want: "must be at least 1"}
	}
	if err := units.NotNegative("search: budget", budget); err != nil {
		return Choice{}, err
	}
	if ways := p.Field.Ways(); ways != 2 {
		return Choice{}, &units.RangeError{Field: "search: shelf values for", Value: fmt.Sprintf("%d ways", ways), Want: "must be 2"}
	}
	var ways [2][]variant
	for w, network := range networks {
		var err error
		if ways[w], err = p.variants(w, network, catalogue, n); err != nil {
			return Choice{}, err
		}
	}
	if all := float64(len(ways[0])) * float64(len(ways[1])); all > maxCombinations {
		return Choice{}, &units.RangeError{Field: "search: combinations:", Value: fmt.Sprintf("%.0f", all),
			Want: fmt.Sprintf("must be at most %d: take fewer items for each part", maxCombinations)}
	}

	var best, miss pair // miss: the best of those that break a limit, until there is a best
	affordable := false
	for i := range ways[0] {
		for k := range ways[1] {
			c := pair{lo: &ways[0][i], hi: &ways[1][k]}
			c.price = math.Round((c.lo.price+c.hi.price)*1e6) / 1e6
			if budget > 0 && c.price > budget {
				continue
			}
			affordable = true
			if best.none() && !p.mayKeep(c) {
				if c.ripple = c.measure(miss); c.before(miss) {
					miss = c
				}
				continue
			}
			if c.ripple = c.measure(best); !c.before(best) || !p.mayKeep(c) {
				continue
			}
			if p.Broken(p.Score(c.lo.network, c.hi.network)) == nil {
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
			Items:    [][]parts.Item{best.lo.items, best.hi.items},
			Price:    best.price,
		}
		choice.Score = p.Score(choice.Networks...)
		return choice, nil
	case !affordable:
		return Choice{}, fmt.Errorf("search: the cheapest parts cost more than the budget of %.2f", budget)
	case miss.none():
		return Choice{}, fmt.Errorf("search: the sum of every combination of shelf values has a null from %v to %v", p.Lo, p.Hi)
	default:
		broken := p.Broken(p.Score(miss.lo.network, miss.hi.network))
		return Choice{}, fmt.Errorf("search: no combination of shelf values keeps the limits: with the flattest, %s", broken[0])
	}
}

// A pair is one combination.
type pair struct {
	lo, hi *variant
	ripple float64 // in steps of 1e-9 dB, infinite if it is above what it was measured against
	price  float64
}

const perDecibel = 1e9

func (a pair) none() bool { return a.lo == nil }

// before says whether a is better than b.
func (a pair) before(b pair) bool {
	return !math.IsInf(a.ripple, 1) && (b.none() || a.ripple < b.ripple || a.ripple == b.ripple && a.price < b.price)
}

// measure returns the ripple of a in steps, or infinity as soon as it is certain
// that the ripple is above that of b. Rounding to steps makes equal what differs
// only by the order of the operations, as with two coils that change places.
func (a pair) measure(b pair) float64 {
	// ripple = 10/ln 10 dB √(sum of squares / n)
	n := float64(len(a.lo.pressure))
	most := math.Inf(1)
	if !b.none() {
		r := (b.ripple + 1) / perDecibel * math.Ln10 / 10
		most = n * r * r
	}
	return math.Round(perDecibel * 10 / math.Ln10 * math.Sqrt(squares(a.lo.pressure, a.hi.pressure, most)/n))
}

// squares returns the sum of the squares of ln|a+b|² about its mean, or infinity as
// soon as that of the first points about their own mean, which it cannot fall
// below, is above most; also if there is a null.
func squares(a, b []complex128, most float64) float64 {
	b = b[:len(a)]
	zero := math.Log(power(a[0] + b[0])) // levels are taken from here, so that little cancels
	var s, s2 float64
	for k := 1; k < len(a); k++ {
		d := math.Log(power(a[k]+b[k])) - zero
		s += d
		s2 += float64(d * d)
		if n := float64(k + 1); float64(s2*n)-float64(s*s) > most*n {
			return math.Inf(1)
		}
	}
	if v := max(0, s2-float64(s*s)/float64(len(a))); v <= most {
		return v
	}
	return math.Inf(1)
}

// mayKeep is false only if the pair breaks the limits of load or crossing; it is
// much quicker than a score.
func (p Problem) mayKeep(c pair) bool {
	hi := c.hi.below
	for i, lo := range c.lo.below {
		if !(hi[i] < lo) && hi[i] > 0 {
			return false
		}
	}
	if p.Load > 0 {
		most := (1 + 1e-9) / float64(p.Load*p.Load)
		hi := c.hi.admittance
		for i, lo := range c.lo.admittance {
			if !(power(lo+hi[i]) <= most) {
				return false
			}
		}
	}
	return true
}
