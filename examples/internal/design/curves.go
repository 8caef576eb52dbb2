package design

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box"
	"example.com/halfspace/box/baffle"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A mounted is a driver in its cabinet, per volt at its terminals, on the grid.
type mounted struct {
	onPanel   crossover.Curves // full space, on the panel, with directions
	halfSpace crossover.Curves // flush in an endless wall
	panel     []complex128     // the panel's effect on axis
}

// mount runs the chain for one driver: phase, near field, half space, box, panel.
func (d *Design) mount(src project.Source, key string, from project.Driver, in *box.System) (mounted, Curves, error) {
	var shown Curves
	none := func(err error) (mounted, Curves, error) { return mounted{}, Curves{}, err }
	z, err := d.grid(src, key+".impedance", from.Impedance, true)
	if err != nil {
		return none(err)
	}
	d.sameDriver(key, from.Impedance.File, z)
	effects, err := d.panelEffects(src, key, from)
	if err != nil {
		return none(err)
	}
	shown.Computed = from.Panel.Curve.File == ""
	measured, err := d.response(src, key, from, effects, &shown)
	if err != nil {
		return none(err)
	}
	chain := crossover.Chain{Name: key, Curve: make([]complex128, len(d.Hz)), Taken: measured.Taken}
	if err := measured.Resample(chain.Curve, d.Hz); err != nil {
		return none(fmt.Errorf("%s.response: %s: %w", key, from.Response.File, err))
	}
	if in != nil {
		change := make([]complex128, len(d.Hz))
		for i, f := range d.Hz {
			z[i], change[i] = in.InBox(units.Frequency(f), z[i])
		}
		if measured.Taken.Box == "" {
			chain.Box = crossover.Effect{Name: "the box", Built: change}
		} else {
			d.note("The %s's response was taken in %s, which is taken for the box of this design.", key, measured.Taken.Box)
		}
	}

	// On the panel, in each direction; a response taken there changes only beside
	// the axis.
	onPanel := measured.Taken.Mounting == response.OnPanel || measured.Taken.Mounting == response.OnFloor
	m := mounted{onPanel: crossover.Curves{Hz: d.Hz, Z: z}}
	if sd := d.driver(key).Model.Sd; sd > 0 {
		m.onPanel.Radius, m.onPanel.SpeedOfSound = units.Length(math.Sqrt(float64(sd)/math.Pi)), d.Air.SpeedOfSound
	}
	over := from.Panel.Over.File != "" || shown.Computed
	for i, e := range effects {
		c := chain
		switch c.Panel = (crossover.Effect{Name: "the panel", Built: e.factor}); {
		case onPanel && over && i == 0:
			c.Panel = crossover.Effect{}
		case onPanel && over:
			c.Panel.Measured = effects[0].factor
		}
		stages, err := c.Stages()
		if err != nil {
			return none(err)
		}
		if i == 0 {
			shown.Stages = stages
		}
		m.onPanel.Directions = append(m.onPanel.Directions, crossover.Direction{Toward: e.toward, P: stages[len(stages)-1].P})
	}
	shown.Directions, shown.Panel = m.onPanel.Directions, effects[0].factor
	if err := sound(key, m.onPanel); err != nil {
		return none(err)
	}
	m.panel = effects[0].factor
	c := chain
	if onPanel {
		c.Panel.Measured = m.panel
	}
	p, err := c.Pressure()
	if err != nil {
		return none(err)
	}
	m.halfSpace = crossover.Curves{Hz: d.Hz, Z: z, Directions: []crossover.Direction{{Toward: axis, P: p}}}
	d.sameLevel(key, from.Response.File, p)
	d.samePanel(key, from.Panel)
	return m, shown, sound(key, m.halfSpace)
}

var axis = r3.Vec{Z: 1}

// grid reads a table onto the grid, per volt if it is a pressure.
func (d *Design) grid(src project.Source, key string, c project.Curve, linear bool) ([]complex128, error) {
	curve, err := d.read(src, c, linear)
	if err == nil && !curve.HasPhase {
		err = fmt.Errorf("%s: no column of phases is named", c.File)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", key, err)
	}
	out := make([]complex128, len(d.Hz))
	if err := curve.Resample(out, d.Hz); err != nil {
		return nil, fmt.Errorf("%s: %s: %w", key, c.File, err)
	}
	if !linear && c.Volts > 0 {
		for i := range out {
			out[i] /= complex(float64(c.Volts), 0)
		}
	}
	return out, nil
}

// An effect is what the panel does in one direction; the first is on axis.
type effect struct {
	toward r3.Vec
	factor []complex128
}

// panelEffects returns the curves on the panel over that in half space; if no curve on
// the panel is given, what the cabinet's front does by computation.
func (d *Design) panelEffects(src project.Source, key string, from project.Driver) ([]effect, error) {
	p := from.Panel
	if p.Curve.File == "" {
		return d.diffraction(key, from)
	}
	half := from.Response
	if p.Over.File != "" {
		half = p.Over
	}
	over, err := d.grid(src, key+".response", half, false)
	if err != nil {
		return nil, err
	}
	var out []effect
	for _, b := range append([]project.Beside{{Curve: p.Curve}}, p.Beside...) {
		c := b.Curve
		c.File = cmp.Or(c.File, p.Curve.File)
		c.Volts = cmp.Or(c.Volts, half.Volts)
		factor, err := d.grid(src, key+".panel", c, false)
		if err != nil {
			return nil, err
		}
		for k := range factor {
			factor[k] /= over[k]
		}
		out = append(out, effect{toward(b.Horizontal, b.Vertical), factor})
	}
	return out, nil
}

// diffraction computes what the cabinet's front does to a driver in the directions in
// which a listener may be.
func (d *Design) diffraction(key string, from project.Driver) ([]effect, error) {
	w, h := d.Cabinet.Width, d.Cabinet.Height
	panel := baffle.Panel{Depth: d.Cabinet.Depth, Edge: outline.Rectangle(w, h)}
	driver := baffle.Driver{At: outline.Point{X: from.X, Y: from.Y}, Radius: units.Length(math.Sqrt(float64(d.driver(key).Model.Sd) / math.Pi)), Outer: from.Outer}
	x, err := panel.Diffraction(driver, d.Air.SpeedOfSound)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", key, err)
	}
	out := []effect{{toward: axis}}
	for _, a := range []units.Angle{-30 * units.Degree, -15 * units.Degree, 15 * units.Degree, 30 * units.Degree} {
		out = append(out, effect{toward: toward(a, 0)})
	}
	for _, a := range []units.Angle{-10 * units.Degree, 10 * units.Degree} {
		out = append(out, effect{toward: toward(0, a)})
	}
	for i := range out {
		out[i].factor = make([]complex128, len(d.Hz))
		if err := x.Toward(out[i].factor, d.Hz, out[i].toward); err != nil {
			return nil, fmt.Errorf("%s: %w", key, err)
		}
	}
	return out, nil
}

// sound checks curves, so that no NaN goes on.
func sound(key string, curves ...crossover.Curves) error {
	for _, c := range curves {
		if err := c.Check(); err != nil {
			return fmt.Errorf("%s: %w", key, err)
		}
	}
	return nil
}

func toward(horizontal, vertical units.Angle) r3.Vec {
	x, y := math.Sin(float64(horizontal)), math.Sin(float64(vertical))
	return r3.Vec{X: x, Y: y, Z: math.Sqrt(max(0, 1-x*x-y*y))}
}

// samePanel notes a panel that is not the one the curves hold for.
func (d *Design) samePanel(key string, p project.Panel) {
	off := func(a, b units.Length) bool { return b > 0 && math.Abs(float64(a/b)-1) > 0.03 }
	if off(d.Cabinet.Width, p.Width) || off(d.Cabinet.Height, p.Height) {
		d.note("The %s's panel curves hold for a panel of %v × %v; this cabinet's is %v × %v, so ripple and bass step are somewhat elsewhere.",
			key, p.Width, p.Height, d.Cabinet.Width, d.Cabinet.Height)
	}
}

// place returns where the acoustic centre of a driver is, seen from the point on
// the panel opposite the ear.
func (d *Design) place(from project.Driver) r3.Vec {
	return r3.Vec{
		X: float64(from.X - d.Cabinet.Width/2),
		Y: float64(from.Y - d.Project.Play.Ear),
		Z: -float64(from.Centre),
	}
}

// sample adds the two ways up at the ear and at the angles beside it, with the
// tweeter's acoustic centre so much ahead of where it is thought.
func (d *Design) sample(woofer, tweeter crossover.Curves, inverted bool, ahead units.Length, points ...r3.Vec) (*crossover.Field, error) {
	at := r3.Add(d.Centres.Tweeter, r3.Vec{Z: float64(ahead)})
	return crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: woofer, Position: d.Centres.Woofer},
		{Name: "tweeter", Radiator: tweeter, Position: at, Inverted: inverted},
	}, woofer.Hz, d.Air.SpeedOfSound, points...)
}

// thin keeps every nth frequency, for searches.
func thin(c crossover.Curves, n int) crossover.Curves {
	pick := func(z []complex128) []complex128 {
		var out []complex128
		for i := 0; i < len(z); i += n {
			out = append(out, z[i])
		}
		return out
	}
	t := crossover.Curves{Z: pick(c.Z), Radius: c.Radius, SpeedOfSound: c.SpeedOfSound}
	for i := 0; i < len(c.Hz); i += n {
		t.Hz = append(t.Hz, c.Hz[i])
	}
	for _, x := range c.Directions {
		t.Directions = append(t.Directions, crossover.Direction{Toward: x.Toward, P: pick(x.P)})
	}
	return t
}

// nearWall returns the sum with a wall behind the speaker. What a panel sends
// backwards is taken as its edge part, 1 − B for the panel's effect B on axis,
// which is right at low frequencies; it comes back with the delay of the image.
func (d *Design) nearWall(woofer, tweeter mounted) []complex128 {
	s := &d.Speaker
	out := make([]complex128, len(d.Hz))
	r, extra := float64(d.Project.Play.Distance), 2*float64(d.Project.Play.Wall)
	for w, m := range []mounted{woofer, tweeter} {
		front := s.Field.Pressure(w, atEar)
		for i, f := range d.Hz {
			echo := cmplx.Rect(r/(r+extra), -2*math.Pi*f*extra/float64(d.Air.SpeedOfSound))
			gain := 1 + (1-m.panel[i])/m.panel[i]*echo
			out[i] += s.Result.Transfer[w][i] * front[i] * gain
		}
	}
	return out
}
