package main

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strings"

	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "panel", Tables: []string{"woofer.csv", "tweeter.csv", "window.csv"}}

func (f *front) tell() (document.Document, error) {
	none := func(err error) (document.Document, error) { return document.Document{}, err }
	facts, err := f.facts()
	if err != nil {
		return none(err)
	}
	window, err := f.seats()
	if err != nil {
		return none(err)
	}
	places, err := f.moves()
	if err != nil {
		return none(err)
	}
	sections := []document.Section{f.edges()}
	if s := f.agrees(); s.Rows != nil {
		sections = append(sections, s)
	}
	sections = append(sections, window...)
	sections = append(sections, places...)
	sections = append(sections, f.depth(), careful())
	return document.Document{
		Kind: kind, Name: f.project.Name + " and its panel", Verdict: f.verdict(),
		Sections: sections, Charts: f.charts(), JSON: facts,
	}, nil
}

func (f *front) verdict() string {
	t := f.drivers[1].places
	move := "no place of the tweeter near by is smoother"
	if !t.unchanged {
		move = fmt.Sprintf("the tweeter's %.2f dB of ripple would be %.2f dB at %s", t.now.Ripple, t.near.Ripple, spot(t.near.At.X, t.near.At.Y))
	}
	return fmt.Sprintf("Over the listening window it is within %.1f dB of the ear; %s.", math.Abs(f.window.worst), move)
}

func spot(x, y units.Length) string { return fmt.Sprintf("(%v, %v)", x, y) }

func (f *front) edges() document.Section {
	s := document.Section{Question: "What does the panel do to each driver?",
		Head: []string{"driver", "at", "plays", "half the step", "highest", "lowest above it", "ripple on axis", "15° right", "30° right", "10° up", "10° down"}}
	for _, x := range f.drivers {
		h := x.views[0].h
		half, top, bottom := 0, 0, -1
		for i := range h {
			if half == 0 && response.DB(h[i]) >= -10*math.Log10(2) {
				half = i
			}
			if response.DB(h[i]) > response.DB(h[top]) {
				top, bottom = i, -1
			} else if bottom < 0 || response.DB(h[i]) < response.DB(h[bottom]) {
				bottom = i
			}
		}
		row := []string{x.key, spot(x.from.X, x.from.Y), x.lo.String() + " to " + x.hi.String(), hz(f.hz[half]),
			fmt.Sprintf("%+.1f dB at %s", response.DB(h[top]), hz(f.hz[top])), ""}
		if bottom >= 0 {
			row[5] = fmt.Sprintf("%+.1f dB at %s", response.DB(h[bottom]), hz(f.hz[bottom]))
		}
		for _, i := range []int{0, 1, 2, 5, 6} {
			row = append(row, fmt.Sprintf("%.2f dB", x.views[i].ripple))
		}
		s.Rows = append(s.Rows, row)
	}
	lo, hi := f.panel.Edge.Bounds()
	s.Lines = []string{
		fmt.Sprintf("Panel %v × %v, cabinet %v deep. Levels are full space over half space: −6 dB far below, about 0 dB far above.", hi.X-lo.X, hi.Y-lo.Y, f.panel.Depth),
		"Half the step is where it passes −3 dB. Ripple is the RMS deviation from the mean where the driver plays; the woofer's has the step in it.",
	}
	return s
}

func (f *front) agrees() document.Section {
	s := document.Section{Question: "Does it agree with the panel curves of the project?",
		Head: []string{"driver", "RMS difference", "largest", "of the plain edge sum", "curves hold for"}}
	for _, x := range f.drivers {
		if g := x.given; g != nil {
			size := "a panel that is not said"
			if g.width > 0 && g.height > 0 {
				size = fmt.Sprintf("%v × %v", g.width, g.height)
			}
			s.Rows = append(s.Rows, []string{x.key, fmt.Sprintf("%.2f dB", g.square), fmt.Sprintf("%.2f dB", g.worst), fmt.Sprintf("%.3f dB", g.plainly), size})
			s.Lines = []string{fmt.Sprintf("On axis from %v to %v, the project's level on the panel over that in half space. The plain sum has neither the depth of the cabinet nor the angle of its edges: see box/baffle for how far each is from the truth.", g.from, g.to)}
		}
	}
	return s
}

func (f *front) seats() ([]document.Section, error) {
	w := f.window
	across, err := f.drawing("Level to the sides", plot.Map{X: f.hz, Y: w.angles, Up: "to the right, degrees", StepY: 10, Unit: "dB", Z: w.horizontal, Levels: levels})
	if err != nil {
		return nil, err
	}
	upright, err := f.drawing("Level above and below", plot.Map{X: f.hz, Y: w.angles, Up: "upward, degrees", StepY: 10, Unit: "dB", Z: w.vertical, Levels: levels})
	if err != nil {
		return nil, err
	}
	corner := f.project.Crossover.Frequency
	s := document.Section{Question: "Where may one sit?", Drawing: across, Lines: []string{
		fmt.Sprintf("At the ear, %v away and %v above the lower edge, each driver is taken to have its ideal slope: Linkwitz and Riley, fourth order, %v, in phase. What is left is the work of panel and places.", f.project.Play.Distance, f.project.Play.Ear, corner),
		fmt.Sprintf("Listening window, the mean power of nine directions, over the ear: at most %+.1f dB, at %s. The directions are those of ANSI/CTA-2034-A (from memory): the axis, ±10° upright, ±10°, ±20° and ±30° aside. Averages over wider angles are not given: beyond 30° the method does not hold.", w.worst, hz(float64(w.at))),
		"Map: level over that at the ear, to the left and right.",
	}}
	up := document.Section{Question: "And how high?", Drawing: upright, Lines: []string{
		fmt.Sprintf("At %v the lobe points %s, and it is 3 dB down %s and %s.", corner, degrees(w.lobe), bound(w.up, "above"), bound(w.down, "below")),
		"Map: level over that at the ear, above and below.",
	}}
	if !math.IsNaN(w.up) && !math.IsNaN(w.down) {
		up.Lines = append(up.Lines, fmt.Sprintf("So ears from %s to %s the lower edge of the panel hear the crossover whole.", metres(w.low), metres(w.high)))
	}
	return []document.Section{s, up}, nil
}

// levels of the window maps in dB; none is 0, which the ear's row has everywhere.
var levels = []float64{-15, -10, -6, -3, -1, 1}

func degrees(a float64) string {
	switch {
	case a == 0:
		return "at the ear"
	case a > 0:
		return fmt.Sprintf("%.1f° above the ear", a)
	}
	return fmt.Sprintf("%.1f° below the ear", -a)
}

func bound(a float64, where string) string {
	if math.IsNaN(a) {
		return "nowhere within 30° " + where
	}
	return fmt.Sprintf("%.1f° %s", math.Abs(a), where)
}

func metres(l units.Length) string {
	if l < 0 {
		return fmt.Sprintf("%.2f m below", -float64(l))
	}
	return fmt.Sprintf("%.2f m above", float64(l))
}

func (f *front) moves() ([]document.Section, error) {
	s := document.Section{Question: "Where would the drivers see a smoother edge?",
		Head: []string{"driver", "now", "ripple", "near by", "ripple", "anywhere", "ripple"}}
	for _, x := range f.drivers {
		p := x.places
		near, ripple := "nothing better", ""
		if !p.unchanged {
			near, ripple = spot(p.near.At.X, p.near.At.Y), fmt.Sprintf("%.2f dB", p.near.Ripple)
		}
		s.Rows = append(s.Rows, []string{x.key, spot(p.now.At.X, p.now.At.Y), fmt.Sprintf("%.2f dB", p.now.Ripple), near, ripple,
			spot(p.best.At.X, p.best.At.Y), fmt.Sprintf("%.2f dB", p.best.Ripple)})
	}
	s.Lines = []string{
		fmt.Sprintf("Ripple where the driver plays, on axis and 15° to both sides, the other driver staying where it is; near by is within %v. Frames keep %v from each other and the edge, on a grid of %v.", reach, wood, f.drivers[1].places.step),
		"Unequal distances to the edges smooth it. Drivers far apart lobe more: look at the map upright again.",
		"Map: the tweeter's ripple by place of its centre; white where it does not fit.",
	}
	var err error
	s.Drawing, err = f.drawing("Ripple of the tweeter by place", f.layout(f.drivers[1]))
	return []document.Section{s}, err
}

// layout lays the spots of a driver out over the panel.
func (f *front) layout(x *part) plot.Map {
	_, top := f.panel.Edge.Bounds()
	p := x.places
	m := plot.Map{Across: "from the left edge, mm", Up: "from the lower edge, mm", StepX: 50, StepY: 100, Unit: "dB", Square: true,
		Marks: []plot.Spot{{Name: "now", X: p.now.At.X.In(units.Millimetre), Y: p.now.At.Y.In(units.Millimetre)}}}
	if !p.unchanged {
		m.Marks = append(m.Marks, plot.Spot{Name: "near by", X: p.near.At.X.In(units.Millimetre), Y: p.near.At.Y.In(units.Millimetre)})
	}
	step := p.step.In(units.Millimetre)
	for x := 0.0; x <= top.X.In(units.Millimetre)+1e-6; x += step {
		m.X = append(m.X, x)
	}
	for y := 0.0; y <= top.Y.In(units.Millimetre)+1e-6; y += step {
		m.Y = append(m.Y, y)
		row := make([]float64, len(m.X))
		for i := range row {
			row[i] = math.NaN()
		}
		m.Z = append(m.Z, row)
	}
	for _, s := range p.spots {
		i, j := int(math.Round(s.At.X.In(units.Millimetre)/step)), int(math.Round(s.At.Y.In(units.Millimetre)/step))
		m.Z[j][i] = s.Ripple
	}
	least, most := p.spots[0].Ripple, p.spots[len(p.spots)-1].Ripple
	step = 0.1
	for (most-least)/step > 8 {
		step *= 2
	}
	for l := math.Ceil(least/step+1e-6) * step; l < most; l += step {
		m.Levels = append(m.Levels, math.Round(l*100)/100)
	}
	if m.Levels == nil {
		m.Levels = []float64{most}
	}
	return m
}

func (f *front) depth() document.Section {
	o := f.offsets
	eighth := o.wave / 8
	who, by := "tweeter", o.ahead
	if by < 0 {
		who, by = "woofer", -by
	}
	s := document.Section{Question: "What are millimetres of depth worth?",
		Head: []string{"tweeter set back by", "ripple of the sum", "deepest"}}
	for i, x := range o.shift {
		s.Rows = append(s.Rows, []string{fmt.Sprintf("%.0f mm", x), fmt.Sprintf("%.2f dB", o.ripple[i]), document.Number(o.deepest[i], 1) + " dB"})
	}
	corner := f.project.Crossover.Frequency
	s.Lines = []string{
		fmt.Sprintf("At the ear the %s comes first by %.1f mm (± %.0f mm as far as the acoustic centres are known), %.0f° at %v.", who, by.In(units.Millimetre), o.within.In(units.Millimetre), 360*float64(by/o.wave), corner),
		fmt.Sprintf("One more coil or capacitor in a branch turns its phase by some 45° at the crossover, as %.0f mm do: the offset is worth %.1f components.", eighth.In(units.Millimetre), float64(by/eighth)),
		"Rows: ideal slopes that know nothing of the depth, from an octave below the crossover to an octave above.",
	}
	switch {
	case math.IsNaN(o.tilt):
		s.Lines = append(s.Lines, "No tilt from 0° to 15° backward makes the times equal.")
	default:
		s.Lines = append(s.Lines, fmt.Sprintf("Tilted backward by %.1f° the times are equal; the ripple is then %.2f dB, since the ear is off both axes.", o.tilt, o.tilted))
	}
	return s
}

func careful() document.Section {
	return document.Section{Question: "What to be careful of?", Lines: []string{
		"Square edges, flush drivers, flat pistons: rounding the edges, recesses and break-up are not in it. Cones beam less than pistons where they break up.",
		"The edge is exact to the first order; what further orders add is a fit, 0.2 dB off in the mean square.",
		"Half a decibel of ripple is little beside what a room does. Prefer places that suit the wood.",
	}}
}

// drawing makes a map part of the page.
func (f *front) drawing(title string, m plot.Map) (template.HTML, error) {
	svg, err := m.SVG()
	if err != nil {
		return "", fmt.Errorf("%s: %w", title, err)
	}
	_, text, _ := strings.Cut(string(svg), "<svg")
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, row := range m.Z {
		for _, v := range row {
			if !math.IsNaN(v) {
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	alt := fmt.Sprintf("%s: map from %.2f to %.2f dB; numbers are in panel.json.", title, lo, hi)
	return template.HTML(`<svg role="img" aria-label="` + template.HTMLEscapeString(alt) + `"` + text), nil // drawn by ourselves
}

func (f *front) charts() []document.Chart {
	var charts []document.Chart
	for _, x := range f.drivers {
		fig := plot.Figure{X: f.hz, Unit: "level, dB", Lo: -15, Hi: 6, Step: 3}
		for i, v := range x.views {
			if i == 3 || i == 4 {
				continue
			}
			l := plot.Line{Name: v.name}
			for _, h := range v.h {
				l.Y = append(l.Y, response.DB(h))
			}
			fig.Lines = append(fig.Lines, l)
		}
		if x.given != nil {
			fig.Lines = append(fig.Lines, plot.Line{Name: "the project's curve on axis", Y: x.given.own})
		}
		charts = append(charts, document.Chart{Name: x.key, Title: "The panel's effect on the " + x.key, Decimals: 3,
			Question: "Full space over half space, the beam of a flat piston included. Where does it ripple, and does it do so in all directions?", Figure: fig})
	}
	charts = append(charts, document.Chart{Name: "window", Title: "The listening window", Decimals: 3,
		Question: "Mean power of nine directions over the level at the ear. A dent that the ear has alone is not worth a filter.",
		Figure:   plot.Figure{X: f.hz, Unit: "level, dB", Lo: -9, Hi: 3, Step: 3, Lines: []plot.Line{{Name: "window over the ear", Y: f.window.average}}}})
	return charts
}

func hz(f float64) string {
	scale := math.Pow(10, 2-math.Floor(math.Log10(f)))
	return units.Frequency(math.Round(f*scale) / scale).String()
}

func (f *front) facts() ([]byte, error) {
	type N = document.Num
	list := func(v []float64) []N {
		out := make([]N, len(v))
		for i := range v {
			out[i] = N(math.Round(v[i]*1e4) / 1e4)
		}
		return out
	}
	place := func(x, y units.Length, ripple float64) map[string]N {
		return map[string]N{"x_mm": N(x.In(units.Millimetre)), "y_mm": N(y.In(units.Millimetre)), "ripple_dB": N(math.Round(ripple*1e4) / 1e4)}
	}
	drivers := []any{}
	for _, x := range f.drivers {
		views := []any{}
		for _, v := range x.views {
			l := make([]float64, len(v.h))
			p := make([]float64, len(v.h))
			for i, h := range v.h {
				l[i], p[i] = response.DB(h), response.Phase(h)
			}
			views = append(views, map[string]any{"toward": v.name, "level_dB": list(l), "phase_deg": list(p)})
		}
		d := map[string]any{"driver": x.key, "name": x.name, "effect": views,
			"now":      place(x.places.now.At.X, x.places.now.At.Y, x.places.now.Ripple),
			"near_by":  place(x.places.near.At.X, x.places.near.At.Y, x.places.near.Ripple),
			"anywhere": place(x.places.best.At.X, x.places.best.At.Y, x.places.best.Ripple)}
		if g := x.given; g != nil {
			d["against_the_projects_curve"] = map[string]N{"rms_dB": N(math.Round(g.square*1e4) / 1e4), "largest_dB": N(math.Round(g.worst*1e4) / 1e4), "plain_sum_rms_dB": N(math.Round(g.plainly*1e4) / 1e4)}
		}
		drivers = append(drivers, d)
	}
	w, o := f.window, f.offsets
	const every = 5 // degrees
	rows := func(z [][]float64) [][]N {
		var out [][]N
		for i := 0; i < len(z); i += every {
			out = append(out, list(z[i]))
		}
		return out
	}
	var angles []float64
	for i := 0; i < len(w.angles); i += every {
		angles = append(angles, w.angles[i])
	}
	all := map[string]any{
		"name": f.project.Name, "frequency_Hz": list(f.hz), "drivers": drivers,
		"window": map[string]any{"angles_deg": list(angles), "horizontal_dB": rows(w.horizontal), "vertical_dB": rows(w.vertical),
			"listening_window_over_ear_dB": list(w.average), "lobe_deg": N(w.lobe)},
		"depth": map[string]any{"tweeter_ahead_mm": N(math.Round(o.ahead.In(units.Millimetre)*1e4) / 1e4), "set_back_mm": list(o.shift), "ripple_dB": list(o.ripple)},
	}
	if !math.IsNaN(o.tilt) {
		all["depth"].(map[string]any)["tilt_deg"] = N(math.Round(o.tilt*1e4) / 1e4)
	}
	text, err := json.Marshal(all)
	return append(text, '\n'), err
}
