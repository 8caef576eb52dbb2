package design

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// Curves is what became of a driver's curve on its way to the design.
type Curves struct {
	Read   []Read            // as read, per volt
	Spread []float64         // degrees by which a phase made from the level may be off, at the frequencies of the response; nil: it was measured
	Seam   *response.Seam    // between near and far; nil: there is one part only
	Near   units.Frequency   // up to which a near field holds
	Stages []crossover.Stage // on the grid, on axis
	Panel  []complex128      // the panel's effect on axis

	Computed bool // the panel's effect, from the cabinet's front

	Directions []crossover.Direction
}

// A Read is a curve before it is on the grid.
type Read struct {
	Name  string
	Curve response.Curve // Pa per volt at 1 m, but near fields as taken
}

// read reads a curve and keeps what looks doubtful in it.
func (d *Design) read(src project.Source, c project.Curve, linear bool) (response.Curve, error) {
	curve, doubts, err := src.Curve(c, linear)
	for _, x := range doubts {
		d.odd("%s: %v", c.File, x)
	}
	return curve, err
}

// response reads a driver's response, gives it a phase if it has none, and joins
// the near field to it if there is one.
func (d *Design) response(src project.Source, key string, from project.Driver, effects []effect, shown *Curves) (response.Curve, error) {
	read := func(name string, c project.Curve) (response.Curve, error) {
		curve, err := d.read(src, c, false)
		if err != nil {
			return curve, fmt.Errorf("%s.%s: %w", key, name, err)
		}
		return curve, nil
	}
	far, err := read("response", from.Response)
	if err != nil {
		return far, err
	}
	far, spread, err := d.phased(key+".response", from.Response, far)
	if err != nil {
		return far, err
	}
	shown.Read, shown.Spread = append(shown.Read, Read{"response", far}), spread
	if from.Near == nil {
		return far, nil
	}
	sources := []response.Source{}
	for _, x := range []struct {
		name  string
		curve project.Curve
		taken response.Mounting
		area  units.Area
		count int // equal ones add up, each by itself
	}{
		{"near.cone", from.Near.Cone, response.NearCone, d.driver(key).Model.Sd, 1},
		{"near.vent", from.Near.Vent, response.NearVent, d.Bass.Vent.Area() / units.Area(max(1, d.Bass.Vent.Count)), max(1, d.Bass.Vent.Count)},
	} {
		if x.curve.File == "" {
			continue
		}
		c, err := read(x.name, x.curve)
		if err != nil {
			return far, err
		}
		c.Taken.Mounting, c.Taken.Box = x.taken, far.Taken.Box
		sources = append(sources, slices.Repeat([]response.Source{{Curve: c, Area: x.area}}, x.count)...)
		shown.Read = append(shown.Read, Read{x.taken.String(), c})
		limit, err := response.NearLimit(x.area, d.Air.SpeedOfSound)
		if err != nil {
			return far, fmt.Errorf("%s.%s: %w", key, x.name, err)
		}
		if shown.Near == 0 || limit < shown.Near {
			shown.Near = limit
		}
	}
	near, err := response.NearField(sources...)
	if err != nil {
		return far, fmt.Errorf("%s.near: %w", key, err)
	}
	shown.Read = append(shown.Read, Read{"near field, in half space", near})
	if far.Taken.Mounting == response.OnPanel {
		if near, err = near.Times(response.Curve{Hz: d.Hz, H: effects[0].factor, HasPhase: true}); err != nil {
			return far, fmt.Errorf("%s.near: %w", key, err)
		}
		near.Taken.Mounting, near.Taken.Panel = far.Taken.Mounting, far.Taken.Panel
		near.Taken.Distance = far.Taken.Distance
	}
	whole, seam, err := response.Splice(near, far, from.Near.Lo, from.Near.Hi)
	if err != nil {
		return far, fmt.Errorf("%s.near: %w", key, err)
	}
	shown.Seam = &seam
	shown.Read = append(shown.Read, Read{"spliced", whole})
	return whole, nil
}

// phased gives a curve without phase the one that belongs to its level, and takes
// it on to the ends of the grid with the slopes.
func (d *Design) phased(key string, from project.Curve, c response.Curve) (response.Curve, []float64, error) {
	if c.HasPhase {
		return c, nil, nil
	}
	if from.Slopes == nil {
		guess := ""
		if s, err := c.EndSlopes(0.5); err == nil {
			guess = fmt.Sprintf("; the last half octaves of the table rise with %.0f and %.0f", s.Low, s.High)
		}
		return c, nil, fmt.Errorf("%s: %s: no column of phases is named; give slopes = { low = 12, high = -12 }, in dB per octave beyond the table, and it gets minimum phase%s", key, from.File, guess)
	}
	c, err := c.Extend(units.Frequency(d.Hz[0]), units.Frequency(d.Hz[len(d.Hz)-1]), *from.Slopes)
	if err != nil {
		return c, nil, fmt.Errorf("%s: %s: %w", key, from.File, err)
	}
	c, spread, err := c.MinimumPhaseSpread(*from.Slopes, response.Plausible())
	if err != nil {
		return c, nil, fmt.Errorf("%s: %s: %w", key, from.File, err)
	}
	return c, spread, nil
}

func (d *Design) driver(key string) *Driver {
	if key == "woofer" {
		return &d.Woofer
	}
	return &d.Tweeter
}

// A Centres is where the acoustic centres are, and how well that is known.
type Centres struct {
	Woofer, Tweeter r3.Vec
	Within          units.Length      // of the distance between them along the axis, one way
	Offset          *response.Offset  // by three sweeps; nil: by ruler
	Sweeps          [3]response.Curve // woofer, tweeter, both
}

// centres places the drivers; if there are sweeps, the tweeter where they say.
func (d *Design) centres(src project.Source) error {
	p := d.Project
	known := func(x project.Driver) float64 {
		if x.Known > 0 {
			return float64(x.Known)
		}
		return float64(response.CentreUncertainty)
	}
	c := Centres{Woofer: d.place(p.Woofer), Tweeter: d.place(p.Tweeter)}
	c.Within = units.Length(math.Hypot(known(p.Woofer), known(p.Tweeter)))
	defer func() { d.Centres = c }()
	s := p.Sweeps
	if s == nil {
		return nil
	}
	var curves [3]response.Curve
	for i, x := range []struct {
		name string
		from project.Curve
	}{{"sweeps.woofer", s.Woofer}, {"sweeps.tweeter", s.Tweeter}, {"sweeps.both", s.Both}} {
		curve, err := d.read(src, x.from, false)
		if err == nil && i < 2 {
			curve, _, err = d.phased(x.name, x.from, curve)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", x.name, err)
		}
		curves[i] = curve
	}
	const search = 0.3 // m
	offset, err := response.RelativeDelay(curves[0], curves[1], curves[2], s.Lo, s.Hi, units.Time(search/float64(d.Air.SpeedOfSound)))
	if err != nil {
		return fmt.Errorf("sweeps: %w", err)
	}
	// The tweeter is on the microphone's axis: what it is nearer is what it is ahead.
	far := r3.Norm(r3.Sub(r3.Vec{X: c.Tweeter.X, Y: c.Tweeter.Y, Z: float64(s.Distance)}, c.Woofer))
	c.Tweeter.Z = float64(s.Distance) - (far + float64(offset.Delay)*float64(d.Air.SpeedOfSound))
	c.Within = units.Length(2 * float64(offset.SD) * float64(d.Air.SpeedOfSound))
	c.Offset, c.Sweeps = &offset, curves
	return nil
}

// curves runs the chain for both drivers and places them.
func (d *Design) curves(src project.Source) (woofer, tweeter mounted, err error) {
	if woofer, d.Woofer.Curves, err = d.mount(src, "woofer", d.Project.Woofer, &d.Bass.System); err != nil {
		return
	}
	if tweeter, d.Tweeter.Curves, err = d.mount(src, "tweeter", d.Project.Tweeter, nil); err != nil {
		return
	}
	return woofer, tweeter, d.centres(src)
}

// noteCurves says what the curves rest on.
func (d *Design) noteCurves() {
	s := &d.Speaker
	for _, x := range []struct {
		key string
		Curves
	}{{"woofer", d.Woofer.Curves}, {"tweeter", d.Tweeter.Curves}} {
		if x.Spread != nil {
			c := x.Read[0].Curve
			d.note("The %s's phase is minimum phase made from its level: right to %.1f° at %v if the slopes beyond the table are within %v dB per octave.",
				x.key, at(c.Hz, x.Spread, s.crossing()), s.crossing(), response.Plausible().Low)
		}
		if m := x.Seam; m != nil {
			d.note("The %s's near and far curves meet at %.0f Hz, where they differ by %.2f dB and %.1f° (RMS over the overlap %.2f dB and %.1f°); the near part was moved by %.2f dB. A near field of that size holds to %.0f Hz or so.",
				x.key, float64(m.Frequency), m.Level, m.Phase, m.LevelRMS, m.PhaseRMS, m.Shift, float64(x.Near))
		}
	}
	for _, key := range []string{"woofer", "tweeter"} {
		if d.driver(key).Curves.Computed {
			d.note("What the panel does to the %s is computed from the cabinet's front, %v × %v with square edges, on axis, 15° and 30° to the sides, 10° up and down: within half a decibel but for dips.", key, d.Cabinet.Width, d.Cabinet.Height)
			continue
		}
		var measured, modelled []string
		for _, b := range beside {
			curves := crossover.Curves{Directions: d.driver(key).Curves.Directions}
			if _, ok := curves.Nearest(toward(b.Horizontal, b.Vertical)); ok {
				measured = append(measured, b.Name)
			} else {
				modelled = append(modelled, b.Name)
			}
		}
		if len(modelled) == 0 {
			d.note("Beside the axis the %s is as measured: %s.", key, strings.Join(measured, ", "))
		} else {
			d.note("Beside the axis the %s is a flat piston, not a measurement: %s.%s", key, strings.Join(modelled, ", "), also(measured))
		}
	}
	c := d.Centres
	how := "By ruler"
	if c.Offset != nil {
		how = fmt.Sprintf("By three sweeps the tweeter sounds %.1f µs %s the woofer at the microphone, two standard uncertainties are %.1f µs;",
			1e6*math.Abs(float64(c.Offset.Delay)), map[bool]string{true: "before", false: "after"}[c.Offset.Delay < 0], 2e6*float64(c.Offset.SD))
	}
	d.note("%s the acoustic centres are %.0f mm apart along the axis, known to ±%.1f mm. That much behind or ahead, the tweeter gives %.2f or %.2f dB of ripple instead of %.2f dB.",
		how, 1000*(c.Tweeter.Z-c.Woofer.Z), 1000*float64(c.Within), s.Moved[0].Ripple, s.Moved[1].Ripple, s.Choice.Score.Ripple)
}

func also(measured []string) string {
	if len(measured) == 0 {
		return ""
	}
	return " As measured: " + strings.Join(measured, ", ") + "."
}

// crossing returns where the tweeter takes over, or where the search began.
func (s *Speaker) crossing() units.Frequency {
	if f := s.Choice.Score.Crossing; len(f) > 0 && f[0] > 0 {
		return units.Frequency(math.Round(float64(f[0])))
	}
	return 2000
}

// at returns the value at the frequency nearest to f.
func at(hz, values []float64, f units.Frequency) float64 {
	best := 0
	for i, x := range hz {
		if math.Abs(math.Log(x/float64(f))) < math.Abs(math.Log(hz[best]/float64(f))) {
			best = i
		}
	}
	return values[best]
}
