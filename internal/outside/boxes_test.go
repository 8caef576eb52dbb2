package outside

import (
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/units"
)

func TestBoxes(t *testing.T) {
	drivers := cases[Drivers](t, "drivers")
	c := cases[Boxes](t, "boxes")
	r := recording(t, "boxes")
	for _, b := range c.Boxes {
		s, err := b.System(drivers)
		if err != nil {
			t.Fatal(err)
		}
		points := make([]box.Point, len(c.Hz))
		s.Sweep(points, c.Hz)
		take := func(value func(p box.Point) complex128) []complex128 {
			out := make([]complex128, len(points))
			for i, p := range points {
				out[i] = value(p)
			}
			return out
		}
		r.same(b.ID, "current", take(func(p box.Point) complex128 { return p.Current }))
		r.same(b.ID, "current", take(func(p box.Point) complex128 { return 1 / p.Impedance }))
		r.same(b.ID, "pressure", take(func(p box.Point) complex128 { return p.Pressure }))
		r.same(b.ID, "travel", take(func(p box.Point) complex128 { return p.Travel }))
		if b.Area > 0 {
			r.same(b.ID, "speed", take(func(p box.Point) complex128 { return p.AirSpeed }))
		}

		// From the driver in its baffle, as ngspice has it, into the box.
		for _, free := range c.Boxes {
			if free.Kind != "baffle" || free.Driver != b.Driver {
				continue
			}
			var current, pressure []complex128
			for i, hz := range c.Hz {
				z, effect := s.InBox(units.Frequency(hz), 1/r.curve(free.ID, "current")[i])
				current = append(current, 1/z)
				pressure = append(pressure, effect*r.curve(free.ID, "pressure")[i])
			}
			r.same(b.ID, "current", current)
			r.same(b.ID, "pressure", pressure)
		}
	}
}
