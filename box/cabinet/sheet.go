package cabinet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// DefaultKerf is the width that the saw turns to dust where a [Sheet] gives none.
// Circular saw blades take 2.2 to 3.2 mm (common practice, no source).
const DefaultKerf = 3.2 * units.Millimetre

// A Sheet is a rectangle of material to cut pieces from. Strips run along Length, so
// that is also the direction of the grain of its face. To rip the other way, give the
// sheet and the grain of the pieces turned.
type Sheet struct {
	Length, Width units.Length
	Kerf          units.Length // zero means DefaultKerf
	Trim          units.Length // cut off all around before anything else; zero: the edges are good
}

// Grain says how a piece may lie on the sheet.
type Grain int

const (
	GrainAlong  Grain = iota // the grain runs along the length of the piece
	GrainAcross              // the grain runs along its width
	GrainEither              // either will do
)

func (g Grain) String() string {
	switch g {
	case GrainAlong:
		return "along"
	case GrainAcross:
		return "across"
	case GrainEither:
		return "either"
	}
	return fmt.Sprintf("Grain(%d)", int(g))
}

// MarshalText and UnmarshalText write and read the words along, across, either.
func (g Grain) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (g *Grain) UnmarshalText(text []byte) error {
	for _, known := range []Grain{GrainAlong, GrainAcross, GrainEither} {
		if known.String() == string(text) {
			*g = known
			return nil
		}
	}
	return &units.RangeError{Field: "grain", Value: fmt.Sprintf("%q", text), Want: `must be "along", "across" or "either"`}
}

func (s Sheet) kerf() units.Length { return cmp.Or(s.Kerf, DefaultKerf) }

// Check returns an error, a *[units.RangeError], unless the edges are positive, the
// kerf and the trim not negative, and something is left after trimming.
func (s Sheet) Check() error {
	if err := cmp.Or(
		units.Positive("cabinet: sheet length", s.Length),
		units.Positive("cabinet: sheet width", s.Width),
		units.NotNegative("cabinet: kerf", s.Kerf),
		units.NotNegative("cabinet: trim", s.Trim),
	); err != nil {
		return err
	}
	if !(2*s.Trim < min(s.Length, s.Width)) {
		return &units.RangeError{Field: "cabinet: trim", Value: s.Trim.String(), Want: fmt.Sprintf("must leave something of the sheet of %v × %v", s.Length, s.Width)}
	}
	return nil
}

// SheetsByArea returns how many sheets the parts need at least: their area over that
// of the trimmed sheet, rounded up. It is a lower bound that no cutting plan can
// beat; kerf and waste come on top. It returns the errors of Sheet.Check and refuses
// a total that is negative or not finite, or that needs more than a million sheets.
func SheetsByArea(total units.Area, s Sheet) (int, error) {
	if err := cmp.Or(s.Check(), units.NotNegative("cabinet: total area", total)); err != nil {
		return 0, err
	}
	n := float64(total) / float64(s.Length-2*s.Trim) / float64(s.Width-2*s.Trim)
	if !(n <= 1e6) {
		return 0, &units.RangeError{Field: "cabinet: total area", Value: total.String(), Want: "must not need more than a million sheets"}
	}
	return int(math.Ceil(n * (1 - 1e-12))), nil
}

// A Layout says where pieces are cut from sheets.
type Layout struct {
	Sheets int
	Strips []Strip
}

// A Strip is ripped from a sheet along its length and cut across into pieces.
type Strip struct {
	Sheet  int          // counted from 0
	Across units.Length // of its lower edge from that of the sheet
	Width  units.Length
	Used   units.Length // of the length of the sheet, up to the end of the last piece
	Cuts   []Cut
}

// A Cut is one piece in a strip. One that is narrower than its strip lies at the lower
// edge and is ripped once more.
type Cut struct {
	Piece  int          // index in the cut list
	Along  units.Length // where it begins
	Turned bool         // its length across the sheet
}

// A Bound says how few sheets can be enough for a cut list.
type Bound struct {
	Area    int     // by area alone, see SheetsByArea
	Relaxed float64 // with parts of sheets allowed: the linear program of the strips
	Sheets  int     // no plan of strips needs fewer: Relaxed rounded up
}

// Bound returns how many sheets the pieces need at least when they are cut in strips
// along the sheet and then across. It is found by column generation, so a layout that
// reaches it is the best there is. The errors are those of Cut.
func (s Sheet) Bound(list []Piece) (Bound, error) {
	if err := s.checkCut(list); err != nil {
		return Bound{}, err
	}
	var total units.Area
	for _, p := range list {
		total += units.Area(p.Count) * units.Area(p.Length) * units.Area(p.Width)
	}
	area, err := SheetsByArea(total, s)
	if err != nil {
		return Bound{}, err
	}
	c := s.cutting(list)
	r := c.relax(c.demand(), c.oneSheet)
	return Bound{Area: area, Relaxed: r.bound, Sheets: max(area, ceil(r.bound))}, nil
}

// Cut lays pieces out on as few sheets as it can, in strips along the sheet that are
// then cut across, as on a table saw; between neighbours lies one kerf. It first puts
// each piece, the widest first and then the longest, where there is room. If that
// takes more sheets than [Sheet.Bound], it fills sheets one by one with prices that
// learn from waste, and at last rounds the linear program of the bound. A result
// above the bound may still be the best.
//
// The result is the same for the same list, whatever the machine, but for lists so
// tight that only the linear program solves them.
//
// Errors: those of Check, a piece that has no size or does not fit on the sheet with
// its grain, a negative count, pieces of different thickness, more than a hundred
// thousand pieces.
func (s Sheet) Cut(list []Piece) (Layout, error) {
	if err := s.checkCut(list); err != nil {
		return Layout{}, err
	}
	c := s.cutting(list)
	return s.layout(list, &c, c.solve()), nil
}

func (c *cutting) solve() []plan {
	if len(c.kinds) == 0 {
		return nil
	}
	best := c.simple()
	filled := 0.0
	for i, a := range c.areas() {
		filled += float64(a * float64(c.kinds[i].count))
	}
	goal := ceil(filled)
	if len(best) > goal {
		best = c.improve(c.areas(), c.demand(), best, goal, 6)
	}
	if len(best) > goal {
		goal = max(goal, ceil(c.relax(c.demand(), c.oneSheet).bound))
	}
	if len(best) > goal {
		if plans := c.stripwise(); plans != nil && len(plans) < len(best) {
			best = plans
		}
	}
	if len(best) > goal {
		best = c.dive(best, goal)
	}
	if len(best) > goal {
		best = c.improve(c.areas(), c.demand(), best, goal, 40)
	}
	return best
}

// layout puts plans in place: the widest strips and the longest pieces first.
func (s Sheet) layout(list []Piece, c *cutting, plans []plan) Layout {
	left := make([][]int, len(c.kinds)) // of each piece of a kind
	for k, x := range c.kinds {
		for _, i := range x.pieces {
			left[k] = append(left[k], list[i].Count)
		}
	}
	next := func(k int) int {
		for n := range left[k] {
			if left[k][n] > 0 {
				left[k][n]--
				return c.kinds[k].pieces[n]
			}
		}
		return -1
	}
	kerf := s.kerf()
	var l Layout
	for _, p := range plans {
		slices.SortStableFunc(p, func(a, b rip) int { return cmp.Compare(b.width, a.width) })
		across := s.Trim
		empty := true
		for _, r := range p {
			strip := Strip{Sheet: l.Sheets, Across: across}
			order := make([]int, 0, len(r.counts))
			for i, n := range r.counts {
				if n > 0 {
					order = append(order, i)
				}
			}
			slices.SortStableFunc(order, func(i, j int) int {
				return cmp.Or(cmp.Compare(c.choices[j].across, c.choices[i].across), cmp.Compare(c.choices[j].along, c.choices[i].along))
			})
			along := s.Trim
			for _, i := range order {
				for range r.counts[i] {
					piece := next(c.choices[i].kind)
					if piece < 0 {
						continue // more than wanted
					}
					length, width := list[piece].Length, list[piece].Width
					if c.choices[i].turned {
						length, width = width, length
					}
					strip.Cuts = append(strip.Cuts, Cut{Piece: piece, Along: along, Turned: c.choices[i].turned})
					strip.Used = along + length
					strip.Width = max(strip.Width, width)
					along = strip.Used + kerf
				}
			}
			if len(strip.Cuts) > 0 {
				l.Strips = append(l.Strips, strip)
				across += strip.Width + kerf
				empty = false
			}
		}
		if !empty {
			l.Sheets++
		}
	}
	return l
}

func (s Sheet) checkCut(list []Piece) error {
	if err := s.Check(); err != nil {
		return err
	}
	length, width := s.Length-2*s.Trim, s.Width-2*s.Trim
	// Sums of printed lengths are exact on paper only.
	hair := 1e-9 * (s.Length + s.Width)
	fits := func(l, w units.Length) bool { return l <= length+hair && w <= width+hair }
	count := 0
	for _, p := range list {
		field := "cabinet: " + p.Name + ": "
		if err := cmp.Or(
			units.Positive(field+"length", p.Length),
			units.Positive(field+"width", p.Width),
		); err != nil {
			return err
		}
		if p.Grain < GrainAlong || p.Grain > GrainEither {
			return &units.RangeError{Field: field + "grain", Value: p.Grain.String(), Want: "must be along, across or either"}
		}
		l, w := p.Length, p.Width
		if p.Grain == GrainAcross {
			l, w = w, l
		}
		if !fits(l, w) && !(p.Grain == GrainEither && fits(w, l)) {
			size := fmt.Sprintf("%v × %v", p.Length, p.Width)
			switch {
			case fits(w, l):
				return &units.RangeError{Field: field + "grain", Value: p.Grain.String(), Want: fmt.Sprintf("must be the other way or either: its %s fit the sheet of %v × %v only so", size, length, width)}
			case !(p.Length <= max(length, width)+hair):
				return &units.RangeError{Field: field + "length", Value: p.Length.String(), Want: fmt.Sprintf("must fit the %v × %v of the sheet", length, width)}
			case p.Grain == GrainAlong && p.Length > length+hair:
				return &units.RangeError{Field: field + "length", Value: p.Length.String(), Want: fmt.Sprintf("must fit the %v of the sheet", length)}
			}
			return &units.RangeError{Field: field + "width", Value: p.Width.String(), Want: fmt.Sprintf("must fit the %v × %v of the sheet", length, width)}
		}
		if !(p.Thickness == list[0].Thickness) {
			return &units.RangeError{Field: field + "thickness", Value: p.Thickness.String(), Want: fmt.Sprintf("must be the %v of %s to come from one sheet", list[0].Thickness, list[0].Name)}
		}
		const most = 100_000
		if p.Count < 0 || p.Count > most || count+p.Count > most {
			return &units.RangeError{Field: field + "count", Value: fmt.Sprint(p.Count), Want: fmt.Sprintf("must not be negative, nor make more than %d pieces in all", most)}
		}
		count += p.Count
	}
	return nil
}
