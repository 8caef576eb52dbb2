package main

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A front is a panel with what was found out about it.
type front struct {
	project project.Project
	air     air.Air
	hz      []float64
	panel   baffle.Panel
	drivers [2]*part // woofer, tweeter
	window  window
	offsets offsets
}

// A part is a driver on the panel.
type part struct {
	key, name string
	from      project.Driver
	driver    baffle.Driver
	edge      baffle.Diffraction
	lo, hi    units.Frequency // where it plays
	views     []view          // the first is on axis
	given     *comparison     // nil: the project has no curve on a panel of its own
	places    places
}

// A view is the panel's effect in one direction.
type view struct {
	name   string
	h      []complex128
	ripple float64 // RMS deviation from the mean where the driver plays, dB
}

// A comparison is the project's own panel curve against ours.
type comparison struct {
	own, plain    []float64 // dB over the grid
	square, worst float64   // of the difference from ours, dB
	plainly       float64   // RMS difference from the plain edge sum, dB
	from, to      units.Frequency
	width, height units.Length // of the panel it holds for; zero: not said
}

var directions = []struct {
	name                 string
	horizontal, vertical float64 // degrees
}{
	{"on axis", 0, 0}, {"15° right", 15, 0}, {"30° right", 30, 0}, {"15° left", -15, 0}, {"30° left", -30, 0}, {"10° up", 0, 10}, {"10° down", 0, -10},
}

func toward(horizontal, vertical float64) r3.Vec {
	x, y := math.Sin(horizontal*math.Pi/180), math.Sin(vertical*math.Pi/180)
	return r3.Vec{X: x, Y: y, Z: math.Sqrt(max(0, 1-x*x-y*y))}
}

func study(src project.Source, p project.Project) (*front, error) {
	f := &front{project: p, hz: response.LogGrid(50, 20000, 48)}
	var err error
	if f.air, err = p.Medium(); err != nil {
		return nil, err
	}
	if f.panel, err = panelOf(p); err != nil {
		return nil, err
	}
	if err := f.mount(); err != nil {
		return nil, err
	}
	woofer, tweeter := f.drivers[0], f.drivers[1]
	for _, x := range f.drivers {
		if err := f.look(src, x); err != nil {
			return nil, fmt.Errorf("%s: %w", x.key, err)
		}
	}
	if err := f.listen(); err != nil {
		return nil, err
	}
	if err := f.place(woofer, tweeter); err != nil {
		return nil, err
	}
	if err := f.place(tweeter, woofer); err != nil {
		return nil, err
	}
	return f, f.shift()
}

// mount puts the drivers on the panel and says where they play.
func (f *front) mount() error {
	p := f.project
	c := p.Crossover
	lo, hi := max(c.Lo, 100*units.Hertz), min(c.Hi, 20*units.Kilohertz)
	if !(lo < c.Frequency && c.Frequency < hi) {
		return &units.RangeError{Field: "crossover.frequency", Value: c.Frequency.String(), Want: fmt.Sprintf("must be between crossover.lo and crossover.hi, %v and %v", lo, hi)}
	}
	for i, x := range []struct {
		key    string
		from   project.Driver
		lo, hi units.Frequency
	}{{"woofer", p.Woofer, lo, c.Frequency}, {"tweeter", p.Tweeter, c.Frequency, hi}} {
		model, _, err := x.from.Sheet.Driver(f.air)
		if err != nil {
			return fmt.Errorf("%s.sheet: %w", x.key, err)
		}
		f.drivers[i] = &part{key: x.key, name: x.from.Name, from: x.from, lo: x.lo, hi: x.hi, driver: baffle.Driver{
			At:     outline.Point{X: x.from.X, Y: x.from.Y},
			Radius: units.Length(math.Sqrt(float64(model.Sd) / math.Pi)), Outer: x.from.Outer,
		}}
	}
	woofer, tweeter := f.drivers[0], f.drivers[1]
	if err := f.panel.Fits(woofer.driver, tweeter.driver); err != nil {
		return fmt.Errorf("driver 1 is the woofer, 2 the tweeter: %w", err)
	}
	var err error
	for _, x := range f.drivers {
		if x.edge, err = f.panel.Diffraction(x.driver, f.air.SpeedOfSound); err != nil {
			return fmt.Errorf("%s: %w", x.key, err)
		}
	}
	return nil
}

// panelOf returns the front of the cabinet: as wide as its layers, or as the panel
// that the woofer's curves hold for.
func panelOf(p project.Project) (baffle.Panel, error) {
	if err := p.Cabinet.Profile.Check(); err != nil {
		return baffle.Panel{}, fmt.Errorf("cabinet.profile: %w", err)
	}
	lo, hi := p.Cabinet.Profile.Bounds()
	width := p.Woofer.Panel.Width
	if p.Cabinet.Layers > 0 {
		width = p.Stack(p.Cabinet.Layers).OutsideWidth()
	}
	if !(width > 0) {
		return baffle.Panel{}, &units.RangeError{Field: "cabinet.layers", Value: "0", Want: "must be given, or woofer.panel.width, for the width of the panel"}
	}
	panel := baffle.Panel{Edge: outline.Rectangle(width, hi.Y-lo.Y), Depth: hi.X - lo.X}
	return panel, panel.Check()
}

// look computes the effect of the panel in all directions and compares.
func (f *front) look(src project.Source, x *part) error {
	for _, d := range directions {
		v := view{name: d.name, h: make([]complex128, len(f.hz))}
		if err := x.edge.Toward(v.h, f.hz, toward(d.horizontal, d.vertical)); err != nil {
			return err
		}
		v.ripple, _ = spread(f.hz, v.h, x.lo, x.hi)
		x.views = append(x.views, v)
	}
	return f.compare(src, x)
}

// compare holds the project's curve on a panel, over that in half space, against ours.
func (f *front) compare(src project.Source, x *part) error {
	own, half := x.from.Panel.Curve, x.from.Response
	if x.from.Panel.Over.File != "" {
		half = x.from.Panel.Over
	}
	if own.File == "" || half.File == "" || half.Taken != response.HalfSpace && x.from.Panel.Over.File == "" {
		return nil
	}
	if own.Volts == 0 {
		own.Volts = half.Volts
	}
	grid := make([][]complex128, 2)
	for i, c := range []project.Curve{own, half} {
		curve, _, err := src.Curve(c, false)
		if err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
		for k := range curve.H {
			curve.H[k] = complex(cmplx.Abs(curve.H[k]), 0) // levels will do
		}
		grid[i] = make([]complex128, len(f.hz))
		if curve.Covers(units.Frequency(f.hz[0]), units.Frequency(f.hz[len(f.hz)-1])) != nil {
			return nil // too short to compare
		}
		if err := curve.Resample(grid[i], f.hz); err != nil {
			return fmt.Errorf("%s: %w", c.File, err)
		}
	}
	plain := make([]complex128, len(f.hz))
	if err := f.panel.EdgeSum(plain, f.hz, x.driver, f.air.SpeedOfSound, r3.Vec{Z: 1}, 3600); err != nil {
		return err
	}
	c := &comparison{from: 100, to: 10000, width: x.from.Panel.Width, height: x.from.Panel.Height}
	n := 0.0
	for i, hz := range f.hz {
		given, edge := response.DB(grid[0][i]/grid[1][i]), response.DB(plain[i])
		c.own, c.plain = append(c.own, given), append(c.plain, edge)
		if hz < float64(c.from) || hz > float64(c.to) {
			continue
		}
		off := given - response.DB(x.views[0].h[i])
		c.square += off * off
		c.worst = max(c.worst, math.Abs(off))
		c.plainly += (given - edge) * (given - edge)
		n++
	}
	c.square, c.plainly = math.Sqrt(c.square/n), math.Sqrt(c.plainly/n)
	x.given = c
	return nil
}

// spread returns the RMS deviation of a level from its mean in a band, and the mean.
func spread(hz []float64, h []complex128, lo, hi units.Frequency) (ripple, mean float64) {
	var square, n float64
	for i, f := range hz {
		if f >= float64(lo) && f <= float64(hi) {
			l := response.DB(h[i])
			mean, square, n = mean+l, square+l*l, n+1
		}
	}
	mean /= n
	return math.Sqrt(max(0, square/n-mean*mean)), mean
}
