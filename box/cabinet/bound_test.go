package cabinet_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/units"
)

// randomCut draws a sheet and a cut list: a few to many sizes, few to many of each, of
// any grain, with or without kerf and trim.
func randomCut(r *rand.Rand) (Sheet, []Piece) {
	size := func(lo, hi float64) units.Length {
		return units.Length(int(1000*(lo+(hi-lo)*r.Float64()))) * mm
	}
	s := Sheet{Length: size(1.5, 3), Width: size(0.8, 1.6), Kerf: units.Length(2+r.IntN(2)) * mm}
	if r.IntN(2) == 0 {
		s.Trim = units.Length(r.IntN(10)) * mm
	}
	var list []Piece
	widths := []units.Length{size(0.03, 0.1), size(0.05, 0.3), size(0.1, 0.6)}
	for i := range 2 + r.IntN(9) {
		p := Piece{Name: fmt.Sprint(i), Count: 1 + r.IntN(30), Length: size(0.08, 0.7*float64(s.Width)), Width: size(0.03, 0.4)}
		switch r.IntN(3) {
		case 0:
			p.Grain = Grain(r.IntN(3))
		case 1:
			p.Width = widths[r.IntN(3)]
		case 2:
			p.Length, p.Width = size(0.2, float64(s.Length)-0.03), widths[r.IntN(2)]
		}
		list = append(list, p)
	}
	return s, list
}

// Plans of random lists are sound, no better than the bound, and within one sheet of it.
func TestCutReachesBound(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 200))
	reached, pieces, sheets := 0, 0, 0
	var slowest time.Duration
	for i := range 200 {
		s, list := randomCut(r)
		start := time.Now()
		l, err := s.Cut(list)
		if err != nil {
			t.Fatal(i, err)
		}
		slowest = max(slowest, time.Since(start))
		verify(t, s, list, l)
		b, err := s.Bound(list)
		if err != nil {
			t.Fatal(i, err)
		}
		switch {
		case l.Sheets < b.Sheets || b.Area > b.Sheets:
			t.Errorf("case %d: %d sheets are impossible with a bound of %+v", i, l.Sheets, b)
		case l.Sheets > b.Sheets+1:
			t.Errorf("case %d: %d sheets, bound %+v", i, l.Sheets, b)
		case l.Sheets == b.Sheets:
			reached++
		}
		sheets += l.Sheets
		for _, p := range list {
			pieces += p.Count
		}
	}
	t.Logf("%d of 200 lists, %d pieces in all on %d sheets, reach the bound; the slowest took %v", reached, pieces, sheets, slowest)
}
