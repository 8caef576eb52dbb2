package baffle

import (
	"math"

	"example.com/halfspace/box/outline"
)

// A ray runs over the panel from the centre of a driver to the edge.
type ray struct {
	x, y   float64 // of the point on the edge, from the centre, m
	r      float64 // its length
	nx, ny float64 // square to the edge, outward
}

// rays returns n rays at the angles (i + 1/2) 2π/n from the x axis, each to where it
// first meets the edge.
func rays(edge outline.Outline, from outline.Point, n int) []ray {
	sides := edge.Sides()
	list := make([]ray, n)
	for i := range list {
		sin, cos := math.Sincos((float64(i) + 0.5) * 2 * math.Pi / float64(n))
		best := ray{r: math.Inf(1)}
		for _, s := range sides {
			if r, nx, ny, ok := meet(s, from, cos, sin); ok && r < best.r {
				best = ray{r * cos, r * sin, r, nx, ny}
			}
		}
		if best.nx*cos+best.ny*sin < 0 {
			best.nx, best.ny = -best.nx, -best.ny
		}
		list[i] = best
	}
	return list
}

// meet returns where a ray in the direction (cos, sin) first meets a side, and a unit
// vector square to the side there.
func meet(s outline.Side, from outline.Point, cos, sin float64) (r, nx, ny float64, ok bool) {
	ax, ay := float64(s.From.X-from.X), float64(s.From.Y-from.Y)
	if s.Radius == 0 {
		dx, dy := float64(s.To.X-s.From.X), float64(s.To.Y-s.From.Y)
		det := float64(cos*dy) - float64(sin*dx)
		length := math.Hypot(dx, dy)
		if math.Abs(det) <= 1e-12*length || length == 0 {
			return 0, 0, 0, false // along the side
		}
		r = (float64(ax*dy) - float64(ay*dx)) / det
		t := (float64(ax*sin) - float64(ay*cos)) / det
		const hair = 1e-12 // so that no ray slips through between two sides
		return r, dy / length, -dx / length, r > 0 && t >= -hair && t <= 1+hair
	}
	cx, cy, radius := float64(s.Centre.X-from.X), float64(s.Centre.Y-from.Y), float64(s.Radius)
	along := float64(cos*cx) + float64(sin*cy)
	off := float64(cos*cy) - float64(sin*cx)
	half := math.Sqrt((radius - off) * (radius + off))
	for _, r := range [2]float64{along - half, along + half} { // NaN if it passes by
		x, y := float64(r*cos)-cx, float64(r*sin)-cy
		if r > 0 && sweeps(s, x, y) {
			return r, x / radius, y / radius, true
		}
	}
	return 0, 0, 0, false
}
