package design

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/port"
	"example.com/halfspace/units"
)

// Goals are the words of the project file for what the box shall be best at.
var Goals = map[string]align.Objective{
	"lowest cut-off": align.LowestCutoff,
	"smallest box":   align.SmallestBox,
	"most output":    align.MostOutput,
}

// choose replaces volume and tuning of the project by those that reach its goal best,
// if it has one: within the limits of travel and air speed for the amplifier's noise,
// and with the vent in the cabinet.
func (d *Design) choose(project.Source) error {
	p := &d.Project
	if p.Box.Goal == "" {
		return nil
	}
	lo, hi := p.Cabinet.Profile.Bounds()
	space := port.Space{Depth: hi.X - lo.X - 2*p.Cabinet.Wall, Height: hi.Y - lo.Y - 2*p.Cabinet.Wall, Panel: p.Vent.InWall, Behind: p.Vent.Room}
	space.Width = units.Length(float64(p.Box.Volume) / float64(space.Depth) / float64(space.Height))
	vent := p.Vent.Vent
	vent.Diameter = 0
	g := align.Goal{
		Objective: Goals[p.Box.Goal],
		Volume:    align.Volumes{Most: p.Box.Volume},
		Cutoff:    p.Box.Cutoff,
		Peak:      p.Box.Peak, Dip: 1.5,
		Limits: box.Limits{Travel: d.Woofer.Model.Xmax, AirSpeed: p.Vent.AirSpeed, Heat: d.Woofer.Model.Power},
		Signal: box.Pink(20, 20000, crest).HighPass(d.Woofer.Model.Fs(), 4),
	}
	if g.Objective != align.MostOutput {
		g.Volts = p.Volts(p.Play.Amplifier) * units.Voltage(math.Sqrt2/crest)
	}
	// Volume and tuning of the project say what kind of box is wanted.
	if p.Box.Tuning == 0 {
		g.Box = box.Closed{}
		g.Limits.AirSpeed = 0
	} else {
		v := box.Vented{QL: p.Box.QL, QA: p.Box.QA, QP: p.Box.QP}
		if p.Vent.Diameter > 0 && p.Vent.AirSpeed > 0 {
			g.Vent = align.VentRoom{Vent: vent, Diameters: []units.Length{p.Vent.Diameter}, Space: space}
		} else {
			v.Area = p.Vent.Area()
		}
		g.Box = v
	}
	best, err := g.Solve(d.Woofer.Model, d.Air)
	var impossible *align.Impossible
	if err != nil && !errors.As(err, &impossible) {
		return fmt.Errorf("box.goal: %w", err)
	}
	if impossible != nil {
		d.note("%v; that nearest box was taken.", impossible)
	}
	binding := make([]string, len(best.Binding))
	for i, b := range best.Binding {
		binding[i] = b.String()
	}
	held := "nothing but the response itself"
	if len(binding) > 0 {
		held = strings.Join(binding, ", ")
	}
	d.note("The goal was the %s in at most %v: %v tuned to %v gives −3 dB at %.1f Hz in half space; held back by: %s.",
		p.Box.Goal, p.Box.Volume, best.Volume, best.Tuning, float64(best.Cutoff), held)
	p.Box.Volume, p.Box.Tuning = best.Volume, best.Tuning
	return nil
}
