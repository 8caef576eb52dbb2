package search

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
)

// A Choice is a set of networks from parts one can buy.
type Choice struct {
	Networks []ladder.Network
	Items    [][]parts.Item // of each way, in the order of the signal
	Price    float64        // of all items, for one speaker
	Score    Score
}

// maxCombinations bounds the work of one search.
const maxCombinations = 100_000_000

// Shelf replaces every part of the networks by one of the n items of the catalogue
// nearest in value, and returns the combination with the least ripple that keeps
// the limits and costs no more than budget (0: no ceiling). It tries them all, so
// the answer is the best of this neighbourhood; of equals the first found in
// catalogue order of the nearest stands.
//
// It is an error if no combination keeps the limits and the budget; the error
// says what the nearest miss breaks.
func (p Problem) Shelf(networks []ladder.Network, catalogue parts.Catalogue, n int, budget float64) (Choice, error) {
	if err := p.ready(networks); err != nil {
		return Choice{}, err
	}
	if n < 1 || !(budget >= 0) {
		return Choice{}, fmt.Errorf("search: %d items each within a budget of %g: must be positive, or zero for no budget", n, budget)
	}
	if p.Field.Ways() != 2 {
		return Choice{}, errors.New("search: shelf values are searched for two ways")
	}
	all := 1.0
	var ways [2][]variant
	for w, network := range networks {
		variants, err := p.variants(w, network, catalogue, n)
		if err != nil {
			return Choice{}, err
		}
		ways[w] = variants
		all *= float64(len(variants))
	}
	if all > maxCombinations {
		return Choice{}, fmt.Errorf("search: %.0f combinations: at most %d are tried; take fewer items each", all, maxCombinations)
	}

	band := p.band()
	best, missed := Choice{}, Choice{}
	bestRipple, missedRipple := math.Inf(1), math.Inf(1)
	sum := make([]float64, len(band))
	for _, lo := range ways[0] {
		for _, hi := range ways[1] {
			price := lo.price + hi.price
			if budget > 0 && price > budget+1e-9 {
				continue
			}
			ripple := ripple(sum, lo.p, hi.p)
			if ripple >= bestRipple {
				continue
			}
			choice := Choice{
				Networks: []ladder.Network{lo.network, hi.network},
				Items:    [][]parts.Item{lo.items, hi.items}, Price: price,
			}
			choice.Score = p.Score(choice.Networks...)
			if p.Broken(choice.Score) == nil {
				best, bestRipple = choice, ripple
			} else if ripple < missedRipple {
				missed, missedRipple = choice, ripple
			}
		}
	}
	switch {
	case best.Networks != nil:
		return best, nil
	case missed.Networks != nil:
		return Choice{}, fmt.Errorf("search: no combination of shelf values keeps the limits: with the flattest, %s", p.Broken(missed.Score)[0])
	default:
		return Choice{}, fmt.Errorf("search: the cheapest parts cost more than the budget of %.2f", budget)
	}
}

// A variant is one way from shelf parts: what it gives at the point, in the band.
type variant struct {
	network ladder.Network
	items   []parts.Item
	price   float64
	p       []complex128
}

func (p Problem) variants(w int, network ladder.Network, catalogue parts.Catalogue, n int) ([]variant, error) {
	var near [][]parts.Item
	for letter, part := range network.Parts() {
		items := catalogue.Nearest(part, n)
		if len(items) == 0 {
			return nil, fmt.Errorf("search: way %d, part %s: the catalogue has no %s", w+1, letter, part.Kind)
		}
		near = append(near, items)
	}
	count := 1.0
	for _, items := range near {
		count *= float64(len(items))
	}
	if count > maxCombinations/100 {
		return nil, fmt.Errorf("search: way %d: %.0f combinations: take fewer items each", w+1, count)
	}
	band := p.band()
	drive := p.Field.Pressure(w, p.Point)
	h := make([]complex128, len(p.Field.Hz))
	z := make([]complex128, len(h))
	var out []variant
	pick := make([]int, len(near))
	for {
		v := variant{network: clone([]ladder.Network{network})[0]}
		i := 0
		for a := range v.network {
			for k := range v.network[a].Parts {
				item := near[i][pick[i]]
				v.network[a].Parts[k] = item.Part
				v.items = append(v.items, item)
				v.price += item.Price
				i++
			}
		}
		v.network.Solve(h, z, p.Field.Hz, p.Field.Load(w))
		if p.alone(w, h) {
			for _, k := range band {
				v.p = append(v.p, h[k]*drive[k])
			}
			out = append(out, v)
		}
		// Count up, the last part fastest.
		k := len(pick) - 1
		for ; k >= 0; k-- {
			if pick[k]++; pick[k] < len(near[k]) {
				break
			}
			pick[k] = 0
		}
		if k < 0 {
			break
		}
	}
	if out == nil {
		return nil, fmt.Errorf("search: way %d breaks its limits of load or travel with every shelf value near", w+1)
	}
	return out, nil
}

// alone says whether a way keeps what can be judged without the other: its
// driver's travel.
func (p Problem) alone(w int, h []complex128) bool {
	if p.Travel != nil && p.Travel[w].PerVolt != nil {
		t := p.Travel[w]
		for i, x := range t.PerVolt {
			if x*cmplx.Abs(h[i])*float64(t.Volts) > float64(t.Limit) {
				return false
			}
		}
	}
	return true
}

// ripple returns the RMS deviation in dB of |a+b| from its mean.
func ripple(level []float64, a, b []complex128) float64 {
	mean := 0.0
	for i := range level {
		level[i] = decibels(a[i] + b[i])
		mean += level[i]
	}
	mean /= float64(len(level))
	s := 0.0
	for _, l := range level {
		s += (l - mean) * (l - mean)
	}
	return math.Sqrt(s / float64(len(level)))
}
