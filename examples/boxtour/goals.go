package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/port"
	"example.com/halfspace/units"
)

// A goal is a question to the search, with its answer.
type goal struct {
	Words string
	align.Goal
	Best       align.Best
	Impossible *align.Impossible
}

// space is what the project's cabinet leaves to a vent; its width is what makes the
// wanted volume.
func (t *tour) space() port.Space {
	c := t.project.Cabinet
	lo, hi := c.Profile.Bounds()
	s := port.Space{Depth: hi.X - lo.X - 2*c.Wall, Height: hi.Y - lo.Y - 2*c.Wall, Panel: t.project.Vent.InWall}
	s.Width = units.Length(float64(t.project.Box.Volume) / float64(s.Depth) / float64(s.Height))
	return s
}

// crest is that of noise in the goals.
const crest = 2

// ask puts three goals to the search.
func (t *tour) ask() error {
	most := t.project.Rules.Volume
	if most == 0 {
		most = t.project.Box.Volume
	}
	vent := t.project.Vent.Vent
	vent.Diameter, vent.Width, vent.Height, vent.Length = 0, 0, 0, 0
	// An amplifier's peaks are √2 of its sine, those of noise the crest factor.
	sine := t.project.Volts(t.project.Play.Amplifier)
	volts := sine * math.Sqrt2 / crest
	low := t.driver.Fs()
	base := align.Goal{
		Box:    box.Vented{QL: t.ql()},
		Volume: align.Volumes{Most: most},
		Peak:   0.5, Dip: 1.5,
		Limits: t.limits,
		Signal: box.Pink(20, 20000, crest).HighPass(low, 4),
		Volts:  volts,
		Vent:   align.VentRoom{Vent: vent, Space: t.space()},
	}
	if t.limits.AirSpeed == 0 {
		base.Vent = align.VentRoom{} // nothing says how wide a vent should be
		base.Box = box.Vented{QL: t.ql(), Area: t.project.Vent.Area()}
	}
	words := fmt.Sprintf("pink noise of %.1f V behind a fourth-order high-pass at %s within travel and air speed, the vent inside the cabinet with a diameter free behind it, peak at most 0.5 dB", float64(volts), digits(low, 3))
	lowest, least, loudest := base, base, base
	lowest.Objective = align.LowestCutoff
	least.Objective, least.Volume, least.Cutoff = align.SmallestBox, align.Volumes{}, 45
	loudest.Objective, loudest.Volts = align.MostOutput, 0
	loudest.Signal = box.Pink(40, 200, crest)
	loudest.Cutoff = 50
	for _, g := range []goal{
		{Words: fmt.Sprintf("The lowest cut-off in at most %v: %s.", most, words), Goal: lowest},
		{Words: fmt.Sprintf("The smallest box with −3 dB at 45 Hz or below: %s.", words), Goal: least},
		{Words: fmt.Sprintf("The most output in at most %v of pink noise from 40 to 200 Hz, crest factor 2, within travel and air speed, −3 dB at 50 Hz or below, the vent inside, peak at most 0.5 dB.", most), Goal: loudest},
	} {
		var err error
		g.Best, err = g.Solve(t.driver, t.air)
		if !errors.As(err, &g.Impossible) && err != nil {
			return err
		}
		t.goals = append(t.goals, g)
	}
	return t.roomFor(t.goals[0].Best.Design)
}

// roomFor lists the ways to build the vent of a box.
func (t *tour) roomFor(d align.Design) error {
	if t.project.Vent.Area() == 0 || d.Tuning == 0 {
		return nil
	}
	flow := 0.0 // peak, at the goal's noise
	g := t.goals[0].Goal
	s := box.System{Driver: t.driver, Enclosure: d.Box, Air: t.air}
	v, err := s.Loudest(g.Signal, box.Limits{AirSpeed: 1})
	if err != nil {
		return err
	}
	flow = float64(g.Volts/v.Volts) * float64(s.Enclosure.Openings().Vent)
	t.vents, err = t.project.Vent.Alternatives(d.Volume, d.Tuning, flow, t.space(), t.air)
	if err != nil {
		t.skip("vents for the lowest cut-off", err)
	}
	return nil
}

func (t *tour) asked() document.Section {
	s := document.Section{
		Question: "What is the best box for a goal?",
		Head:     []string{"goal", "air", "tuned to", "vent", "−3 dB", "peak", "may have", "level", "what binds"},
	}
	for i, g := range t.goals {
		b := g.Best
		binds := make([]string, len(b.Binding))
		for k, x := range b.Binding {
			binds[k] = x.String()
		}
		if g.Impossible != nil {
			binds = []string{g.Impossible.Error()}
		}
		s.Rows = append(s.Rows, []string{
			fmt.Sprint(i + 1), digits(b.Volume, 3), hz(b.Tuning), fmt.Sprintf("%s, %s long", digits(b.Vent.Diameter, 2), digits(b.Vent.Length, 3)),
			hz(b.Cutoff), fmt.Sprintf("%.1f dB", b.Peak), fmt.Sprintf("%.1f V", float64(b.Volts)), fmt.Sprintf("%.1f dB", float64(b.Level)), strings.Join(binds, ", "),
		})
		s.Lines = append(s.Lines, fmt.Sprintf("%d: %s", i+1, g.Words))
	}
	s.Lines = append(s.Lines, "What binds is the limit to loosen for a better box. Levels at 1 m in half space.")
	return s
}

func (t *tour) fits() document.Section {
	s := document.Section{Question: "And if the vent does not fit?"}
	if len(t.vents) == 0 {
		s.Lines = []string{"There is no vent to fit."}
		return s
	}
	space := t.space()
	s.Head = []string{"vent", "size", "length", "room to spare", "air speed, peak", "takes", "tuning as a line", "first pipe resonance", "price"}
	for _, a := range t.vents {
		size := digits(a.Vent.Diameter, 3)
		if a.Vent.Diameter == 0 {
			size = fmt.Sprintf("%s × %s", digits(a.Vent.Width, 3), digits(a.Vent.Height, 3))
		}
		if a.Vent.Count > 1 {
			size = fmt.Sprintf("%d of %s", a.Vent.Count, size)
		}
		length := digits(a.Vent.Length, 3)
		if a.Legs[0] > 0 {
			length = fmt.Sprintf("%s and %s", digits(a.Legs[0], 3), digits(a.Legs[1], 3))
		}
		s.Rows = append(s.Rows, []string{a.Name, size, length, digits(a.Spare, 2), fmt.Sprintf("%.1f m/s", float64(a.Velocity)),
			digits(a.Displacement, 2), hz(a.Tuning), hz(a.Resonance), a.Price})
	}
	s.Lines = []string{fmt.Sprintf("Ways to build the vent of goal 1, starting from the project's; the space is %v deep, %s wide and %v high inside, the wall %v thick. Those that fit come first.",
		space.Depth, digits(space.Width, 3), space.Height, space.Panel)}
	return s
}

// tradeoff shows what a litre buys.
func (t *tour) tradeoff() []document.Chart {
	curve := t.goals[0].Best.Curve
	if len(curve) < 2 {
		return nil
	}
	var f plot.Figure
	cut := plot.Line{Name: "lowest −3 dB frequency"}
	lo, hi := math.Inf(1), 0.0
	for _, d := range curve {
		f.X = append(f.X, d.Volume.In(units.Litre))
		cut.Y = append(cut.Y, float64(d.Cutoff))
		lo, hi = math.Min(lo, float64(d.Cutoff)), math.Max(hi, float64(d.Cutoff))
	}
	f.Across, f.Unit, f.Lines = "volume, L", "−3 dB frequency, Hz", []plot.Line{cut}
	f.Step = 5
	f.Lo, f.Hi = f.Step*math.Floor(lo/f.Step), f.Step*math.Ceil(hi/f.Step+0.01)
	return []document.Chart{{Name: "tradeoff", Title: "What a litre buys", Decimals: 4,
		Question: "How low can it go in how much air, under the limits of goal 1?", Figure: f}}
}

// An asked is a goal in JSON.
type asked struct {
	Goal    string       `json:"goal"`
	Reached bool         `json:"reached"`
	Volume  document.Num `json:"air_L"`
	Tuning  document.Num `json:"tuning_Hz"`
	F3      document.Num `json:"f3_Hz"`
	Volts   document.Num `json:"volts_RMS"`
	Level   document.Num `json:"level_dB"`
	Binding []string     `json:"binding"`
}

func (t *tour) answers() []asked {
	var out []asked
	for _, g := range t.goals {
		b := g.Best
		a := asked{Goal: g.Words, Reached: g.Impossible == nil, Volume: document.Num(b.Volume.In(units.Litre)), Tuning: document.Num(b.Tuning),
			F3: document.Num(b.Cutoff), Volts: document.Num(b.Volts), Level: document.Num(b.Level), Binding: []string{}}
		for _, x := range b.Binding {
			a.Binding = append(a.Binding, x.String())
		}
		out = append(out, a)
	}
	return out
}
