package filter

import (
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// halves are the elements of a band-pass in henries and farads for 1 Ω, in the
// order of the signal path.
type halves struct{ lowPass, highPass []float64 }

// bandPassElements returns the ladder that gives K sⁿ over a denominator of order
// 2n between a source without resistance and 1 Ω.
func bandPassElements(f rational.Func) (halves, error) {
	// What the load looks into, with the source shorted, is a reactance: the ratio of
	// the even and the odd part of the denominator. Its poles at infinity are the
	// elements of a low-pass half, those at zero the elements of a high-pass half, from
	// the load on. The half at the load ends with a part across it (even order) or in
	// the path; either ratio starts with the part next to the load.
	d := rational.Polynomial(f.Poles, 1)
	n := len(f.Poles) / 2
	var g halves
	if n%2 == 0 {
		g.lowPass, d = fromInfinity(d, n)
		g.highPass, _ = fromZero(d, n)
	} else {
		g.highPass, d = fromZero(d, n)
		g.lowPass, _ = fromInfinity(d, n)
	}
	for _, v := range slices.Concat(g.lowPass, g.highPass) {
		if !(v > 0) || math.IsInf(v, 0) {
			return halves{}, &units.RangeError{Field: "filter: element of the middle way", Value: fmt.Sprint(v), Want: "must be positive and finite"}
		}
	}
	return g, nil
}

// fromInfinity takes n elements of a low-pass half from the load's end of a ladder
// with the denominator d, and returns them from the source's end, and the denominator
// that is left.
func fromInfinity(d []float64, n int) (g, rest []float64) {
	d = slices.Clone(d)
	g = make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		top := len(d) - 1
		g[i] = d[top] / d[top-1]
		for k := top - 2; k >= 1; k -= 2 {
			d[k] -= g[i] * d[k-1]
		}
		d = d[:top]
	}
	return g, d
}

// fromZero takes n elements of a high-pass half: the mirror image of fromInfinity.
func fromZero(d []float64, n int) (g, rest []float64) {
	d = slices.Clone(d)
	slices.Reverse(d)
	g, d = fromInfinity(d, n)
	slices.Reverse(d)
	for i := range g {
		g[i] = 1 / g[i]
	}
	return g, d
}
