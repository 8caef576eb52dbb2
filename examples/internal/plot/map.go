package plot

import (
	"bytes"
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A Map is a level over two axes: bands of one shade each, with labelled lines
// between them, so that it can be read without colour. What is NaN stays white.
type Map struct {
	X      []float64 // ascending
	Across string    // of the horizontal axis; empty: frequency, Hz, on a logarithmic axis
	Y      []float64 // ascending
	Up     string    // of the vertical axis
	StepX  float64   // between labels across, where the axis is not logarithmic
	StepY  float64
	Unit   string      // of the level
	Z      [][]float64 // by Y, then X
	Levels []float64   // ascending: where one band ends and the next begins
	Marks  []Spot
	Square bool // one length for both axes, as for places on a panel
}

// A Spot is a named place on a map.
type Spot struct {
	Name string
	X, Y float64
}

// Shade returns the colour of the nth of so many bands: the lower the darker.
func Shade(n, of int) color.NRGBA {
	t := 1.0
	if of > 1 {
		t = float64(n) / float64(of-1)
	}
	mix := func(dark, light float64) uint8 { return uint8(math.Round(dark + t*(light-dark))) }
	return color.NRGBA{mix(40, 250), mix(62, 248), mix(90, 238), 255}
}

// SVG draws the map with the key to its bands on the right.
func (m Map) SVG() ([]byte, error) {
	if len(m.X) < 2 || len(m.Y) < 2 || len(m.Z) != len(m.Y) || len(m.Levels) == 0 {
		return nil, fmt.Errorf("plot: map of %d × %d with %d rows and %d levels", len(m.X), len(m.Y), len(m.Z), len(m.Levels))
	}
	for i, row := range m.Z {
		if len(row) != len(m.X) {
			return nil, fmt.Errorf("plot: map: row %d has %d values for %d places", i+1, len(row), len(m.X))
		}
	}
	p := plot.New()
	sans := font.Font{Typeface: "Liberation", Variant: "Sans", Size: 11}
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font = sans
		a.Tick.Label.Font = sans
		a.Padding = 0
	}
	p.X.Label.Text, p.Y.Label.Text = m.across(), m.Up
	p.X.Min, p.X.Max = m.X[0], m.X[len(m.X)-1]
	p.Y.Min, p.Y.Max = m.Y[0], m.Y[len(m.Y)-1]
	if p.X.Tick.Marker = every(m.StepX); m.Across == "" {
		p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, decades{}
	}
	p.Y.Tick.Marker = every(m.StepY)
	p.Add(bands{m})

	const key, labels = 62, 48 // room for the key, and for the labels of an axis
	width, height := vg.Length(Width), vg.Length(Height)
	if m.Square {
		ratio := vg.Length((p.X.Max - p.X.Min) / (p.Y.Max - p.Y.Min))
		height = min(1.5*height, (width-key-labels)/ratio+labels)
		width = min(width, (height-labels)*ratio+labels+key)
	}
	c := vgsvg.New(Width, height) // never narrower, so that pages scale all figures alike
	whole := draw.New(c)
	p.Draw(draw.Crop(whole, 0, width-key-Width, 0, -6))
	m.key(draw.Crop(whole, width-key+10, 0, 30, -10), sans)
	var b bytes.Buffer
	_, err := c.WriteTo(&b)
	return b.Bytes(), err
}

func (m Map) across() string {
	if m.Across == "" {
		return "frequency, Hz"
	}
	return m.Across
}

// key draws the bands as a ladder with the levels between them.
func (m Map) key(c draw.Canvas, sans font.Font) {
	n := len(m.Levels) + 1
	step := (c.Max.Y - c.Min.Y - 14) / vg.Length(n)
	style := words(sans)
	for i := range n {
		y := c.Min.Y + vg.Length(i)*step
		box := []vg.Point{{X: c.Min.X, Y: y}, {X: c.Min.X + 14, Y: y}, {X: c.Min.X + 14, Y: y + step}, {X: c.Min.X, Y: y + step}}
		c.FillPolygon(Shade(i, n), box)
		c.StrokeLines(draw.LineStyle{Color: color.Black, Width: 0.5}, append(box, box[0]))
		if i > 0 {
			style.YAlign = text.YCenter
			c.FillText(style, vg.Point{X: c.Min.X + 17, Y: y}, level(m.Levels[i-1]))
		}
	}
	style.YAlign = text.YBottom
	c.FillText(style, vg.Point{X: c.Min.X, Y: c.Max.Y - 12}, m.Unit)
}

func words(f font.Font) draw.TextStyle {
	f.Size = 9
	return draw.TextStyle{Color: color.Black, Font: f, Handler: plot.DefaultTextHandler}
}

func level(v float64) string {
	s := fmt.Sprintf("%.4g", v)
	if v < 0 {
		s = "−" + s[1:]
	}
	return s
}

// bands draws the cells, the lines between levels and their labels.
type bands struct{ m Map }

func (b bands) Plot(c draw.Canvas, p *plot.Plot) {
	m := b.m
	tx, ty := p.Transforms(&c)
	x, y := borders(m.X, tx), borders(m.Y, ty)
	n := len(m.Levels) + 1
	for j, row := range m.Z {
		for i := 0; i < len(row); {
			band, end := m.band(row[i]), i+1
			for end < len(row) && m.band(row[end]) == band {
				end++
			}
			if band >= 0 {
				// A hair into the next row, or the seam shows.
				const hair = 0.3
				c.FillPolygon(Shade(band, n), []vg.Point{{X: x[i], Y: y[j]}, {X: x[end], Y: y[j]}, {X: x[end], Y: y[j+1] + hair}, {X: x[i], Y: y[j+1] + hair}})
			}
			i = end
		}
	}
	style := words(p.X.Tick.Label.Font)
	style.XAlign, style.YAlign = text.XCenter, text.YCenter
	var labels []vg.Point
	for k, l := range m.Levels {
		segments := m.line(l, tx, ty)
		if len(segments) == 0 {
			continue
		}
		var path vg.Path
		for _, s := range segments {
			path.Move(s[0])
			path.Line(s[1])
		}
		width := vg.Points(0.7)
		if k == len(m.Levels)-1 {
			width = vg.Points(1.2)
		}
		c.SetLineStyle(draw.LineStyle{Color: color.Black, Width: width})
		c.Stroke(path)
		for range 2 {
			at, ok := clear(segments, labels, c)
			if !ok {
				break
			}
			labels = append(labels, at)
			text := level(l)
			half := style.Width(text)/2 + 1.5
			c.FillPolygon(color.White, []vg.Point{{X: at.X - half, Y: at.Y - 5}, {X: at.X + half, Y: at.Y - 5}, {X: at.X + half, Y: at.Y + 5}, {X: at.X - half, Y: at.Y + 5}})
			c.FillText(style, at, text)
		}
	}
	for i, s := range m.Marks {
		at := vg.Point{X: tx(s.X), Y: ty(s.Y)}
		c.DrawGlyph(draw.GlyphStyle{Color: color.White, Radius: 5, Shape: draw.CircleGlyph{}}, at)
		c.DrawGlyph(draw.GlyphStyle{Color: color.Black, Radius: 4, Shape: draw.CrossGlyph{}}, at)
		half := style.Width(s.Name)/2 + 2
		if at.Y -= 11; i%2 == 1 {
			at.Y += 22 // the next one's name stands above it
		}
		c.FillPolygon(color.White, []vg.Point{{X: at.X - half, Y: at.Y - 5}, {X: at.X + half, Y: at.Y - 5}, {X: at.X + half, Y: at.Y + 5}, {X: at.X - half, Y: at.Y + 5}})
		c.FillText(style, at, s.Name)
	}
}

// band returns in which band a value lies, -1 if it is none.
func (m Map) band(v float64) int {
	if math.IsNaN(v) {
		return -1
	}
	n := 0
	for n < len(m.Levels) && steady(v) >= m.Levels[n] {
		n++
	}
	return n
}

// steady drops the digits in which machines differ, so that all draw the same bands.
func steady(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// borders returns the edges of the cells about the places of an axis.
func borders(v []float64, t func(float64) vg.Length) []vg.Length {
	out := []vg.Length{t(v[0])}
	for i := 1; i < len(v); i++ {
		out = append(out, (t(v[i-1])+t(v[i]))/2)
	}
	return append(out, t(v[len(v)-1]))
}

// line returns the pieces of the line of a level, cell by cell ("marching squares").
func (m Map) line(l float64, tx, ty func(float64) vg.Length) [][2]vg.Point {
	var out [][2]vg.Point
	for j := 1; j < len(m.Y); j++ {
		for i := 1; i < len(m.X); i++ {
			// The corners in turn, and where the level passes between neighbours.
			corner := [4][2]int{{i - 1, j - 1}, {i, j - 1}, {i, j}, {i - 1, j}}
			var cuts []vg.Point
			for k := range corner {
				a, b := corner[k], corner[(k+1)%4]
				va, vb := steady(m.Z[a[1]][a[0]]), steady(m.Z[b[1]][b[0]])
				if (va >= l) == (vb >= l) || math.IsNaN(va) || math.IsNaN(vb) {
					continue
				}
				t := vg.Length((l - va) / (vb - va))
				xa, ya, xb, yb := tx(m.X[a[0]]), ty(m.Y[a[1]]), tx(m.X[b[0]]), ty(m.Y[b[1]])
				cuts = append(cuts, vg.Point{X: xa + t*(xb-xa), Y: ya + t*(yb-ya)})
			}
			for k := 1; k < len(cuts); k += 2 {
				out = append(out, [2]vg.Point{cuts[k-1], cuts[k]})
			}
		}
	}
	return out
}

// clear returns the place on a line farthest from all labels, if there is room.
func clear(segments [][2]vg.Point, labels []vg.Point, c draw.Canvas) (vg.Point, bool) {
	const margin, apart = 12, 24
	best, room := vg.Point{}, 0.0
	for _, s := range segments {
		at := vg.Point{X: (s[0].X + s[1].X) / 2, Y: (s[0].Y + s[1].Y) / 2}
		if at.X < c.Min.X+margin || at.X > c.Max.X-margin || at.Y < c.Min.Y+7 || at.Y > c.Max.Y-7 {
			continue
		}
		nearest := 300.0
		for _, l := range labels {
			nearest = min(nearest, math.Hypot(float64(at.X-l.X), float64(at.Y-l.Y)))
		}
		// Rounded, so that ties fall the same way everywhere.
		if nearest = math.Round(nearest); nearest > room {
			best, room = at, nearest
		}
	}
	return best, room >= apart
}
