package main

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "curves", Tables: []string{
	"woofer_parts.csv", "woofer_stages.csv", "woofer_phase.csv", "woofer_beside.csv",
	"tweeter_parts.csv", "tweeter_stages.csv", "tweeter_phase.csv", "tweeter_beside.csv",
	"sweeps.csv",
}}

// A driver is one with what became of its curves.
type driver struct {
	key, name string
	design.Curves
}

func drivers(d *design.Design) []driver {
	return []driver{
		{"woofer", d.Project.Woofer.Name, d.Woofer.Curves},
		{"tweeter", d.Project.Tweeter.Name, d.Tweeter.Curves},
	}
}

func tell(d *design.Design) (document.Document, error) {
	facts, err := facts(d)
	return document.Document{
		Kind: kind, Name: d.Project.Name,
		Verdict: "Each effect counted once: half space, box, panel, delay.",
		Sections: []document.Section{
			contents(d), changes(d), seams(d), phases(d), centres(d), beside(d), careful(d),
		},
		Charts: charts(d), JSON: facts,
	}, err
}

func contents(d *design.Design) document.Section {
	s := document.Section{
		Question: "What does each curve contain?",
		Head:     []string{"driver", "curve", "taken", "from", "to", "points", "phase"},
	}
	for _, x := range drivers(d) {
		for i, r := range x.Read {
			phase := "measured"
			if i == 0 && x.Spread != nil {
				phase = "made from the level"
			}
			c := r.Curve
			s.Rows = append(s.Rows, []string{x.name, r.Name, c.Taken.String(), hz(c.Hz[0]), hz(c.Hz[len(c.Hz)-1]), fmt.Sprint(len(c.Hz)), phase})
		}
	}
	return s
}

// points are where the tables of the text are taken.
var points = []float64{50, 100, 200, 500, 1000, 2000, 5000, 10000}

func changes(d *design.Design) document.Section {
	s := document.Section{
		Question: "What does each stage change?",
		Head:     []string{"level in dB at 1 m for 2.83 V", "stage"},
		Lines:    []string{"On axis, flight time left out. The last stage is what the design uses."},
	}
	for _, f := range points {
		s.Head = append(s.Head, hz(f))
	}
	for _, x := range drivers(d) {
		for _, stage := range x.Stages {
			row := []string{x.name, stage.Taken.String()}
			for _, f := range points {
				row = append(row, fmt.Sprintf("%.1f", level(stage.P[nearest(d.Hz, f)])))
			}
			s.Rows = append(s.Rows, row)
		}
	}
	return s
}

func seams(d *design.Design) document.Section {
	s := document.Section{Question: "Do near and far field agree where they meet?"}
	for _, x := range drivers(d) {
		m := x.Seam
		if m == nil {
			s.Lines = append(s.Lines, fmt.Sprintf("%s: one curve, nothing to join.", x.name))
			continue
		}
		turned := ""
		if m.Inverted {
			turned = " and turned over"
		}
		s.Lines = append(s.Lines,
			fmt.Sprintf("%s: they meet at %s, where near and far differ by %.2f dB and %.1f°; over the band by %.2f dB and %.1f° RMS.", x.name, hz(float64(m.Frequency)), m.Level, m.Phase, m.LevelRMS, m.PhaseRMS),
			fmt.Sprintf("    The near part was moved by %.2f dB and %.1f µs%s. The panel's effect went into it first.", m.Shift, 1e6*float64(m.Delay), turned),
			fmt.Sprintf("    Near fields of these sizes hold to %s or so.", hz(float64(x.Near))))
	}
	return s
}

func phases(d *design.Design) document.Section {
	s := document.Section{Question: "How far is a phase made from the level to be trusted?", Head: []string{"driver"}}
	for _, f := range points {
		s.Head = append(s.Head, hz(f))
	}
	for _, x := range drivers(d) {
		if x.Spread == nil {
			s.Lines = append(s.Lines, x.name+": the phase was measured.")
			continue
		}
		row := []string{x.name}
		for _, f := range points {
			row = append(row, fmt.Sprintf("±%.1f°", x.Spread[nearest(x.Read[0].Curve.Hz, f)]))
		}
		s.Rows = append(s.Rows, row)
		p := response.Plausible()
		s.Lines = append(s.Lines, fmt.Sprintf("%s: if the slopes beyond the table are within %g dB per octave of those stated. It holds for drivers that are minimum phase, as cones and domes nearly are, but for the distance to their acoustic centre.", x.name, p.Low))
	}
	if s.Rows == nil {
		s.Head = nil
	}
	return s
}

func centres(d *design.Design) document.Section {
	c := d.Centres
	s := document.Section{Question: "How far are the acoustic centres apart?"}
	apart := 1000 * (c.Tweeter.Z - c.Woofer.Z)
	if c.Offset == nil {
		s.Lines = []string{fmt.Sprintf("By ruler the tweeter is %.0f mm ± %.1f mm ahead along the axis. Three sweeps from one place would tell better.", apart, 1000*float64(c.Within))}
		return s
	}
	o := c.Offset
	s.Lines = []string{
		fmt.Sprintf("By three sweeps: at the microphone the tweeter sounds %.1f µs %s the woofer, standard uncertainty %.1f µs; it is %.1f mm ± %.1f mm ahead along the axis.",
			1e6*math.Abs(float64(o.Delay)), map[bool]string{true: "before", false: "after"}[o.Delay < 0], 1e6*float64(o.SD), apart, 1000*float64(c.Within)),
		fmt.Sprintf("The sum fits the sweep of both within %.2f dB RMS, after a common gain of %.2f dB.", o.Residual, o.Gain),
	}
	if o.Inverted {
		s.Lines = append(s.Lines, "The tweeter was connected the other way round in the sweep of both.")
	}
	for _, r := range o.Rivals {
		s.Lines = append(s.Lines, fmt.Sprintf("The levels do not rule out %.1f µs either (%.2f dB RMS): take a wider band, or a ruler.", 1e6*float64(r.Delay), r.Residual))
	}
	return s
}

func beside(d *design.Design) document.Section {
	s := document.Section{Question: "What is known beside the axis?"}
	for _, x := range drivers(d) {
		var angles []string
		for _, dir := range x.Directions {
			angles = append(angles, direction(dir.Toward.X, dir.Toward.Y))
		}
		s.Lines = append(s.Lines, fmt.Sprintf("%s: measured %s. Beyond 7.5° from all of these it is a flat piston.", x.name, strings.Join(angles, ", ")))
	}
	return s
}

// direction names a direction by its sines.
func direction(x, y float64) string {
	deg := func(s float64) string { return fmt.Sprintf("%.0f°", math.Abs(math.Asin(s))*180/math.Pi) }
	switch {
	case x > 0 && y == 0:
		return deg(x) + " right"
	case x < 0 && y == 0:
		return deg(x) + " left"
	case y > 0 && x == 0:
		return deg(y) + " up"
	case y < 0 && x == 0:
		return deg(y) + " down"
	case x == 0:
		return "on axis"
	}
	return fmt.Sprintf("%s sideways and %s up or down", deg(x), deg(y))
}

func careful(d *design.Design) document.Section {
	s := document.Section{Question: "What looks odd, and what to be careful of?"}
	for _, x := range d.Doubts {
		s.Lines = append(s.Lines, "Looks odd: "+x)
	}
	s.Lines = append(s.Lines, d.Notes...)
	s.Lines = append(s.Lines,
		"Sweeps at measuring levels harm hearing close by: protect your ears, start quietly, and keep sweeps low in level near a tweeter's resonance.",
		"Half-space curves make a finished speaker look up to 6 dB too strong in the bass; only the last stage is the speaker on its panel.")
	return s
}

func hz(f float64) string {
	return units.Frequency(round(f, 3)).String()
}

func round(x float64, digits int) float64 {
	scale := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-float64(digits-1))
	if scale == 0 || math.IsInf(scale, 0) || math.IsNaN(scale) {
		return x
	}
	return math.Round(x/scale) * scale
}

func level(p complex128) float64 { return response.DB(p * 2.83 / 20e-6) }

// nearest returns the point of an ascending grid nearest to f.
func nearest(grid []float64, f float64) int {
	i, _ := slices.BinarySearch(grid, f)
	if i == len(grid) || i > 0 && f/grid[i-1] < grid[i]/f {
		i--
	}
	return i
}

// facts are the figures in JSON; the curves are in the tables.
func facts(d *design.Design) ([]byte, error) {
	type num = document.Num
	type seam struct {
		At       num  `json:"frequency_Hz"`
		Shift    num  `json:"near_moved_dB"`
		Delay    num  `json:"near_delayed_us"`
		Inverted bool `json:"near_turned_over"`
		Level    num  `json:"difference_RMS_dB"`
		Phase    num  `json:"difference_RMS_deg"`
	}
	type one struct {
		Name       string   `json:"name"`
		Stages     []string `json:"stages"`
		FromLevel  bool     `json:"phase_from_level"`
		Seam       *seam    `json:"seam"`
		Directions []string `json:"directions_measured"`
	}
	var all struct {
		Name    string   `json:"name"`
		Drivers []one    `json:"drivers"`
		Apart   num      `json:"tweeter_ahead_mm"`
		Within  num      `json:"tweeter_ahead_uncertainty_mm"`
		Sweeps  bool     `json:"by_sweeps"`
		Notes   []string `json:"notes"`
		Doubts  []string `json:"doubts"`
	}
	all.Name, all.Notes, all.Doubts = d.Project.Name, append([]string{}, d.Notes...), append([]string{}, d.Doubts...)
	all.Apart, all.Within = num(1000*(d.Centres.Tweeter.Z-d.Centres.Woofer.Z)), num(1000*d.Centres.Within)
	all.Sweeps = d.Centres.Offset != nil
	for _, x := range drivers(d) {
		o := one{Name: x.name, FromLevel: x.Spread != nil}
		for _, s := range x.Stages {
			o.Stages = append(o.Stages, s.Taken.String())
		}
		if m := x.Seam; m != nil {
			o.Seam = &seam{num(m.Frequency), num(m.Shift), num(1e6 * m.Delay), m.Inverted, num(m.LevelRMS), num(m.PhaseRMS)}
		}
		for _, dir := range x.Directions {
			o.Directions = append(o.Directions, direction(dir.Toward.X, dir.Toward.Y))
		}
		all.Drivers = append(all.Drivers, o)
	}
	text, err := json.MarshalIndent(all, "", "  ")
	return append(text, '\n'), err
}
