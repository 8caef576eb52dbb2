// Package report tells a design in the order of a builder's questions.
package report

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/drawing"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover/spread"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

type section = document.Section

// Kind is what a report consists of.
var Kind = document.Kind{Name: "report", Tables: []string{
	"response.csv", "tolerance.csv", "places.csv", "beside.csv", "loudest.csv", "travel.csv", "airspeed.csv", "load.csv", "loadphase.csv", "delay.csv",
	"bench.html", "card.html", "response.svg", "wiring.svg",
}}

// Document returns the report of a design.
func Document(d *design.Design) (document.Document, error) {
	facts, err := JSON(d)
	if err != nil {
		return document.Document{}, err
	}
	charts := Charts(d)
	bench, err := Bench(d)
	if err != nil {
		return document.Document{}, err
	}
	card, err := Card(d, charts[0])
	if err != nil {
		return document.Document{}, err
	}
	response, err := charts[0].SVG()
	return document.Document{
		Kind: Kind, Name: d.Project.Name, Verdict: verdict(d), Summary: summary(d),
		Sections: sections(d), Charts: charts, JSON: facts,
		More: map[string][]byte{"bench.html": bench, "card.html": card, "response.svg": response, "wiring.svg": []byte(wiringDiagram(d))},
	}, err
}

// sections tells a design in the order of a builder's questions.
func sections(d *design.Design) []section {
	return []section{rules(d), bass(d), loud(d), crossing(d), budget(d), shopping(d), wiring(d), cutting(d), checking(d), standing(d), careful(d)}
}

// verdict is the first line of every report.
func verdict(d *design.Design) string {
	var broken []string
	for _, r := range d.Rules {
		if !r.Holds {
			broken = append(broken, fmt.Sprintf("%s, %s with a limit of %s: by %s", r.Name, r.Value, r.Limit, strings.TrimPrefix(r.Margin, "-")))
		}
	}
	words := "Broken: " + strings.Join(broken, "; ") + "."
	switch {
	case len(d.Rules) == 0:
		words = "There are no rules to hold."
	case broken == nil:
		words = fmt.Sprintf("Every rule holds (%d of %d).", len(d.Rules), len(d.Rules))
	}
	// A design of wrong figures is none.
	if odd := len(d.Doubts) + len(d.Woofer.Culprits) + len(d.Tweeter.Culprits); odd > 0 {
		words += fmt.Sprintf(" But look first at what may be wrong with the figures and tables it rests on: %s, in the report under %q.", count(odd, "doubt"), checkQuestion)
	}
	return words
}

const checkQuestion = "What to check before buying and after building?"

func rules(d *design.Design) section {
	s := section{Question: "Does it meet the rules?", Head: []string{"rule", "", "margin", "this design", "limit"}}
	for _, r := range d.Rules {
		holds := "holds"
		if !r.Holds {
			holds = "BROKEN"
		}
		s.Rows = append(s.Rows, []string{r.Name, holds, r.Margin, r.Value, r.Limit})
	}
	return s
}

func bass(d *design.Design) section {
	b, sp := d.Bass, d.Speaker
	s := section{Question: "How low?", Head: []string{"", "−3 dB", "−6 dB", "−10 dB"}}
	s.Rows = [][]string{
		{"finished speaker on its panel, free field", hz(sp.F3), hz(sp.F6), hz(sp.F10)},
		{"woofer in the box alone, half space", hz(b.F3), hz(b.F6), hz(b.F10)},
	}
	p := d.Project
	s.Lines = append(s.Lines, fmt.Sprintf("The first row counts from the mean of %v to %v and has in it what the panel takes from the bass, so compare it with measurements outdoors; the second is the box alone, so compare it with other boxes.", p.Crossover.Lo, p.Crossover.Hi))
	box := fmt.Sprintf("%v of net air, closed.", d.Cabinet.Net)
	if p.Box.Tuning > 0 {
		box = fmt.Sprintf("%v of net air, tuned to %v by %s; %v stay free behind it.",
			d.Cabinet.Net, p.Box.Tuning, ventWords(d), digits(b.Behind, 2))
	}
	s.Lines = append(s.Lines, box)
	if p.Box.Tuning > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("With the vent as a transmission line rather than one mass of air the tuning is %s. Its first pipe resonance is at %s.", hz(b.Line), hz(b.Pipe)))
	}
	for _, n := range []struct {
		word string
		design.Neighbour
	}{{"fewer", d.Cabinet.Fewer}, {"more", d.Cabinet.More}} {
		if n.Layers > 0 {
			s.Lines = append(s.Lines, fmt.Sprintf("One layer %s (%d): %v, −3 dB at %s in half space.", n.word, n.Layers, n.Net, hz(n.F3)))
		}
	}
	return s
}

func ventWords(d *design.Design) string {
	v := d.Bass.Vent
	size := fmt.Sprintf("%v inside", v.Diameter)
	if v.Diameter == 0 {
		size = fmt.Sprintf("%v × %v inside", v.Width, v.Height)
	}
	count := "a vent"
	if v.Count > 1 {
		count = fmt.Sprintf("%d vents", v.Count)
	}
	return fmt.Sprintf("%s of %s, %v long", count, size, v.Length)
}

func loud(d *design.Design) section {
	sp := d.Speaker
	s := section{
		Question: "How loud, and what gives first?",
		Head:     []string{"tone", "volts", "watts into " + d.Project.Woofer.Sheet.Zn.String(), "level at 1 m", "what gives first"},
		Lines: []string{
			fmt.Sprintf("Sensitivity %.1f dB at 1 m for 2.83 V, mean of %v to %v, on its panel in free field.", float64(sp.Sensitivity), d.Project.Crossover.Lo, d.Project.Crossover.Hi),
			"Steady tones, coils cold.",
		},
	}
	if x := d.Tweeter.Model.Xmax; x > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("The tweeter's dome moves %.2g mm at most, peak, with %v at any frequency; its limit is %.2g mm.",
			sp.Dome.In(units.Millimetre), d.Project.Play.Travel, x.In(units.Millimetre)))
	}
	s.Lines = append(s.Lines, fmt.Sprintf("Noise is nearer to music. With a crest factor of 2, coils cold, the speaker bears at its input (the amplifier's peaks clip from %.1f V RMS on):", float64(sp.Played[0].Amp)))
	for _, x := range sp.Played {
		s.Lines = append(s.Lines, fmt.Sprintf("    %s: %.1f V RMS, %.0f W into %v, %.1f dB at 1 m; first gives: %s.",
			x.Signal, float64(x.Volts), float64(x.Watts), d.Project.Woofer.Sheet.Zn, float64(x.Level), x.First))
	}
	for _, l := range sp.Loudest {
		s.Rows = append(s.Rows, []string{digits(l.Frequency, 2), fmt.Sprintf("%.1f V", float64(l.Volts)), fmt.Sprintf("%.0f W", float64(l.Watts)), fmt.Sprintf("%.1f dB", float64(l.Level)), l.First})
	}
	return s
}

func crossing(d *design.Design) section {
	sp := d.Speaker
	polarity := "the same polarity as the woofer"
	if sp.Inverted {
		polarity = "inverted polarity"
	}
	s := section{
		Question: "How does the crossover do?",
		Head:     []string{"", "ripple", "tweeter takes over at", "least impedance"},
	}
	for _, r := range []struct {
		name     string
		ripple   float64
		crossing []units.Frequency
		load     units.Resistance
	}{
		{"by formula", sp.Formula.Ripple, sp.Formula.Crossing, sp.Formula.Load},
		{"tuned to the real curves, any values", sp.Tuned.Ripple, sp.Tuned.Crossing, sp.Tuned.Load},
		{"from the shelf: as built", sp.Choice.Score.Ripple, sp.Choice.Score.Crossing, sp.Choice.Score.Load},
	} {
		at := "nowhere"
		if r.crossing[0] > 0 {
			at = hz(r.crossing[0])
		}
		s.Rows = append(s.Rows, []string{r.name, fmt.Sprintf("%.2f dB", r.ripple), at, digits(r.load, 3)})
	}
	s.Lines = []string{
		fmt.Sprintf("Ripple is the RMS deviation from the mean, %v to %v, at the ear. Connect the tweeter with %s.", d.Project.Crossover.Lo, d.Project.Crossover.Hi, polarity),
		fmt.Sprintf("Least impedance %s at %s: it may be rated %s at most (80 %% rule of IEC 60268-5, as reported). Least equivalent peak dissipation resistance %s at %s: that is how hard a class-B stage finds it, not an impedance.",
			digits(sp.LoadMin, 3), hz(sp.LoadAt), digits(sp.Rated, 3), digits(sp.EPDR, 3), hz(sp.EPDRAt)),
		fmt.Sprintf("As built, nine of ten speakers have %.2f to %.2f dB ripple and at least %s to %s; nine of ten pairs match within %.2f dB RMS. %s",
			sp.Spread.Ripple[0], sp.Spread.Ripple[1], digits(sp.Spread.Load[0], 3), digits(sp.Spread.Load[1], 3), sp.Spread.Match, causes(sp.Spread.Causes)),
	}
	return s
}

// causes tells what matters most of what varies.
func causes(all []spread.Cause) string {
	var words []string
	for _, c := range all[:min(3, len(all))] {
		what := "part " + c.Letter
		if c.Part < 0 {
			what = []string{"the woofer", "the tweeter"}[c.Way]
		}
		words = append(words, fmt.Sprintf("%s (%.2f dB)", what, c.Effect))
	}
	if words == nil {
		return "Nothing varies."
	}
	return "Most of it comes from " + strings.Join(words, ", ") + "."
}

func budget(d *design.Design) section {
	b, sp := d.Budget(), d.Speaker
	s := section{Question: "Where does the level go?"}
	if b.HalfSpace {
		s.Lines = append(s.Lines, fmt.Sprintf("The woofer gives %.1f dB in half space below the crossing. The panel in free field takes %.1f dB from its bass (60 to 150 Hz): that is the loss every small panel has.", b.Woofer, -b.Panel))
	}
	s.Lines = append(s.Lines,
		fmt.Sprintf("On the panel the tweeter gives %.1f dB, %.1f dB more than the woofer. Its network takes %.1f dB, the woofer's leaves %.1f dB.", b.Tweeter, b.Surplus, b.Padding, b.Low),
		fmt.Sprintf("So the speaker has %.1f dB at 1 m for 2.83 V on its panel, as a load of %s at least. 2.83 V are 1 W in 8 Ω, but 2 W in 4 Ω.", b.Speaker, digits(sp.LoadMin, 3)))
	return s
}

func shopping(d *design.Design) section {
	p := d.Project
	s := section{Question: "What to buy?", Head: []string{"", "what", "value", "number", "each, " + p.Currency, "heat, programme", "of rating", "heat, worst tone"}}
	n := fmt.Sprint(p.Speakers)
	money := func(x float64) string { return fmt.Sprintf("%.2f", x) }
	s.Rows = append(s.Rows,
		[]string{"", p.Woofer.Name, "", n, money(p.Woofer.Price), "", "", ""},
		[]string{"", p.Tweeter.Name, "", n, money(p.Tweeter.Price), "", "", ""})
	for _, x := range d.Speaker.Stress {
		heat := fmt.Sprintf("%s at %s", digits(x.Worst, 2), hz(x.At))
		if x.Worst < 0.05 {
			heat = "none to speak of"
		}
		share := ""
		if x.Share > 0 {
			share = fmt.Sprintf("%.0f %%", 100*float64(x.Share))
		}
		s.Rows = append(s.Rows, []string{x.Letter, x.Name, x.Part.String(), n, money(x.Price), fmt.Sprintf("%.2g W", float64(x.Noise)), share, heat})
	}
	s.Rows = append(s.Rows, []string{"", fmt.Sprintf("sheet %v × %v × %v", p.Sheet.Length, p.Sheet.Width, p.Sheet.Thickness), "", fmt.Sprint(d.Cabinet.Layout.Sheets), money(p.Sheet.Price), "", "", ""})
	drivers, crossovers, wood := d.Cost([]string{"drivers"}), d.Cost([]string{"crossover"}), d.Cost([]string{"wood"})
	rest := "terminals, wire, screws and glue"
	if p.Box.Tuning > 0 {
		rest = "the vent's tube, " + rest
	}
	s.Lines = append(s.Lines, fmt.Sprintf("For %s: drivers %.2f, crossovers %.2f, wood %.2f, together %.2f %s; %s come on top.",
		count(p.Speakers, "speaker"), drivers, crossovers, wood, drivers+crossovers+wood, p.Currency, rest),
		fmt.Sprintf("Heat: from programme noise with the amplifier's peaks, and from a steady tone with all of the amplifier, %v, at its worst frequency.", p.Play.Amplifier),
		"Of rating: what that noise takes of a resistor's power in a cabinet at 40 °C, of a capacitor's voltage (for direct voltage; keep a margin) and of a coil's current or saturation.")
	return s
}

func wiring(d *design.Design) section {
	s := section{Question: "How is the crossover wired?", Drawing: wiringDiagram(d)}
	letter := 0
	for w, network := range d.Speaker.Choice.Networks {
		s.Lines = append(s.Lines, []string{"Woofer's branch", "Tweeter's branch"}[w]+", from the amplifier to the driver:")
		for _, arm := range network {
			letters := make([]string, len(arm.Parts))
			values := make([]string, len(arm.Parts))
			for i, part := range arm.Parts {
				letters[i], values[i] = d.Speaker.Stress[letter].Letter, part.String()
				letter++
			}
			where, joint := "in series with the signal", " in parallel with "
			if arm.Shunt {
				where, joint = "from the signal to the return", " in series with "
			}
			s.Lines = append(s.Lines, fmt.Sprintf("    %s %s: %s", strings.Join(letters, " and "), where, strings.Join(values, joint)))
		}
	}
	polarity := "plus to the signal, as the woofer"
	if d.Speaker.Inverted {
		polarity = "plus to the return, so the other way round than the woofer"
	}
	s.Lines = append(s.Lines, "Both branches hang on the amplifier's terminals. The tweeter's "+polarity+".",
		"Lay coils far apart and at right angles to each other, or they couple.")
	return s
}

func cutting(d *design.Design) section {
	c, p := d.Cabinet, d.Project
	s := section{Question: "What to cut?", Head: []string{"piece", "per speaker", "in all", "outside", "inside", "width", "ends cut at"}}
	for _, x := range c.Pieces {
		all := x.Count * p.Speakers
		if x.Outside > 0 { // a ring piece
			all += p.Cabinet.Spares
		}
		row := []string{x.Name, fmt.Sprint(x.Count), fmt.Sprint(all), x.Length.String(), "", x.Width.String(), "square"}
		if x.Outside > 0 {
			row[3], row[4] = x.Outside.String(), x.Inside.String()
		}
		if x.Start != 0 || x.End != 0 {
			row[6] = fmt.Sprintf("%v, %v", x.Start, x.End)
		}
		s.Rows = append(s.Rows, row)
	}
	s.Lines = []string{
		fmt.Sprintf("%d layers of %v and two end caps: outside %v wide, %v high, %v deep.", c.Stack.Layers, c.Stack.Thickness, c.Width, c.Height, c.Depth),
		fmt.Sprintf("Air inside %v, less %s: %v net.", c.Gross, displacements(c.Inside), c.Net),
		fmt.Sprintf("%d pieces for %s on %s: rip %s along the sheet, saw kerf %v. No plan of strips takes fewer than %d.",
			pieces(c.Pieces)*p.Speakers+spares(d), count(p.Speakers, "speaker"), count(c.Layout.Sheets, "sheet"), strips(c.Layout.Strips), kerf(c.Sheet), c.Plan.Least),
		interlock(c.Plan.Layers),
		holes(p),
	}
	for _, lot := range c.Plan.Lots {
		s.Drawing += template.HTML(drawing.Sheets(c.Sheet, lot)) // of our own making
	}
	if c.Mass > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("Wood of one cabinet %v before the holes.", c.Mass))
	}
	if p.Box.Tuning > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("Cut %s; leave 10 %% more and trim to the tuning.", ventWords(d)))
	}
	return s
}

// spares counts what is cut beyond the need, all speakers together.
func spares(d *design.Design) int { return d.Project.Cabinet.Spares * len(d.Cabinet.Plan.Layers.Parts) }

// interlock tells which pieces make which layer.
func interlock(l cabinet.Layers) string {
	var words [2]string
	for k, ring := range l.Rings {
		var letters []string
		for _, p := range ring {
			letters = append(letters, l.Parts[p.Part].Letter)
		}
		words[k] = strings.Join(letters, ", ")
	}
	return fmt.Sprintf("Odd layers take %s in the order of the profile, even ones %s: no joint lies over another, the nearest are %v apart. The sawing program tells the order of cuts and draws sheets, patterns and templates.",
		words[0], words[1], l.Lap)
}

// holes tells the cutouts of the panel.
func holes(p project.Project) string {
	words := fmt.Sprintf("Holes in the panel, from its lower left corner to their centres: woofer %v wide at %v, %v; tweeter %v wide at %v, %v",
		p.Woofer.Cutout, p.Woofer.X, p.Woofer.Y, p.Tweeter.Cutout, p.Tweeter.X, p.Tweeter.Y)
	if p.Speakers > 1 && p.Woofer.X != p.Tweeter.X {
		words += " (mirror the other speaker)"
	}
	words += "."
	if v := p.Vent; p.Box.Tuning > 0 && v.Diameter > 0 {
		words += fmt.Sprintf(" For the vent %v wide, wherever it has room.", v.Diameter+2*v.Wall)
	}
	return words
}

// strips counts those of each width, in the order in which they lie on the sheets.
func strips(list []cabinet.Strip) string {
	var words []string
	for len(list) > 0 {
		n := 1
		for n < len(list) && list[n].Width == list[0].Width {
			n++
		}
		words = append(words, fmt.Sprintf("%s of %v", count(n, "strip"), list[0].Width))
		list = list[n:]
	}
	return strings.Join(words, " and ")
}

func kerf(s cabinet.Sheet) units.Length {
	if s.Kerf == 0 {
		return cabinet.DefaultKerf
	}
	return s.Kerf
}

func pieces(list []cabinet.Piece) int {
	n := 0
	for _, p := range list {
		n += p.Count
	}
	return n
}

func displacements(list []cabinet.Displacement) string {
	var words []string
	for _, x := range list {
		words = append(words, fmt.Sprintf("%s %v", x.Name, x.Volume))
	}
	return strings.Join(words, ", ")
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func checking(d *design.Design) section {
	s := section{Question: checkQuestion}
	for _, x := range d.Doubts {
		s.Lines = append(s.Lines, "Looks odd: "+x)
	}
	for _, x := range []struct {
		name string
		design.Driver
	}{{d.Project.Woofer.Name, d.Woofer}, {d.Project.Tweeter.Name, d.Tweeter}} {
		agree, off := 0, 0
		for _, f := range x.Findings {
			if f.Verdict == ts.Agrees {
				agree++
			} else {
				off++
			}
		}
		what := "all agree within rounding"
		switch off {
		case 0:
		case 1:
			what = "1 does not agree within rounding"
		default:
			what = fmt.Sprintf("%d do not agree within rounding", off)
		}
		if agree+off == 0 {
			s.Lines = append(s.Lines, fmt.Sprintf("%s: no figure on the data sheet follows from others, so none could be checked.", x.name))
			continue
		}
		s.Lines = append(s.Lines, fmt.Sprintf("%s: of %d figures on the data sheet that others imply, %s.", x.name, agree+off, what))
		for _, f := range x.Findings {
			if f.Verdict != ts.Agrees {
				s.Lines = append(s.Lines, "    "+f.String())
			}
		}
		for _, c := range x.Culprits {
			s.Lines = append(s.Lines, "    probably misprinted: "+c.String())
		}
	}
	worry := "Stop worrying."
	if d.Bass.BreakIn >= 0.5 {
		worry = "Little beside what a room does."
	}
	s.Lines = append(s.Lines, fmt.Sprintf("Breaking in: a suspension softer by 30 %% changes the bass by %.1f dB at most. %s", d.Bass.BreakIn, worry))
	if d.Project.Box.Tuning > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("After building: the impedance has its dip between the two bass peaks at %v. Trim the vent until it has.", d.Project.Box.Tuning))
	}
	s.Lines = append(s.Lines, "After building: measure with one driver the other way round; the dip where they cross should be deep.")
	s.Lines = append(s.Lines, d.Notes...)
	return s
}

func careful(*design.Design) section {
	return section{Question: "What to be careful of?", Lines: cautions()}
}

// cautions are the usual ones for this work.
func cautions() []string {
	return []string{
		"Amplifiers run on mains voltage: leave their inside to licensed people, and follow the electrical code of your place.",
		"Crossover resistors and coils get hot enough to burn and to char: give them air, keep them off wood, foam and each other.",
		"Measure the finished impedance before connecting an amplifier; a wiring slip can put a short across it.",
		"Start quietly. Levels above 85 dB harm hearing with time, and test tones sound softer than they are.",
		"Saws and routers: guards on, push sticks, eye and ear protection, no gloves at the blade. Plywood and its glue make fine dust: extract it and wear a mask.",
		"A tall narrow speaker tips: mind children and pets, and fix it if in doubt.",
	}
}

// hz writes a frequency to three digits; 0 stands for one not reached.
func hz(f units.Frequency) string {
	if f == 0 {
		return "below 20 Hz"
	}
	return digits(f, 3)
}

// digits writes a quantity rounded to so many significant digits.
func digits[Q interface {
	~float64
	String() string
}](q Q, n int) string {
	if x, err := strconv.ParseFloat(strconv.FormatFloat(float64(q), 'g', n, 64), 64); err == nil {
		return Q(x).String()
	}
	return q.String()
}

// summary is what one wants to know first.
func summary(d *design.Design) [][2]string {
	sp := d.Speaker
	return [][2]string{
		{"bass", fmt.Sprintf("−3 dB at %s, −10 dB at %s", hz(sp.F3), hz(sp.F10))},
		{"sensitivity", fmt.Sprintf("%.1f dB at 1 m for 2.83 V", float64(sp.Sensitivity))},
		{"flatness", fmt.Sprintf("%.2f dB RMS, %v to %v", sp.Choice.Score.Ripple, d.Project.Crossover.Lo, d.Project.Crossover.Hi)},
		{"load", digits(sp.LoadMin, 3) + " at least"},
		{"size", fmt.Sprintf("%v × %v × %v", d.Cabinet.Width, d.Cabinet.Height, d.Cabinet.Depth)},
		{"air", fmt.Sprintf("%v net in %d layers", d.Cabinet.Net, d.Cabinet.Stack.Layers)},
		{"to buy", fmt.Sprintf("%s and %s, %s each speaker; for %s with wood %.2f %s", d.Project.Woofer.Name, d.Project.Tweeter.Name,
			count(len(sp.Stress), "crossover part"), count(d.Project.Speakers, "speaker"), d.Cost([]string{"drivers", "crossover", "wood"}), d.Project.Currency)},
		{"to cut", fmt.Sprintf("%d pieces from %s", pieces(d.Cabinet.Pieces)*d.Project.Speakers+spares(d), count(d.Cabinet.Layout.Sheets, "sheet"))},
	}
}
