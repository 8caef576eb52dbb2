package cabinet

import (
	"cmp"
	"math"
	"slices"
)

// A knapsack fills a length with things of given sizes for the most value, each at
// most so often. Sizes are whole numbers, so that sums are exact.
type knapsack struct {
	size  []int64
	value []float64
	most  []int
	nodes int // searched at most

	order []int // by value per size
	now   []int
	best  []int
	total float64
	left  int
}

// fill returns how often to take each thing, the value of that, and a bound that no
// filling exceeds. They meet unless the search ran out of nodes.
func (k *knapsack) fill(room int64) (counts []int, value, bound float64) {
	n := len(k.size)
	k.order = k.order[:0]
	for i := range n {
		if k.value[i] > 0 && k.most[i] > 0 && k.size[i] <= room {
			k.order = append(k.order, i)
		}
	}
	slices.SortStableFunc(k.order, func(i, j int) int {
		return cmp.Or(cmp.Compare(k.value[j]/float64(k.size[j]), k.value[i]/float64(k.size[i])), cmp.Compare(k.size[j], k.size[i]))
	})
	k.now, k.best = make([]int, n), make([]int, n)
	k.total, k.left = 0, k.nodes
	bound = k.relaxed(0, room, 0)
	k.search(0, room, 0)
	if k.left > 0 {
		bound = k.total
	}
	return k.best, k.total, bound
}

// relaxed is the value with the rest filled by fractions, the densest first.
func (k *knapsack) relaxed(depth int, room int64, value float64) float64 {
	for _, i := range k.order[depth:] {
		if whole := int64(k.most[i]) * k.size[i]; whole <= room {
			room -= whole
			value += float64(float64(k.most[i]) * k.value[i])
			continue
		}
		return value + float64(float64(room)/float64(k.size[i])*k.value[i])
	}
	return value
}

func (k *knapsack) search(depth int, room int64, value float64) {
	if value > k.total*(1+1e-12) {
		k.total = value
		copy(k.best, k.now)
	}
	if k.left--; k.left <= 0 || depth == len(k.order) {
		return
	}
	if k.relaxed(depth, room, value) <= k.total*(1+1e-12) {
		return
	}
	i := k.order[depth]
	for n := min(int64(k.most[i]), room/k.size[i]); n >= 0 && k.left > 0; n-- {
		k.now[i] = int(n)
		k.search(depth+1, room-n*k.size[i], value+float64(float64(n)*k.value[i]))
	}
	k.now[i] = 0
}

// ceil rounds a bound up, forgiving what rounding may have added to it.
func ceil(x float64) int { return int(math.Ceil(x - 1e-7*max(1, math.Abs(x)))) }
