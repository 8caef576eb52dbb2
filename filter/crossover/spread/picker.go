package spread

import (
	"math"
	"slices"
)

// A picker finds some of many values by their ranks without sorting them all: it
// counts how many fall into each of many bins of equal width, and sorts those in
// the bins that matter. For a few ranks among thousands that takes a tenth of the
// time of sorting.
type picker struct {
	counts [1024]int
	some   []float64
}

// values writes to dst the values of x that would stand at the ranks, counted from 0,
// if x were sorted. x is not NaN, but may be infinite; its order may change.
func (p *picker) values(dst, x []float64, ranks []int) {
	lo, hi := x[0], x[0]
	for _, v := range x {
		if v < lo {
			lo = v
		} else if v > hi {
			hi = v
		}
	}
	scale := (float64(len(p.counts)) - 0.5) / (hi - lo)
	if !(scale > 0) || math.IsInf(scale, 0) { // all equal, or infinite ones among them
		slices.Sort(x)
		for i, r := range ranks {
			dst[i] = x[r]
		}
		return
	}
	// A larger value never falls into a lower bin, however the product is rounded.
	clear(p.counts[:])
	for _, v := range x {
		p.counts[int((v-lo)*scale)]++
	}
	var matters [len(p.counts)]bool
	for _, r := range ranks {
		bin, _ := p.bin(r)
		matters[bin] = true
	}
	p.some = p.some[:0]
	for _, v := range x {
		if matters[int((v-lo)*scale)] {
			p.some = append(p.some, v)
		}
	}
	slices.Sort(p.some)
	for i, r := range ranks {
		// Below it stand all bins that matter and are lower.
		bin, below := p.bin(r)
		at := r - below
		for lower := range bin {
			if matters[lower] {
				at += p.counts[lower]
			}
		}
		dst[i] = p.some[at]
	}
}

// bin returns the bin in which a rank lies, and how many values are in lower ones.
func (p *picker) bin(rank int) (bin, below int) {
	for below+p.counts[bin] <= rank {
		below += p.counts[bin]
		bin++
	}
	return bin, below
}
