package drawing

import (
	"fmt"
	"math"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A Hole is something round in the front, from the lower left corner of the panel.
type Hole struct {
	Name           string
	X, Y           units.Length
	Flange, Cutout units.Length
}

// Views draws the side view with its wall and the front with layers and holes, both
// with dimensions in millimetres.
func Views(s cabinet.Stack, holes []Hole) (string, error) {
	inside, err := s.Inside()
	if err != nil {
		return "", err
	}
	lo, hi := s.Profile.Bounds()
	d, h := (hi.X - lo.X).In(units.Millimetre), (hi.Y - lo.Y).In(units.Millimetre)
	c := newCanvas(max(d, h) / 34)
	m := move{cos: 1, x: -lo.X.In(units.Millimetre), y: -lo.Y.In(units.Millimetre)}
	c.draw(c.path(s.Profile, m)+c.path(inside, m), wood)
	away := 2.2 * c.text
	c.dimension(0, 0, d, 0, -away, mm(hi.X-lo.X))
	c.dimension(0, 0, 0, h, -away, mm(hi.Y-lo.Y))
	il, ih := inside.Bounds()
	x1, y1 := m.point(il)
	x2, y2 := m.point(ih)
	c.dimension(x1, y1+(y2-y1)*0.2, x2, y1+(y2-y1)*0.2, c.text, mm(ih.X-il.X)+" inside")
	c.dimension(x1+(x2-x1)*0.9, y1, x1+(x2-x1)*0.9, y2, -c.text, mm(ih.Y-il.Y)+" inside")
	c.dimension(d, 0, d, y1, away*0.6, "wall "+mm(s.Wall))
	for i, p := range s.Profile {
		if x, y := m.point(outline.Point{X: p.X, Y: p.Y}); p.Round > 0 {
			c.write(x, y+c.text*1.6, "middle", false, c.text*0.8, fmt.Sprintf("corner %d: R %s", i+1, mm(p.Round)))
		}
	}
	c.write(d/2, h+4.5*c.text, "middle", false, c.text, "side, front to the right")

	// The front, to the right.
	left := d + 9*c.text
	w := s.OutsideWidth().In(units.Millimetre)
	c.rect(left, 0, w, h, wood)
	cap, t, g := s.Cap, s.Thickness, s.GlueLine
	if cap == 0 {
		cap = t
	}
	for i := range s.Layers + 1 {
		x := left + (cap + units.Length(i)*(t+g) + g/2).In(units.Millimetre)
		c.line(x, 0, x, h, thin)
	}
	for i, o := range holes {
		x, y := left+o.X.In(units.Millimetre), o.Y.In(units.Millimetre)
		if o.Flange > o.Cutout {
			c.circle(x, y, o.Flange.In(units.Millimetre)/2, hidden)
		}
		c.circle(x, y, o.Cutout.In(units.Millimetre)/2, hole)
		c.cross(x, y, c.text/2, thin)
		c.write(x, y+c.text*1.2, "middle", false, c.text*0.8, o.Name)
		c.write(x, y-c.text*1.2, "middle", false, c.text*0.8, "⌀ "+mm(o.Cutout))
		c.dimension(left+w, 0, left+w, y, away+float64(i)*2.4*c.text, mm(o.Y))
		c.dimension(left, 0, x, 0, -away-float64(i)*2.4*c.text, mm(o.X))
	}
	c.dimension(left, h, left+w, h, away*0.6, mm(s.OutsideWidth()))
	c.write(left+w/2, h+4.5*c.text, "middle", false, c.text, fmt.Sprintf("front: %d layers of %s", s.Layers, mm(s.Thickness)))
	return c.svg("Views of the cabinet", fmt.Sprintf("Side view %s by %s mm with a wall of %s mm, and the front %s mm wide with %d holes.",
		mm(hi.X-lo.X), mm(hi.Y-lo.Y), mm(s.Wall), mm(s.OutsideWidth()), len(holes))), nil
}

// Pattern draws the ring of one pattern, 0 or 1, with its letters; the joints of the
// other one are dashed, crosses are registration holes.
func Pattern(s cabinet.Stack, l cabinet.Layers, k int) string {
	lo, hi := s.Profile.Bounds()
	c := newCanvas(float64(max(hi.X-lo.X, hi.Y-lo.Y)) * 1000 / 26)
	for _, p := range l.Rings[1-k] {
		c.draw(c.path(p.Shape, still), hidden)
	}
	var below = c.lines.String()
	c.lines.Reset()
	for _, p := range l.Rings[k] {
		c.draw(c.path(p.Shape, still), wood)
		q := inner(p.Shape, l.Dowels, units.Length(c.text/1000))
		x, y := still.point(q)
		c.write(x, y, "middle", false, c.text, l.Parts[p.Part].Letter)
	}
	c.lines.WriteString(below)
	for _, d := range l.Dowels {
		x, y := still.point(d)
		c.cross(x, y, c.text/2, edge)
	}
	layers := "odd"
	if k == 1 {
		layers = "even"
	}
	x, _ := still.point(outline.Point{X: (lo.X + hi.X) / 2})
	_, y := still.point(hi)
	c.write(x, y+1.5*c.text, "middle", false, c.text, fmt.Sprintf("pattern %d: %s layers", k+1, layers))
	return c.svg(fmt.Sprintf("Pattern %d of the rings", k+1), fmt.Sprintf("%d pieces with their letters; joints of the next layer dashed; crosses are registration holes.", len(l.Rings[k])))
}

// inner returns a point for a letter of a size: beside the centre of the piece or, if
// that lies outside, near its longest edge, and clear of registration holes.
func inner(o outline.Outline, dowels []outline.Point, size units.Length) outline.Point {
	p := o.Centroid()
	best, from, to := units.Length(0), outline.Point{}, outline.Point{}
	for _, s := range o.Sides() {
		if s.Length() > best {
			best, from, to = s.Length(), s.From, s.To
		}
	}
	u, v := (to.X-from.X)/best, (to.Y-from.Y)/best
	free := func(q outline.Point) bool {
		for _, d := range dowels {
			if math.Hypot(float64(d.X-q.X), float64(d.Y-q.Y)) < 1.3*float64(size) {
				return false
			}
		}
		return o.Contains(q)
	}
	for i := range 20 {
		step := units.Length(i)
		for _, way := range []units.Length{1, -1} {
			q := outline.Point{X: p.X + way*step*size/2*u, Y: p.Y + way*step*size/2*v}
			if free(q) {
				return q
			}
		}
	}
	for _, t := range []units.Length{0.5, 0.4, 0.3} {
		for _, d := range []units.Length{0.6, -0.6} {
			q := outline.Point{X: from.X + t*best*u - d*size*v, Y: from.Y + t*best*v + d*size*u}
			if free(q) {
				return q
			}
		}
	}
	return p
}
