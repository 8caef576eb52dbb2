package design

import (
	"fmt"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/units"
)

func (d *Design) bass(project.Source) error {
	b := &d.Bass
	p := d.Project
	for _, x := range []struct {
		to   *units.Frequency
		down float64
	}{{&b.F6, 6}, {&b.F10, 10}} {
		f, err := b.System.Cutoff(x.down)
		if err != nil {
			return fmt.Errorf("box: %w", err)
		}
		*x.to = f
	}
	var err error
	if b.F3, err = b.System.F3(); err != nil {
		return fmt.Errorf("box: %w", err)
	}
	b.Points = make([]box.Point, len(d.Hz))
	b.System.Sweep(b.Points, d.Hz)
	b.Limits = box.Limits{Travel: d.Woofer.Model.Xmax, AirSpeed: p.Vent.AirSpeed, Heat: d.Woofer.Model.Power}
	for _, f := range d.Hz {
		v, what := b.System.MaxVoltage(units.Frequency(f), b.Limits)
		b.MaxVolts, b.First = append(b.MaxVolts, v), append(b.First, what)
	}
	if p.Box.Tuning == 0 {
		return nil
	}
	b.Line = b.Vent.LineTuning(d.Cabinet.Net, d.Air)
	b.Pipe = b.Vent.PipeResonance(1, d.Air)

	// Does the vent fit? It runs from the panel towards the back.
	lo, hi := p.Cabinet.Profile.Bounds()
	depth := hi.X - lo.X - 2*p.Cabinet.Wall
	b.Behind = depth - (b.Vent.Length - p.Vent.InWall)
	if b.Behind < p.Vent.Room {
		return fmt.Errorf("vent: %v long, of which %v stand in %v of depth: %v stay free behind it, at least %v are wanted; take a narrower vent, a larger box or a higher tuning",
			b.Vent.Length, b.Vent.Length-p.Vent.InWall, depth, b.Behind, p.Vent.Room)
	}
	if b.Vent.Length < p.Vent.InWall {
		return fmt.Errorf("vent: %v long, shorter than the wall of %v it goes through; take a wider vent or a lower tuning", b.Vent.Length, p.Vent.InWall)
	}
	return nil
}
