package align

import (
	"cmp"
	"math"

	"example.com/halfspace/port"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func (r VentRoom) check() error {
	if !r.given() {
		return nil
	}
	if r.Vent.Diameter != 0 || r.Vent.Width != 0 || r.Vent.Height != 0 {
		return &units.RangeError{Field: "align: vent", Value: "with a size", Want: "must be given without one: it is sought, round"}
	}
	for _, d := range r.Diameters {
		if err := units.Positive("align: diameter of a vent", d); err != nil {
			return err
		}
	}
	if r.Vent.Outer > port.Flanged || r.Vent.Inner > port.Flanged {
		return &units.RangeError{Field: "align: vent", Value: "with an end " + max(r.Vent.Outer, r.Vent.Inner).String(), Want: "must have ends free or flanged"}
	}
	try := r.Vent
	try.Diameter, try.Length = r.Space.Depth, 1
	return cmp.Or(r.Space.Check(), try.Check())
}

// A fitting is a vent and how far it misses the room, as the logarithm of the
// length that it needs over that which there is, or of widths likewise.
type fitting struct {
	vent port.Vent
	over float64
}

func (r *VentRoom) width(d units.Length) port.Vent {
	v := r.Vent
	v.Diameter, v.Length = d, 0
	return v
}

// shortest is the least length of a vent: the panel's thickness, or a millimetre.
func (r *VentRoom) shortest() units.Length { return max(r.Space.Panel, units.Millimetre) }

// try returns the vent of one diameter for the tuning. A vent that would be shorter
// than the panel misses by the factor of area that it lacks.
func (r *VentRoom) try(d, widest units.Length, vb units.Volume, fb units.Frequency, a air.Air) (f fitting, short bool) {
	f.vent = r.width(d)
	k := 2 * math.Pi * float64(fb) / float64(a.SpeedOfSound)
	f.vent.Length = units.Length(float64(f.vent.Area())/(k*k*float64(vb))) - (f.vent.EffectiveLength() - f.vent.Length)
	if f.vent.Length < r.shortest() {
		ends := f.vent.EffectiveLength() - f.vent.Length
		f.over = math.Log(float64((r.shortest() + ends) / f.vent.EffectiveLength()))
		return f, true
	}
	have := r.Space.Depth + r.Space.Panel
	f.over = math.Log(float64((have - r.Space.Spare(f.vent)) / have))
	f.over = max(f.over, math.Log(float64(d/widest)))
	return f, false
}

// widest is about the largest diameter that goes into the box across.
func (r *VentRoom) widest() units.Length {
	return units.Length(bisectTo(1e-6, 0, float64(max(r.Space.Width, r.Space.Height)), func(d float64) bool {
		return r.Space.Holds(r.width(units.Length(d))) != nil
	}))
}

// fit returns the narrowest vent with at least an area, or the widest there is room
// for. Widest is the most that goes into the box across.
func (r *VentRoom) fit(area units.Area, wide bool, widest units.Length, vb units.Volume, fb units.Frequency, a air.Air) fitting {
	need := units.Length(math.Sqrt(float64(area) / float64(r.width(1).Area())))
	try := func(d float64) (fitting, bool) { return r.try(units.Length(d), widest, vb, fb, a) }
	if len(r.Diameters) > 0 {
		return r.choose(float64(need), wide, try)
	}
	lo := float64(max(need, units.Millimetre))
	f, short := try(lo)
	if short {
		lo = bisectTo(1e-11, 16*max(float64(widest), lo), lo, func(d float64) bool {
			_, short := try(d)
			return short
		}) * (1 + 1e-11) // not short
		f, _ = try(lo)
	}
	if !wide || f.over > 0 {
		return f
	}
	f, _ = try(bisectTo(1e-11, lo, max(float64(widest), lo), func(d float64) bool {
		f, _ := try(d)
		return f.over > 0
	}) * (1 - 1e-11))
	return f
}

// choose picks from the diameters that there are: the narrowest that is wide enough
// and fits, or the widest that fits. If none does, the one that misses least.
func (r *VentRoom) choose(need float64, wide bool, try func(float64) (fitting, bool)) fitting {
	var best fitting
	least := math.Inf(1)
	for _, d := range r.Diameters {
		f, _ := try(float64(d))
		// What just fits is still the choice when volume and tuning are rounded.
		miss := max(f.over, 2*math.Log(need/float64(d)), 1e-5)
		if miss < least || miss == least && d > best.vent.Diameter == wide {
			best, least = f, miss
		}
	}
	return best
}

// bisectTo is bisect to a relative width.
func bisectTo(width, lo, hi float64, over func(float64) bool) float64 {
	for math.Abs(hi-lo) > width*max(lo, hi) {
		if mid := (lo + hi) / 2; over(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}
