package design

import (
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// bass judges the woofer in its box, without the network.
func (d *Design) bass(project.Source) error {
	b := &d.Bass
	p := d.Project
	var err error
	if b.F3, err = b.System.F3(); err != nil {
		return err
	}
	if b.F6, err = b.System.Cutoff(6); err != nil {
		return err
	}
	if b.F10, err = b.System.Cutoff(10); err != nil {
		return err
	}
	b.Points = make([]box.Point, len(d.Hz))
	b.System.Sweep(b.Points, d.Hz)
	soft := b.System
	soft.Driver = soft.Driver.BrokenIn(1.3)
	for _, f := range d.Hz {
		if f <= 200 {
			b.BreakIn = max(b.BreakIn, math.Abs(response.DB(soft.At(units.Frequency(f)).Pressure/b.System.At(units.Frequency(f)).Pressure)))
		}
	}
	limits := box.Limits{Travel: d.Woofer.Model.Xmax, AirSpeed: p.Vent.AirSpeed, Heat: d.Woofer.Model.Power}
	for _, f := range d.Hz {
		v, what := b.System.MaxVoltage(units.Frequency(f), limits)
		b.MaxVolts, b.First = append(b.MaxVolts, v), append(b.First, what)
	}
	if p.Box.Tuning == 0 {
		return nil
	}
	if b.Behind, err = d.room(b.Vent); err != nil {
		return err
	}
	b.Line = b.Vent.LineTuning(d.Cabinet.Net, d.Air)
	b.Pipe = b.Vent.PipeResonance(1, d.Air)
	return nil
}
