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
// that is also the direction of the grain in every piece.
type Sheet struct {
	Length, Width units.Length
	Kerf          units.Length // zero means DefaultKerf
}

// Check returns an error, a *[units.RangeError], unless the edges are positive and
// the kerf is not negative.
func (s Sheet) Check() error {
	return cmp.Or(
		units.Positive("cabinet: sheet length", s.Length),
		units.Positive("cabinet: sheet width", s.Width),
		units.NotNegative("cabinet: kerf", s.Kerf),
	)
}

// SheetsByArea returns how many sheets the parts need at least: their area over that
// of the sheet, rounded up. It is a lower bound that no cutting plan can beat; kerf
// and waste come on top. It returns the errors of Sheet.Check and refuses a total
// that is negative or not finite, or that needs more than a million sheets.
func SheetsByArea(total units.Area, s Sheet) (int, error) {
	if err := cmp.Or(s.Check(), units.NotNegative("cabinet: total area", total)); err != nil {
		return 0, err
	}
	n := float64(total) / float64(s.Length) / float64(s.Width)
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

// A Cut is one piece in a strip.
type Cut struct {
	Piece int          // index in the cut list
	Along units.Length // where it begins
}

// Cut lays pieces out on as many sheets as its simple rule needs. Pieces go, widest first
// and then longest first, into the first strip that has room, else into a new strip
// of their own width, which goes onto the first sheet with room. Between neighbours
// lies one kerf. Pieces keep their direction, length along the sheet.
//
// A better plan may need fewer sheets, never fewer than [SheetsByArea] says. So a
// layout on one sheet proves that one is enough; two sheets prove nothing.
//
// Errors: those of Check, a piece that does not fit on the sheet or has no size, a
// negative count, pieces of different thickness, more than a hundred thousand pieces.
func (s Sheet) Cut(list []Piece) (Layout, error) {
	if err := s.Check(); err != nil {
		return Layout{}, err
	}
	// Sums of printed lengths are exact on paper only.
	hair := 1e-9 * (s.Length + s.Width)
	if err := s.checkPieces(list, hair); err != nil {
		return Layout{}, err
	}
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(list[j].Width, list[i].Width), cmp.Compare(list[j].Length, list[i].Length))
	})

	kerf := cmp.Or(s.Kerf, DefaultKerf)
	var layout Layout
	var taken []units.Length // of the width of each sheet
	for _, i := range order {
		p := list[i]
		for range p.Count {
			at := slices.IndexFunc(layout.Strips, func(t Strip) bool { return t.Used+kerf+p.Length <= s.Length+hair })
			if at < 0 {
				at = len(layout.Strips)
				sheet := slices.IndexFunc(taken, func(w units.Length) bool { return w+kerf+p.Width <= s.Width+hair })
				across := units.Length(0)
				if sheet < 0 {
					sheet = len(taken)
					taken = append(taken, 0)
				} else {
					across = taken[sheet] + kerf
				}
				taken[sheet] = across + p.Width
				layout.Strips = append(layout.Strips, Strip{Sheet: sheet, Across: across, Width: p.Width, Used: -kerf})
			}
			t := &layout.Strips[at]
			along := t.Used + kerf
			t.Cuts = append(t.Cuts, Cut{Piece: i, Along: along})
			t.Used = along + p.Length
		}
	}
	layout.Sheets = len(taken)
	return layout, nil
}

func (s Sheet) checkPieces(list []Piece, hair units.Length) error {
	count := 0
	for _, p := range list {
		field := "cabinet: " + p.Name + ": "
		if err := cmp.Or(
			units.Positive(field+"length", p.Length),
			units.Positive(field+"width", p.Width),
		); err != nil {
			return err
		}
		if !(p.Length <= s.Length+hair) {
			return &units.RangeError{Field: field + "length", Value: p.Length.String(), Want: fmt.Sprintf("must fit the %v of the sheet", s.Length)}
		}
		if !(p.Width <= s.Width+hair) {
			return &units.RangeError{Field: field + "width", Value: p.Width.String(), Want: fmt.Sprintf("must fit the %v of the sheet", s.Width)}
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
