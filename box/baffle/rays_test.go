package baffle

import (
	"math"
	"testing"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// Rays end where they first meet the edge, also beside a notch and an arc that bulges
// inward: against the least of all crossings with a polygon of many short sides.
func TestRays(t *testing.T) {
	notched := outline.Outline{{}, {X: 0.5}, {X: 0.5, Y: 0.3}, {X: 0.25, Y: 0.3}, {X: 0.25, Y: 0.5}, {X: 0.5, Y: 0.5}, {X: 0.5, Y: 0.8}, {Y: 0.8}}
	bulged := outline.Outline{{}, {X: 0.5, Round: 0.1}, {X: 0.5, Y: 0.2, Rise: -0.12}, {X: 0.5, Y: 0.6}, {X: 0.5, Y: 0.8, Rise: 0.1}, {Y: 0.8}}
	for _, edge := range []outline.Outline{notched, bulged, outline.RoundedRectangle(0.5, 0.8, 0.2), outline.Circle(0.4)} {
		if err := edge.Check(); err != nil {
			t.Fatal(err)
		}
		var chords [][4]float64
		for _, s := range edge.Sides() {
			const n = 400
			for i := range n {
				a, b := s.At(float64(i)/n), s.At(float64(i+1)/n)
				chords = append(chords, [4]float64{float64(a.X), float64(a.Y), float64(b.X), float64(b.Y)})
			}
		}
		from := outline.Point{X: 0.38, Y: 0.11}
		if !edge.Contains(from) {
			from = outline.Point{X: 0.1, Y: 0.1}
		}
		for i, r := range rays(edge, from, 360) {
			sin, cos := math.Sincos((float64(i) + 0.5) * 2 * math.Pi / 360)
			least := math.Inf(1)
			for _, c := range chords {
				// Sides of the ray on which the ends of the chord lie, and where it is cut.
				ax, ay, bx, by := c[0]-float64(from.X), c[1]-float64(from.Y), c[2]-float64(from.X), c[3]-float64(from.Y)
				sa, sb := cos*ay-sin*ax, cos*by-sin*bx
				if (sa >= 0) == (sb >= 0) {
					continue
				}
				u := sa / (sa - sb)
				if along := (ax+u*(bx-ax))*cos + (ay+u*(by-ay))*sin; along > 0 {
					least = min(least, along)
				}
			}
			if !(math.Abs(r.r-least) <= 1e-4) {
				t.Errorf("%v at %.1f°: %v m, polygon %v m", edge, float64(i)+0.5, r.r, least)
			}
			if !(math.Abs(math.Hypot(r.nx, r.ny)-1) <= 1e-12) || !(r.nx*cos+r.ny*sin >= 0) || !(math.Abs(math.Hypot(r.x, r.y)-r.r) <= 1e-12) {
				t.Errorf("%v at %.1f°: %+v", edge, float64(i)+0.5, r)
			}
		}
		// The nearest point of the edge is as far as the room around the driver.
		least := math.Inf(1)
		for _, c := range chords {
			least = min(least, math.Hypot(c[0]-float64(from.X), c[1]-float64(from.Y)))
		}
		if room := (Panel{edge, 1}).room(from); !(math.Abs(float64(room)-least) <= 1e-3*float64(units.Metre)) {
			t.Errorf("%v: room %v, polygon %v m", edge, room, least)
		}
	}
}
