package search

import (
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
)

// A settler chooses items for the parts of two networks in a model.
type settler struct {
	m           *model
	s           *state
	catalogue   parts.Catalogue
	h, z        [2][]complex128 // of the networks as they stand
	quick       judge
	order       []int // in which frequencies of the band are looked at
	budget      float64
	dear        float64 // dB that one unit of money counts as
	evaluations int
}

func newSettler(m *model, c parts.Catalogue) *settler {
	s := &settler{m: m, s: m.state(), catalogue: c, quick: m.judge(), order: scattered(len(m.x))}
	for w := range 2 {
		s.h[w], s.z[w] = make([]complex128, len(m.hz)), make([]complex128, len(m.hz))
	}
	return s
}

const (
	together   = 3400 // items of one way that are tried together
	inPairs    = 12   // for each of two parts
	mostRounds = 8
)

// A place is where a part stands, and the items near it.
type place struct {
	way  int
	part *ladder.Part
	near []parts.Item
	at   int
}

// settle starts at the items nearest to the values and exchanges them, all of a way
// or those of two parts together, for as long as that gets better. It returns nil if
// the catalogue has no item for a part. With asNearest it leaves it at the start.
//
// With a budget it first looks for what is good for its money, at several prices of
// flatness, and goes on from each: otherwise the first part to choose would take all
// of the money.
func (s *settler) settle(networks []ladder.Network, asNearest bool) [][]parts.Item {
	n := clone(networks)
	var places []*place
	for w := range n {
		for _, p := range partsOf(n[w : w+1]) {
			places = append(places, &place{way: w, part: p})
		}
	}
	for _, p := range places {
		if p.near = s.catalogue.Nearest(*p.part, 1); len(p.near) == 0 {
			return nil
		}
	}
	nearest := standing(places)
	if asNearest {
		return byWay(places, nearest)
	}
	least := math.Inf(1)
	var best []parts.Item
	ceiling := s.m.limits.Budget
	cheap := 0
	for _, share := range []float64{0, 0.1, 0.3, 1, 3} {
		put(places, nearest)
		if math.IsInf(ceiling, 1) {
			s.budget, s.dear = ceiling, 0
		} else {
			s.budget, s.dear = math.Inf(1), share/ceiling
			s.descend(n, places)
			s.budget, s.dear = ceiling, 0
		}
		if s.price(places) <= ceiling {
			cheap++
		}
		if k := s.descend(n, places); k < least-tie {
			least, best = k, standing(places)
		}
		// The best of all is cheap enough, or what is cheaper yet is not better.
		if share == 0 && cheap == 1 || cheap == 2 {
			break
		}
	}
	return byWay(places, best)
}

func byWay(places []*place, items []parts.Item) [][]parts.Item {
	out := make([][]parts.Item, 2)
	for i, p := range places {
		out[p.way] = append(out[p.way], items[i])
	}
	return out
}

func standing(places []*place) []parts.Item {
	var items []parts.Item
	for _, p := range places {
		items = append(items, p.near[p.at])
	}
	return items
}

func put(places []*place, items []parts.Item) {
	for i, p := range places {
		p.near = []parts.Item{items[i]}
		p.put(0)
	}
}

// descend exchanges items until nothing gets better.
func (s *settler) descend(n []ladder.Network, places []*place) float64 {
	low := 0
	for low < len(places) && places[low].way == 0 {
		low++
	}
	best := s.key(n, places, math.Inf(1))
	for range mostRounds {
		before := best
		for _, own := range [][]*place{places[:low], places[low:]} {
			if len(own) == 0 || len(own) > 3 {
				continue
			}
			s.widen(own, perPart(len(own), together))
			best = s.oneWay(n, places, own, best)
		}
		s.widen(places, inPairs)
		for i, a := range places {
			for _, b := range places[i+1:] {
				best = s.pair(n, places, a, b, best)
			}
		}
		if !(best < before-tie) {
			break
		}
	}
	return best
}

// widen looks up the items near the ones that stand.
func (s *settler) widen(places []*place, count int) {
	for _, p := range places {
		stands := p.near[p.at]
		p.near = s.catalogue.Nearest(stands.Part, count)
		p.at = -1
		for i := range p.near {
			if p.near[i].ID == stands.ID {
				p.at = i
			}
		}
		if p.at < 0 { // more grades of one value than are looked at
			p.at = len(p.near)
			p.near = append(p.near, stands)
		}
	}
}

func (p *place) put(i int) {
	p.at = i
	*p.part = p.near[i].Part
}

// oneWay tries all items of one way together.
func (s *settler) oneWay(n []ladder.Network, places, own []*place, best float64) float64 {
	other := 1 - own[0].way
	s.solve(n, other)
	pick := make([]int, len(own))
	for i, p := range own {
		pick[i] = p.at
	}
	try := make([]int, len(own))
	for {
		for i, p := range own {
			p.put(try[i])
		}
		s.solve(n, own[0].way)
		if k := s.judge(n, places, best); k < best-tie {
			best = k
			copy(pick, try)
		}
		i := len(own) - 1
		for i >= 0 {
			if try[i]++; try[i] < len(own[i].near) {
				break
			}
			try[i] = 0
			i--
		}
		if i < 0 {
			break
		}
	}
	for i, p := range own {
		p.put(pick[i])
	}
	return best
}

// pair tries the items of two parts together.
func (s *settler) pair(n []ladder.Network, places []*place, a, b *place, best float64) float64 {
	i0, k0 := a.at, b.at
	// Of the other way, the answers are worked out once.
	type answer struct{ h, z []complex128 }
	var answers []answer
	if a.way != b.way {
		for k := range b.near {
			b.put(k)
			s.solve(n, b.way)
			answers = append(answers, answer{append([]complex128(nil), s.h[b.way]...), append([]complex128(nil), s.z[b.way]...)})
		}
	} else {
		s.solve(n, 1-a.way)
	}
	for i := range a.near {
		a.put(i)
		if a.way != b.way {
			s.solve(n, a.way)
		}
		for k := range b.near {
			b.put(k)
			if a.way != b.way {
				copy(s.h[b.way], answers[k].h)
				copy(s.z[b.way], answers[k].z)
			} else {
				s.solve(n, a.way)
			}
			if key := s.judge(n, places, best); key < best-tie {
				best, i0, k0 = key, i, k
			}
		}
	}
	a.put(i0)
	b.put(k0)
	return best
}

func (s *settler) solve(n []ladder.Network, w int) {
	n[w].Solve(s.h[w], s.z[w], s.m.hz, s.m.load[w])
}

func (s *settler) key(n []ladder.Network, places []*place, best float64) float64 {
	s.solve(n, 0)
	s.solve(n, 1)
	return s.judge(n, places, best)
}

// judge returns the key of what stands, or anything not below best as soon as that is
// certain.
func (s *settler) judge(n []ladder.Network, places []*place, best float64) float64 {
	s.evaluations++
	m := s.m
	price := s.price(places)
	missed := price/s.budget - 1
	if r := atDC(n[0]); r > m.limits.Resistance {
		missed = max(missed, float64(r/m.limits.Resistance)-1)
	}
	if missed > 0 && best < 100 {
		return 100
	}
	s.s.h[0], s.s.h[1], s.s.z[0], s.s.z[1] = s.h[0], s.h[1], s.z[0], s.z[1]
	if best < 100 {
		flat := s.flatness(best - s.dear*price)
		if !(flat+s.dear*price < best) || !s.keeps() {
			return 100
		}
		return flat + s.dear*price
	}
	m.add(s.s)
	l := m.limits
	l.Budget = s.budget
	return l.key(m.score(s.s, n), price) + s.dear*price
}

// flatness returns that of what stands, or infinity as soon as it is certain to be
// above most.
func (s *settler) flatness(most float64) float64 {
	if !(most > 0) {
		return math.Inf(1)
	}
	m := s.m
	n := float64(len(m.x))
	if m.window {
		n *= 2
	}
	least := n * most * most * (1 + 1e-9)
	h0, h1, d0, d1 := s.h[0], s.h[1], m.drive[0], m.drive[1]
	sum := s.quick.squares(func(k int) float64 {
		i := m.from + s.order[k]
		return power(h0[i]*d0[i] + h1[i]*d1[i])
	}, least)
	if m.window && sum <= least {
		sum += s.quick.squares(func(k int) float64 { return m.mean(s.h[:], s.order[k]) }, least-sum)
	}
	return math.Sqrt(sum / n)
}

func (s *settler) price(places []*place) float64 {
	sum := 0.0
	for _, p := range places {
		sum += p.near[p.at].Price
	}
	return math.Round(sum*1e6) / 1e6
}

// keeps tells whether crossing, load and travel are kept at the frequencies of the
// model.
func (s *settler) keeps() bool {
	m := s.m
	for i := range m.below {
		hi := power(s.h[1][i]) * power(m.drive[1][i])
		if hi > 0 && !(hi < power(s.h[0][i])*power(m.drive[0][i])) {
			return false
		}
	}
	if n := m.below; 0 < n && n < len(m.hz) {
		if m.leadAt(s.s, 1, m.limits.Crossing, n) > 0 {
			return false
		}
	}
	for i := m.above; i < m.to; i++ {
		if power(s.h[1][i])*power(m.drive[1][i]) < power(s.h[0][i])*power(m.drive[0][i]) {
			return false
		}
	}
	if n := m.above; 0 < n && n < m.to && m.leadAt(s.s, 1, m.limits.Highest, n) < 0 {
		return false
	}
	if least := float64(m.limits.Load); least > 0 {
		most := 1 / (least * least)
		for i, z := range s.z[0] {
			if !(power(reciprocal(z)+reciprocal(s.z[1][i])) <= most) {
				return false
			}
		}
	}
	for w, t := range m.travel {
		if !t.none() && !(t.most(s.h[w]) <= m.limits.Travel[w]) {
			return false
		}
	}
	return true
}
