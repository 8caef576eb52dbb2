// Package drawing makes SVG pictures of cabinets to build from: views with dimensions,
// ring patterns, pieces, sheets, and templates in full size.
package drawing

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A canvas collects shapes in millimetres, y up, and turns them into SVG, y down.
type canvas struct {
	lo, hi       [2]float64
	text         float64 // height of letters
	lines, words strings.Builder
}

func newCanvas(text float64) *canvas {
	inf := math.Inf(1)
	return &canvas{lo: [2]float64{inf, inf}, hi: [2]float64{-inf, -inf}, text: text}
}

// number writes millimetres, rounded once, so that every machine writes the same.
func number(x float64) string {
	s := strconv.FormatFloat(x, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func (c *canvas) reach(x, y float64) {
	c.lo = [2]float64{min(c.lo[0], x), min(c.lo[1], y)}
	c.hi = [2]float64{max(c.hi[0], x), max(c.hi[1], y)}
}

func at(x, y float64) string { return number(x) + " " + number(-y) }

// A look is how a shape is filled and drawn; lines grow with the letters, so that large
// pictures keep their contrast.
type look struct {
	fill, stroke string
	width        float64 // per height of letters
	dashes       bool
}

var (
	edge   = look{"none", "#111", 0.06, false}
	wood   = look{"#f3e3c3", "#111", 0.06, false}
	waste  = look{"#d9d9d9", "#777", 0.04, false}
	hidden = look{"none", "#0b5394", 0.06, true}
	thin   = look{"none", "#777", 0.04, false}
	hole   = look{"#fff", "#111", 0.06, false}
	filled = look{"#777", "none", 0, false}
)

func (c *canvas) style(l look) string {
	s := fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="%s"`, l.fill, l.stroke, number(l.width*c.text))
	if l.dashes {
		s += fmt.Sprintf(` stroke-dasharray="%s %s"`, number(0.4*c.text), number(0.2*c.text))
	}
	return s
}

func (c *canvas) draw(d string, l look) {
	fmt.Fprintf(&c.lines, `<path d="%s" fill-rule="evenodd" %s/>`+"\n", d, c.style(l))
}

func (c *canvas) line(x1, y1, x2, y2 float64, l look) {
	c.reach(x1, y1)
	c.reach(x2, y2)
	c.draw("M"+at(x1, y1)+"L"+at(x2, y2), l)
}

func (c *canvas) rect(x, y, w, h float64, l look) {
	c.reach(x, y)
	c.reach(x+w, y+h)
	c.draw("M"+at(x, y)+"H"+number(x+w)+"V"+number(-y-h)+"H"+number(x)+"Z", l)
}

func (c *canvas) circle(x, y, r float64, l look) {
	c.reach(x-r, y-r)
	c.reach(x+r, y+r)
	fmt.Fprintf(&c.lines, `<circle cx="%s" cy="%s" r="%s" %s/>`+"\n", number(x), number(-y), number(r), c.style(l))
}

func (c *canvas) cross(x, y, r float64, l look) {
	c.draw("M"+at(x-r, y)+"L"+at(x+r, y)+"M"+at(x, y-r)+"L"+at(x, y+r), l)
}

// write puts words about a place; turned ones read upwards.
func (c *canvas) write(x, y float64, anchor string, turned bool, size float64, s string) {
	c.reach(x-size, y-size)
	c.reach(x+size, y+size)
	turn := ""
	if turned {
		turn = fmt.Sprintf(` transform="rotate(-90 %s %s)"`, number(x), number(-y))
	}
	fmt.Fprintf(&c.words, `<text x="%s" y="%s" text-anchor="%s" font-size="%s"%s>%s</text>`+"\n",
		number(x), number(-y+size*0.35), anchor, number(size), turn, html.EscapeString(s))
}

// dimension measures level or upright between two places, drawn at a distance from
// them: below and left if that is negative.
func (c *canvas) dimension(x1, y1, x2, y2, away float64, s string) {
	tick := c.text / 3
	if y1 == y2 {
		y := y1 + away
		c.line(x1, y1, x1, y+math.Copysign(tick, away), thin)
		c.line(x2, y2, x2, y+math.Copysign(tick, away), thin)
		c.line(x1, y, x2, y, thin)
		c.arrow(x1, y, 1, 0)
		c.arrow(x2, y, -1, 0)
		c.write((x1+x2)/2, y+math.Copysign(c.text*0.75, away), "middle", false, c.text, s)
		return
	}
	x := x1 + away
	c.line(x1, y1, x+math.Copysign(tick, away), y1, thin)
	c.line(x2, y2, x+math.Copysign(tick, away), y2, thin)
	c.line(x, y1, x, y2, thin)
	up := math.Copysign(1, y2-y1)
	c.arrow(x, y1, 0, up)
	c.arrow(x, y2, 0, -up)
	c.write(x+math.Copysign(c.text*0.75, away), (y1+y2)/2, "middle", true, c.text, s)
}

// arrow points away from a direction, at the end of a measure.
func (c *canvas) arrow(x, y, dx, dy float64) {
	l, w := c.text*0.6, c.text*0.15
	c.draw("M"+at(x, y)+"L"+at(x+l*dx-w*dy, y+l*dy+w*dx)+"L"+at(x+l*dx+w*dy, y+l*dy-w*dx)+"Z", filled)
}

// A move turns an outline in metres, shifts it, and gives millimetres.
type move struct{ cos, sin, x, y float64 }

var still = move{cos: 1}

func (m move) point(p outline.Point) (x, y float64) {
	a, b := 1000*float64(p.X), 1000*float64(p.Y)
	return float64(m.cos*a) - float64(m.sin*b) + m.x, float64(m.sin*a) + float64(m.cos*b) + m.y
}

// path writes an outline as SVG.
func (c *canvas) path(o outline.Outline, m move) string {
	var b strings.Builder
	for i, s := range o.Sides() {
		x, y := m.point(s.From)
		if i == 0 {
			b.WriteString("M" + at(x, y))
		}
		x, y = m.point(s.To)
		if s.Radius == 0 {
			b.WriteString("L" + at(x, y))
			continue
		}
		large, way := 0, 1
		if math.Abs(float64(s.Sweep)) > math.Pi {
			large = 1
		}
		if s.Sweep > 0 { // anticlockwise with y up
			way = 0
		}
		r := number(s.Radius.In(units.Millimetre))
		fmt.Fprintf(&b, "A%s %s 0 %d %d %s", r, r, large, way, at(x, y))
	}
	lo, hi := o.Bounds()
	for _, p := range []outline.Point{lo, hi, {X: lo.X, Y: hi.Y}, {X: hi.X, Y: lo.Y}} {
		c.reach(m.point(p))
	}
	b.WriteString("Z")
	return b.String()
}

// svg returns the picture with its title.
func (c *canvas) svg(title, words string) string {
	margin := c.text
	x, y := c.lo[0]-margin, -c.hi[1]-margin
	w, h := c.hi[0]-c.lo[0]+2*margin, c.hi[1]-c.lo[1]+2*margin
	id := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(title))
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="%s %s %s %s" role="img" aria-labelledby="%s-title %s-text">
<title id="%s-title">%s</title>
<desc id="%s-text">%s</desc>
<rect x="%s" y="%s" width="%s" height="%s" fill="#fff"/>
<g stroke-linejoin="round">
%s</g>
<g fill="#111" font-family="system-ui, sans-serif">
%s</g>
</svg>
`, number(x), number(y), number(w), number(h), id, id, id, html.EscapeString(title), id, html.EscapeString(words),
		number(x), number(y), number(w), number(h), c.lines.String(), c.words.String())
}

// mm writes a length in plain millimetres for a dimension.
func mm(l units.Length) string {
	s := strconv.FormatFloat(math.Round(l.In(units.Millimetre)*10)/10, 'f', -1, 64)
	return s
}
