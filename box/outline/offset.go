package outline

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// Offset returns the outline moved inwards by d, or outwards if d is negative, as a
// wall of that thickness leaves it: straight sides move parallel, arcs keep their
// centres, and sharp corners stay sharp (mitred), inside corners too. The radius
// of a rounded corner shrinks or grows by d and ends in a sharp corner at zero. A
// straight side between straight sides may shrink to nothing; its neighbours then
// meet, and the result has fewer corners.
//
// The error, a *[units.RangeError], says from which d on the outline closes up,
// falls into parts (even if only one of them lasts), or loses a side next to an arc or to a rounding that still lasts.
func (o Outline) Offset(d units.Length) (Outline, error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	if moved, ok := o.offset(float64(d)); ok {
		return moved, nil
	}
	if math.IsNaN(float64(d)) || math.IsInf(float64(d), 0) {
		return nil, refuse("offset", d.String(), "must be finite")
	}
	good, bad := 0.0, float64(d)
	for range 40 {
		if try := (good + bad) / 2; o.fits(try) {
			good = try
		} else {
			bad = try
		}
	}
	way := "below"
	if d < 0 {
		way = "above"
	}
	return nil, refuse("offset", d.String(), fmt.Sprintf("must be %s %v, where the outline closes up", way, units.Length(good)))
}

func (o Outline) fits(d float64) bool {
	_, ok := o.offset(d)
	return ok
}

func (o Outline) offset(d float64) (Outline, bool) {
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return nil, false
	}
	// All sides move to the left of their way by shift, which is inwards.
	sense := o.sense()
	shift := sense * d
	o, ok := o.withoutVanished(shift)
	if !ok {
		return nil, false
	}
	whole := o.whole()
	moved := make(Outline, len(o))
	for i, s := range whole {
		before := whole[(i+len(o)-1)%len(o)]
		p, ok := meet(before, s, shift)
		if !ok {
			return nil, false
		}
		moved[i] = Corner{X: units.Length(p.X), Y: units.Length(p.Y)}
		if r := float64(o[i].Round); r != 0 {
			convex := math.Copysign(1, turn(before.direction(1), s.direction(0)))
			if r -= shift * convex; r > o.slack() {
				moved[i].Round = units.Length(r)
			}
		}
	}
	for i, s := range whole {
		a, b := moved[i].vec(), moved[(i+1)%len(o)].vec()
		if s.Radius == 0 {
			if !(dot(r2.Sub(b, a), s.direction(0)) > 0) {
				return nil, false
			}
			continue
		}
		// The ends slide along the arc by a small angle each.
		c := s.Centre.vec()
		sweep := float64(s.Sweep) + turn(r2.Sub(s.To.vec(), c), r2.Sub(b, c)) - turn(r2.Sub(s.From.vec(), c), r2.Sub(a, c))
		if !(sweep*float64(s.Sweep) > 0) || !(math.Abs(sweep) < 2*math.Pi) {
			return nil, false
		}
		moved[i].Rise = units.Length(sense * r2.Norm(r2.Sub(b, a)) / 2 * math.Tan(sweep/4))
	}
	return moved, moved.Check() == nil
}

// meet returns the corner where two sides meet after both have moved to their left by shift.
func meet(before, after Side, shift float64) (r2.Vec, bool) {
	p := after.From.vec()
	n, m := left(before.direction(1)), left(after.direction(0))
	// Exact for two lines, and right to first order for arcs.
	guess := r2.Add(p, r2.Scale(shift/(1+dot(n, m)), r2.Add(n, m)))
	a, ok := before.shifted(shift)
	b, ok2 := after.shifted(shift)
	if !ok || !ok2 {
		return p, false
	}
	if math.Abs(cross(n, m)) < 1e-9 || a.r == 0 && b.r == 0 {
		return guess, true
	}
	best, found := guess, false
	for _, q := range crossings(a, b, 1e-9*(a.r+b.r)) {
		if !found || r2.Norm2(r2.Sub(q, guess)) < r2.Norm2(r2.Sub(best, guess)) {
			best, found = q, true
		}
	}
	return best, found
}

// shifted returns the curve of s moved to its left, unless an arc shrinks to nothing.
func (s Side) shifted(shift float64) (curve, bool) {
	c := s.curve()
	if c.r == 0 {
		c.p = r2.Add(c.p, r2.Scale(shift, left(c.dir)))
		return c, true
	}
	c.r -= math.Copysign(shift, shift*float64(s.Sweep))
	return c, c.r > 0
}

// withoutVanished drops, in the order in which they go, the straight sides between
// straight sides that shrink to nothing before the outline has moved to its left by
// shift. Their neighbours are extended until they meet, which changes nothing for
// the moved outline, since lines keep their directions.
func (o Outline) withoutVanished(shift float64) (Outline, bool) {
	for {
		n := len(o)
		whole := o.whole()
		first, at := -1, math.Abs(shift)
		for i, s := range whole {
			before, after := whole[(i+n-1)%n], whole[(i+1)%n]
			if n < 3 || before.Radius != 0 || s.Radius != 0 || after.Radius != 0 {
				continue
			}
			d := s.direction(0)
			// What the side loses per shift at its two ends.
			loss := math.Tan(turn(before.direction(0), d)/2) + math.Tan(turn(d, after.direction(0))/2)
			if gone := float64(s.Length()) / math.Abs(loss); loss*shift > 0 && gone <= at {
				first, at = i, gone
			}
		}
		if first < 0 {
			return o, true
		}
		before, after := whole[(first+n-1)%n], whole[(first+1)%n]
		last := (first + 1) % n
		d := whole[first].direction(0)
		bend := turn(before.direction(0), d) + turn(d, after.direction(0))
		lasting := units.Length(at * (1 + 1e-9))
		if !(math.Abs(bend) < math.Pi-1e-9) || o[first].Round > lasting || o[last].Round > lasting {
			return nil, false
		}
		tip := crossings(before.curve(), after.curve(), 0)
		if tip == nil {
			return nil, false
		}
		shorter := make(Outline, 0, n-1)
		for i, c := range o {
			switch i {
			case min(first, last):
				shorter = append(shorter, Corner{X: units.Length(tip[0].X), Y: units.Length(tip[0].Y)})
			case max(first, last):
			default:
				shorter = append(shorter, c)
			}
		}
		o = shorter
	}
}
