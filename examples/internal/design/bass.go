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
	if b.Behind, err = d.room(b.Vent); err != nil {
		return err
	}
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

	return nil
}
