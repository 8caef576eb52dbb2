// Package plot draws curves as SVG.
package plot

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A Line is one curve; points that are NaN are left out.
type Line struct {
	Name string
	Y    []float64
}

// A Mark is a limit drawn across the figure.
type Mark struct {
	Name string
	Y    float64
}

// A Band is the ground between two curves, where both have a value and lie in the
// figure.
type Band struct {
	Name   string
	Lo, Hi []float64
}

// A Figure is curves over frequency, or something else, on a logarithmic axis.
type Figure struct {
	X      []float64 // Hz
	Across string    // of the horizontal axis, as "volume, L"; empty: frequency, Hz
	Unit   string    // of the vertical axis, as "level, dB"
	Lo, Hi float64   // of the vertical axis
	Step   float64   // between labels
	Lines  []Line
	Marks  []Mark
	Bands  []Band // below the curves
}

// A Style tells one line of a figure from the others: never by colour alone.
type Style struct {
	Colour string
	Dashes []float64 // in points; nil is solid
	Words  string    // of the dashes
}

// Styles are given to lines in their order. The colours stay apart for every kind
// of colour vision and in grey.
var styles = []Style{
	{"#111111", nil, "solid"},
	{"#0b5394", []float64{7, 3}, "long dashes"},
	{"#b45309", []float64{2, 2}, "dots"},
	{"#4b7a1e", []float64{8, 3, 2, 3}, "dash and dot"},
	{"#7a3e9d", []float64{4, 2, 1, 2, 1, 2}, "dash and two dots"},
	{"#8a1c3c", []float64{12, 3}, "very long dashes"},
	{"#00687a", []float64{3, 3}, "short dashes"},
	{"#6b6b6b", []float64{8, 2, 2, 2, 2, 2, 2, 2}, "dash and three dots"},
}

// StyleOf returns the style of the nth line.
func StyleOf(n int) Style { return styles[n%len(styles)] }

// MarkStyle is the style of limits.
var MarkStyle = Style{"#a00000", []float64{1, 3}, "sparse dots"}

// BandStyle is the colour of bands.
const BandStyle = "#dfe7ef"

// Width and Height of a figure in points.
const (
	Width  = 420
	Height = 260
)

func (f Figure) across() string {
	if f.Across == "" {
		return "frequency, Hz"
	}
	return f.Across
}

// Column names the values of the horizontal axis in a table, as frequency_Hz.
func (f Figure) Column() string { return strings.ReplaceAll(f.across(), ", ", "_") }

// SVG draws the figure.
func (f Figure) SVG() ([]byte, error) {
	p := plot.New()
	sans := font.Font{Typeface: "Liberation", Variant: "Sans", Size: 11}
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font = sans
		a.Tick.Label.Font = sans
		a.Padding = 0
	}
	p.X.Label.Text, p.Y.Label.Text = f.across(), f.Unit
	p.X.Min, p.X.Max = f.X[0], f.X[len(f.X)-1]
	p.X.Scale = plot.LogScale{}
	p.X.Tick.Marker = decades{}
	p.Y.Min, p.Y.Max = f.Lo, f.Hi
	p.Y.Tick.Marker = every(f.Step)

	p.Add(ruling{draw.LineStyle{Color: color.Gray{215}, Width: vg.Points(0.5)}})
	for _, b := range f.Bands {
		if err := f.fill(p, b); err != nil {
			return nil, fmt.Errorf("plot: %s: %w", b.Name, err)
		}
	}
	for _, m := range f.Marks {
		if err := add(p, []float64{f.X[0], f.X[len(f.X)-1]}, []float64{m.Y, m.Y}, MarkStyle, 1.6, f); err != nil {
			return nil, err
		}
	}
	// The first line is the one that matters: it lies on top.
	for i := len(f.Lines) - 1; i >= 0; i-- {
		width := 1.2
		if i == 0 {
			width = 1.8
		}
		if err := add(p, f.X, f.Lines[i].Y, StyleOf(i), width, f); err != nil {
			return nil, fmt.Errorf("plot: %s: %w", f.Lines[i].Name, err)
		}
	}
	c := vgsvg.New(Width, Height)
	p.Draw(draw.Crop(draw.New(c), 0, -14, 0, -6)) // room for the last labels
	var b bytes.Buffer
	_, err := c.WriteTo(&b)
	return b.Bytes(), err
}

// add draws a line, in pieces where it leaves the figure or has no value.
func add(p *plot.Plot, x, y []float64, s Style, width float64, f Figure) error {
	var piece plotter.XYs
	flush := func() error {
		if len(piece) > 1 {
			l, err := plotter.NewLine(piece)
			if err != nil {
				return err
			}
			l.LineStyle = draw.LineStyle{Color: hex(s.Colour), Width: vg.Points(width)}
			for _, d := range s.Dashes {
				l.LineStyle.Dashes = append(l.LineStyle.Dashes, vg.Points(d))
			}
			p.Add(l)
		}
		piece = nil
		return nil
	}
	for i := range x {
		switch {
		case math.IsNaN(y[i]):
			if err := flush(); err != nil {
				return err
			}
		case y[i] >= f.Lo && y[i] <= f.Hi:
			if len(piece) == 0 && i > 0 && !math.IsNaN(y[i-1]) {
				piece = append(piece, f.cut(x[i-1], y[i-1], x[i], y[i]))
			}
			piece = append(piece, plotter.XY{X: x[i], Y: y[i]})
		default:
			if len(piece) > 0 {
				piece = append(piece, f.cut(x[i], y[i], x[i-1], y[i-1]))
			}
			if err := flush(); err != nil {
				return err
			}
		}
	}
	return flush()
}

// fill draws a band, cut off at the frame, in pieces where it has no value.
func (f Figure) fill(p *plot.Plot, b Band) error {
	in := func(y float64) float64 { return math.Min(math.Max(y, f.Lo), f.Hi) }
	for i := 0; i < len(f.X); i++ {
		from := i
		for i < len(f.X) && !math.IsNaN(b.Lo[i]) && !math.IsNaN(b.Hi[i]) {
			i++
		}
		if i-from < 2 {
			continue
		}
		var around plotter.XYs
		for k := from; k < i; k++ {
			around = append(around, plotter.XY{X: f.X[k], Y: in(b.Hi[k])})
		}
		for k := i - 1; k >= from; k-- {
			around = append(around, plotter.XY{X: f.X[k], Y: in(b.Lo[k])})
		}
		area, err := plotter.NewPolygon(around)
		if err != nil {
			return err
		}
		area.Color, area.LineStyle.Width = hex(BandStyle), 0
		p.Add(area)
	}
	return nil
}

// cut returns where the line from a point outside to one inside enters.
func (f Figure) cut(xo, yo, xi, yi float64) plotter.XY {
	edge := math.Min(math.Max(yo, f.Lo), f.Hi)
	t := (edge - yi) / (yo - yi)
	if yo == yi || math.IsInf(yo, 0) {
		t = 0
	}
	return plotter.XY{X: xi * math.Pow(xo/xi, t), Y: edge}
}

// A ruling has a line at every label, those on the frame too: gonum's own leaves out
// what lies beyond the frame by the last digit, which is not the same everywhere.
type ruling struct{ draw.LineStyle }

func (g ruling) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if !t.IsMinor() {
			c.StrokeLine2(g.LineStyle, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
		}
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		c.StrokeLine2(g.LineStyle, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
}

func hex(s string) color.Color {
	var r, g, b uint8
	fmt.Sscanf(s, "#%02x%02x%02x", &r, &g, &b) // our own constants
	return color.NRGBA{r, g, b, 255}
}

// decades labels 20, 50, 100 ... and ticks the rest.
type decades struct{}

func (decades) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for d := math.Pow(10, math.Floor(math.Log10(lo))); d <= hi; d *= 10 {
		for k := 1.0; k < 10; k++ {
			v := k * d
			if v < lo*0.999 || v > hi*1.001 {
				continue
			}
			t := plot.Tick{Value: v}
			if k == 1 || k == 2 || k == 5 || hi/lo < 10 {
				t.Label = label(v)
			}
			out = append(out, t)
		}
	}
	return out
}

func label(v float64) string {
	if v >= 1000 {
		return fmt.Sprintf("%gk", v/1000)
	}
	return fmt.Sprintf("%g", v)
}

// every labels multiples of a step.
type every float64

func (e every) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for k := math.Ceil(lo / float64(e)); k*float64(e) <= hi*(1+1e-12); k++ {
		v := k * float64(e)
		out = append(out, plot.Tick{Value: v, Label: fmt.Sprintf("%.4g", v)})
	}
	return out
}
