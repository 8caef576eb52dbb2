package outside

import (
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/units"
)

func TestBoxes(t *testing.T)      { checkBoxes(t, "boxes") }
func TestEnclosures(t *testing.T) { checkBoxes(t, "enclosures") }

func checkBoxes(t *testing.T, name string) {
	drivers := cases[Drivers](t, "drivers")
	c := cases[Boxes](t, name)
	r := recording(t, name)
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
		o := s.Enclosure.Openings()
		if o.Vent > 0 {
			r.same(b.ID, "speed", take(func(p box.Point) complex128 { return p.AirSpeed }))
		}
		if o.Rear > 0 {
			r.same(b.ID, "rear_speed", take(func(p box.Point) complex128 { return p.RearSpeed }))
		}
		if o.Radiator > 0 {
			r.same(b.ID, "radiator", take(func(p box.Point) complex128 { return p.Radiator }))
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
