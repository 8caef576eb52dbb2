package cabinet

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// A relaxation is the cutting with fractions of plans allowed, where a plan is a whole
// sheet, or one strip that costs its share of the width of a sheet. It is solved by
// generating columns (P. C. Gilmore and R. E. Gomory, A linear programming approach to
// the cutting-stock problem, Operations Research 9, 1961; in two stages: Multistage
// cutting stock problems of two and more dimensions, Operations Research 13, 1965).
type relaxation struct {
	bound  float64 // sheets that no plan can do without
	prices []float64
	plans  []plan
	costs  []float64
	used   []float64 // how often each plan
}

// A stage finds the plan of the most value for its cost, with that cost in sheets, and
// a bound of value over cost.
type stage func(prices []float64, left []int) (p plan, cost, most float64)

// oneStrip is the stage of strips.
func (c *cutting) oneStrip(prices []float64, left []int) (p plan, cost, most float64) {
	best := -1.0
	for _, w := range c.widths {
		r, value, bound := c.strip(w, prices, left, 20_000)
		share := float64(w) / float64(c.width)
		most = max(most, bound/share)
		if value/share > best {
			best, p, cost = value/share, plan{r}, share
		}
	}
	return p, cost, most
}

// oneSheet is the stage of sheets.
func (c *cutting) oneSheet(prices []float64, left []int) (plan, float64, float64) {
	const nodes = 20_000
	rips := make([]rip, len(c.widths))
	k := knapsack{size: c.widths, value: make([]float64, len(c.widths)), most: make([]int, len(c.widths)), nodes: nodes}
	for i, w := range c.widths {
		rips[i], _, k.value[i] = c.strip(w, prices, left, nodes)
		k.most[i] = math.MaxInt32
	}
	counts, _, bound := k.fill(c.width)
	var p plan
	for i, n := range counts {
		for range n {
			p = append(p, rips[i])
		}
	}
	return p, 1, bound
}

// yield is how many of each kind a plan gives.
func (c *cutting) yield(p plan) []float64 {
	n := make([]float64, len(c.kinds))
	for _, r := range p {
		for i, count := range r.counts {
			n[c.choices[i].kind] += float64(count)
		}
	}
	return n
}

// relax solves the relaxation for what is left. Whatever the linear program makes of
// its numbers, the bound holds: any prices, over the value of the best sheet at those
// prices, bound the number of sheets from below (A. A. Farley, A note on
// bounding a class of linear programming problems, including cutting stock problems,
// Operations Research 38, 1990).
func (c *cutting) relax(left []int, price stage) relaxation {
	var rows []int // kinds that are left
	for i, n := range left {
		if n > 0 {
			rows = append(rows, i)
		}
	}
	m := len(rows)
	r := relaxation{prices: c.areas()}
	worth := func(prices []float64) float64 {
		sum := 0.0
		for _, i := range rows {
			sum += float64(prices[i] * float64(left[i]))
		}
		return sum
	}
	if m == 0 {
		return r
	}
	_, _, most := price(r.prices, left)
	r.bound = worth(r.prices) / most

	// One plan for each kind alone begins, which makes a basis.
	var basis []int
	for k, i := range rows {
		alone := make([]float64, len(c.kinds))
		alone[i] = 1
		p, once, _ := price(alone, left)
		r.plans, r.costs = append(r.plans, p), append(r.costs, once)
		basis = append(basis, k)
	}
	// Demands that differ a little keep the basis from degenerating.
	demand := make([]float64, m)
	for k, i := range rows {
		demand[k] = float64(left[i]) * (1 + 1e-6*(0.5+math.Mod(float64(k+1)*0.6180339887, 1)))
	}
	rounds := 60 + 12*m
	for range rounds {
		n := len(r.plans)
		a := mat.NewDense(m, n+m, nil)
		cost := make([]float64, n+m)
		for j, p := range r.plans {
			y := c.yield(p)
			for k, i := range rows {
				a.Set(k, j, y[i])
			}
			cost[j] = r.costs[j]
		}
		for k := range m {
			a.Set(k, n+k, -1) // more than wanted
		}
		// The basis of the last round, whose surplus columns have moved by one.
		_, x, err := lp.Simplex(cost, a, demand, 1e-9, basis)
		if err != nil && x == nil {
			return r
		}
		basis = basis[:0]
		for j, v := range x {
			if v > 1e-11 {
				basis = append(basis, j)
			}
		}
		r.used = slices.Clone(x[:n])
		if len(basis) != m {
			return r
		}
		b := mat.NewDense(m, m, nil)
		costs := mat.NewVecDense(m, nil)
		for k, j := range basis {
			b.SetCol(k, mat.Col(nil, j, a))
			costs.SetVec(k, cost[j])
		}
		var y mat.VecDense
		if y.SolveVec(b.T(), costs) != nil {
			return r
		}
		prices := make([]float64, len(c.kinds))
		for k, i := range rows {
			// Rounded, so that the last digits of a machine do not choose the plan.
			prices[i] = max(0, math.Round(y.AtVec(k)*1e9)/1e9)
		}
		p, once, most := price(prices, left)
		if bound := worth(prices) / most; bound > r.bound {
			r.bound = bound
		}
		r.prices = prices
		value := 0.0
		for i, n := range c.yield(p) {
			value += float64(n * prices[i])
		}
		if !(value > once*(1+1e-7)) {
			return r
		}
		r.plans, r.costs = append(r.plans, p), append(r.costs, once)
		for k, j := range basis {
			if j >= n {
				basis[k] = j + 1
			}
		}
	}
	return r
}

// dive rounds the relaxation down, fixes those sheets, and relaxes what is left, until
// nothing is left; at every step it tries to finish greedily. It returns the best plan
// found, which may be the one given.
func (c *cutting) dive(best []plan, goal int) []plan {
	left := c.demand()
	var fixed []plan
	for some(left) && len(fixed) < len(best) {
		r := c.relax(left, c.oneSheet)
		if rest := c.improve(r.prices, left, nil, goal-len(fixed), 4); rest != nil && len(fixed)+len(rest) < len(best) {
			best = slices.Concat(fixed, rest)
		}
		if len(best) <= goal || len(r.used) == 0 || len(fixed)+ceil(r.bound) >= len(best) {
			return best
		}
		fixed = append(fixed, c.round(r, left)...)
	}
	if !some(left) && len(fixed) < len(best) {
		best = fixed
	}
	return best
}

// fits says whether everything of a plan is still wanted.
func (c *cutting) fits(p plan, left []int) bool {
	for i, n := range c.yield(p) {
		if int(n) > left[i] {
			return false
		}
	}
	return true
}

// fix takes a plan from what is left, without what is not wanted.
func (c *cutting) fix(p plan, left []int) plan {
	q := make(plan, 0, len(p))
	for _, r := range p {
		r.counts = slices.Clone(r.counts)
		c.within(r.counts, left)
		c.take(r, left)
		q = append(q, r)
	}
	return q
}

// round takes the plans that a relaxation uses whole times, or else the one that it uses
// most, from what is left.
func (c *cutting) round(r relaxation, left []int) []plan {
	var fixed []plan
	largest := 0
	for j, x := range r.used {
		if x > r.used[largest] {
			largest = j
		}
		for n := int(x + 1e-4); n > 0 && c.fits(r.plans[j], left); n-- {
			fixed = append(fixed, c.fix(r.plans[j], left))
		}
	}
	if len(fixed) == 0 {
		fixed = append(fixed, c.fix(r.plans[largest], left))
	}
	return fixed
}

// stripwise rounds the relaxation of strips until nothing is left, and then puts the
// strips onto sheets.
func (c *cutting) stripwise() []plan {
	left := c.demand()
	var rips []rip
	for some(left) {
		r := c.relax(left, c.oneStrip)
		if len(r.used) == 0 {
			return nil
		}
		for _, p := range c.round(r, left) {
			rips = append(rips, p...)
		}
	}
	return c.stack(rips)
}

// stack puts strips onto sheets, each filled as well as what is left allows.
func (c *cutting) stack(rips []rip) []plan {
	left := make([]int, len(c.widths))
	of := func(r rip) int { return slices.Index(c.widths, r.width) }
	for _, r := range rips {
		left[of(r)]++
	}
	value := make([]float64, len(c.widths))
	for i, w := range c.widths {
		value[i] = float64(w)
	}
	var plans []plan
	for some(left) {
		k := knapsack{size: c.widths, value: value, most: left, nodes: 20_000}
		counts, _, _ := k.fill(c.width)
		var p plan
		for i, n := range counts {
			left[i] -= n
			for range n {
				at := slices.IndexFunc(rips, func(r rip) bool { return of(r) == i })
				p = append(p, rips[at])
				rips = slices.Delete(rips, at, at+1)
			}
		}
		plans = append(plans, p)
	}
	return plans
}
