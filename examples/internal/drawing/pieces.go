package drawing

import (
	"fmt"
	"math"
	"strings"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// level returns the move that lays a shape with its longest side along the x axis, its
// lower left corner at (x, y), and the size it then has.
func level(o outline.Outline, x, y float64) (m move, w, h float64) {
	best := units.Length(0)
	for _, s := range o.Sides() {
		if l := s.Length(); l > best {
			best = l
			dx, dy := float64(s.To.X-s.From.X), float64(s.To.Y-s.From.Y)
			n := math.Hypot(dx, dy)
			m = move{cos: dx / n, sin: -dy / n}
		}
	}
	turned := make(outline.Outline, len(o))
	for i, c := range o {
		a, b := m.point(outline.Point{X: c.X, Y: c.Y})
		c.X, c.Y = units.Length(a/1000), units.Length(b/1000)
		turned[i] = c
	}
	lo, hi := turned.Bounds()
	m.x, m.y = x-1000*float64(lo.X), y-1000*float64(lo.Y)
	return m, 1000 * float64(hi.X-lo.X), 1000 * float64(hi.Y-lo.Y)
}

// Pieces draws every part of the rings and the end cap, with sizes, angles and counts.
func Pieces(s cabinet.Stack, l cabinet.Layers, list []cabinet.Piece) string {
	longest := 0.0
	for _, p := range l.Parts {
		longest = max(longest, p.Length.In(units.Millimetre))
	}
	c := newCanvas(longest / 40)
	y := 0.0
	counts := map[string]int{}
	for _, p := range list {
		counts[p.Name] = p.Count
	}
	put := func(name string, shape outline.Outline, p cabinet.Piece) {
		_, _, h := level(shape, 0, 0)
		y -= h + 5*c.text
		m, w, h := level(shape, 0, y)
		c.draw(c.path(shape, m), wood)
		c.write(w/2, y+h/2, "middle", false, c.text, fmt.Sprintf("%d × %s", counts[p.Name], name))
		c.dimension(0, y, w, y, -1.5*c.text, mm(p.Length))
		c.dimension(w, y, w, y+h, 1.5*c.text, mm(p.Width))
		var ends []string
		if p.Start != 0 || p.End != 0 {
			ends = append(ends, fmt.Sprintf("ends %v and %v off square", p.Start, p.End))
		}
		if o, i := mm(p.Outside), mm(p.Inside); o != i {
			ends = append(ends, fmt.Sprintf("outside %s, inside %s", o, i))
		}
		if p.Radius > 0 {
			ends = append(ends, "outer radius "+mm(p.Radius))
		}
		if len(ends) > 0 {
			c.write(w/2, y+h+c.text, "middle", false, c.text*0.8, strings.Join(ends, "; "))
		}
	}
	for _, p := range l.Parts {
		put(p.Letter, p.Shape, p.Piece)
	}
	for _, p := range list {
		if p.Name == "end cap" {
			put("end cap", s.Profile, p)
		}
	}
	return c.svg("Pieces to cut", fmt.Sprintf("%d different ring pieces and the end cap, with sizes in millimetres and counts for all cabinets.", len(l.Parts)))
}

// Sheets draws what is cut from each sheet of a lot; grey is left over.
func Sheets(sheet cabinet.Sheet, lot cabinet.Lot) string {
	w, h := sheet.Length.In(units.Millimetre), sheet.Width.In(units.Millimetre)
	trim := sheet.Trim.In(units.Millimetre)
	c := newCanvas(w / 90)
	base := func(n int) float64 { return -float64(n) * (h + 6*c.text) }
	for n := range lot.Layout.Sheets {
		y := base(n)
		c.rect(0, y, w, h, waste)
		if trim > 0 {
			c.rect(trim, y+trim, w-2*trim, h-2*trim, thin)
		}
		c.dimension(0, y, w, y, -1.5*c.text, mm(sheet.Length)+", grain this way")
		c.dimension(w, y, w, y+h, 1.5*c.text, mm(sheet.Width))
		c.write(0, y+h+c.text, "start", false, c.text, fmt.Sprintf("sheet %d of %d, %s thick", n+1, lot.Layout.Sheets, mm(lot.Thickness)))
	}
	for _, t := range lot.Layout.Strips {
		y := base(t.Sheet) + t.Across.In(units.Millimetre)
		for _, k := range t.Cuts {
			p := lot.Pieces[k.Piece]
			length, width := p.Length.In(units.Millimetre), p.Width.In(units.Millimetre)
			if k.Turned {
				length, width = width, length
			}
			x := k.Along.In(units.Millimetre)
			c.rect(x, y, length, width, wood)
			name := strings.TrimPrefix(p.Name, "piece ")
			c.write(x+length/2, y+width/2, "middle", length < width && length < 4*c.text, min(c.text, 0.8*width, 0.8*length), name+" "+mm(p.Length))
		}
		c.write(-c.text*0.6, y+t.Width.In(units.Millimetre)/2, "end", false, min(c.text, 0.9*t.Width.In(units.Millimetre)), mm(t.Width))
	}
	c.reach(-6*c.text, 0)
	return c.svg(fmt.Sprintf("Sheets of %s mm to cut", mm(lot.Thickness)), fmt.Sprintf("%d sheets with %d strips; grey is left over; numbers on the left are widths of strips.", lot.Layout.Sheets, len(lot.Layout.Strips)))
}
