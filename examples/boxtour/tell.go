package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box"
	"example.com/halfspace/box/baffle"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "boxtour", Tables: []string{
	"response.csv", "bands.csv", "places.csv", "travel.csv", "delay.csv", "load.csv", "tradeoff.csv",
}}

func (t *tour) tell() (document.Document, error) {
	facts, err := t.facts()
	least := t.least()
	return document.Document{
		Kind: kind, Name: t.project.Woofer.Name + " in every box",
		Verdict: fmt.Sprintf("Lowest of the flat ones: %s, −3 dB at %s in half space.", least.Name, hz(least.F3)),
		Sections: []document.Section{
			t.sizes(), t.loud(), t.asked(), t.fits(), t.careful(),
		},
		Charts: t.charts(), JSON: facts,
	}, err
}

func (t *tour) sizes() document.Section {
	s := document.Section{
		Question: "How large, and how low?",
		Head:     []string{"box", "air", "tuned to", "−3 dB", "−10 dB", "upper −3 dB", "peak", "largest delay", "how"},
	}
	for _, x := range t.stops {
		row := []string{x.Name, "", "", hz(x.F3), hz(x.F10), "", fmt.Sprintf("%.1f dB", x.Peak), fmt.Sprintf("%.0f ms", 1000*float64(x.Delay)), x.How}
		if x.Volume > 0 {
			row[1] = digits(x.Volume, 3)
		}
		if x.Tuning > 0 {
			row[2] = hz(x.Tuning)
		}
		if x.Top > 0 {
			row[5] = hz(x.Top)
		}
		s.Rows = append(s.Rows, row)
	}
	s.Lines = []string{
		"Half space, without network, coil cold. Levels are relative to the driver's own pass band; peaks count the coil's inductance.",
		"The delay is the largest from the −10 dB frequency up to 200 Hz.",
	}
	for _, x := range t.skipped {
		s.Lines = append(s.Lines, "Left out: "+x+".")
	}
	return s
}

func (t *tour) loud() document.Section {
	s := document.Section{
		Question: "How loud, for what signal, and what gives first?",
		Head: []string{"box", "tones from −3 dB up: volts", "watts", "level", "gives first",
			"programme noise: volts", "watts", "level", "gives first"},
	}
	for _, x := range t.stops {
		row := []string{x.Name}
		for _, v := range []box.Verdict{x.Sine, x.Noise} {
			at := ""
			if v.At > 0 {
				at = " at " + hz(v.At)
			}
			row = append(row, fmt.Sprintf("%.1f V", float64(v.Volts)), fmt.Sprintf("%.0f W into %v", float64(v.Watts(x.Zn)), x.Zn),
				fmt.Sprintf("%.1f dB", float64(v.Level)), v.First.String()+at)
		}
		s.Rows = append(s.Rows, row)
	}
	s.Lines = []string{
		"RMS volts at the woofer's terminals; levels at 1 m in half space. Tones: the worst one from the −3 dB frequency to 200 Hz decides.",
		"Noise: simulated programme (IEC 60268-1, from memory), crest factor 2, behind a fourth-order high-pass at the −3 dB frequency. An amplifier needs twice the voltage of its RMS for the peaks.",
		fmt.Sprintf("Limits: travel %v peak, air %v peak, %v in the coil.", t.limits.Travel, t.limits.AirSpeed, t.limits.Heat),
	}
	return s
}

func (t *tour) careful() document.Section {
	return document.Section{Question: "What to be careful of?", Lines: []string{
		"Small-signal figures: near the limits cones, suspensions and vents are no longer linear, and coils are warm.",
		"Below its tuning a vented box, or one with a radiator, lets the cone flap: keep subsonic tones from it.",
		"Levels above 85 dB harm hearing with time. Start quietly.",
	}}
}

func hz(f units.Frequency) string {
	if f == 0 {
		return "not reached"
	}
	return digits(f, 3)
}

// digits writes a quantity rounded to so many significant digits.
func digits[Q interface {
	~float64
	String() string
}](q Q, n int) string {
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(float64(q)))))
	if math.IsInf(scale, 0) || math.IsNaN(scale) {
		return q.String()
	}
	return Q(math.Round(float64(q)*scale) / scale).String()
}

func (t *tour) charts() []document.Chart {
	each := func(pick func(stop) bool, y func(s stop, i int) float64) []plot.Line {
		var lines []plot.Line
		for _, s := range t.stops {
			if !pick(s) {
				continue
			}
			line := plot.Line{Name: s.Name}
			for i := range t.hz {
				line.Y = append(line.Y, y(s, i))
			}
			lines = append(lines, line)
		}
		return lines
	}
	gain := func(s stop, i int) float64 { return s.System.Gain(units.Frequency(t.hz[i])) }
	single := func(s stop) bool {
		return s.Top == 0 && s.System.Driver == t.driver && !strings.HasPrefix(s.Name, "no box")
	}
	banded := func(s stop) bool { return s.Top > 0 || s.System.Driver != t.driver }
	travel := each(single, func(s stop, i int) float64 {
		return 1000 * cmplx.Abs(s.Points[i].Travel) * 2.83
	})
	delay := each(single, func(s stop, i int) float64 { return 1000 * float64(s.System.GroupDelay(units.Frequency(t.hz[i]))) })
	load := each(single, func(s stop, i int) float64 { return cmplx.Abs(s.Points[i].Impedance) })
	charts := []document.Chart{
		{Name: "response", Title: "One driver in its boxes", Decimals: 4,
			Question: "How low does each go? Half space, relative to the driver's pass band.",
			Figure:   plot.Figure{X: t.hz, Unit: "level, dB", Lo: -30, Hi: 6, Step: 6, Lines: each(single, gain)}},
		{Name: "bands", Title: "Band-pass boxes, and two drivers as one", Decimals: 4,
			Question: "What do two chambers or a second driver do? Each relative to its own pass band.",
			Figure:   plot.Figure{X: t.hz, Unit: "level, dB", Lo: -30, Hi: 6, Step: 6, Lines: each(banded, gain)}},
		{Name: "travel", Title: "Travel of the cone for 2.83 V", Decimals: 5,
			Question: "Where does the cone move most? Peak, a tone of 2.83 V.",
			Figure:   fit(plot.Figure{X: t.hz, Unit: "travel, mm peak", Lines: travel})},
		{Name: "delay", Title: "Group delay", Decimals: 5,
			Question: "How late is the bass? Below the −10 dB point it matters little.",
			Figure:   fit(plot.Figure{X: t.hz, Unit: "delay, ms", Lines: delay})},
		{Name: "load", Title: "Impedance", Decimals: 5,
			Question: "What will a measurement show? One peak or two, and the dip at the tuning.",
			Figure:   fit(plot.Figure{X: t.hz, Unit: "impedance, Ω", Lines: load})},
	}
	charts = append(charts, t.places()...)
	return append(charts, t.tradeoff()...)
}

// places shows the flat box with the lowest cut-off in other surroundings.
func (t *tour) places() []document.Chart {
	s := t.least()
	lo, hi := t.project.Cabinet.Profile.Bounds()
	width := min(hi.Y-lo.Y, 2*t.project.Woofer.X) // the woofer stands in the middle of its panel
	step, err := baffle.Step(width, t.air.SpeedOfSound)
	if err != nil {
		return nil
	}
	lines := []plot.Line{{Name: "half space"}, {Name: "on its panel in free field"}}
	wall := make([]complex128, len(t.hz))
	behind := baffle.Walls{{Toward: r3.Vec{Z: -1}, Distance: t.project.Play.Wall}}
	if t.project.Play.Wall > 0 && behind.Effect(wall, t.hz, t.air.SpeedOfSound, r3.Vec{Z: float64(t.project.Play.Distance)}) == nil {
		lines = append(lines, plot.Line{Name: "on its panel, wall " + t.project.Play.Wall.String() + " behind"})
	}
	for i, f := range t.hz {
		half := s.System.Gain(units.Frequency(f))
		panel := half + response.DB(step.AtHz(f))
		for k, y := range []float64{half, panel, panel + response.DB(wall[i])} {
			if k < 2 || k < len(lines) && f <= 300 {
				lines[k].Y = append(lines[k].Y, y)
			} else if k < len(lines) {
				lines[k].Y = append(lines[k].Y, math.NaN())
			}
		}
	}
	return []document.Chart{{Name: "places", Title: "Where it stands: " + s.Name, Decimals: 4,
		Question: "What do panel and walls do to the bass? The panel is a simple shelf; the wall a mirror, up to 300 Hz, where a box still radiates all round.",
		Figure:   plot.Figure{X: t.hz, Unit: "level, dB", Lo: -30, Hi: 6, Step: 6, Lines: lines}}}
}

// fit fits the vertical axis of a figure of positive values.
func fit(f plot.Figure) plot.Figure {
	hi := 0.0
	for _, l := range f.Lines {
		for _, y := range l.Y {
			hi = math.Max(hi, y)
		}
	}
	step := math.Pow(10, math.Floor(math.Log10(hi)))
	for _, k := range []float64{0.2, 0.5, 1, 2} {
		if hi/(k*step) <= 6 {
			step *= k
			break
		}
	}
	f.Step, f.Hi = step, step*math.Ceil(hi/step*1.001)
	return f
}

func (t *tour) facts() ([]byte, error) {
	type num = document.Num
	type loudness struct {
		Signal string `json:"signal"`
		Volts  num    `json:"volts_RMS"`
		Watts  num    `json:"watts_into_rated_load"`
		Level  num    `json:"level_dB_1m_half_space"`
		First  string `json:"gives_first"`
	}
	type one struct {
		Name   string     `json:"name"`
		How    string     `json:"how"`
		Volume num        `json:"air_L"`
		Tuning num        `json:"tuning_Hz"`
		F3     num        `json:"f3_Hz"`
		F10    num        `json:"f10_Hz"`
		Top    num        `json:"upper_f3_Hz"`
		Peak   num        `json:"peak_dB"`
		Vent   num        `json:"vent_length_mm"`
		Loud   []loudness `json:"loudest"`
	}
	var all struct {
		Driver  string   `json:"driver"`
		Boxes   []one    `json:"boxes"`
		Skipped []string `json:"left_out"`
		Asked   []asked  `json:"goals"`
	}
	all.Driver, all.Skipped = t.project.Woofer.Name, append([]string{}, t.skipped...)
	for _, s := range t.stops {
		o := one{
			Name: s.Name, How: s.How, Volume: num(s.Volume.In(units.Litre)), Tuning: num(s.Tuning), F3: num(s.F3), F10: num(s.F10),
			Top: num(s.Top), Peak: num(s.Peak), Vent: num(s.Vent.Length.In(units.Millimetre)),
		}
		for _, v := range []box.Verdict{s.Sine, s.Noise} {
			o.Loud = append(o.Loud, loudness{v.Signal.Name, num(v.Volts), num(v.Watts(s.Zn)), num(v.Level), v.First.String()})
		}
		all.Boxes = append(all.Boxes, o)
	}
	all.Asked = t.answers()
	text, err := json.MarshalIndent(all, "", "  ")
	return append(text, '\n'), err
}
