package cabinet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// Layers are the rings of a stack cut into pieces, in two patterns that take turns,
// so that no joint lies over one of the next layer.
type Layers struct {
	// Parts are the different pieces, lettered in the order in which the patterns
	// need them. Their Count is for the whole stack.
	Parts []Part

	// Rings are the pieces of both patterns where they lie, in the order of the
	// profile. Odd layers, counted from the left cap, have the first pattern.
	Rings [2][]Placed

	// Lap is the least distance, halfway through the wall, between a joint and the
	// nearest one of the next layer.
	Lap units.Length

	// Dowels are places for registration holes, halfway through the wall and halfway
	// between joints of one layer or the next: each piece has two or more of them,
	// and each layer has them all.
	Dowels []outline.Point
}

// A Part is one of the different pieces of the layers. Pieces that are alike once
// turned over are one part.
type Part struct {
	Piece
	Letter string
	Shape  outline.Outline // as the first of them lies in the profile
	Ring   [2]int          // how many a ring of each pattern needs
}

// A Placed is a piece in its place in a ring.
type Placed struct {
	Part  int // index of its part
	Shape outline.Outline
}

// Interlock cuts the rings into pieces at the joints of two patterns; without any
// joints it chooses: at a sharp corner the side before runs through in one pattern
// and the side after it in the other, which makes both rings of a polygon of the same
// pieces, one turned over. A large rounding, and a corner with an arc, is cut through
// in one pattern, and the side after it across, twice the wall farther on, in the
// other.
//
// Corners are those of the ring before shaping, as in [Stack.Pieces]: a rounding of
// no more than the wall, or a chamfer that vanishes inside, is a sharp corner.
//
// Errors, besides those of Stack.Check, name the pattern and the joint: one that has
// no place, that crosses or repeats another of its own pattern, or that lies over
// one of the other pattern.
func (s Stack) Interlock(patterns [2][]Joint) (Layers, error) {
	r, err := s.ring()
	if err != nil {
		return Layers{}, err
	}
	if len(patterns[0]) == 0 && len(patterns[1]) == 0 {
		patterns = r.usual()
	}
	var lines [2][]line
	for k, joints := range patterns {
		if lines[k], err = r.lines(k, joints); err != nil {
			return Layers{}, err
		}
	}
	l := Layers{}
	if l.Lap, err = r.lap(patterns, lines); err != nil {
		return Layers{}, err
	}
	l.Dowels = r.dowels(lines)
	for k := range lines {
		for i, from := range lines[k] {
			to := lines[k][(i+1)%len(lines[k])]
			p := s.part(r, from, to)
			if err := p.Shape.Check(); err != nil {
				return Layers{}, fmt.Errorf("cabinet: pattern %d: piece after joint %d: %w", k+1, i+1, err)
			}
			at := slices.IndexFunc(l.Parts, func(q Part) bool { return alike(p, q) })
			if at < 0 {
				at = len(l.Parts)
				p.Letter = letter(at)
				p.Name = "piece " + p.Letter
				l.Parts = append(l.Parts, p)
			}
			l.Parts[at].Ring[k]++
			l.Rings[k] = append(l.Rings[k], Placed{Part: at, Shape: p.Shape})
		}
	}
	for i := range l.Parts {
		p := &l.Parts[i]
		p.Count = p.Ring[0]*((s.Layers+1)/2) + p.Ring[1]*(s.Layers/2)
	}
	return l, nil
}

// cutList returns the pieces of the layers and the two end caps of the stack.
func (s Stack) cutList(l Layers) []Piece {
	var list []Piece
	for _, p := range l.Parts {
		list = append(list, p.Piece)
	}
	lo, hi := s.Profile.Bounds()
	w, h := hi.X-lo.X, hi.Y-lo.Y
	return append(list, Piece{Name: capName, Count: 2, Length: max(w, h), Width: min(w, h), Thickness: s.capThickness()})
}

// Oversized returns the stack with rings and caps that stand over by a margin inside
// and outside, to be trimmed flush to the true outline after gluing.
func (s Stack) Oversized(margin units.Length) (Stack, error) {
	if err := cmp.Or(s.Check(), units.NotNegative("cabinet: oversize", margin)); err != nil {
		return s, err
	}
	larger, err := s.Profile.Offset(-margin)
	if err != nil {
		return s, err
	}
	s.Profile, s.Wall = larger, s.Wall+2*margin
	return s, s.Check()
}

// usual returns the patterns for a stack that names none.
func (r ring) usual() [2][]Joint {
	var p [2][]Joint
	for i, c := range r.corners {
		before, after := r.outer[(r.begin[i]+len(r.outer)-1)%len(r.outer)], r.outer[r.begin[i]]
		turn := math.Abs(r2.Cross(heading(before, 1), heading(after, 0)))
		if c.Round == 0 && before.Radius == 0 && after.Radius == 0 && turn > 0.1 {
			p[0] = append(p[0], Joint{Corner: i + 1, Cut: BeforeThrough})
			p[1] = append(p[1], Joint{Corner: i + 1, Cut: AfterThrough})
			continue
		}
		p[0] = append(p[0], Joint{Corner: i + 1, Cut: Mitred})
		along := units.Length(min(2*r.wall, float64(after.Length())/2))
		p[1] = append(p[1], Joint{Corner: i + 1, Cut: Across, Along: along})
	}
	return p
}

// lines places the joints of a pattern, in the order of the profile.
func (r ring) lines(pattern int, joints []Joint) ([]line, error) {
	refuse := func(i int, want string) error {
		return &units.RangeError{Field: fmt.Sprintf("cabinet: pattern %d: joint %d", pattern+1, i+1), Value: "at " + joints[i].String(), Want: want}
	}
	if len(joints) < 2 {
		return nil, &units.RangeError{Field: fmt.Sprintf("cabinet: pattern %d: joints", pattern+1), Value: fmt.Sprint(len(joints)), Want: "must be 2 or more"}
	}
	lines := make([]line, len(joints))
	for i, j := range joints {
		var why string
		if lines[i], why = r.line(j); why != "" {
			return nil, refuse(i, why)
		}
	}
	order := make([]int, len(lines))
	for i := range order {
		order[i] = i
	}
	n := float64(len(r.outer))
	// A joint at the first corner may lie on the last side or on the first.
	key := func(l line) float64 {
		x := (l.outer.order() + l.inner.order()) / 2
		if math.Abs(l.outer.order()-l.inner.order()) > n/2 {
			x = math.Mod(x+n/2, n)
		}
		return x
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(key(lines[i]), key(lines[j])) })
	sorted := make([]line, len(lines))
	for k, i := range order {
		sorted[k] = lines[i]
		if k > 0 && meet(sorted[k-1], lines[i]) || k == len(order)-1 && meet(lines[i], sorted[0]) {
			return nil, refuse(i, "must not meet another joint of its pattern")
		}
	}
	return sorted, nil
}

// meet says whether two cuts touch or cross.
func meet(a, b line) bool {
	const hair = 1e-7
	if r2.Norm(r2.Sub(a.a, b.a)) < hair || r2.Norm(r2.Sub(a.b, b.b)) < hair {
		return true
	}
	return crosses(a, b)
}

// crosses says whether two cuts cross within both, not merely at an end.
func crosses(a, b line) bool {
	u, v, w := r2.Sub(a.b, a.a), r2.Sub(b.b, b.a), r2.Sub(b.a, a.a)
	c := r2.Cross(u, v)
	if math.Abs(c) <= 1e-9*r2.Norm(u)*r2.Norm(v) {
		// Parallel: they coincide if both lie on one line and share some of it.
		if math.Abs(r2.Cross(u, w)) > 1e-7*r2.Norm(u) {
			return false
		}
		from, to := r2.Dot(w, u)/r2.Norm2(u), r2.Dot(r2.Add(w, v), u)/r2.Norm2(u)
		return max(from, to) > 1e-6 && min(from, to) < 1-1e-6
	}
	t, k := r2.Cross(w, v)/c, r2.Cross(w, u)/c
	const end = 1e-6
	return t > end && t < 1-end && k > end && k < 1-end
}

// lap returns the least distance between joints of the two patterns, and refuses
// joints that lie over each other.
func (r ring) lap(patterns [2][]Joint, lines [2][]line) (units.Length, error) {
	total := 0.0
	for _, s := range r.middle {
		total += float64(s.Length())
	}
	least := math.Inf(1)
	for i, a := range lines[0] {
		for k, b := range lines[1] {
			d := math.Abs(r.along(a) - r.along(b))
			d = min(d, total-d)
			if crosses(a, b) || d < 1e-6 {
				return 0, &units.RangeError{Field: fmt.Sprintf("cabinet: pattern 2: piece %d: joint", k+1), Value: "at " + r.name(b, patterns[1]),
					Want: fmt.Sprintf("must not lie over the one at %s of pattern 1, piece %d", r.name(a, patterns[0]), i+1)}
			}
			least = min(least, d)
		}
	}
	return units.Length(least), nil
}

// name tells which joint a line belongs to.
func (r ring) name(l line, joints []Joint) string {
	for _, j := range joints {
		if m, why := r.line(j); why == "" && m == l {
			return j.String()
		}
	}
	return ""
}

// along is the place of a joint halfway through the wall.
func (r ring) along(l line) float64 { return place(r.middle, r2.Scale(0.5, r2.Add(l.a, l.b))) }

// dowels puts one between any two joints that follow each other, of whatever pattern,
// and two where both are of one pattern: a piece lies there alone.
func (r ring) dowels(lines [2][]line) []outline.Point {
	type mark struct {
		at      float64
		pattern int
	}
	var marks []mark
	for k := range lines {
		for _, l := range lines[k] {
			marks = append(marks, mark{r.along(l), k})
		}
	}
	slices.SortFunc(marks, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
	total := 0.0
	for _, s := range r.middle {
		total += float64(s.Length())
	}
	var points []outline.Point
	for i, from := range marks {
		to := marks[(i+1)%len(marks)]
		if i == len(marks)-1 {
			to.at += total
		}
		shares := []float64{0.5}
		if from.pattern == to.pattern {
			shares = []float64{0.25, 0.75}
		}
		for _, share := range shares {
			where := math.Mod(from.at+float64(share*(to.at-from.at)), total)
			for _, s := range r.middle {
				if length := float64(s.Length()); where > length {
					where -= length
				} else {
					points = append(points, s.At(where/length))
					break
				}
			}
		}
	}
	return points
}

// part returns the piece between two joints.
func (s Stack) part(r ring, from, to line) Part {
	outer, inner := path(r.outer, from.outer, to.outer), path(r.inner, from.inner, to.inner)
	p := Part{Piece: Piece{Thickness: s.Thickness}}
	corner := func(q outline.Point, rise float64) {
		p.Shape = append(p.Shape, outline.Corner{X: q.X, Y: q.Y, Rise: units.Length(rise)})
	}
	rise := func(s outline.Side) float64 {
		if s.Radius == 0 {
			return 0
		}
		return r.sense * r2.Norm(between(s.From, s.To)) / 2 * math.Tan(float64(s.Sweep)/4)
	}
	for _, o := range outer {
		p.Outside += o.Length()
		corner(o.From, rise(o))
	}
	corner(vecPoint(to.a), 0)
	for _, i := range slices.Backward(inner) {
		p.Inside += i.Length()
		corner(i.To, -rise(i))
	}
	corner(vecPoint(from.b), 0)
	p.Shape = plain(p.Shape)
	if s.strip(r, &p) {
		return p
	}
	if len(outer) > 0 {
		p.Start = s.mitre(r2.Dot(heading(outer[0], 0), r2.Sub(from.b, from.a)))
		p.End = s.mitre(r2.Dot(heading(outer[len(outer)-1], 1), r2.Sub(to.a, to.b)))
	}
	p.blank()
	if len(outer) == 1 && len(inner) == 1 {
		p.Radius = outer[0].Radius
	}
	return p
}

// strip fills in a piece that is a straight strip as wide as the wall, and says
// whether it is one.
func (s Stack) strip(r ring, p *Part) bool {
	if len(p.Shape) != 4 {
		return false
	}
	sides := p.Shape.Sides()
	for k, outer := range sides {
		inner := sides[(k+2)%4]
		u, v := heading(outer, 0), heading(inner, 0)
		n := r2.Vec{X: u.Y, Y: -u.X} // outwards on the right of an anticlockwise way
		across := r2.Scale(r.sense, n)
		apart := r2.Dot(across, r2.Sub(at(outer, 0), at(inner, 0)))
		beyond := vecPoint(r2.Add(at(outer, 0.5), r2.Scale(r.wall/100, across)))
		if outer.Radius != 0 || inner.Radius != 0 || math.Abs(r2.Cross(u, v)) > 1e-9 ||
			math.Abs(apart-r.wall) > 1e-9 || r.corners.Contains(beyond) {
			continue
		}
		p.Outside, p.Inside = outer.Length(), inner.Length()
		p.Start = s.mitre(r2.Dot(u, r2.Sub(at(inner, 1), at(outer, 0))))
		p.End = s.mitre(r2.Dot(u, r2.Sub(at(outer, 1), at(inner, 0))))
		a, b := extent(outer, u)
		c, d := extent(inner, u)
		p.Length, p.Width = max(b.X, d.X)-min(a.X, c.X), s.Wall
		return true
	}
	return false
}

// heading is the unit vector along a side at one of its ends.
func heading(s outline.Side, t float64) r2.Vec {
	if s.Radius == 0 {
		return r2.Unit(between(s.From, s.To))
	}
	d := r2.Unit(r2.Sub(at(s, t), vec(s.Centre)))
	return r2.Scale(math.Copysign(1, float64(s.Sweep)), r2.Vec{X: -d.Y, Y: d.X})
}

// plain leaves out corners that repeat the one before or lie within a straight line.
func plain(o outline.Outline) outline.Outline {
	for i := 0; i < len(o) && len(o) > 3; {
		before, c, after := o[(i+len(o)-1)%len(o)], o[i], o[(i+1)%len(o)]
		u := r2.Vec{X: float64(c.X - before.X), Y: float64(c.Y - before.Y)}
		v := r2.Vec{X: float64(after.X - c.X), Y: float64(after.Y - c.Y)}
		twice := r2.Norm(u) < 1e-9
		flat := before.Rise == 0 && c.Rise == 0 && math.Abs(r2.Cross(u, v)) < 1e-9*r2.Norm(u)*r2.Norm(v) && r2.Dot(u, v) > 0
		if !twice && !flat {
			i++
			continue
		}
		if twice {
			o[(i+len(o)-1)%len(o)].Rise = c.Rise
		}
		o = slices.Delete(o, i, i+1)
	}
	return o
}

// blank finds the smallest rectangle with an edge along one of the piece's own.
func (p *Part) blank() {
	sides := p.Shape.Sides()
	best := math.Inf(1)
	for _, s := range sides {
		if s.Length() < 1e-9 {
			continue
		}
		u := r2.Unit(between(s.From, s.To))
		lo := outline.Point{X: units.Length(math.Inf(1)), Y: units.Length(math.Inf(1))}
		hi := outline.Point{X: -lo.X, Y: -lo.Y}
		for _, e := range sides {
			a, b := extent(e, u)
			lo = outline.Point{X: min(lo.X, a.X), Y: min(lo.Y, a.Y)}
			hi = outline.Point{X: max(hi.X, b.X), Y: max(hi.Y, b.Y)}
		}
		l, w := hi.X-lo.X, hi.Y-lo.Y
		if area := float64(l) * float64(w); area < best*(1-1e-9) {
			best, p.Length, p.Width = area, max(l, w), min(l, w)
		}
	}
}

// alike says whether two parts have the same shape, turned over or not.
func alike(p, q Part) bool {
	if len(p.Shape) != len(q.Shape) || p.Thickness != q.Thickness ||
		math.Abs(float64(p.Shape.Area()-q.Shape.Area())) > 1e-9 || math.Abs(float64(p.Length-q.Length)) > 1e-7 {
		return false
	}
	n := len(p.Shape)
	a, b := p.Shape.Sides(), q.Shape.Sides()
	for turn := range n {
		for _, way := range []int{1, -1} {
			same := true
			for i := 0; i < n && same; i++ {
				for k := range i {
					d := r2.Norm(between(a[i].From, a[k].From))
					e := r2.Norm(between(b[mod(turn+way*i, n)].From, b[mod(turn+way*k, n)].From))
					same = same && math.Abs(d-e) < 1e-7
				}
				// Side i leaves corner i; backwards it is the one that arrives there.
				other := b[mod(turn+way*i, n)]
				if way < 0 {
					other = b[mod(turn-i-1, n)]
				}
				same = same && math.Abs(float64(a[i].Length()-other.Length())) < 1e-7
			}
			if same {
				return true
			}
		}
	}
	return false
}

func mod(i, n int) int { return ((i % n) + n) % n }

// letter counts A to Z, then AA.
func letter(i int) string {
	var b strings.Builder
	if i >= 26 {
		b.WriteString(letter(i/26 - 1))
	}
	b.WriteByte(byte('A' + i%26))
	return b.String()
}
