// Package schematic draws passive branches so that one can solder from the drawing:
// parts in the order of the signal, each with its letter and value, from the
// amplifier's terminals on the left to the driver on the right.
package schematic

import (
	"fmt"
	"html"
	"strings"

	"example.com/halfspace/filter/ladder"
)

// A Branch is a network with its driver.
type Branch struct {
	Name     string // of the branch, as "woofer"
	Driver   string // what hangs on it
	Inverted bool   // the driver's plus on the return
	Network  ladder.Network
}

// Sizes in pixels; all coordinates are whole numbers, so the drawing is the same
// everywhere.
const (
	column  = 104 // of a series arm
	narrow  = 96  // of a shunt arm
	rail    = 56  // between parts in parallel in the signal path
	rung    = 74  // of one part across it
	left    = 96  // terminals
	right   = 210 // driver
	caption = 30
)

// SVG draws branches under each other, all of them across the amplifier. Letters run
// on from one to the next, as in [ladder.Network.Parts]. It carries a title and a
// description for who cannot see it.
func SVG(branches ...Branch) string {
	var d drawing
	width := 0
	for _, b := range branches {
		width = max(width, breadth(b.Network))
	}
	d.width = left + width + right
	for _, b := range branches {
		d.branch(b)
	}
	var words []string
	for _, b := range branches {
		words = append(words, Words(b)...)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="schematic-title schematic-text">
<title id="schematic-title">Schematic of the crossover</title>
<desc id="schematic-text">%s</desc>
<rect width="%d" height="%d" fill="#fff"/>
<g fill="none" stroke="#111" stroke-width="2" stroke-linecap="round" stroke-linejoin="round">
%s</g>
<g fill="#111" font-family="system-ui, sans-serif" font-size="14">
%s</g>
</svg>
`, d.width, d.y, html.EscapeString(strings.Join(words, " ")), d.width, d.y, d.lines.String(), d.texts.String())
}

// Words tells a branch arm by arm, letters counted from its own first part.
func Words(b Branch) []string {
	out := []string{fmt.Sprintf("The %s's branch, from the amplifier to %s:", b.Name, b.Driver)}
	for _, arm := range b.Network {
		var parts []string
		for _, p := range arm.Parts {
			parts = append(parts, p.String())
		}
		where, joint := "in series", " in parallel with "
		if arm.Shunt {
			where, joint = "across", " in series with "
		}
		out = append(out, fmt.Sprintf("%s %s;", strings.Join(parts, joint), where))
	}
	polarity := "plus of the driver on the signal."
	if b.Inverted {
		polarity = "plus of the driver on the return: inverted."
	}
	return append(out, polarity)
}

func breadth(n ladder.Network) int {
	w := 0
	for _, arm := range n {
		if arm.Shunt {
			w += narrow
		} else {
			w += column
		}
	}
	return w
}

type drawing struct {
	width, y     int
	letter       int
	lines, texts strings.Builder
}

func (d *drawing) line(format string, args ...any) {
	fmt.Fprintf(&d.lines, `<path d="`+format+"\"/>\n", args...)
}

func (d *drawing) text(x, y int, anchor, weight, s string) {
	fmt.Fprintf(&d.texts, `<text x="%d" y="%d" text-anchor="%s" font-weight="%s">%s</text>`+"\n", x, y, anchor, weight, html.EscapeString(s))
}

func (d *drawing) dot(x, y int) {
	fmt.Fprintf(&d.lines, `<circle cx="%d" cy="%d" r="3" fill="#111"/>`+"\n", x, y)
}

// branch draws one below what is there.
func (d *drawing) branch(b Branch) {
	above, below := 0, 1
	for _, arm := range b.Network {
		if arm.Shunt {
			below = max(below, len(arm.Parts))
		} else {
			above = max(above, len(arm.Parts)-1)
		}
	}
	d.text(8, d.y+20, "start", "700", strings.ToUpper(b.Name[:1])+b.Name[1:])
	top := d.y + caption + 34 + above*rail
	bottom := top + below*rung
	d.terminal(top, "+")
	d.terminal(bottom, "−")
	d.text(8, (top+bottom)/2+5, "start", "400", "amplifier")
	x := left
	for _, arm := range b.Network {
		if arm.Shunt {
			x = d.shunt(arm, x, top, bottom)
		} else {
			x = d.series(arm, x, top)
		}
	}
	end := d.width - right + 28
	d.line("M%d %dH%d", x, top, end)
	d.line("M%d %dH%d", left-24, bottom, end)
	d.speaker(end, top, bottom, b)
	d.y = bottom + 34
}

func (d *drawing) terminal(y int, sign string) {
	fmt.Fprintf(&d.lines, `<circle cx="%d" cy="%d" r="5"/>`+"\n", left-40, y)
	d.line("M%d %dH%d", left-35, y, left)
	d.text(left-54, y+5, "end", "700", sign)
}

// series draws parts in parallel in the signal path, the first lowest.
func (d *drawing) series(arm ladder.Arm, x, y int) int {
	end := x + column
	for i, p := range arm.Parts {
		at := y - i*rail
		d.line("M%d %dH%d", x, at, x+24)
		d.across(p, x+24, at, end-24)
		d.line("M%d %dH%d", end-24, at, end)
		if i > 0 {
			d.line("M%d %dV%d", x, at, at+rail)
			d.line("M%d %dV%d", end, at, at+rail)
		}
		d.text((x+end)/2, at-17, "middle", "400", d.label(p))
	}
	if len(arm.Parts) > 1 {
		d.dot(x, y)
		d.dot(end, y)
	}
	return end
}

// shunt draws parts in series from the signal path to the return.
func (d *drawing) shunt(arm ladder.Arm, x, top, bottom int) int {
	at := x + 14
	d.line("M%d %dH%d", x, top, x+narrow)
	d.dot(at, top)
	d.dot(at, bottom)
	y := top
	for _, p := range arm.Parts {
		d.line("M%d %dV%d", at, y, y+10)
		d.down(p, at, y+10, y+rung-10)
		d.line("M%d %dV%d", at, y+rung-10, y+rung)
		for i, word := range strings.SplitN(d.label(p), " ", 2) {
			d.text(at+18, y+rung/2-2+18*i, "start", "400", word)
		}
		y += rung
	}
	d.line("M%d %dV%d", at, y, bottom)
	return x + narrow
}

// label is a part's letter and value; losses stand in the parts list.
func (d *drawing) label(p ladder.Part) string {
	letter := ladder.Letter(d.letter)
	d.letter++
	p.Resistance, p.Loss, p.Tolerance = 0, 0, 0
	_, value, _ := strings.Cut(p.String(), " ")
	return letter + " " + strings.ReplaceAll(value, " ", "\u00a0")
}

// across draws a part from left to right.
func (d *drawing) across(p ladder.Part, x, y, end int) {
	mid := (x + end) / 2
	switch p.Kind {
	case ladder.Inductor:
		step := (end - x) / 4
		d.line("M%d %da%d %d 0 0 1 %d 0a%d %d 0 0 1 %d 0a%d %d 0 0 1 %d 0a%d %d 0 0 1 %d 0",
			x, y, step/2, step/2, step, step/2, step/2, step, step/2, step/2, step, step/2, step/2, step)
	case ladder.Capacitor:
		d.line("M%d %dH%dM%d %dV%dM%d %dV%dM%d %dH%d", x, y, mid-4, mid-4, y-12, y+12, mid+4, y-12, y+12, mid+4, y, end)
	default:
		d.line("M%d %dH%dV%dH%dZ", x, y-8, end, y+8, x)
	}
}

// down draws a part from top to bottom.
func (d *drawing) down(p ladder.Part, x, y, end int) {
	mid := (y + end) / 2
	switch p.Kind {
	case ladder.Inductor:
		step := (end - y) / 4
		d.line("M%d %da%d %d 0 0 1 0 %da%d %d 0 0 1 0 %da%d %d 0 0 1 0 %da%d %d 0 0 1 0 %dV%d",
			x, y, step/2, step/2, step, step/2, step/2, step, step/2, step/2, step, step/2, step/2, step, end)
	case ladder.Capacitor:
		d.line("M%d %dV%dM%d %dH%dM%d %dH%dM%d %dV%d", x, y, mid-4, x-12, mid-4, x+12, x-12, mid+4, x+12, x, mid+4, end)
	default:
		d.line("M%d %dH%dV%dH%dZ", x-8, y, x+8, end, x-8)
	}
}

// speaker draws the driver between the two lines.
func (d *drawing) speaker(x, top, bottom int, b Branch) {
	mid := (top + bottom) / 2
	d.line("M%d %dV%d", x, top, mid-16)
	d.line("M%d %dV%d", x, mid+16, bottom)
	d.line("M%d %dH%dV%dH%dZ", x-8, mid-16, x+8, mid+16, x-8)
	d.line("M%d %dL%d %dV%dL%d %d", x+8, mid-16, x+26, mid-32, mid+32, x+8, mid+16)
	plus, minus := mid-22, mid+32
	if b.Inverted {
		plus, minus = minus, plus
	}
	d.text(x-12, plus, "end", "700", "+")
	d.text(x-12, minus, "end", "700", "−")
	for i, word := range wrap(b.Driver, 14) {
		d.text(x+34, mid-4+18*i, "start", "400", word)
	}
	if b.Inverted {
		d.text(x+34, mid+50, "start", "700", "inverted")
	}
}

// wrap breaks words into lines of about so many letters, three at most.
func wrap(s string, letters int) []string {
	var lines []string
	for _, w := range strings.Fields(s) {
		if n := len(lines); n > 0 && (len(lines[n-1])+1+len(w) <= letters || n == 3) {
			lines[n-1] += " " + w
			continue
		}
		lines = append(lines, w)
	}
	return lines
}
