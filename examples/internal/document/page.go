package document

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"regexp"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/plot"
)

//go:embed page.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// A Picture is a chart as a page needs it.
type Picture struct {
	Chart
	SVG    template.HTML
	Legend []Legend
}

// A Legend is a line's name beside a sample of it.
type Legend struct {
	Name, Words string
	Swatch      template.HTML
}

// Picture draws the chart.
func (c Chart) Picture() (Picture, error) {
	svg, err := c.SVG()
	if err != nil {
		return Picture{}, fmt.Errorf("%s: %w", c.Name, err)
	}
	p := Picture{Chart: c, SVG: template.HTML(inline(string(svg), c.Alt()))} // drawn by ourselves
	for i, l := range c.Lines {
		p.Legend = append(p.Legend, entry(l.Name, plot.StyleOf(i)))
	}
	for _, b := range c.Bands {
		p.Legend = append(p.Legend, Legend{b.Name, "shaded", template.HTML(fmt.Sprintf(
			`<svg viewBox="0 0 36 8" width="36" height="8" aria-hidden="true"><path d="M0 0H36V8H0Z" fill="%s"/></svg>`, plot.BandStyle))})
	}
	for _, m := range c.Marks {
		p.Legend = append(p.Legend, entry(fmt.Sprintf("%s, %.4g", m.Name, m.Y), plot.MarkStyle))
	}
	return p, nil
}

// A number and its unit stay on one line.
var unit = regexp.MustCompile(`(\d) (\pL|%|°)`)

func glue(rows [][]string) [][]string {
	out := make([][]string, len(rows))
	for i, row := range rows {
		for _, cell := range row {
			out[i] = append(out[i], unit.ReplaceAllString(cell, "$1\u00a0$2"))
		}
	}
	return out
}

// page returns the document with its charts: one file, without script or anything
// from elsewhere.
func (d Document) page() ([]byte, error) {
	var pictures []Picture
	for _, c := range d.Charts {
		p, err := c.Picture()
		if err != nil {
			return nil, err
		}
		pictures = append(pictures, p)
	}
	sections := slices.Clone(d.Sections)
	for i := range sections {
		sections[i].Rows = glue(sections[i].Rows)
	}
	var b bytes.Buffer
	err := pageTemplate.Execute(&b, map[string]any{
		"Name": d.Name, "Verdict": d.Verdict,
		"Sections": sections, "Pictures": pictures, "Summary": d.Summary,
	})
	return b.Bytes(), err
}

// inline makes a drawing part of the page: it scales with the column and has a
// name for who cannot see it.
func inline(svg, alt string) string {
	if i := strings.Index(svg, "<svg"); i >= 0 {
		svg = svg[i:]
	}
	open, rest, _ := strings.Cut(svg, ">")
	var box string
	if _, after, ok := strings.Cut(open, `viewBox="`); ok {
		box, _, _ = strings.Cut(after, `"`)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="%s" role="img" aria-label="%s">%s`,
		box, template.HTMLEscapeString(alt), rest)
}

func entry(name string, s plot.Style) Legend {
	var dashes []string
	for _, d := range s.Dashes {
		dashes = append(dashes, fmt.Sprintf("%g", d))
	}
	return Legend{name, s.Words, template.HTML(fmt.Sprintf(
		`<svg viewBox="0 0 36 8" width="36" height="8" aria-hidden="true"><path d="M0 4H36" stroke="%s" stroke-width="2" stroke-dasharray="%s"/></svg>`,
		s.Colour, strings.Join(dashes, " ")))}
}

// Alt tells a chart in words.
func (c Chart) Alt() string {
	var words []string
	for _, l := range c.Lines {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, y := range l.Y {
			if !math.IsNaN(y) {
				lo, hi = math.Min(lo, y), math.Max(hi, y)
			}
		}
		if lo <= hi {
			words = append(words, fmt.Sprintf("%s from %.3g to %.3g", l.Name, lo, hi))
		}
	}
	return fmt.Sprintf("%s: %s against %s; %s.", c.Title, c.Unit, strings.ReplaceAll(strings.TrimSuffix(c.Column(), "_Hz"), "_", " in "), strings.Join(words, "; "))
}
