package cabinet

import (
	"cmp"
	"fmt"
	"slices"

	"example.com/halfspace/units"
)

// A Yield is what one sheet or offcut gives.
type Yield struct {
	Value  float64
	Counts []int // of each entry of the cut list
}

// Yield returns the most valuable mix of pieces that one sheet gives by cuts from edge
// to edge, in any number of stages, with a value for each entry of the list and no
// more of it than its Count. It is exact, by recursion over the places where cuts can
// lie (P. C. Gilmore and R. E. Gomory, The theory and computation of knapsack
// functions, Operations Research 14, 1966; J. C. Herz, Recursive computational procedure for
// two-dimensional stock cutting, IBM Journal of Research and Development 16, 1972),
// and where counts bind over all mixes of pieces that none other surpasses. So it is
// meant for offcuts and short lists; [Sheet.Cut] plans whole jobs.
//
// Errors: those of Cut, a value that is negative or not finite, and more ways to cut
// than it can look through. It panics if there is not one value for each entry.
func (s Sheet) Yield(list []Piece, value []float64) (Yield, error) {
	if len(value) != len(list) {
		panic("cabinet: as many values as pieces are needed")
	}
	if err := s.checkCut(list); err != nil {
		return Yield{}, err
	}
	for i, v := range value {
		if err := units.NotNegative("cabinet: "+list[i].Name+": value", v); err != nil {
			return Yield{}, err
		}
	}
	g := guillotine{list: list, value: value, kerf: nano(s.kerf())}
	length, width := nano(s.Length-2*s.Trim)+g.kerf, nano(s.Width-2*s.Trim)+g.kerf
	var along, across []int64
	for i, p := range list {
		for _, l := range g.ways(i) {
			if p.Count > 0 && l[0] <= length && l[1] <= width {
				along, across = append(along, l[0]), append(across, l[1])
				g.pieces = append(g.pieces, oriented{i, l[0], l[1]})
			}
		}
	}
	if len(g.pieces) == 0 {
		return Yield{Counts: make([]int, len(list))}, nil
	}
	var ok, ok2 bool
	g.along, ok = places(along, length)
	g.across, ok2 = places(across, width)
	const work = 3e8
	if x, y := float64(len(g.along)), float64(len(g.across)); !ok || !ok2 || x*y*(x+y) > work {
		return Yield{}, g.refuse()
	}
	y := g.free()
	for i, n := range y.Counts {
		if n > list[i].Count {
			return g.bounded()
		}
	}
	return y, nil
}

type oriented struct {
	piece         int
	along, across int64
}

type guillotine struct {
	list          []Piece
	value         []float64
	kerf          int64
	pieces        []oriented
	along, across []int64 // where cuts can lie, rising, from 0
}

func (g *guillotine) refuse() error {
	return &units.RangeError{Field: "cabinet: pieces for one sheet", Value: fmt.Sprintf("%d sizes", len(g.pieces)),
		Want: "must be fewer or larger: there are too many ways to cut it"}
}

// ways returns length and width, with kerf, of the ways in which a piece may lie.
func (g *guillotine) ways(i int) [][2]int64 {
	p := g.list[i]
	l, w := nano(p.Length)+g.kerf, nano(p.Width)+g.kerf
	switch {
	case p.Grain == GrainAlong:
		return [][2]int64{{l, w}}
	case p.Grain == GrainAcross:
		return [][2]int64{{w, l}}
	case l == w:
		return [][2]int64{{l, w}}
	}
	return [][2]int64{{l, w}, {w, l}}
}

// places returns all sums of sizes up to a limit, 0 among them.
func places(sizes []int64, limit int64) (sums []int64, ok bool) {
	seen := map[int64]bool{0: true}
	sums = []int64{0}
	for i := 0; i < len(sums); i++ {
		for _, size := range sizes {
			if x := sums[i] + size; x <= limit && !seen[x] {
				seen[x] = true
				if sums = append(sums, x); len(sums) > 2000 {
					return nil, false
				}
			}
		}
	}
	slices.Sort(sums)
	return sums, true
}

// floor returns the index of the last place that does not exceed x.
func floor(places []int64, x int64) int {
	i, found := slices.BinarySearch(places, x)
	if !found {
		i--
	}
	return i
}

// free solves the sheet as if there were any number of each piece.
func (g *guillotine) free() Yield {
	type step struct {
		piece  int // or -1
		cut    int // index of the cut
		across bool
	}
	m := len(g.across)
	best := make([]float64, len(g.along)*m)
	how := make([]step, len(best))
	for x, l := range g.along {
		for y, w := range g.across {
			at := x*m + y
			how[at].piece = -1
			for _, p := range g.pieces {
				if p.along <= l && p.across <= w && g.value[p.piece] > best[at] {
					best[at], how[at] = g.value[p.piece], step{piece: p.piece}
				}
			}
			for cut := 1; cut < x && 2*g.along[cut] <= l; cut++ {
				if v := best[cut*m+y] + best[floor(g.along, l-g.along[cut])*m+y]; v > best[at] {
					best[at], how[at] = v, step{-1, cut, false}
				}
			}
			for cut := 1; cut < y && 2*g.across[cut] <= w; cut++ {
				if v := best[x*m+cut] + best[x*m+floor(g.across, w-g.across[cut])]; v > best[at] {
					best[at], how[at] = v, step{-1, cut, true}
				}
			}
		}
	}
	y := Yield{Value: best[len(best)-1], Counts: make([]int, len(g.list))}
	var walk func(i, j int)
	walk = func(i, j int) {
		switch h := how[i*m+j]; {
		case h.piece >= 0:
			y.Counts[h.piece]++
		case h.cut == 0: // waste
		case h.across:
			walk(i, h.cut)
			walk(i, floor(g.across, g.across[j]-g.across[h.cut]))
		default:
			walk(h.cut, j)
			walk(floor(g.along, g.along[i]-g.along[h.cut]), j)
		}
	}
	walk(len(g.along)-1, m-1)
	return y
}

// bounded solves the sheet with counts: for each rectangle it keeps every mix of
// pieces that no other mix surpasses.
func (g *guillotine) bounded() (Yield, error) {
	m := len(g.across)
	mixes := make([][][]int, len(g.along)*m)
	work := 0
	for x, l := range g.along {
		for y, w := range g.across {
			var found [][]int
			add := func(mix []int) {
				for _, f := range found {
					if surpasses(f, mix) {
						return
					}
				}
				found = slices.DeleteFunc(found, func(f []int) bool { return surpasses(mix, f) })
				found = append(found, mix)
			}
			for _, p := range g.pieces {
				if p.along <= l && p.across <= w {
					mix := make([]int, len(g.list))
					mix[p.piece] = 1
					add(mix)
				}
			}
			join := func(a, b [][]int) bool {
				if work += len(a) * len(b); work > 3e6 {
					return false
				}
				for _, p := range a {
					for _, q := range b {
						mix := make([]int, len(p))
						for i := range mix {
							mix[i] = min(p[i]+q[i], g.list[i].Count)
						}
						add(mix)
					}
				}
				return true
			}
			for cut := 1; cut < x && 2*g.along[cut] <= l; cut++ {
				if !join(mixes[cut*m+y], mixes[floor(g.along, l-g.along[cut])*m+y]) {
					return Yield{}, g.refuse()
				}
			}
			for cut := 1; cut < y && 2*g.across[cut] <= w; cut++ {
				if !join(mixes[x*m+cut], mixes[x*m+floor(g.across, w-g.across[cut])]) {
					return Yield{}, g.refuse()
				}
			}
			mixes[x*m+y] = found
		}
	}
	best := Yield{Counts: make([]int, len(g.list))}
	for _, mix := range mixes[len(mixes)-1] {
		sum := 0.0
		for i, n := range mix {
			sum += float64(float64(n) * g.value[i])
		}
		if cmp.Or(cmp.Compare(sum, best.Value), -slices.Compare(mix, best.Counts)) > 0 {
			best = Yield{sum, mix}
		}
	}
	return best, nil
}

// surpasses says whether a has at least as many of everything as b.
func surpasses(a, b []int) bool {
	for i := range a {
		if a[i] < b[i] {
			return false
		}
	}
	return true
}
