package cabinet_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/units"
)

// verify checks a layout against the list without the code that made it: every piece
// once, on the sheet, and a kerf between any two.
func verify(t *testing.T, s Sheet, list []Piece, l Layout) {
	t.Helper()
	type rect struct{ x, y, w, h float64 }
	sheets := make([][]rect, l.Sheets)
	counts := make([]int, len(list))
	for _, strip := range l.Strips {
		for _, c := range strip.Cuts {
			counts[c.Piece]++
			p := list[c.Piece]
			length, width := float64(p.Length), float64(p.Width)
			if c.Turned {
				length, width = width, length
			}
			if c.Turned && p.Grain == GrainAlong || !c.Turned && p.Grain == GrainAcross {
				t.Errorf("%s lies against its grain", p.Name)
			}
			if width > float64(strip.Width)+1e-9 {
				t.Errorf("%s is wider than its strip", p.Name)
			}
			sheets[strip.Sheet] = append(sheets[strip.Sheet], rect{float64(c.Along), float64(strip.Across), length, width})
		}
	}
	for i, p := range list {
		if counts[i] != p.Count {
			t.Errorf("%s: %d pieces laid out, want %d", p.Name, counts[i], p.Count)
		}
	}
	kerf := float64(s.Kerf)
	if kerf == 0 {
		kerf = 0.0032
	}
	const hair = 1e-8
	for n, rects := range sheets {
		for i, a := range rects {
			if trim := float64(s.Trim) - hair; a.x < trim || a.y < trim || a.x+a.w > float64(s.Length)-trim || a.y+a.h > float64(s.Width)-trim {
				t.Errorf("sheet %d: %+v lies beyond the edge", n, a)
			}
			for _, b := range rects[:i] {
				if a.x < b.x+b.w+kerf-hair && b.x < a.x+a.w+kerf-hair && a.y < b.y+b.h+kerf-hair && b.y < a.y+a.h+kerf-hair {
					t.Errorf("sheet %d: %+v and %+v are nearer than the kerf", n, a, b)
				}
			}
		}
	}
}

// The pair of cabinets needs 2.57 m² of the 3.13 m² sheet, and one sheet is enough
// when the rings are made from strips.
func TestPairFromOneSheet(t *testing.T) {
	s := stack()
	p, err := s.Pieces()
	if err != nil {
		t.Fatal(err)
	}
	sheet := Sheet{Length: 2500 * mm, Width: 1250 * mm}
	pair := slices.Concat(p, p)
	l, err := sheet.Cut(pair)
	if err != nil {
		t.Fatal(err)
	}
	verify(t, sheet, pair, l)
	if l.Sheets != 1 {
		t.Errorf("got %d sheets, want 1", l.Sheets)
	}
	// Caps: 4·600 + 3·3.2 of 2500 mm. Long strips: 52 pieces, 4 to a strip. Short: 52, 7 to a strip.
	if got, want := len(l.Strips), 1+13+8; got != want {
		t.Errorf("got %d strips, want %d", got, want)
	}
	if n, err := SheetsByArea(2*s.SheetArea(), sheet); n != 1 || err != nil {
		t.Errorf("by area: got %d, %v", n, err)
	}
	if n, err := SheetsByArea(3*s.SheetArea(), sheet); n != 2 || err != nil {
		t.Errorf("three cabinets by area: got %d, %v", n, err)
	}
	// A third cabinet more than fills it.
	three := slices.Concat(p, p, p)
	if l, err := sheet.Cut(three); err != nil || l.Sheets != 2 {
		t.Errorf("three cabinets: got %d sheets, %v", l.Sheets, err)
	} else {
		verify(t, sheet, three, l)
	}
}

func verifyCounts(t *testing.T, list []Piece, l Layout) {
	t.Helper()
	counts := make([]int, len(list))
	for _, s := range l.Strips {
		for _, c := range s.Cuts {
			counts[c.Piece]++
		}
	}
	for i, p := range list {
		if counts[i] != p.Count {
			t.Errorf("%v: %d laid out, want %d", p.Length, counts[i], p.Count)
		}
	}
}

func TestCutRandomLists(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 100 {
		s := Sheet{Length: units.Length(1 + r.Float64()), Width: units.Length(0.5 + r.Float64()), Kerf: units.Length(0.005 * r.Float64())}
		var list []Piece
		var area units.Area
		for range 1 + r.IntN(6) {
			p := Piece{Count: r.IntN(12), Length: s.Length * units.Length(1-r.Float64()), Width: s.Width * units.Length(1-r.Float64()) / 3}
			list = append(list, p)
			area += units.Area(p.Count) * units.Area(p.Length) * units.Area(p.Width)
		}
		l, err := s.Cut(list)
		if err != nil {
			t.Fatal(err)
		}
		verify(t, s, list, l)
		if n, err := SheetsByArea(area, s); err != nil || n > l.Sheets {
			t.Errorf("%d sheets by area, %d laid out, %v", n, l.Sheets, err)
		}
	}
}

func TestSheetRefuses(t *testing.T) {
	nan := units.Length(math.NaN())
	good := Sheet{Length: 2.5, Width: 1.25}
	slat := Piece{Name: "slat", Count: 1, Length: 1, Width: 0.1, Thickness: 0.015}
	with := func(change func(p *Piece)) []Piece {
		p := slat
		change(&p)
		return []Piece{slat, p}
	}
	for _, c := range []struct {
		sheet Sheet
		list  []Piece
		field string
	}{
		{Sheet{Width: 1}, nil, "cabinet: sheet length"},
		{Sheet{Length: 1, Width: nan}, nil, "cabinet: sheet width"},
		{Sheet{Length: 1, Width: 1, Kerf: -1}, nil, "cabinet: kerf"},
		{good, with(func(p *Piece) { p.Length = 2.51 }), "cabinet: slat: length"},
		{good, with(func(p *Piece) { p.Length = 0 }), "cabinet: slat: length"},
		{good, with(func(p *Piece) { p.Width = 1.26 }), "cabinet: slat: grain"},
		{good, with(func(p *Piece) { p.Length, p.Width = 1.26, 1.26 }), "cabinet: slat: width"},
		{good, with(func(p *Piece) { p.Length, p.Grain = 2, GrainAcross }), "cabinet: slat: grain"},
		{good, with(func(p *Piece) { p.Width, p.Grain = 2.6, GrainEither }), "cabinet: slat: width"},
		{good, with(func(p *Piece) { p.Grain = 7 }), "cabinet: slat: grain"},
		{Sheet{Length: 1, Width: 1, Trim: 0.5}, nil, "cabinet: trim"},
		{Sheet{Length: 1, Width: 1, Trim: nan}, nil, "cabinet: trim"},
		{good, with(func(p *Piece) { p.Width = nan }), "cabinet: slat: width"},
		{good, with(func(p *Piece) { p.Thickness = 0.018 }), "cabinet: slat: thickness"},
		{good, with(func(p *Piece) { p.Count = -1 }), "cabinet: slat: count"},
		{good, with(func(p *Piece) { p.Count = 100_000 }), "cabinet: slat: count"},
		{good, with(func(p *Piece) { p.Count = math.MaxInt }), "cabinet: slat: count"},
	} {
		_, err := c.sheet.Cut(c.list)
		var e *units.RangeError
		if !errors.As(err, &e) || e.Field != c.field {
			t.Errorf("got %v, want a RangeError of %s", err, c.field)
		}
	}
	for _, a := range []float64{-1, math.NaN(), math.Inf(1), 1e12} {
		if _, err := SheetsByArea(units.Area(a), good); err == nil {
			t.Errorf("%g m² must be refused", a)
		}
	}
	if _, err := SheetsByArea(1, Sheet{}); err == nil {
		t.Error("a sheet without size must be refused")
	}
	if n, err := SheetsByArea(2*2.5*1.25, good); n != 2 || err != nil {
		t.Errorf("exactly two sheets: got %d, %v", n, err)
	}
	for n := range 100 {
		if got, err := SheetsByArea(units.Area(n)*2.44*1.22, Sheet{Length: 2.44, Width: 1.22}); got != n || err != nil {
			t.Errorf("exactly %d sheets: got %d, %v", n, got, err)
		}
	}
	if l, err := good.Cut(nil); l.Sheets != 0 || err != nil {
		t.Errorf("nothing to cut: got %+v, %v", l, err)
	}
}

func BenchmarkCutPair(b *testing.B) {
	p, err := stack().Pieces()
	if err != nil {
		b.Fatal(err)
	}
	pair := slices.Concat(p, p)
	for b.Loop() {
		if _, err := (Sheet{Length: 2.5, Width: 1.25}).Cut(pair); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPieces(b *testing.B) {
	s := stack()
	for b.Loop() {
		if _, err := s.Pieces(); err != nil {
			b.Fatal(err)
		}
	}
}
