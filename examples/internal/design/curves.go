package design

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/units"
)

// A mounted is a driver in its cabinet, per volt at its terminals, on the grid.
type mounted struct {
	onPanel   crossover.Curves // full space, on the panel, with directions
	halfSpace crossover.Curves // flush in an endless wall
	panel     []complex128     // the panel's effect on axis
}

// mount runs the chain for one driver: half space, box, panel.
func (d *Design) mount(src project.Source, key string, from project.Driver, in *box.System) (mounted, error) {
	read := func(name string, c project.Curve, linear bool) ([]complex128, error) {
		curve, err := src.Curve(c, linear)
		if err != nil {
			return nil, fmt.Errorf("%s.%s: %w", key, name, err)
		}
		out := make([]complex128, len(d.Hz))
		if err := curve.Resample(out, d.Hz); err != nil {
			return nil, fmt.Errorf("%s.%s: %s: %w", key, name, c.File, err)
		}
		if !linear {
			volts := c.Volts
			if volts == 0 {
				volts = from.Response.Volts
			}
			for i := range out {
				out[i] /= complex(float64(volts), 0)
			}
		}
		return out, nil
	}
	z, err := read("impedance", from.Impedance, true)
	if err != nil {
		return mounted{}, err
	}
	half, err := read("response", from.Response, false)
	if err != nil {
		return mounted{}, err
	}
	chain := crossover.Chain{Name: key, Curve: half}
	if slices.Contains(from.Response.Contains, "box") {
		chain.Has |= crossover.InBox
	}
	if slices.Contains(from.Response.Contains, "panel") {
		chain.Has |= crossover.OnPanel
	}
	if in != nil {
		chain.Box = make([]complex128, len(d.Hz))
		for i, f := range d.Hz {
			z[i], chain.Box[i] = in.InBox(units.Frequency(f), z[i])
		}
	}
	var m mounted
	ahead := r3.Vec{Z: 1}
	build := func(panel []complex128, toward r3.Vec) (crossover.Direction, error) {
		c := chain
		c.Panel = panel
		p, err := c.Pressure()
		return crossover.Direction{Toward: toward, P: p}, err
	}

	// Without a panel's curve the response must hold the panel already.
	if from.Panel.Curve.File == "" {
		if chain.Has&crossover.OnPanel == 0 {
			return mounted{}, fmt.Errorf("%s.panel: no curve, and the response does not contain the panel: the finished speaker cannot be computed", key)
		}
		direction, err := build(nil, ahead)
		if err != nil {
			return mounted{}, err
		}
		m.onPanel = crossover.Curves{Hz: d.Hz, Z: z, Directions: []crossover.Direction{direction}}
		return m, sound(key, m.onPanel)
	}
	directions := append([]project.Beside{{Curve: from.Panel.Curve}}, from.Panel.Beside...)
	m.onPanel = crossover.Curves{Hz: d.Hz, Z: z}
	for i, b := range directions {
		if b.Curve.File == "" {
			b.Curve.File = from.Panel.Curve.File
		}
		effect, err := read("panel", b.Curve, false)
		if err != nil {
			return mounted{}, err
		}
		for k := range effect {
			effect[k] /= half[k]
		}
		if i == 0 {
			m.panel = effect
		}
		direction, err := build(effect, toward(b.Horizontal, b.Vertical))
		if err != nil {
			return mounted{}, err
		}
		m.onPanel.Directions = append(m.onPanel.Directions, direction)
	}
	direction, err := build(nil, ahead)
	if err != nil {
		return mounted{}, err
	}
	m.halfSpace = crossover.Curves{Hz: d.Hz, Z: z, Directions: []crossover.Direction{direction}}
	d.samePanel(key, from.Panel)
	return m, sound(key, m.halfSpace, m.onPanel)
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

// sample adds the two ways up at the ear and at the angles beside it.
func (d *Design) sample(woofer, tweeter crossover.Curves, inverted bool, points ...r3.Vec) (*crossover.Field, error) {
	return crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: woofer, Position: d.place(d.Project.Woofer)},
		{Name: "tweeter", Radiator: tweeter, Position: d.place(d.Project.Tweeter), Inverted: inverted},
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
	t := crossover.Curves{Z: pick(c.Z)}
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
