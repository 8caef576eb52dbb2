package port

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/units"
)

// MutualEnd returns what a second round mouth of the same size and flow in the same
// large panel adds to the end correction of the first, in radii: the mean over one
// disc of the potential of the other,
//
//	2 ∫ J1²(κ) J0(κd)/κ² dκ,
//
// for centres d radii apart, d ≥ 2. The mirror image in a wall is such a mouth,
// twice as far away as the wall. The point estimate 1/(2d) is 8 % low at d = 2,
// 3 % at 3, 0.4 % at 8. It panics if d < 2, where the mouths would overlap.
func MutualEnd(d float64) float64 {
	if !(d >= 2) {
		panic("port: mouths overlap")
	}
	if d > 1e4 {
		return 1 / (2 * d)
	}
	// The potential of a disc in its own plane at distance r,
	// 4 [r E(1/r²) − (r²−1)/r K(1/r²)], over the arcs r of the other disc. With
	// r = d − cos t all is smooth and even in t, so the trapezoidal rule is exact but
	// for noise, save where the discs touch.
	n := 32
	if d < 2.5 {
		n = 128
	}
	sum := 0.
	for i := 1; i < n; i++ {
		sin, cos := math.Sincos(math.Pi * float64(i) / float64(n))
		r := d - cos
		arc := 4 * r * math.Asin(sin/(2*math.Sqrt(r*d)))
		m := 1 / (r * r)
		potential := 4 * (float64(r*mathext.CompleteE(m)) - float64((r*r-1)/r*mathext.CompleteK(m)))
		sum += float64(arc * potential * sin)
	}
	return sum / (2 * math.Pi * float64(n))
}

// neighbours is what the other vents of the row add to one end of each, averaged
// over the vents. Ends that are flush share a half space. Free ends
// share all of space, where the flow of a neighbour is felt half as much. Ends that
// fill a box with their section, or its width, have nobody beside them.
func (v Vent) neighbours(m Mouth) units.Length {
	if v.Spacing == 0 || v.Count < 2 || m == AcrossBox || m == InDuct {
		return 0
	}
	sum := 0.
	for apart := 1; apart < v.Count; apart++ {
		pairs := 2 * float64(v.Count-apart)
		sum += float64(pairs * v.mutual(float64(apart)*float64(v.Spacing)))
	}
	if m == Free {
		sum /= 2
	}
	return units.Length(sum / v.count())
}

// mutual is the correction, in metres, that a neighbour adds whose centre is d away.
func (v Vent) mutual(d float64) float64 {
	if v.round() {
		a := float64(v.Diameter) / 2
		return a * MutualEnd(max(2, d/a))
	}
	w, h := float64(v.Width), float64(v.Height)
	if d > 100*max(w, h) { // two sources, and what their shape adds to that
		return w * h / (2 * math.Pi * d) * (1 + (2*w*w-h*h)/(12*d*d))
	}
	// Two rectangles side by side: a second difference of the energies of rectangles
	// as long as the gap allows. For x×h it is x h times the correction.
	energy := func(x float64) float64 {
		if x <= 0 {
			return 0
		}
		return x * h * rectangle(x, h)
	}
	return (energy(d+w) - 2*energy(d) + energy(d-w)) / (2 * w * h)
}
