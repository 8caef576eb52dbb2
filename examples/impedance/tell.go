package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strconv"
	"strings"

	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
)

var kind = document.Kind{Name: "impedance", Tables: tables()}

func tables() []string {
	names := []string{sheetName}
	for i := range mostCurves {
		names = append(names, fmt.Sprintf("curve%d.csv", i+1), fmt.Sprintf("phase%d.csv", i+1), fmt.Sprintf("residual%d.csv", i+1))
	}
	return names
}

func (f found) tell() (document.Document, error) {
	facts, err := f.facts()
	var short []string
	for _, x := range f.figures() {
		if slices.Contains([]string{"fs", "Qts", "Vas"}, x.Name) {
			short = append(short, x.Name+" "+x.withSD())
		}
	}
	sections := []document.Section{f.driver(), f.againstPrint(), f.curves(), f.otherWays(), f.piece(), f.careful()}
	sections = slices.DeleteFunc(sections, func(s document.Section) bool { return s.Rows == nil && s.Lines == nil })
	return document.Document{
		Kind: kind, Name: f.Name, Verdict: strings.Join(short, ", ") + ", each ± one standard deviation.",
		Sections: sections, Charts: f.charts(), JSON: facts,
	}, err
}

func (f found) driver() document.Section {
	s := document.Section{
		Question: "What is the driver?",
		Head:     []string{"figure", "value", "±", "by scatter", "systematic", "most by"},
	}
	for _, x := range f.figures() {
		row := []string{x.Name, x.text(x.Value), "", "", "", ""}
		if x.sd() > 0 {
			row[2], row[3], row[4], row[5] = x.text(x.sd()), x.text(x.Scatter), x.text(x.Systematic), x.Cause
			if x.Scatter > x.Systematic {
				row[5] = "scatter"
			}
		}
		s.Rows = append(s.Rows, row)
	}
	var parts []string
	for _, x := range f.coil() {
		parts = append(parts, x.Name+" "+x.withSD())
	}
	s.Lines = []string{
		"± is one standard deviation, of scatter and systematic errors together; the truth lies within two of them in 19 cases of 20.",
		fmt.Sprintf("Coil, %v: %s.", f.Coil, strings.Join(parts, ", ")),
	}
	return s
}

func (f found) againstPrint() document.Section {
	s := document.Section{Question: "What does its sheet say?", Head: []string{"figure", "measured", "printed", "printed less measured", "in ±"}}
	for _, x := range f.figures() {
		if x.Printed == 0 {
			continue
		}
		row := []string{x.Name, x.text(x.Value), strings.TrimSpace(fmt.Sprintf("%.4g %s", x.Printed, x.Unit)), signed(100*(x.Printed/x.Value-1)) + " %", ""}
		if x.sd() > 0 {
			row[4] = signed((x.Printed - x.Value) / math.Hypot(x.sd(), f.rounding(x.Printed)))
		}
		s.Rows = append(s.Rows, row)
	}
	if s.Rows == nil {
		return s
	}
	s.Lines = []string{"In ± counts the rounding of the print too. Beyond two or three the sheet, or the bench, is wrong about it; makers allow themselves 10 to 15 % in fs."}
	return s
}

// signed writes v with its sign and one decimal, zero without.
func signed(v float64) string {
	text := fmt.Sprintf("%+.1f", v)
	if text == "+0.0" || text == "-0.0" {
		return "0.0"
	}
	return text
}

// rounding is the standard deviation that printing so many digits leaves.
func (f found) rounding(v float64) float64 {
	digits := cmp.Or(f.Printed.Digits, 3)
	return math.Pow(10, math.Floor(math.Log10(v))-float64(digits)+1) / math.Sqrt(12)
}

func (f found) curves() document.Section {
	s := document.Section{
		Question: "Do the curves agree?",
		Head:     []string{"curve", "taken", "rows fitted", "resonance", "moving mass", "modulus off", "phase off", "points left out"},
	}
	long := false
	for i, c := range f.result.Runs {
		out := "none"
		if len(c.LeftOut) > 0 {
			var at []string
			for _, k := range c.LeftOut {
				at = append(at, fmt.Sprintf("%.4g", f.runs[i].Curve.Hz[k]))
			}
			if len(at) > 6 {
				at = append(at[:6], "…")
			}
			out = fmt.Sprintf("%d: %s Hz", len(c.LeftOut), strings.Join(at, ", "))
		}
		phase := "not measured"
		if f.runs[i].Curve.HasPhase {
			phase = fmt.Sprintf("%.2f°", float64(c.Phase)*180/math.Pi)
		}
		long = long || f.rows[i].used < f.rows[i].of
		s.Rows = append(s.Rows, []string{
			fmt.Sprint(i + 1), f.taken(i), f.rows[i].String(), fmt.Sprintf("%.2f Hz", float64(c.Resonance)), fmt.Sprintf("× %.3f", c.MassRatio),
			fmt.Sprintf("%.2f %%", 100*float64(c.Modulus)), phase, out,
		})
	}
	s.Lines = []string{"One driver is fitted to all curves together. \"Off\" is the RMS difference of the points from it; points that stand out from those around them are left out."}
	if long {
		s.Lines = append(s.Lines,
			fmt.Sprintf("Of a long table %d rows at most are fitted, those nearest to places evenly over the logarithm of frequency; charts and tables show the same rows, and of a bad row between them nothing is seen.", mostRows),
			"\"Off\" and ± by scatter are those of the rows fitted. All rows would make the scatter smaller only if neighbours so close erred each for itself, which they seldom do.")
	}
	return s
}

func (f found) taken(i int) string {
	switch r := f.runs[i]; {
	case r.Added > 0:
		return "with " + r.Added.String() + " on the cone"
	case r.Box > 0:
		return "on a box of " + r.Box.String()
	}
	return "free air"
}

func (f found) otherWays() document.Section {
	s := document.Section{
		Question: "Do other ways say the same?",
		Head:     []string{"way", "Re", "fs", "Qms", "Qes", "Qts", "modulus off"},
	}
	row := func(way string, re units.Resistance, fs units.Frequency, qms, qes, qts float64, off string) {
		s.Rows = append(s.Rows, []string{way, fmt.Sprintf("%.3f Ω", float64(re)), fmt.Sprintf("%.2f Hz", float64(fs)),
			fmt.Sprintf("%.3f", qms), fmt.Sprintf("%.4f", qes), fmt.Sprintf("%.4f", qts), off})
	}
	for _, o := range f.others {
		way := "whole curve, " + o.Model.String()
		if o.Model == f.Coil {
			way += " (this one)"
		}
		if o.Err != nil {
			s.Rows = append(s.Rows, []string{way, "no fit", "", "", "", "", ""})
			continue
		}
		worst := 0.0
		for _, c := range o.Result.Runs {
			worst = max(worst, float64(c.Modulus))
		}
		r := o.Result
		row(way, r.Re.Value, r.Fs.Value, r.Qms.Value, r.Qes.Value, r.Qts.Value, fmt.Sprintf("%.2f %%", 100*worst))
	}
	free := slices.IndexFunc(f.runs, func(r measure.Run) bool { return r.Added == 0 && r.Box == 0 })
	p := f.result.Runs[free].Reading
	p.Re, p.Zmax = f.result.Re.Value, p.Zmax-f.Leads
	p.Level = f.level(p)
	if qms, qes, qts, err := p.Q(); err == nil {
		row("three frequencies, read off", p.Re, p.Fs, qms, qes, qts, "")
	}
	s.Lines = []string{"The way with the least parts that leaves no more than the noise is the one to take. Three frequencies know of no inductance, noise or bad point."}
	return s
}

// level is the level at which the frequencies of a reading were read, the leads taken
// off.
func (f found) level(p measure.Reading) units.Resistance {
	with := measure.Reading{Re: f.readRe(p), Zmax: p.Zmax + f.Leads}
	return with.ClassicLevel() - f.Leads
}

func (f found) readRe(p measure.Reading) units.Resistance {
	if f.Re > 0 {
		return f.Re + f.Leads
	}
	return p.Re
}

func (f found) piece() document.Section {
	s := document.Section{Question: "What goes into a project file?"}
	for l := range strings.Lines(string(f.sheet())) {
		s.Lines = append(s.Lines, strings.TrimSuffix(l, "\n"))
	}
	if _, err := f.result.Driver(); err != nil {
		s.Lines = append(s.Lines, "This is not yet a whole driver: "+strings.TrimPrefix(err.Error(), "measure: ")+".")
	}
	return s
}

func (f found) careful() document.Section {
	s := document.Section{Question: "What to be careful of?"}
	for _, w := range f.result.Warnings {
		s.Lines = append(s.Lines, w.String()+".")
	}
	s.Lines = append(s.Lines, f.doubts...)
	s.Lines = append(s.Lines,
		"Small-signal figures at the level and temperature of the bench: suspensions soften with level and hours of play.",
		"The scatter says nothing of what all points share; the systematic part is only as good as what the file says of it.")
	return s
}

// charts shows each curve with its fit, and what is left.
func (f found) charts() []document.Chart {
	var charts []document.Chart
	for i, run := range f.runs {
		c := run.Curve
		n := len(c.Hz)
		z := make([]complex128, n)
		f.result.Impedance(z, c.Hz, i)
		nan := func() []float64 { return slices.Repeat([]float64{math.NaN()}, n) }
		measured, fitted := make([]float64, n), make([]float64, n)
		phase, fittedPhase := make([]float64, n), make([]float64, n)
		off, turned := nan(), nan()
		most := 0.0
		for k, h := range c.H {
			measured[k], fitted[k] = cmplx.Abs(h), cmplx.Abs(z[k])
			phase[k], fittedPhase[k] = cmplx.Phase(h)*180/math.Pi, cmplx.Phase(z[k])*180/math.Pi
			if !f.fitted(i, k) {
				continue
			}
			off[k] = 100 * (measured[k]/fitted[k] - 1)
			most = max(most, math.Abs(off[k]))
			if c.HasPhase {
				turned[k] = cmplx.Phase(h/z[k]) * 180 / math.Pi
				most = max(most, math.Abs(turned[k]))
			}
		}
		title := fmt.Sprintf("Curve %d, %s", i+1, f.taken(i))
		charts = append(charts, document.Chart{Name: fmt.Sprintf("curve%d", i+1), Title: title, Decimals: 4,
			Question: "Does the fit run through the points, through the peak above all?",
			Figure: above(plot.Figure{X: c.Hz, Unit: "impedance, Ω", Lines: []plot.Line{
				{Name: "measured", Y: measured}, {Name: "fitted", Y: fitted}}})})
		residual := plot.Figure{X: c.Hz, Unit: "off, % and °", Lines: []plot.Line{{Name: "modulus, %", Y: off}}}
		if c.HasPhase {
			charts = append(charts, document.Chart{Name: fmt.Sprintf("phase%d", i+1), Title: title + ", phase", Decimals: 3,
				Question: "Zero at the resonance, and at the end what the coil makes of it.",
				Figure: plot.Figure{X: c.Hz, Unit: "phase, °", Lo: -90, Hi: 90, Step: 30, Lines: []plot.Line{
					{Name: "measured", Y: phase}, {Name: "fitted", Y: fittedPhase}}}})
			residual.Lines = append(residual.Lines, plot.Line{Name: "phase, °", Y: turned})
		}
		residual.Step = step(most)
		residual.Hi = residual.Step * math.Ceil(max(most, 1e-9)/residual.Step*1.001)
		residual.Lo = -residual.Hi
		charts = append(charts, document.Chart{Name: fmt.Sprintf("residual%d", i+1), Title: title + ", less the fit", Decimals: 4,
			Question: "Noise, or a pattern? A pattern is something the model leaves out, as resonances of the cone.",
			Figure:   residual})
	}
	return charts
}

// fitted says whether a point took part in the fit.
func (f found) fitted(run, point int) bool {
	hz := units.Frequency(f.runs[run].Curve.Hz[point])
	return hz >= f.From && (f.To == 0 || hz <= f.To) && !slices.Contains(f.result.Runs[run].LeftOut, point)
}

// above fits the vertical axis of a figure of positive values.
func above(p plot.Figure) plot.Figure {
	hi := 0.0
	for _, l := range p.Lines {
		hi = max(hi, slices.Max(l.Y))
	}
	p.Step = step(hi)
	p.Hi = p.Step * math.Ceil(hi/p.Step*1.001)
	return p
}

// step is a round number of which at most six make hi.
func step(hi float64) float64 {
	hi = max(hi, 1e-9)
	s := math.Pow(10, math.Floor(math.Log10(hi)))
	for _, k := range []float64{0.2, 0.5, 1} {
		if hi/(k*s) <= 6 {
			return k * s
		}
	}
	return 2 * s
}

// deviation keeps four digits: more mean nothing, and differ between machines.
func deviation(v float64) document.Num {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64) // its own text
	return document.Num(short)
}

func (f found) facts() ([]byte, error) {
	type num = document.Num
	type value struct {
		Name       string `json:"name"`
		Unit       string `json:"unit"`
		Value      num    `json:"value"`
		Scatter    num    `json:"scatter"`
		Systematic num    `json:"systematic"`
		Cause      string `json:"most_by"`
	}
	type curve struct {
		File      string `json:"file"`
		Taken     string `json:"taken"`
		Rows      int    `json:"rows_in_band"`
		Fitted    int    `json:"rows_fitted"`
		Resonance num    `json:"resonance_Hz"`
		Mass      num    `json:"mass_ratio"`
		Modulus   num    `json:"modulus_off_percent"`
		Phase     num    `json:"phase_off_degrees"`
		LeftOut   []num  `json:"left_out_Hz"`
	}
	var all struct {
		Name     string   `json:"name"`
		Coil     string   `json:"coil"`
		Figures  []value  `json:"figures"`
		Parts    []value  `json:"coil_parts"`
		Curves   []curve  `json:"curves"`
		Warnings []string `json:"warnings"`
	}
	all.Name, all.Coil, all.Warnings = f.Name, f.Coil.String(), []string{}
	list := func(figures []figure) []value {
		var out []value
		for _, x := range figures {
			out = append(out, value{x.Name, x.Unit, num(x.Value), deviation(x.Scatter), deviation(x.Systematic), x.Cause})
		}
		return out
	}
	all.Figures, all.Parts = list(f.figures()), list(f.coil())
	for i, c := range f.result.Runs {
		o := curve{f.Curve[i].File, f.taken(i), f.rows[i].of, f.rows[i].used, num(c.Resonance), num(c.MassRatio), num(100 * c.Modulus), num(float64(c.Phase) * 180 / math.Pi), []num{}}
		for _, k := range c.LeftOut {
			o.LeftOut = append(o.LeftOut, num(f.runs[i].Curve.Hz[k]))
		}
		all.Curves = append(all.Curves, o)
	}
	for _, w := range f.result.Warnings {
		all.Warnings = append(all.Warnings, w.String())
	}
	text, err := json.MarshalIndent(all, "", "  ")
	return append(text, '\n'), err
}
