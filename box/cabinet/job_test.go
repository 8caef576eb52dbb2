package cabinet_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/units"
)

// pair is the demo: two cabinets from one sheet.
func pair() Job {
	return Job{Stack: stack(), Cabinets: 2, Sheet: Sheet{Length: 2500 * mm, Width: 1250 * mm}, Price: 60}
}

// By hand: pieces of 562 mm lie four to a strip, 52 of them on 13 strips; of 312 mm
// seven, 52 on eight; four caps side by side.
func TestPairOnOneSheet(t *testing.T) {
	p, err := pair().Plan()
	if err != nil {
		t.Fatal(err)
	}
	if p.Sheets != 1 || p.Least != 1 || p.Cost != 60 || len(p.Lots) != 1 {
		t.Fatalf("%d sheets, at least %d, %v, %d lots", p.Sheets, p.Least, p.Cost, len(p.Lots))
	}
	l := p.Lots[0]
	verify(t, pair().Sheet, l.Pieces, l.Layout)
	if n := len(l.Layout.Strips); n != 1+13+8 {
		t.Errorf("%d strips", n)
	}
	// Across: 350 + 21 × 38 with 22 kerfs leave 31.6 mm, too narrow for a strip. The
	// last strip of 312 mm holds three; four more fit, or two of 562 mm.
	if l.Free[0] != 4 || l.Free[1] != 2 || l.Free[2] != 0 {
		t.Errorf("spares for nothing: %v", l.Free)
	}
	// Two spares of each fit when strips are mixed: three long and two short pieces
	// leave only 177 mm of a strip. Eighteen of these and three of seven short ones
	// are 21 strips again.
	j := pair()
	j.Spares = 2
	if p, err := j.Plan(); err != nil || p.Sheets != 1 || p.Lots[0].Pieces[0].Count != 54 {
		t.Errorf("two spares of each: %d sheets, at least %d, %v", p.Sheets, p.Least, err)
	}
	free, err := pair().FreeSpares()
	if err != nil || free < 2 {
		t.Errorf("%d spares of each for nothing, %v", free, err)
	}
	j.Spares = free
	if p, err := j.Plan(); err != nil || p.Sheets != 1 {
		t.Errorf("%d spares of each: %d sheets, %v", free, p.Sheets, err)
	}
	j.Spares = free + 1
	if p, err := j.Plan(); err != nil || p.Sheets != 2 {
		t.Errorf("%d spares of each: %d sheets, at least %d, %v", free+1, p.Sheets, p.Least, err)
	}
	t.Logf("%d spares of each are free", free)
	j.Spares = 0
	// Caps of another thickness come from a sheet of their own.
	j.Stack.Cap = 18 * mm
	if p, err := j.Plan(); err != nil || p.Sheets != 2 || len(p.Lots) != 2 || p.Lots[1].Thickness != 18*mm {
		t.Errorf("thicker caps: %+v, %v", p.Sheets, err)
	}
}

// Spares for nothing can be cut from the sheets there are, and one more cannot be
// without moving what lies there.
func TestFreeIsFree(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 60 {
		s, list := randomCut(r)
		l, err := s.Cut(list)
		if err != nil {
			t.Fatal(err)
		}
		free := s.Free(list, l)
		taken := make([]float64, l.Sheets)
		for _, t := range l.Strips {
			taken[t.Sheet] = max(taken[t.Sheet], float64(t.Across+t.Width))
		}
		for i, p := range list {
			// Count by trying: saw one after the other off each remainder.
			n := 0
			saw := func(room, size float64) int {
				count := 0
				for at := 0.0; at+size <= room+1e-8; at += size + float64(s.Kerf) {
					count++
				}
				return count
			}
			turn := func(length, width float64) int {
				n := 0
				for _, t := range l.Strips {
					if float64(t.Width) >= width-1e-8 {
						n += saw(float64(s.Length-s.Trim-t.Used-s.Kerf), length)
					}
				}
				for _, w := range taken {
					n += saw(float64(s.Width-s.Trim-s.Kerf)-w, width) * saw(float64(s.Length-2*s.Trim), length)
				}
				return n
			}
			if p.Grain != GrainAcross {
				n = turn(float64(p.Length), float64(p.Width))
			}
			if p.Grain != GrainAlong {
				n = max(n, turn(float64(p.Width), float64(p.Length)))
			}
			if n != free[i] {
				t.Errorf("%+v: %d free, counted %d", p, free[i], n)
			}
		}
	}
}

// Three cabinets do not fit one sheet; what saves a sheet is true and the smallest of
// its kind.
func TestSavings(t *testing.T) {
	j := pair()
	j.Stack.Wall = 44 * mm
	now, err := j.Plan()
	if err != nil || now.Sheets != 2 {
		t.Fatal(now.Sheets, err)
	}
	savings, err := j.Savings()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, s := range savings {
		p, err := s.Job.Plan()
		if err != nil || p.Sheets != s.Sheets || s.Sheets >= now.Sheets {
			t.Errorf("%s: %d sheets, %v", s.Change, p.Sheets, err)
		}
		close(t, s.Change, float64(s.Gross), float64(s.Job.Stack.Gross()))
		seen[strings.Fields(s.Change)[0]] = true
		less := s.Job
		switch {
		case less.Stack.Wall < j.Stack.Wall-mm*1.5:
			less.Stack.Wall += mm
		case less.Stack.Layers == j.Stack.Layers-2:
			less.Stack.Layers++
		default:
			continue
		}
		if p, err := less.Plan(); err != nil || p.Sheets < now.Sheets {
			t.Errorf("%s: less would do: %d sheets, %v", s.Change, p.Sheets, err)
		}
	}
	if !seen["rings"] {
		t.Errorf("got %+v", savings)
	}
	if s, err := pair().Savings(); err != nil || len(s) != 0 {
		t.Errorf("one sheet cannot become none: %+v, %v", s, err)
	}
}

func TestJobRefuses(t *testing.T) {
	for want, change := range map[string]func(j *Job){
		"cabinet: cabinets 0: must be from 1 to 1000":                                          func(j *Job) { j.Cabinets = 0 },
		"cabinet: spares -1: must be from 0 to 1000":                                           func(j *Job) { j.Spares = -1 },
		"cabinet: price of a sheet NaN":                                                        func(j *Job) { j.Price = math.NaN() },
		"cabinet: grain of the caps Grain(4): must be along, across or either":                 func(j *Job) { j.Caps = 4 },
		"cabinet: end cap: grain across: must be the other way or either: its 600 mm × 350 mm": func(j *Job) { j.Caps, j.Sheet.Width = GrainAcross, 500*mm },
		"cabinet: piece B: length 562 mm: must fit the 500 mm × 500 mm of the sheet":           func(j *Job) { j.Sheet.Length, j.Sheet.Width = 500*mm, 500*mm },
		"cabinet: wall 200 mm: must be below 175 mm":                                           func(j *Job) { j.Stack.Wall = 200 * mm },
		"cabinet: pattern 2: piece 1: joint":                                                   func(j *Job) { j.Patterns = [2][]Joint{{{Corner: 1}, {Corner: 3}}, {{Corner: 1}, {Corner: 3}}} },
	} {
		j := pair()
		change(&j)
		_, err := j.Plan()
		var e *units.RangeError
		if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// Every cut of the layout is in the order of cuts, with one setting per length.
func TestSteps(t *testing.T) {
	j := pair()
	j.Sheet.Trim = 5 * mm
	j.Sheet.Length += 10 * mm
	j.Sheet.Width += 10 * mm
	p, err := j.Plan()
	if err != nil {
		t.Fatal(err)
	}
	l := p.Lots[0]
	steps := j.Sheet.Steps(l.Pieces, l.Layout)
	var words []string
	for _, s := range steps {
		words = append(words, s.String())
	}
	want := "trim 4 × at 5 mm; rip 1 × at 350 mm; rip 21 × at 38 mm; crosscut 4 × end cap at 600 mm; crosscut 52 × piece B at 562 mm; crosscut 52 × piece A at 312 mm"
	if got := strings.Join(words, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	r := rand.New(rand.NewPCG(9, 4))
	for range 30 {
		s, list := randomCut(r)
		l, err := s.Cut(list)
		if err != nil {
			t.Fatal(err)
		}
		rips, cuts, pieces := 0, 0, 0
		settings := map[string]bool{}
		for _, step := range s.Steps(list, l) {
			switch step.What {
			case "rip":
				rips += step.Count
			case "crosscut":
				cuts += step.Count
			}
			key := step.What + step.Piece + step.Setting.String()
			if settings[key] {
				t.Errorf("%s: set up twice", step)
			}
			settings[key] = true
		}
		for _, p := range list {
			pieces += p.Count
		}
		if rips != len(l.Strips) || cuts != pieces {
			t.Errorf("%d rips for %d strips, %d cuts for %d pieces", rips, len(l.Strips), cuts, pieces)
		}
	}
	// A narrow piece that lies in a wide strip is ripped once more.
	s := Sheet{Length: 1, Width: 0.2, Kerf: 3 * mm}
	list := []Piece{{Name: "wide", Count: 1, Length: 0.6, Width: 0.2}, {Name: "narrow", Count: 2, Length: 0.18, Width: 0.1}}
	layout, err := s.Cut(list)
	if err != nil {
		t.Fatal(err)
	}
	words = nil
	for _, step := range s.Steps(list, layout) {
		words = append(words, step.String())
	}
	want = "rip 1 × at 200 mm; crosscut 1 × wide at 600 mm; crosscut 2 × narrow at 180 mm; rip narrower 2 × narrow at 100 mm"
	if got := strings.Join(words, "; "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	angled := Step{What: "crosscut", Setting: 600 * mm, Left: 45 * units.Degree, Right: 45 * units.Degree, Count: 2, Piece: "C"}
	if got := angled.String(); got != "crosscut 2 × C at 600 mm, ends 45° and 45°" {
		t.Error(got)
	}
}

func TestLayersForWidth(t *testing.T) {
	s := stack()
	for _, glue := range []units.Length{0, 0.1 * mm} {
		s.GlueLine = glue
		for w := 5.0; w < 400; w += 3.1 {
			want := units.Length(w) * mm
			fewer, more, err := s.LayersForWidth(want)
			if err != nil {
				t.Fatal(err)
			}
			if !(fewer.InsideWidth() <= want+1e-9 || fewer.Layers == 1) || !(more.InsideWidth() >= want-1e-9) || more.Layers > fewer.Layers+1 {
				t.Errorf("%v: %d layers %v, %d layers %v", want, fewer.Layers, fewer.InsideWidth(), more.Layers, more.InsideWidth())
			}
		}
		for n := 1; n < 100; n++ {
			s.Layers = n
			if a, b, err := s.LayersForWidth(s.InsideWidth()); err != nil || a.Layers != n || b.Layers != n {
				t.Errorf("width of %d layers: %d, %d, %v", n, a.Layers, b.Layers, err)
			}
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), 1e9} {
		if _, _, err := s.LayersForWidth(units.Length(bad)); err == nil {
			t.Errorf("%g m must be refused", bad)
		}
	}
}

func TestGrainText(t *testing.T) {
	for _, g := range []Grain{GrainAlong, GrainAcross, GrainEither} {
		text, err := g.MarshalText()
		var back Grain
		if err != nil || back.UnmarshalText(text) != nil || back != g {
			t.Errorf("%v: %s, %v", g, text, back)
		}
	}
	var g Grain
	if err := g.UnmarshalText([]byte("upwards")); err == nil {
		t.Error("an unknown grain must be refused")
	}
}

func BenchmarkPlan(b *testing.B) {
	j := pair()
	for b.Loop() {
		if _, err := j.Plan(); err != nil {
			b.Fatal(err)
		}
	}
}
