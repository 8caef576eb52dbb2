package main

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/examples/internal/schematic"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "frontier", Tables: []string{"flatness.csv", "price.csv", "responses.csv", "spread.csv"}}

func tell(d *design.Design, f *design.Frontier) (document.Document, error) {
	facts, err := facts(d, f)
	if err != nil {
		return document.Document{}, err
	}
	ranks, err := ranking(d, f)
	if err != nil {
		return document.Document{}, err
	}
	verdict := "No circuit keeps the limits."
	if len(f.Winners) > 0 {
		w := f.Winners[f.Pick]
		verdict = fmt.Sprintf("Build the one with %d parts: %.2f dB, %.2f %s a speaker.", w.Parts, w.Score.Flatness, w.Price, d.Project.Currency)
	}
	switch {
	case f.Stopped && len(f.Winners) == 0:
		verdict = "Stopped early; no circuit of those searched keeps the limits."
	case f.Stopped:
		verdict = "Stopped early; of what was searched: " + verdict
	}
	sections := []document.Section{table(d, f), worth(f)}
	sections = append(sections, wirings(d, f)...)
	sections = append(sections, ranks, searched(d, f))
	return document.Document{
		Kind: kind, Name: d.Project.Name + ": crossovers by number of parts", Verdict: verdict,
		Sections: sections, Charts: charts(d, f), JSON: facts,
	}, nil
}

func table(d *design.Design, f *design.Frontier) document.Section {
	s := document.Section{Question: "What can a number of parts do?", Head: []string{
		"parts", "flatness", "on axis", "window", "tilt per decade", "tweeter from", "least impedance", "tweeter's travel", "sensitivity", "price", "tweeter", ""}}
	for i, w := range f.Winners {
		polarity, pick := "same polarity", ""
		if w.Inverted {
			polarity = "inverted"
		}
		if i == f.Pick {
			pick = "build this"
		}
		from := "below 20 Hz"
		if len(w.Score.Crossing) > 0 && w.Score.Crossing[0] > 0 {
			from = digits(w.Score.Crossing[0], 3)
		}
		s.Rows = append(s.Rows, []string{
			fmt.Sprint(w.Parts), fmt.Sprintf("%.2f dB", w.Score.Flatness), fmt.Sprintf("%.2f dB", w.Score.Ripple), fmt.Sprintf("%.2f dB", w.Score.Window),
			fmt.Sprintf("%.1f dB", w.Score.Tilt), from, digits(w.Score.Load, 3), digits(w.Score.Travel[1], 2),
			fmt.Sprintf("%.1f dB", w.Score.Sensitivity()+20*math.Log10(float64(d.Project.Play.Distance))), fmt.Sprintf("%.2f %s", w.Price, d.Project.Currency), polarity, pick,
		})
	}
	lo, hi := f.Problem.Band()
	s.Lines = []string{
		fmt.Sprintf("RMS deviation in dB from a line that falls by 0 to 1 dB per decade, %v to %v: on axis; of the mean power of the listening window (10° up and down, 15° and 30° to the sides, weighted); and both together, which the search makes small.", lo, hi),
		"Travel with programme noise whose peaks are those of the amplifier. Sensitivity at 1 m for 2.83 V on the panel in free field. Prices for one speaker's parts.",
	}
	limits := []string{fmt.Sprintf("the tweeter takes over at %v or above", digits(f.Limits.Crossing, 3))}
	if f.Limits.Highest > 0 {
		limits = append(limits, fmt.Sprintf("and at %v at last", digits(f.Limits.Highest, 3)))
	}
	if f.Limits.Load > 0 {
		limits = append(limits, fmt.Sprintf("impedance at least %v", f.Limits.Load))
	}
	if f.Limits.Resistance > 0 {
		limits = append(limits, fmt.Sprintf("at most %v before the woofer", digits(f.Limits.Resistance, 2)))
	}
	if x := f.Limits.Travel[1]; x > 0 && !math.IsInf(float64(x), 1) {
		limits = append(limits, fmt.Sprintf("tweeter's travel at most %v", x))
	}
	if f.Limits.Budget > 0 {
		limits = append(limits, fmt.Sprintf("%.2f %s a speaker", f.Limits.Budget, d.Project.Currency))
	}
	s.Lines = append(s.Lines, "Limits: "+strings.Join(limits, "; ")+".")
	if len(f.Winners) == 0 && f.Nearest != nil {
		s.Lines = append(s.Lines, "The nearest one breaks: "+strings.Join(f.Nearest.Broken, "; ")+".")
	}
	return s
}

func worth(f *design.Frontier) document.Section {
	s := document.Section{Question: "What is one part more worth?", Head: []string{"parts", "gain", "spread of the gain", "flatter in", "verdict", "ripple at most 0.2 dB more"}}
	for i, w := range f.Winners {
		row := []string{fmt.Sprint(w.Parts), "", "", "", "", fmt.Sprintf("%.0f %%", 100*w.Yield.Share)}
		if i > 0 {
			verdict := "a real difference"
			if w.Same {
				verdict = "cannot be told apart"
			}
			row[1], row[2] = fmt.Sprintf("%.2f dB", w.Gain.Gain), fmt.Sprintf("%.2f dB", w.Gain.Noise)
			row[3], row[4] = fmt.Sprintf("%.0f %%", 100*w.Gain.Probability), verdict
		}
		s.Rows = append(s.Rows, row)
	}
	if len(f.Winners) > 1 {
		s.Lines = []string{fmt.Sprintf("Each was built %d times by chance, parts within their tolerance, drivers ±0.5 dB (common practice, no source), the same drivers for all. Two are told apart if one is flatter in nine of ten.", f.Winners[1].Gain.Pairs)}
	}
	return s
}

func wirings(d *design.Design, f *design.Frontier) []document.Section {
	var out []document.Section
	for i, w := range f.Winners {
		s := document.Section{Question: fmt.Sprintf("The circuit with %d parts", w.Parts)}
		if i == f.Pick {
			s.Question += ", to build"
		}
		s.Drawing = template.HTML(schematic.SVG(
			schematic.Branch{Name: "woofer", Driver: d.Project.Woofer.Name, Network: w.Networks[0]},
			schematic.Branch{Name: "tweeter", Driver: d.Project.Tweeter.Name, Network: w.Networks[1], Inverted: w.Inverted}))
		letters := w.Letters()
		for k, items := range w.Items {
			for _, item := range items {
				s.Lines = append(s.Lines, fmt.Sprintf("%s: %s, %v, %.2f %s (%s)", letters[0], item.ID, item.Part, item.Price, d.Project.Currency, []string{"woofer", "tweeter"}[k]))
				letters = letters[1:]
			}
		}
		out = append(out, s)
	}
	return out
}

func ranking(d *design.Design, f *design.Frontier) (document.Section, error) {
	s := document.Section{Question: "Which part matters most?", Head: []string{"part", "effect"}}
	if len(f.Winners) == 0 {
		s.Head = nil
		return s, nil
	}
	causes, err := f.Rank(f.Winners[f.Pick])
	if err != nil {
		return s, err
	}
	for _, c := range causes {
		name := c.Letter
		if c.Part < 0 {
			name = []string{d.Project.Woofer.Name, d.Project.Tweeter.Name}[c.Way] + " (level)"
		}
		s.Rows = append(s.Rows, []string{name, fmt.Sprintf("%.2f dB", c.Effect)})
	}
	s.Lines = []string{"Of the circuit to build: the standard deviation of the level on axis that each causes alone, RMS over the band. Measure and match those at the top."}
	return s, nil
}

func searched(d *design.Design, f *design.Frontier) document.Section {
	c := f.Certificate
	s := document.Section{Question: "What was searched?", Head: []string{"parts", "circuits, both polarities", "sketched only", "optimised"}}
	for n := 1; n < len(c.Enumerated); n++ {
		s.Rows = append(s.Rows, []string{fmt.Sprint(n), fmt.Sprint(c.Enumerated[n]), fmt.Sprint(c.Pruned[n]), fmt.Sprint(c.Optimised[n])})
	}
	s.Lines = []string{fmt.Sprintf("%d fits begun, about %.0f thousand evaluations of all networks over the band. A careful search, not a proof: what was sketched only could not compete.", c.Starts, round(float64(c.Evaluations)/1000))}
	if !c.Complete {
		s.Lines = append(s.Lines, "The search was stopped before its end.")
	}
	s.Lines = append(s.Lines, d.Notes...)
	s.Lines = append(s.Lines,
		"Crossover resistors and coils get hot: give them air. Measure the impedance before connecting an amplifier. Start quietly.")
	return s
}

// round keeps one digit: how many evaluations a fit takes hangs on the last bits.
func round(x float64) float64 {
	scale := math.Pow(10, math.Floor(math.Log10(max(x, 1))))
	return math.Round(x/scale) * scale
}

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

func charts(d *design.Design, f *design.Frontier) []document.Chart {
	if len(f.Winners) < 2 {
		return nil
	}
	hz := f.Problem.Field.Hz
	gain := 20 * math.Log10(2.83*float64(d.Project.Play.Distance)/20e-6)
	var parts, prices plot.Figure
	flat, window := plot.Line{Name: "both together"}, plot.Line{Name: "listening window"}
	cost := plot.Line{Name: "price"}
	most, dear := 0.0, 0.0
	var lines []plot.Line
	top := math.Inf(-1)
	for i := len(f.Winners) - 1; i >= 0; i-- {
		w := f.Winners[i]
		line := plot.Line{Name: fmt.Sprintf("%d parts", w.Parts)}
		for k := range hz {
			y := response.DB(w.Result.Sum[f.Problem.Point][k]) + gain
			if w.Inverted != f.Problem.Inverted {
				y = inverted(f, w, k) + gain
			}
			line.Y = append(line.Y, y)
			top = math.Max(top, y)
		}
		lines = append(lines, line)
	}
	for _, w := range f.Winners {
		parts.X = append(parts.X, float64(w.Parts))
		flat.Y, window.Y = append(flat.Y, w.Score.Flatness), append(window.Y, w.Score.Window)
		cost.Y = append(cost.Y, w.Price)
		most, dear = math.Max(most, w.Score.Flatness), math.Max(dear, w.Price)
	}
	parts.Across, parts.Unit, parts.Lines = "parts", "deviation, dB", []plot.Line{flat, window}
	parts.Step = 0.5
	parts.Hi = parts.Step * math.Ceil(most/parts.Step+0.01)
	prices = plot.Figure{X: parts.X, Across: "parts", Unit: "price, " + d.Project.Currency, Lines: []plot.Line{cost}, Step: 5}
	prices.Hi = prices.Step * math.Ceil(dear/prices.Step+0.01)
	if f.Limits.Budget > 0 {
		prices.Marks = []plot.Mark{{Name: "ceiling", Y: f.Limits.Budget}}
		prices.Hi = math.Max(prices.Hi, prices.Step*math.Ceil(f.Limits.Budget/prices.Step+0.01))
	}
	top = 5 * math.Ceil(top/5+0.2)
	out := []document.Chart{
		{Name: "flatness", Title: "Flatness against the number of parts", Question: "Where does another part stop to help?", Decimals: 4, Figure: parts},
		{Name: "price", Title: "Price against the number of parts", Question: "What does it cost, one speaker's parts?", Decimals: 2, Figure: prices},
		{Name: "responses", Title: "The winners on axis", Question: "How do they look? Level at 1 m for 2.83 V, on the panel in free field.", Decimals: 4,
			Figure: plot.Figure{X: hz, Unit: "level, dB", Lo: top - 40, Hi: top, Step: 10, Lines: lines}},
	}
	w := f.Winners[f.Pick]
	bands, err := w.Draws.Bands(0.05, 0.5, 0.95)
	if err != nil {
		return out
	}
	names := []string{"95 of 100 are below", "median", "5 of 100 are below"}
	var band []plot.Line
	for i, k := range []int{1, 2, 0} {
		line := plot.Line{Name: []string{names[1], names[0], names[2]}[i]}
		for _, y := range bands[k] {
			line.Y = append(line.Y, y+gain)
		}
		band = append(band, line)
	}
	return append(out, document.Chart{Name: "spread", Title: fmt.Sprintf("Spread of the one with %d parts", w.Parts), Decimals: 4,
		Question: "How far may yours be from the drawing?",
		Figure:   plot.Figure{X: hz, Unit: "level, dB", Lo: top - 40, Hi: top, Step: 10, Lines: band}})
}

// inverted is the level on axis with the tweeter the other way round than the field
// has it.
func inverted(f *design.Frontier, w design.Winner, k int) float64 {
	sum := complex128(0)
	for way := range w.Networks {
		p := w.Result.Transfer[way][k] * f.Problem.Field.Pressure(way, f.Problem.Point)[k]
		if way == len(w.Networks)-1 {
			p = -p
		}
		sum += p
	}
	return response.DB(sum)
}

func facts(d *design.Design, f *design.Frontier) ([]byte, error) {
	type num = document.Num
	type part struct {
		Letter string `json:"letter"`
		ID     string `json:"id"`
		Value  string `json:"value"`
		Price  num    `json:"price"`
	}
	type winner struct {
		Parts    int    `json:"parts"`
		Inverted bool   `json:"tweeter_inverted"`
		Flatness num    `json:"flatness_dB"`
		Ripple   num    `json:"on_axis_dB"`
		Window   num    `json:"window_dB"`
		Crossing num    `json:"crossing_Hz"`
		Load     num    `json:"least_load_ohm"`
		Travel   num    `json:"tweeter_travel_mm"`
		Price    num    `json:"price"`
		Gain     num    `json:"gain_dB"`
		Noise    num    `json:"gain_spread_dB"`
		Same     bool   `json:"cannot_be_told_from_fewer"`
		Items    []part `json:"items"`
	}
	var all struct {
		Name       string   `json:"name"`
		Pick       int      `json:"parts_to_build"`
		Stopped    bool     `json:"stopped_early"`
		Winners    []winner `json:"winners"`
		Enumerated []int    `json:"circuits"`
		Pruned     []int    `json:"sketched_only"`
		Optimised  []int    `json:"optimised"`
	}
	all.Name, all.Stopped = d.Project.Name, f.Stopped
	c := f.Certificate
	all.Enumerated, all.Pruned, all.Optimised, all.Winners = c.Enumerated, c.Pruned, c.Optimised, []winner{}
	for i, w := range f.Winners {
		if i == f.Pick {
			all.Pick = w.Parts
		}
		crossing := units.Frequency(0)
		if len(w.Score.Crossing) > 0 {
			crossing = w.Score.Crossing[0]
		}
		x := winner{
			Parts: w.Parts, Inverted: w.Inverted, Flatness: num(w.Score.Flatness), Ripple: num(w.Score.Ripple), Window: num(w.Score.Window),
			Crossing: num(crossing), Load: num(w.Score.Load), Travel: num(w.Score.Travel[1].In(units.Millimetre)), Price: num(w.Price),
			Gain: num(w.Gain.Gain), Noise: num(w.Gain.Noise), Same: w.Same,
		}
		letters := w.Letters()
		for _, items := range w.Items {
			for _, item := range items {
				x.Items = append(x.Items, part{letters[0], item.ID, item.Part.String(), num(item.Price)})
				letters = letters[1:]
			}
		}
		all.Winners = append(all.Winners, x)
	}
	text, err := json.MarshalIndent(all, "", "  ")
	return append(text, '\n'), err
}
