package response

import (
	"math"
	"slices"
)

// A power is |H|² of a curve, between its points too, to be averaged over the
// logarithm of frequency.
type power struct {
	x, y, slope []float64 // ln f and ln|H| at the points, and the slope of the interpolant there
	top         float64   // the largest of y, taken off so that no power overflows
	tree        []float64
}

func (c Curve) power() (*power, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	p := &power{x: make([]float64, len(c.Hz)), y: make([]float64, len(c.Hz)), slope: make([]float64, len(c.Hz))}
	level, err := c.fit(p.x, p.y)
	if err != nil {
		return nil, err
	}
	for i, x := range p.x {
		p.slope[i] = level.PredictDerivative(x)
	}
	p.top = slices.Max(p.y)
	// The second half of the tree holds the integrals from point to point, the
	// first their sums by twos: tree[i] = tree[2i] + tree[2i+1].
	n := len(p.x) - 1
	p.tree = make([]float64, 2*n)
	for i := range n {
		p.tree[n+i] = p.piece(i, p.x[i], p.x[i+1])
	}
	for i := n - 1; i > 0; i-- {
		p.tree[i] = p.tree[2*i] + p.tree[2*i+1]
	}
	return p, nil
}

// rms returns the root of the mean power from a to b, logarithms of frequencies
// of which b must be the larger.
func (p *power) rms(a, b float64) float64 {
	n := len(p.x) - 1
	i, j := p.after(a), p.after(b)
	if i == j {
		return math.Exp(p.top) * math.Sqrt(p.piece(i-1, a, b)/(b-a))
	}
	sum := p.piece(i-1, a, p.x[i])
	if b > p.x[j-1] {
		sum += p.piece(j-1, p.x[j-1], b)
	}
	// Whole intervals are added, not found as a difference of running sums: far
	// below the peak of a curve nothing of that would be left but rounding.
	for l, r := n+i, n+j-1; l < r; l, r = l/2, r/2 {
		if l%2 == 1 {
			sum += p.tree[l]
			l++
		}
		if r%2 == 1 {
			r--
			sum += p.tree[r]
		}
	}
	width := (p.x[i] - a) + (p.x[j-1] - p.x[i]) + (b - p.x[j-1])
	return math.Exp(p.top) * math.Sqrt(sum/width)
}

// after returns the first point beyond x, not the first of all, or the last: x may lie
// outside by rounding.
func (p *power) after(x float64) int {
	i, found := slices.BinarySearch(p.x, x)
	if found {
		i++
	}
	return max(1, min(i, len(p.x)-1))
}

// Nodes and weights of Gauss and Legendre's rule of five points on -1 to 1.
var gauss = [...]struct{ at, weight float64 }{
	{-0.9061798459386640, 0.2369268850561891},
	{-0.5384693101056831, 0.4786286704993665},
	{0, 0.5688888888888889},
	{0.5384693101056831, 0.4786286704993665},
	{0.9061798459386640, 0.2369268850561891},
}

// piece integrates from a to b, both between points i and i+1, in as many panels as
// keep the power within a factor of e^½ in each: a straight slope then comes out to
// 1e-15.
func (p *power) piece(i int, a, b float64) float64 {
	// The interpolant over the share u of the way from point to point.
	h, dy := p.x[i+1]-p.x[i], p.y[i+1]-p.y[i]
	d0, d1 := h*p.slope[i], h*p.slope[i+1]
	c2, c3 := 3*dy-2*d0-d1, d0+d1-2*dy

	from, share := (a-p.x[i])/h, (b-a)/h
	steep := share * max(math.Abs(dy), math.Abs(d0), math.Abs(d1))
	panels := 1 + int(4*steep)
	half := share / float64(2*panels)
	sum := 0.
	for k := range panels {
		middle := from + float64(half*float64(2*k+1))
		for _, g := range gauss {
			u := middle + float64(half*g.at)
			sum += g.weight * math.Exp(2*(p.y[i]-p.top+u*(d0+u*(c2+u*c3))))
		}
	}
	return sum * half * h
}
