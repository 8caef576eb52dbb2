package search

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// startsFor returns values for a circuit, at one of three crossings.
func (h *hunt) startsFor(m *model, circuit []ladder.Network, which int) []ladder.Network {
	hz := float64(m.limits.Crossing)
	if hz == 0 {
		hz = math.Sqrt(m.hz[m.from] * m.hz[m.to-1])
	}
	hz *= [...]float64{1.15, 1.6, 2.2}[which]
	i, _ := slices.BinarySearch(m.hz, hz)
	i = min(i, len(m.hz)-1)
	n := clone(circuit)
	abs := func(z complex128) float64 { return math.Sqrt(power(z)) }
	resonance := float64(h.problem[0].Resonance)
	if resonance == 0 {
		resonance = hz / 2
	}
	suggest(n, hz, abs(m.load[0][i]), abs(m.load[1][i]), h.louder, resonance)
	return n
}

const crossings = 3

// begin makes a tuner ready for a circuit.
func (h *hunt) begin(t *tuner, n []ladder.Network) {
	t.take(n)
	for i, p := range t.parts {
		lo, hi := h.s.Values.span(p.Kind)
		t.lo[i], t.hi[i] = math.Log(lo), math.Log(hi)
	}
}

// sketch fits a circuit roughly.
func (h *hunt) sketch(w *worker, k *task) {
	t := w.coarse[k.turned]
	best := end{sum: math.Inf(1)}
	try := func(x []float64) {
		w.starts++
		if e := t.minimize(x, sketchy); best.x == nil || e.sum < best.sum {
			best = e
		}
	}
	for i := range crossings {
		h.begin(t, h.startsFor(t.m, k.circuit, i))
		try(t.at())
	}
	for _, x := range h.inherited(*k) {
		try(x)
	}
	e := t.minimize(best.x, fair)
	k.sketch, k.x = math.Sqrt(e.sum), e.x
}

// inherited returns starts from the best two of the circuits without one of the
// parts, with that part faint.
func (h *hunt) inherited(k task) [][]float64 {
	type start struct {
		x   []float64
		sum float64
	}
	var starts []start
	for _, old := range heritages(k.circuit) {
		both, ok := h.known[spell(old.circuit)]
		if !ok || both[k.turned].x == nil {
			continue
		}
		x := make([]float64, len(old.from)+1)
		for i, part := range old.from {
			x[part] = both[k.turned].x[i]
		}
		x[old.without] = math.Log(faint(k.circuit, old.without, h.s.Values))
		starts = append(starts, start{x, both[k.turned].sum})
	}
	slices.SortStableFunc(starts, func(a, b start) int { return cmp.Compare(math.Round(a.sum*1e6), math.Round(b.sum*1e6)) })
	var out [][]float64
	for _, s := range starts[:min(len(starts), 2)] {
		out = append(out, s.x)
	}
	return out
}

// optimise fits a circuit from many starts and settles it on the shelf.
func (h *hunt) optimise(w *worker, k task) entry {
	t := w.coarse[k.turned]
	var ends []end
	for i := range crossings + scattering {
		h.begin(t, h.startsFor(t.m, k.circuit, i%crossings))
		x := t.at()
		if i >= crossings {
			for v := range x {
				x[v] += wide * float64(1+i%2) * scatter(i-crossings+1, v)
			}
		}
		w.starts++
		if e := t.minimize(x, sketchy); !math.IsInf(e.sum, 0) {
			ends = append(ends, e)
		}
	}
	ends = append(ends, end{x: k.x, sum: k.sketch * k.sketch})
	slices.SortStableFunc(ends, bySum)
	var good []end // different ones
	for _, e := range ends[:min(len(ends), 4)] {
		if e := t.minimize(e.x, fair); !slices.ContainsFunc(good, func(g end) bool { return math.Abs(g.sum-e.sum) <= 1e-2*g.sum }) {
			good = append(good, e)
		}
	}
	slices.SortStableFunc(good, bySum)
	best := entry{index: k.index, key: math.Inf(1)}
	for i, e := range good {
		if i > 0 && e.sum > alike*good[0].sum {
			break
		}
		if e := h.settle(w, k, e); e.key < best.key-tie {
			best = e
		}
	}
	return best
}

func bySum(a, b end) int { return cmp.Compare(math.Round(a.sum*1e9), math.Round(b.sum*1e9)) }

// settle fits a circuit on the whole grid, from an end on the coarse one, and chooses
// items.
func (h *hunt) settle(w *worker, k task, from end) entry {
	t := w.whole[k.turned]
	h.begin(t, clone(k.circuit))
	t.set(t.minimize(from.x, good).x)
	if h.s.Catalogue == nil {
		return h.entry(w, k.turned, k.index, Choice{Networks: clone(t.networks)})
	}
	// What misses limits by far with any values will not keep them with those of a shop,
	// but for the resistance of its coils.
	t.m.solve(t.s, t.networks)
	free := t.m.limits
	free.Resistance = units.Resistance(math.Inf(1))
	hopeless := free.excess(t.m.score(t.s, t.networks), 0) > farMissed
	items := w.settlers[k.turned].settle(t.networks, hopeless)
	if items == nil {
		return entry{index: k.index, key: math.Inf(1)} // the catalogue has no such part
	}
	e := h.entry(w, k.turned, k.index, bought(k.circuit, items))
	if e.choice.Broken == nil || hopeless {
		return e
	}
	// Perhaps only between the frequencies of the coarse grid.
	if again := h.entry(w, k.turned, k.index, bought(k.circuit, w.thorough[k.turned].settle(e.choice.Networks, false))); again.key < e.key {
		return again
	}
	return e
}

const (
	alike      = 1.7 // sums of squares of ends that are worth a look, over the best
	scattering = 10  // starts beside those of the crossings
	wide       = 1.2 // nepers, up or down, in which every second lies; the others in twice that
)

// bought returns a circuit with items for its parts.
func bought(circuit []ladder.Network, items [][]parts.Item) Choice {
	c := Choice{Items: items}
	for w, n := range circuit {
		c.Networks = append(c.Networks, built(n, items[w]))
		for _, i := range items[w] {
			c.Price += i.Price
		}
	}
	c.Price = math.Round(c.Price*1e6) / 1e6
	return c
}

// entry scores a choice on the whole grid.
func (h *hunt) entry(w *worker, turned, index int, c Choice) entry {
	t := w.whole[turned]
	m := t.m
	if c.Items == nil {
		for _, v := range values(c.Networks) {
			*v = round6(*v)
		}
	}
	m.solve(t.s, c.Networks)
	c.Score = m.score(t.s, c.Networks)
	c.Inverted = h.problem[turned].Inverted
	c.Broken = m.limits.broken(c.Score)
	if c.Price > m.limits.Budget {
		c.Broken = append(c.Broken, fmt.Sprintf("the price is %.2f, the limit is %.2f", c.Price, m.limits.Budget))
	}
	return entry{c, m.limits.key(c.Score, c.Price), index}
}

// finish takes the kept ones as far as it goes.
func (h *hunt) finish(kept []entry) {
	h.parallel(len(kept), func(w *worker, i int) {
		turned := 0
		if kept[i].choice.Inverted != h.problem[0].Inverted {
			turned = 1
		}
		c := kept[i].choice
		var better Choice
		if h.s.Catalogue == nil {
			t := w.whole[turned]
			h.begin(t, clone(c.Networks))
			t.set(t.minimize(t.at(), full).x)
			better = Choice{Networks: clone(t.networks)}
		} else {
			var err error
			count := [2]int{}
			for w := range c.Networks {
				count[w] = min(perPart(len(values(c.Networks)), finalPairs), perPart(len(values(c.Networks[w:w+1])), finalVariants))
			}
			better, err = h.problem[turned].shelf(h.whole[turned], c.Networks, h.s.Catalogue, count)
			if err != nil {
				return
			}
		}
		if e := h.entry(w, turned, kept[i].index, better); e.key < kept[i].key-tie && e.choice.Broken == nil {
			kept[i] = e
		}
	})
}

// perPart returns how many items for each of n parts make at most so many
// combinations.
func perPart(n, most int) int {
	if n == 0 {
		return 1
	}
	k := 1
	for math.Pow(float64(k+1), float64(n)) <= float64(most) && k < 60 {
		k++
	}
	return k
}
