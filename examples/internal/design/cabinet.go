package design

import (
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/port"
	"example.com/halfspace/units"
)

// Wood goes only as far as the cabinet and what is cut for it.
func Wood(src project.Source, p project.Project) (*Design, error) {
	return run(src, p, (*Design).drivers, (*Design).choose, (*Design).cabinet)
}

// cabinet finds layers, vent and net volume together: the vent takes air from the
// box whose volume decides its length.
func (d *Design) cabinet(project.Source) error {
	p := d.Project
	c := &d.Cabinet
	layers := p.Cabinet.Layers
	if layers == 0 {
		var err error
		if layers, err = d.layersFor(p.Box.Volume); err != nil {
			return err
		}
	}
	c.Stack = p.Stack(layers)
	var err error
	if d.Bass.Vent, c.Inside, c.Net, err = d.fill(c.Stack); err != nil {
		return err
	}
	if d.Bass.System, err = d.system(c.Net, d.Bass.Vent); err != nil {
		return err
	}
	c.Gross = c.Stack.Gross()
	for _, n := range []struct {
		to     *Neighbour
		layers int
	}{{&c.Fewer, layers - 1}, {&c.More, layers + 1}} {
		vent, _, net, err := d.fill(p.Stack(n.layers))
		if err != nil {
			continue // no such cabinet
		}
		if s, err := d.system(net, vent); err == nil {
			if f3, err := s.F3(); err == nil {
				*n.to = Neighbour{n.layers, net, f3, s}
			}
		}
	}

	lo, hi := p.Cabinet.Profile.Bounds()
	c.Width, c.Height, c.Depth = c.Stack.OutsideWidth(), hi.Y-lo.Y, hi.X-lo.X
	if err := d.flanges(); err != nil {
		return err
	}
	if p.Sheet.Density > 0 {
		c.Mass = c.Stack.Mass()
	}
	if err := d.wood(); err != nil {
		return err
	}
	c.Least, err = cabinet.SheetsByArea(c.Stack.SheetArea()*units.Area(p.Speakers), c.Sheet)
	return err
}

// wood cuts the layers into pieces and the pieces from sheets.
func (d *Design) wood() error {
	p, c := d.Project, &d.Cabinet
	var err error
	if c.Job, err = p.Job(c.Stack); err != nil {
		return err
	}
	if c.Plan, err = c.Job.Plan(); err != nil {
		return err
	}
	c.Sheet = c.Job.Sheet
	for _, part := range c.Plan.Layers.Parts {
		c.Pieces = append(c.Pieces, part.Piece)
	}
	for _, lot := range c.Plan.Lots {
		for _, x := range lot.Pieces {
			if x.Name == "end cap" {
				x.Count /= p.Speakers
				c.Pieces = append(c.Pieces, x)
			}
		}
		for _, strip := range lot.Layout.Strips {
			strip.Sheet += c.Layout.Sheets
			c.Layout.Strips = append(c.Layout.Strips, strip)
		}
		c.Layout.Sheets += lot.Layout.Sheets
	}
	return nil
}

// layersFor returns the number of layers whose net volume is nearest to the
// wanted one without breaking the volume rule.
func (d *Design) layersFor(want units.Volume) (int, error) {
	best, miss, has := 0, math.Inf(1), units.Volume(0)
	var tight, below error // why a cabinet of about the wanted size has no room, and why none smaller than the best has
	for n := 1; n <= 200; n++ {
		s := d.Project.Stack(n)
		if err := s.Check(); err != nil {
			return 0, err
		}
		vent, _, net, err := d.fill(s)
		if err == nil {
			_, err = d.room(vent)
		}
		if err != nil {
			if tight == nil || s.Gross() <= 1.5*want {
				tight = err
			}
			if s.Gross() > 4*want {
				break
			}
			continue // more layers may make room
		}
		if limit := d.Project.Rules.Volume; limit > 0 && d.counted(s.Gross(), net) > limit {
			break
		}
		if m := math.Abs(float64(net - want)); m < miss {
			best, miss, has = n, m, net
			below, tight = tight, nil
		}
		if net > want {
			break
		}
	}
	if best == 0 {
		if tight != nil {
			return 0, tight
		}
		return 0, fmt.Errorf("cabinet: even one layer breaks the rule of %v", d.Project.Rules.Volume)
	}
	// Off by more than a layer: something other than the step of the layers decides.
	if layer := d.Project.Stack(2).Gross() - d.Project.Stack(1).Gross(); miss > float64(layer) {
		if has > want {
			tight = below
		}
		if tight != nil {
			return 0, fmt.Errorf("no cabinet of about %v of net air: %w", want, tight)
		}
		if d.Project.Rules.Volume == 0 {
			return 0, fmt.Errorf("no cabinet of about %v of net air: %d layers hold %v", want, best, has)
		}
		d.odd("%v of net air are wanted, but the rule of %v allows %d layers at most", want, d.Project.Rules.Volume, best)
	}
	return best, nil
}

// counted returns the volume that the rule means.
func (d *Design) counted(gross, net units.Volume) units.Volume {
	if d.Project.Rules.VolumeIs == "gross" {
		return gross
	}
	return net
}

// fill puts everything into a stack, with the vent cut to the tuning.
func (d *Design) fill(s cabinet.Stack) (port.Vent, []cabinet.Displacement, units.Volume, error) {
	p := d.Project
	inside := []cabinet.Displacement{
		{Name: p.Woofer.Name, Volume: p.Woofer.Displaced},
		{Name: p.Tweeter.Name, Volume: p.Tweeter.Displaced},
	}
	for _, x := range p.Cabinet.Inside {
		inside = append(inside, cabinet.Displacement{Name: x.Name, Volume: x.Volume})
	}
	if p.Box.Tuning == 0 {
		net, err := s.Net(inside...)
		if err != nil {
			return port.Vent{}, nil, 0, err
		}
		return port.Vent{}, inside, net, nil
	}
	vent := p.Vent.Vent
	vent.Length = p.Vent.InWall
	inside = append(inside, cabinet.Displacement{Name: "vent"})
	// The net volume shrinks as the vent grows, and the vent as the volume
	// grows: each turn brings the two together by the share of the vent in the
	// volume.
	for range 100 {
		inside[len(inside)-1].Volume = vent.Displacement(max(0, vent.Length-p.Vent.InWall))
		net, err := s.Net(inside...)
		if err != nil && vent.Length > p.Vent.InWall {
			return port.Vent{}, nil, 0, fmt.Errorf("vent: tuned to %v it would take %v of the %v inside; take a narrower vent or a higher tuning",
				p.Box.Tuning, inside[len(inside)-1].Volume, s.Gross())
		}
		if err != nil {
			return port.Vent{}, nil, 0, err
		}
		next, err := vent.Tuned(net, p.Box.Tuning, d.Air)
		if err != nil {
			return port.Vent{}, nil, 0, err
		}
		settled := math.Abs(float64(next.Length-vent.Length)) < 1e-9
		vent = next
		if settled {
			return vent, inside, net, nil
		}
	}
	return port.Vent{}, nil, 0, errors.New("vent: no length fits: it would take the air it is to be tuned with")
}

// room returns how much stays free behind the vent, which runs from the panel
// towards the back, and an error if it is too little.
func (d *Design) room(v port.Vent) (units.Length, error) {
	p := d.Project
	if p.Box.Tuning == 0 {
		return 0, nil
	}
	lo, hi := p.Cabinet.Profile.Bounds()
	depth := hi.X - lo.X - 2*p.Cabinet.Wall
	inside := v.Length - p.Vent.InWall
	switch free := depth - inside; {
	case inside < 0:
		return 0, fmt.Errorf("vent: %v long, shorter than the wall of %v it goes through; take a wider vent or a lower tuning", v.Length, p.Vent.InWall)
	case free < 0:
		return 0, fmt.Errorf("vent: %v long, of which %v stand inside, in a depth of %v; take a narrower vent, a larger box or a higher tuning", v.Length, inside, depth)
	case free < p.Vent.Room:
		return 0, fmt.Errorf("vent: %v long, of which %v stand inside, in a depth of %v: %v stay free behind it, at least %v are wanted; take a narrower vent, a larger box or a higher tuning",
			v.Length, inside, depth, free, p.Vent.Room)
	default:
		return free, nil
	}
}

// flanges refuses drivers that do not fit on the panel or into the box.
func (d *Design) flanges() error {
	p, c := d.Project, d.Cabinet
	depth := c.Depth - p.Cabinet.Wall // the back wall is behind it
	for _, x := range []struct {
		key string
		project.Driver
	}{{"woofer", p.Woofer}, {"tweeter", p.Tweeter}} {
		edge := min(x.X, c.Width-x.X, x.Y, c.Height-x.Y) - x.Outer/2
		if edge < 0 {
			why := ""
			if min(x.X, c.Width-x.X)-x.Outer/2 == edge {
				why = fmt.Sprintf(", as wide as %d layers of %v make it%s; move the driver, or take a shallower profile, more air or a number of layers", c.Stack.Layers, c.Stack.Thickness, d.whyLayers())
			}
			return fmt.Errorf("%s: its flange of %v stands %v over the edge of the panel of %v × %v%s", x.key, x.Outer, -edge, c.Width, c.Height, why)
		}
		if x.Cutout >= x.Outer {
			return fmt.Errorf("%s.cutout %v: must be below its flange of %v, or it falls through", x.key, x.Cutout, x.Outer)
		}
		if x.Depth > depth {
			return fmt.Errorf("%s: %v deep, but only %v from the front to the back wall", x.key, x.Depth, depth)
		}
	}
	apart := units.Length(math.Hypot(float64(p.Woofer.X-p.Tweeter.X), float64(p.Woofer.Y-p.Tweeter.Y)))
	if need := (p.Woofer.Outer + p.Tweeter.Outer) / 2; apart < need {
		return fmt.Errorf("woofer and tweeter: %v between their centres, but their flanges need %v", apart, need)
	}
	return nil
}

// whyLayers tells what the number of layers follows from.
func (d *Design) whyLayers() string {
	if d.Project.Cabinet.Layers > 0 {
		return ""
	}
	return fmt.Sprintf(" for %v of net air", d.Project.Box.Volume)
}

// system returns the woofer in a box of net volume with a vent.
func (d *Design) system(net units.Volume, vent port.Vent) (box.System, error) {
	b := d.Project.Box
	s := box.System{Driver: d.Woofer.Model, Air: d.Air}
	if b.Tuning == 0 {
		// The losses hold at the resonance of the driver in the box.
		c := box.Closed{Vb: net, QL: b.QL, QA: b.QA}
		if b.QL > 0 || b.QA > 0 {
			al, err := box.Closed{Vb: net}.Alignment(s.Driver, s.Air)
			if err != nil {
				return s, err
			}
			c.FQ = al.Fc
		}
		s.Enclosure = c
	} else {
		s.Enclosure = box.Vented{Vb: net, Fb: b.Tuning, QL: b.QL, QA: b.QA, QP: b.QP, Area: vent.Area()}
	}
	return s, s.Check()
}
