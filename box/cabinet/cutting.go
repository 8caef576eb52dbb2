package cabinet

import (
	"cmp"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// A cutting is the problem in whole nanometres. Every piece carries one kerf on two
// of its edges, and so does the sheet: between neighbours lies one kerf, at the edge
// of the sheet none.
type cutting struct {
	length, width int64
	kinds         []kind
	choices       []choice
	widths        []int64 // of choices, each once, widest first
}

// A kind is all pieces of one size and grain.
type kind struct {
	area   float64
	count  int
	pieces []int // of the cut list
}

// A choice is a kind laid one way or the other.
type choice struct {
	kind          int
	along, across int64
	turned        bool
}

// A rip is a strip with how often each choice lies in it.
type rip struct {
	width  int64
	counts []int
}

// A plan is the strips of one sheet.
type plan []rip

func nano(l units.Length) int64 { return int64(math.Round(float64(l) * 1e9)) }

func (s Sheet) cutting(list []Piece) cutting {
	kerf := nano(s.kerf())
	c := cutting{length: nano(s.Length-2*s.Trim) + kerf, width: nano(s.Width-2*s.Trim) + kerf}
	type key struct {
		length, width int64
		grain         Grain
	}
	at := map[key]int{}
	for i, p := range list {
		if p.Count == 0 {
			continue
		}
		k := key{nano(p.Length), nano(p.Width), p.Grain}
		n, ok := at[k]
		if !ok {
			n = len(c.kinds)
			at[k] = n
			l, w := k.length+kerf, k.width+kerf
			c.kinds = append(c.kinds, kind{area: float64(l) * float64(w)})
			if p.Grain != GrainAcross && l <= c.length && w <= c.width {
				c.choices = append(c.choices, choice{n, l, w, false})
			}
			if p.Grain != GrainAlong && (l != w || p.Grain == GrainAcross) && w <= c.length && l <= c.width {
				c.choices = append(c.choices, choice{n, w, l, true})
			}
		}
		c.kinds[n].count += p.Count
		c.kinds[n].pieces = append(c.kinds[n].pieces, i)
	}
	for _, x := range c.choices {
		c.widths = append(c.widths, x.across)
	}
	slices.SortFunc(c.widths, func(a, b int64) int { return cmp.Compare(b, a) })
	c.widths = slices.Compact(c.widths)
	return c
}

// strip returns the most valuable filling of a strip of a width from what is left,
// and a bound of its value.
func (c *cutting) strip(width int64, value []float64, left []int, nodes int) (rip, float64, float64) {
	k := knapsack{size: make([]int64, len(c.choices)), value: make([]float64, len(c.choices)), most: make([]int, len(c.choices)), nodes: nodes}
	for i, x := range c.choices {
		k.size[i], k.value[i] = x.along, value[x.kind]
		if x.across <= width {
			k.most[i] = left[x.kind]
		}
	}
	counts, best, bound := k.fill(c.length)
	r := rip{width, counts}
	c.within(r.counts, left)
	return r, best, bound
}

// within takes back what both ways of laying a kind have taken too much.
func (c *cutting) within(counts, left []int) {
	used := make([]int, len(c.kinds))
	for i, x := range c.choices {
		counts[i] = min(counts[i], left[x.kind]-used[x.kind])
		used[x.kind] += counts[i]
	}
}

// take removes a strip from what is left.
func (c *cutting) take(r rip, left []int) {
	for i, n := range r.counts {
		left[c.choices[i].kind] -= n
	}
}

func (c *cutting) value(r rip, value []float64) float64 {
	sum := 0.0
	for i, n := range r.counts {
		sum += float64(float64(n) * value[c.choices[i].kind])
	}
	return sum
}

// sheet fills a sheet strip by strip: of the best mix of strips it cuts the widest,
// looks at what is left and thinks again. It takes what it uses from left.
func (c *cutting) sheet(value []float64, left []int) plan {
	const nodes = 1500
	var p plan
	room := c.width
	rips := make([]rip, len(c.widths))
	worth := make([]float64, len(c.widths))
	fresh := make([]bool, len(c.widths))
	for {
		k := knapsack{size: c.widths, value: worth, most: make([]int, len(c.widths)), nodes: nodes}
		for i, w := range c.widths {
			// A strip that can still be cut as it was need not be thought of anew.
			if !fresh[i] || !c.possible(rips[i], left) {
				rips[i], worth[i], _ = c.strip(w, value, left, nodes)
				worth[i] = c.value(rips[i], value)
				fresh[i] = true
			}
			if worth[i] > 0 {
				k.most[i] = c.times(rips[i], left)
			}
		}
		counts, best, _ := k.fill(room)
		if !(best > 0) {
			return p
		}
		at := slices.IndexFunc(counts, func(n int) bool { return n > 0 })
		r := rips[at]
		for range counts[at] {
			p = append(p, r)
			c.take(r, left)
			room -= r.width
		}
	}
}

// times says how often a strip can be cut from what is left, the last time perhaps
// not quite.
func (c *cutting) times(r rip, left []int) int {
	n := math.MaxInt
	for kind := range c.kinds {
		if u := c.uses(r, kind); u > 0 {
			n = min(n, left[kind]/u)
		}
	}
	return n
}

func (c *cutting) uses(r rip, kind int) int {
	n := 0
	for i, x := range c.choices {
		if x.kind == kind {
			n += r.counts[i]
		}
	}
	return n
}

func (c *cutting) possible(r rip, left []int) bool {
	for kind := range c.kinds {
		if c.uses(r, kind) > left[kind] {
			return false
		}
	}
	return true
}

func (c *cutting) demand() []int {
	d := make([]int, len(c.kinds))
	for i, k := range c.kinds {
		d[i] = k.count
	}
	return d
}

func (c *cutting) areas() []float64 {
	v := make([]float64, len(c.kinds))
	whole := float64(c.length) * float64(c.width)
	for i, k := range c.kinds {
		v[i] = k.area / whole
	}
	return v
}

func some(left []int) bool { return slices.ContainsFunc(left, func(n int) bool { return n > 0 }) }

// greedy fills one sheet after the other, at most so many; all reports success.
func (c *cutting) greedy(value []float64, left []int, most int) (plans []plan, all bool) {
	left = slices.Clone(left)
	for some(left) {
		if len(plans) == most {
			return nil, false
		}
		p := c.sheet(value, left)
		if len(p) == 0 {
			return nil, false // nothing that is left has a price
		}
		plans = append(plans, p)
	}
	return plans, true
}

// improve fills sheets again and again, each time with higher prices for pieces that
// lay on badly used sheets (sequential value correction), until it needs no more than
// the goal or has tried so often.
func (c *cutting) improve(value []float64, left []int, best []plan, goal, tries int) []plan {
	value = slices.Clone(value)
	area := c.areas()
	for k := range value {
		value[k] = max(value[k], area[k]/100) // every piece must find its place
	}
	for range tries {
		if best != nil && len(best) <= goal {
			break
		}
		most := math.MaxInt
		if best != nil {
			most = len(best) + 1 // worse ones teach prices too
		}
		plans, all := c.greedy(value, left, most)
		if !all {
			return best
		}
		if best == nil || len(plans) < len(best) {
			best = plans
		}
		sum, seen := make([]float64, len(value)), make([]float64, len(value))
		for _, p := range plans {
			used := 0.0
			for _, r := range p {
				used += c.value(r, area)
			}
			for _, r := range p {
				for i, n := range r.counts {
					k := c.choices[i].kind
					sum[k] += float64(float64(n) * math.Pow(area[k], 1.02) / used)
					seen[k] += float64(n)
				}
			}
		}
		for k := range value {
			if seen[k] > 0 {
				value[k] = float64(0.6*value[k]) + float64(0.4*sum[k]/seen[k])
			}
		}
	}
	return best
}

// firstFit puts pieces in the order given, each way round of theirs that is first in
// choices, into the first strip with room, else into a new strip on the first sheet
// with room.
func (c *cutting) firstFit(order []int) []plan {
	var plans []plan
	type open struct {
		sheet, strip int
		room         int64
	}
	var strips []open
	var taken []int64
	for _, i := range order {
		x := c.choices[i]
		for range c.kinds[x.kind].count {
			at := slices.IndexFunc(strips, func(o open) bool {
				return o.room >= x.along && plans[o.sheet][o.strip].width >= x.across
			})
			if at < 0 {
				sheet := slices.IndexFunc(taken, func(w int64) bool { return w+x.across <= c.width })
				if sheet < 0 {
					sheet = len(taken)
					taken = append(taken, 0)
					plans = append(plans, nil)
				}
				taken[sheet] += x.across
				plans[sheet] = append(plans[sheet], rip{x.across, make([]int, len(c.choices))})
				at = len(strips)
				strips = append(strips, open{sheet, len(plans[sheet]) - 1, c.length})
			}
			o := &strips[at]
			o.room -= x.along
			plans[o.sheet][o.strip].counts[i]++
		}
	}
	return plans
}

// simple returns the best of first fits: pieces not turned unless they must be, then
// turned if they may be, the widest first.
func (c *cutting) simple() []plan {
	var best []plan
	for _, turned := range []bool{false, true} {
		pick := make([]int, len(c.kinds))
		for i := range pick {
			pick[i] = -1
		}
		for i, x := range c.choices {
			if pick[x.kind] < 0 || x.turned == turned {
				pick[x.kind] = i
			}
		}
		slices.SortStableFunc(pick, func(i, j int) int {
			a, b := c.choices[i], c.choices[j]
			return cmp.Or(cmp.Compare(b.across, a.across), cmp.Compare(b.along, a.along))
		})
		if plans := c.firstFit(pick); best == nil || len(plans) < len(best) {
			best = plans
		}
	}
	return best
}
