package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strings"

	"example.com/halfspace/box"
	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/drawing"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "sawing", Tables: []string{
	"pieces.csv", "steps.csv", "holes.csv", "response.csv",
	"views.svg", "pattern1.svg", "pattern2.svg", "pieces.svg", "sheets1.svg", "sheets2.svg", "templates.html",
}}

func (w *wood) tell() (document.Document, error) {
	facts, err := w.facts()
	return document.Document{
		Kind: kind, Name: w.Project.Name + ": the wood", Verdict: w.verdict(),
		Sections: []document.Section{w.cut(), w.order(), w.less(), w.interlock(), w.layers(), w.air(), w.front(), w.stands(), w.careful()},
		Charts:   w.charts(), JSON: facts,
	}, err
}

func (w *wood) verdict() string {
	p, n := w.Project, w.plan.Sheets
	words := fmt.Sprintf("%s from %s of %v × %v", count(p.Speakers, "cabinet"), count(n, "sheet"), p.Sheet.Length, p.Sheet.Width)
	switch {
	case p.Rules.Sheets > 0 && n > p.Rules.Sheets:
		words += fmt.Sprintf(": %d more than the %d allowed", n-p.Rules.Sheets, p.Rules.Sheets)
		if len(w.savings) > 0 {
			words += "; " + w.savings[0].Change + " would save one"
		}
	case n == w.plan.Least:
		words += "; no plan of strips needs fewer"
	default:
		words += fmt.Sprintf("; no plan of strips needs fewer than %d", w.plan.Least)
	}
	return words + "."
}

func (w *wood) cut() document.Section {
	s := document.Section{Question: "What to cut?", Head: []string{"piece", "per cabinet", "in all", "blank", "outside", "inside", "ends off square", "grain", "more for nothing"}}
	for _, lot := range w.plan.Lots {
		for i, x := range lot.Pieces {
			row := []string{x.Name, fmt.Sprint(w.per(x.Name)), fmt.Sprint(x.Count), fmt.Sprintf("%v × %v × %v", x.Length, x.Width, x.Thickness), "", "", "square", grain(x.Grain), fmt.Sprint(lot.Free[i])}
			if x.Outside > 0 {
				row[4], row[5] = x.Outside.String(), x.Inside.String()
			} else if len(w.Project.Cabinet.Profile) != 4 {
				row[6] = "to the profile"
			}
			if x.Start != 0 || x.End != 0 {
				row[6] = fmt.Sprintf("%v, %v", x.Start, x.End)
			}
			s.Rows = append(s.Rows, row)
		}
	}
	c := w.Cabinet
	s.Lines = []string{
		fmt.Sprintf("%d layers of %v and two end caps: outside %v wide, %v high, %v deep; inside %v wide.", c.Stack.Layers, c.Stack.Thickness, c.Width, c.Height, c.Depth, c.Stack.InsideWidth()),
		"The length is along the outer edge of the ring; the last column counts each piece alone, from what stays over.",
	}
	if n := w.Project.Cabinet.Spares; n > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("%s of each ring piece included.", count(n, "spare")))
	}
	if o := w.Project.Cabinet.Oversize; o > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("Rings and caps stand over by %v inside and out: trim them flush once the stack is glued.", o))
	}
	return s
}

func (w *wood) per(name string) int {
	for _, p := range w.Cabinet.Pieces {
		if p.Name == name {
			return p.Count
		}
	}
	return 0
}

func grain(g cabinet.Grain) string {
	switch g {
	case cabinet.GrainAcross:
		return "across the length"
	case cabinet.GrainEither:
		return "either way"
	}
	return "along the length"
}

func (w *wood) order() document.Section {
	s := document.Section{Question: "In which order, with which settings?", Head: []string{"step", "what", "set to", "cuts", "piece", "ends off square"}}
	n := 0
	for _, lot := range w.plan.Lots {
		for _, t := range w.Cabinet.Sheet.Steps(lot.Pieces, lot.Layout) {
			n++
			ends := ""
			if t.Left != 0 || t.Right != 0 {
				ends = fmt.Sprintf("%v, %v", t.Left, t.Right)
			}
			s.Rows = append(s.Rows, []string{fmt.Sprint(n), t.What, t.Setting.String(), fmt.Sprint(t.Count), t.Piece, ends})
		}
	}
	s.Lines = []string{
		"One setting of the fence or the stop per row: make all cuts of a row before touching it. Strips are ripped along the sheet, its grain and its longer edge.",
		"Cut one test piece per setting and measure it; the first ring, dry on the bench, shows whether the corners close.",
	}
	return s
}

func (w *wood) less() document.Section {
	s := document.Section{Question: "Can it be done with less?"}
	s.Lines = append(s.Lines, fmt.Sprintf("Sheets: %d; strips in this order of cuts need %d at least (linear program), area alone %d.", w.plan.Sheets, w.plan.Least, w.Cabinet.Least))
	switch {
	case w.plan.Sheets == len(w.plan.Lots):
		s.Lines = append(s.Lines, "Nothing to save: each thickness takes one sheet.")
	case len(w.savings) == 0:
		s.Lines = append(s.Lines, "No ring down to half its width, no layer or two less and no turned caps save a sheet.")
	}
	for _, x := range w.savings {
		s.Lines = append(s.Lines, fmt.Sprintf("Saves a sheet: %s (%s, %v of air before anything is inside).", x.Change, count(x.Sheets, "sheet"), x.Gross))
	}
	s.Lines = append(s.Lines, fmt.Sprintf("Spares for nothing: %d of each ring piece on the same sheets, if planned for from the start (cabinet.spares).", w.spares))
	if w.plan.Cost > 0 {
		s.Lines = append(s.Lines, fmt.Sprintf("Wood: %.2f %s.", w.plan.Cost, w.Project.Currency))
	}
	return s
}

func (w *wood) interlock() document.Section {
	l, st := w.plan.Layers, w.Cabinet.Stack
	letters := func(k int) string {
		var words []string
		for _, p := range l.Rings[k] {
			words = append(words, l.Parts[p.Part].Letter)
		}
		return strings.Join(words, ", ")
	}
	return document.Section{Question: "How do the layers interlock?", Lines: []string{
		fmt.Sprintf("Odd layers, counted from the left cap, in the order of the profile: %s. Even layers: %s.", letters(0), letters(1)),
		fmt.Sprintf("No joint lies over another: they are at least %v apart in the middle of the wall.", l.Lap),
		fmt.Sprintf("%d places for registration dowels lie in both patterns, two or more in each piece: drill the first ring, then use it as the guide.", len(l.Dowels)),
		fmt.Sprintf("Glue: %.2f m² of joints per cabinet, about %.0f g at %.0f g/m² on one face.", st.GlueArea().In(units.SquareMetre), st.Glue().In(units.Gram), 1000*cabinet.Spread),
	}}
}

func (w *wood) layers() document.Section {
	c := w.Cabinet
	s := document.Section{Question: "One layer more or fewer?", Head: []string{"layers", "inside width", "net air", "−3 dB"}}
	f3, err := w.Bass.System.F3()
	now := hz(f3)
	if err != nil {
		now = "not reached"
	}
	row := func(n int, net units.Volume, f string) {
		s.Rows = append(s.Rows, []string{fmt.Sprint(n), w.Project.Stack(n).InsideWidth().String(), net.String(), f})
	}
	if c.Fewer.Layers > 0 {
		row(c.Fewer.Layers, c.Fewer.Net, hz(c.Fewer.F3))
	}
	row(c.Stack.Layers, c.Net, now)
	if c.More.Layers > 0 {
		row(c.More.Layers, c.More.Net, hz(c.More.F3))
	}
	s.Lines = []string{"Half space, the vent cut to the same tuning each time."}
	return s
}

func (w *wood) air() document.Section {
	c, p := w.Cabinet, w.Project
	s := document.Section{Question: "How much air?"}
	var words []string
	for _, x := range c.Inside {
		words = append(words, fmt.Sprintf("%s %v", x.Name, x.Volume))
	}
	s.Lines = append(s.Lines, fmt.Sprintf("Inside %v, less %s: %v net.", c.Gross, strings.Join(words, ", "), c.Net))
	if t := p.Sheet.Known; t > 0 {
		if lo, hi, err := c.Stack.GrossBetween(c.Stack.Thickness-t, c.Stack.Thickness+t); err == nil {
			s.Lines = append(s.Lines, fmt.Sprintf("Sheets %v thicker or thinner than %v make it %v to %v inside: every layer is off the same way.", t, c.Stack.Thickness, lo, hi))
		}
	} else if lo, hi, err := cabinet.PlywoodThickness(units.Length(math.Round(c.Stack.Thickness.In(mm))) * mm); err == nil {
		if a, b, err := c.Stack.GrossBetween(lo, hi); err == nil {
			s.Lines = append(s.Lines, fmt.Sprintf("Plywood sold as %.0f mm may be %v to %v thick: unmeasured, the inside would be anything from %v to %v.", c.Stack.Thickness.In(mm), lo, hi, a, b))
		}
	}
	if len(w.modes) > 0 {
		names := []string{"depth", "height", "width"}
		var words []string
		for _, m := range w.modes {
			n, axis := 0, 0
			for i, k := range m.N {
				if k > 0 {
					n, axis = n+k, i
				}
			}
			if n == 1 {
				words = append(words, fmt.Sprintf("%s %s", names[axis], hz(m.Frequency)))
			}
		}
		s.Lines = append(s.Lines, "Lowest standing waves of the empty inside below 1 kHz: "+strings.Join(words, ", ")+". Filling damps them.")
	}
	return s
}

func (w *wood) front() document.Section {
	s := document.Section{Question: "Does everything fit?", Head: []string{"in the front", "from left", "from below", "hole", "to the edge", "beside it inside", "behind it", "layers cut", "hole's edge to a joint"}}
	for _, f := range w.fits {
		y := w.height(f)
		s.Rows = append(s.Rows, []string{f.Name, f.Across.String(), y.String(), f.Hole.String(), tenth(f.Edge), beside(f), behind(f), layersCut(f.chords, w.Cabinet.Stack.Layers), tenth(f.joint)})
	}
	for _, f := range w.fits {
		if f.joint < 2*mm {
			s.Lines = append(s.Lines, fmt.Sprintf("The hole of the %s ends %v from a joint between layers: a sliver would break. Move it or rout it after gluing.", f.Name, tenth(f.joint)))
		}
	}
	if w.placed {
		s.Lines = append(s.Lines, "The vent has the lowest place in the middle that clears walls and drivers; vent.x and vent.y put it elsewhere.")
	}
	if w.Project.Speakers > 1 && w.Project.Woofer.X != w.Project.Tweeter.X {
		s.Lines = append(s.Lines, "Mirror every second cabinet.")
	}
	switch {
	case w.relief != nil && w.relief.Angle > 0:
		s.Lines = append(s.Lines, fmt.Sprintf("Behind the woofer, widen the hole from %v below the front to %v inside (%v off the axis): the passage beside its basket is then as large as its cone.", w.relief.Land, tenth(w.relief.Opening()), w.relief.Angle))
	case w.relief != nil:
		s.Lines = append(s.Lines, "The hole leaves the woofer a passage as large as its cone: no relief is needed.")
	case w.reason != nil:
		s.Lines = append(s.Lines, w.reason.Error())
	default:
		s.Lines = append(s.Lines, fmt.Sprintf("In a wall of %v the rear of the woofer sits in a tunnel: chamfer the hole inside. With woofer.body, the diameter of basket and magnet, this page says how far.", w.Project.Cabinet.Wall))
	}
	return s
}

// beside and behind are what is free around what stands in the air of the box.
func beside(f fit) string { return inBox(f, f.Around) }

func behind(f fit) string { return inBox(f, f.Behind) }

func inBox(f fit, free units.Length) string {
	if math.IsInf(float64(f.Behind), 1) {
		return "all in the wall"
	}
	return tenth(free)
}

func (w *wood) height(f fit) units.Length {
	side, err := front(w.Cabinet.Stack)
	if err == nil && side.down {
		return side.foot + side.length - f.Along
	}
	return side.foot + f.Along
}

func layersCut(chords []cabinet.Chord, layers int) string {
	if len(chords) == 0 {
		return "none"
	}
	name := func(i int) string {
		switch i {
		case 0:
			return "left cap"
		case layers + 1:
			return "right cap"
		}
		return fmt.Sprint(i)
	}
	return name(chords[0].Layer) + " to " + name(chords[len(chords)-1].Layer)
}

func (w *wood) stands() document.Section {
	s := document.Section{Question: "How does it stand?"}
	b := w.balance
	if b == nil {
		s.Lines = []string{"With sheet.density, weighed on an offcut, this page says mass and balance."}
		return s
	}
	loads := "without drivers (woofer.mass, tweeter.mass)"
	if w.Project.Woofer.Mass > 0 || w.Project.Tweeter.Mass > 0 {
		loads = "with drivers"
	}
	s.Lines = []string{
		fmt.Sprintf("Mass %v %s, before holes; centre of gravity %.0f mm from the rear, %.0f mm up, %.0f mm from the left.", b.Mass, loads, 1000*b.Centre.X, 1000*b.Centre.Y, 1000*b.Centre.Z),
		fmt.Sprintf("It tips beyond %.0f° forwards, %.0f° backwards, %.0f° sideways.", b.High.In(units.Degree), b.Low.In(units.Degree), b.Side.In(units.Degree)),
	}
	if least := min(b.High, b.Low, b.Side); least < 10*units.Degree {
		s.Lines = append(s.Lines, "Less than 10°: give it a wider foot or fix it, above all where children are.")
	}
	return s
}

func (w *wood) careful() document.Section {
	return document.Section{Question: "What to be careful of?", Lines: []string{
		"Table saw: guard and riving knife on, glasses and ear protection, no gloves, never between blade and fence; a push stick for strips, a stop block clear of the blade for crosscuts, never fence and mitre gauge together.",
		"Short and narrow pieces: clamp or sled them; do not reach past the blade for offcuts before it stands still.",
		"Wood dust harms the lungs and can burn: extract at the tool, wear a mask (FFP2 or better), sweep up before you weld, grind or smoke.",
		"Glue: dry-fit and mark every layer first; wax or film under the stack; spread thinly, clamp evenly, wipe the inside while it is wet; follow the maker on temperature, open time and ventilation.",
		"Router: cut holes in several passes with the work clamped; rout flush with the grain falling away from the cutter.",
	}}
}

func (w *wood) charts() []document.Chart {
	c := w.Cabinet
	grid := make([]float64, 0, 81)
	for k := range 81 {
		grid = append(grid, 20*math.Pow(10, float64(k)/80))
	}
	line := func(layers int, s box.System) plot.Line {
		l := plot.Line{Name: fmt.Sprintf("%d layers", layers)}
		for _, f := range grid {
			l.Y = append(l.Y, s.Gain(units.Frequency(f)))
		}
		return l
	}
	lines := []plot.Line{line(c.Stack.Layers, w.Bass.System)}
	for _, n := range []struct {
		layers int
		system box.System
	}{{c.Fewer.Layers, c.Fewer.System}, {c.More.Layers, c.More.System}} {
		if n.layers > 0 {
			lines = append(lines, line(n.layers, n.system))
		}
	}
	return []document.Chart{{Name: "response", Title: "One layer more or fewer", Decimals: 4,
		Question: "What does a layer do to the bass? Half space, relative to the driver's pass band.",
		Figure:   plot.Figure{X: grid, Unit: "level, dB", Lo: -24, Hi: 6, Step: 6, Lines: lines}}}
}

// pictures returns the drawings by file name.
func (w *wood) pictures() (map[string]string, error) {
	job := w.Cabinet.Job
	var holes []drawing.Hole
	for _, f := range w.fits {
		holes = append(holes, drawing.Hole{Name: f.Name, X: f.Across, Y: w.height(f), Flange: f.Flange, Cutout: f.Hole})
	}
	views, err := drawing.Views(w.Cabinet.Stack, holes)
	if err != nil {
		return nil, err
	}
	var list []cabinet.Piece
	for _, lot := range w.plan.Lots {
		list = append(list, lot.Pieces...)
	}
	files := map[string]string{
		"views.svg":      views,
		"pattern1.svg":   drawing.Pattern(job.Stack, w.plan.Layers, 0),
		"pattern2.svg":   drawing.Pattern(job.Stack, w.plan.Layers, 1),
		"pieces.svg":     drawing.Pieces(job.Stack, w.plan.Layers, list),
		"templates.html": drawing.Templates(w.Project.Name, w.plan.Layers),
	}
	for i, lot := range w.plan.Lots {
		files[fmt.Sprintf("sheets%d.svg", i+1)] = drawing.Sheets(job.Sheet, lot)
	}
	return files, nil
}

// files returns the document with its pictures, tables and templates.
func (w *wood) files(d document.Document) (map[string][]byte, error) {
	pictures, err := w.pictures()
	if err != nil {
		return nil, err
	}
	show := func(style string, names ...string) template.HTML {
		var b strings.Builder
		for _, name := range names {
			if p, ok := pictures[name]; ok {
				fmt.Fprintf(&b, `<div style="%s">%s</div>`, style, strings.Replace(p, "<svg ", `<svg style="width:100%;height:auto;display:block" `, 1))
			}
		}
		return template.HTML(b.String())
	}
	d.Sections[0].Drawing = show("max-width:44rem", "pieces.svg")
	d.Sections[1].Drawing = show("", "sheets1.svg", "sheets2.svg")
	d.Sections[3].Drawing = show("display:inline-block;width:48%;max-width:24rem", "pattern1.svg", "pattern2.svg")
	d.Sections[6].Drawing = show("max-width:56rem", "views.svg")
	d.Sections[0].Lines = append(d.Sections[0].Lines, "Templates of the ring pieces in full size are in templates.html beside this page: print without scaling and measure the bar.")
	files, err := d.Files()
	if err != nil {
		return nil, err
	}
	for name, text := range pictures {
		files[name] = []byte(text)
	}
	for name, rows := range map[string][][]string{"pieces.csv": w.pieceRows(), "steps.csv": w.stepRows(), "holes.csv": w.holeRows()} {
		if files[name], err = table(rows); err != nil {
			return nil, err
		}
	}
	return files, nil
}

func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	err := csv.NewWriter(&b).WriteAll(rows)
	return b.Bytes(), err
}

func (w *wood) pieceRows() [][]string {
	rows := [][]string{{"piece", "count", "length_mm", "width_mm", "thickness_mm", "outside_mm", "inside_mm", "start_deg", "end_deg", "grain", "free"}}
	for _, lot := range w.plan.Lots {
		for i, p := range lot.Pieces {
			rows = append(rows, []string{p.Name, fmt.Sprint(p.Count), num(p.Length), num(p.Width), num(p.Thickness), num(p.Outside), num(p.Inside),
				document.Number(p.Start.In(units.Degree), 3), document.Number(p.End.In(units.Degree), 3), p.Grain.String(), fmt.Sprint(lot.Free[i])})
		}
	}
	return rows
}

func (w *wood) stepRows() [][]string {
	rows := [][]string{{"step", "what", "setting_mm", "cuts", "piece", "left_deg", "right_deg"}}
	for _, lot := range w.plan.Lots {
		for _, t := range w.Cabinet.Sheet.Steps(lot.Pieces, lot.Layout) {
			rows = append(rows, []string{fmt.Sprint(len(rows)), t.What, num(t.Setting), fmt.Sprint(t.Count), t.Piece,
				document.Number(t.Left.In(units.Degree), 3), document.Number(t.Right.In(units.Degree), 3)})
		}
	}
	return rows
}

// holeRows tells what each hole takes out of each layer, along the front from its
// lower edge.
func (w *wood) holeRows() [][]string {
	rows := [][]string{{"hole", "layer", "from_mm", "to_mm"}}
	for _, f := range w.fits {
		shift := w.height(f) - f.Along
		for _, c := range f.chords {
			from, to := c.From+shift, c.To+shift
			if side, err := front(w.Cabinet.Stack); err == nil && side.down {
				from, to = side.foot+side.length-c.To, side.foot+side.length-c.From
			}
			rows = append(rows, []string{f.Name, fmt.Sprint(c.Layer), num(from), num(to)})
		}
	}
	return rows
}

func num(l units.Length) string { return document.Number(l.In(mm), 2) }

func (w *wood) facts() ([]byte, error) {
	type piece struct {
		Name   string       `json:"name"`
		Count  int          `json:"count"`
		Length document.Num `json:"length_mm"`
		Width  document.Num `json:"width_mm"`
		Free   int          `json:"more_for_nothing"`
	}
	type saving struct {
		Change string       `json:"change"`
		Sheets int          `json:"sheets"`
		Gross  document.Num `json:"gross_L"`
	}
	facts := struct {
		Name    string       `json:"name"`
		Sheets  int          `json:"sheets"`
		Least   int          `json:"sheets_at_least"`
		ByArea  int          `json:"sheets_by_area"`
		Cost    document.Num `json:"cost"`
		Layers  int          `json:"layers"`
		Gross   document.Num `json:"gross_L"`
		Net     document.Num `json:"net_L"`
		Lap     document.Num `json:"least_lap_mm"`
		Spares  int          `json:"spares_for_nothing"`
		Pieces  []piece      `json:"pieces"`
		Savings []saving     `json:"savings"`
	}{
		Name: w.Project.Name, Sheets: w.plan.Sheets, Least: w.plan.Least, ByArea: w.Cabinet.Least, Cost: document.Num(w.plan.Cost),
		Layers: w.Cabinet.Stack.Layers, Gross: document.Num(w.Cabinet.Gross.In(units.Litre)), Net: document.Num(w.Cabinet.Net.In(units.Litre)),
		Lap: document.Num(w.plan.Layers.Lap.In(mm)), Spares: w.spares, Savings: []saving{},
	}
	for _, lot := range w.plan.Lots {
		for i, p := range lot.Pieces {
			facts.Pieces = append(facts.Pieces, piece{p.Name, p.Count, document.Num(p.Length.In(mm)), document.Num(p.Width.In(mm)), lot.Free[i]})
		}
	}
	for _, s := range w.savings {
		facts.Savings = append(facts.Savings, saving{s.Change, s.Sheets, document.Num(s.Gross.In(units.Litre))})
	}
	text, err := json.MarshalIndent(facts, "", "  ")
	return append(text, '\n'), err
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func hz(f units.Frequency) string { return fmt.Sprintf("%.1f Hz", f.In(units.Hertz)) }

// tenth writes a length to tenths of a millimetre, which is what a saw can do.
func tenth(l units.Length) string { return fmt.Sprintf("%.1f mm", l.In(mm)) }
