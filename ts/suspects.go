package ts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/units/air"
)

// A Suspect is a printed figure without which a sheet contradicts itself less, or
// several of which any one would do.
type Suspect struct {
	Figures []Doubt // more than one if they tie: figures that occur only together
	Fall    float64 // by which chi-squared falls if one of them is left out
	Chi2    float64 // what is left then
	Freedom int     // and how many figures are redundant then
	Remark  string  // what may have happened; empty if nothing springs to mind
}

// A Doubt compares a printed figure with what all others together imply.
type Doubt struct {
	Figure    string
	Published string  // with unit
	Implied   string  // with unit, by the most plausible driver of the other figures
	By        float64 // published over implied − 1, or the difference in dB for levels
	Decibels  bool    // By is in dB
	Slip      float64 // 10 or 1000 (100 or 10⁴ of an area), or one over it, by which the print is too large; 0 if that would not mend it
}

// String tells the suspicion in one line.
func (s Suspect) String() string {
	var b strings.Builder
	for i, d := range s.Figures {
		if i > 0 {
			b.WriteString(", or ")
		}
		size := apart(d.By)
		switch {
		case d.Decibels:
			size = fmt.Sprintf("%+.1f dB", d.By)
		case d.Slip > 1:
			size = fmt.Sprintf("%.0f times too large", d.Slip)
		case d.Slip > 0:
			size = fmt.Sprintf("%.0f times too small", 1/d.Slip)
		}
		fmt.Fprintf(&b, "%s printed %s, the others give %s (%s)", d.Figure, d.Published, d.Implied, size)
	}
	if s.Remark != "" {
		fmt.Fprintf(&b, "; %s", s.Remark)
	}
	return b.String()
}

// Suspects ranks the figures of a sheet by how much less it contradicts itself when
// each is left out in turn: the fall of the chi-squared of [Sheet.Reconcile]. Figures
// that occur only together, as Vas and Sd may or Re and Bl, cannot be told apart and
// are named together; but before all else each is tried with a power of ten, a slip of
// the unit or of the point, and where that puts some of them right only those are
// named. Figures that nothing else implies are left out.
//
// Every figure is ranked, of a sound sheet too: what matters is a fall well above 1,
// and [Sheet.Culprits] draws the line.
func (s Sheet) Suspects(a air.Air, stated ...Tolerance) ([]Suspect, error) {
	p, err := s.prints(a, stated)
	if err != nil {
		return nil, err
	}
	f := p.fit(p.start, p.all)
	var out []Suspect
	for _, x := range p.rank(f) {
		p.tell(&x, f)
		out = append(out, x.Suspect)
	}
	return out, nil
}

// Culprits finds the figures that must be wrong: while the first suspect's Fall is
// above 10.83, which a sound figure reaches once in a thousand, it is set right by a
// power of ten if that mends it, else left aside, and the rest is asked again (the
// testing of one observation after the other of W. Baarda 1968, "A Testing Procedure
// for Use in Geodetic Networks", from memory). It returns them in this order, none for
// a sound sheet, and the driver of what is left. Where figures tie, the first is left
// aside, and which of them is wrong stays open.
func (s Sheet) Culprits(a air.Air, stated ...Tolerance) ([]Suspect, Reconciled, error) {
	p, err := s.prints(a, stated)
	if err != nil {
		return nil, Reconciled{}, err
	}
	var found []suspect
	f := p.fit(p.start, p.all)
	for range p.all { // at most each once
		ranked := p.rank(f)
		if len(ranked) == 0 || !(ranked[0].Fall > significant) {
			break
		}
		x := ranked[0]
		f = p.tell(&x, f)
		found = append(found, x)
	}
	// An early suspect may have been the victim of a later one.
	found = slices.DeleteFunc(found, func(x suspect) bool {
		i := x.at[0]
		back := slices.Clone(f.used)
		back[i] = p.all[i]
		g := p.fit(f.x, back)
		if g.chi2-f.chi2 > significant {
			return false
		}
		f = g
		return true
	})
	var culprits []Suspect
	for _, x := range found { // by now the others agree, so that more can be told
		f = p.tell(&x, f)
		culprits = append(culprits, x.Suspect)
	}
	r, err := p.reconciled(f)
	return culprits, r, err
}

// significant is what the square of a normal deviate exceeds once in a thousand.
const significant = 10.83

type suspect struct {
	Suspect
	at []int // of the figures among the observations
}

// rank leaves out each figure that has a say, and groups those that tie.
func (p prints) rank(whole fitted) []suspect {
	var ranked []suspect
	leave := func(at ...int) []observation {
		rest := slices.Clone(whole.used)
		for _, i := range at {
			rest[i].aside = true
		}
		return rest
	}
	determined := func(rest []observation) bool {
		_, ok := p.normal(whole.x, rest)
		return ok
	}
	for i, o := range whole.used {
		if o.aside || !determined(leave(i)) {
			continue
		}
		if tie := slices.IndexFunc(ranked, func(r suspect) bool { return !determined(leave(r.at[0], i)) }); tie >= 0 {
			ranked[tie].at = append(ranked[tie].at, i)
			continue
		}
		without := p.fit(whole.x, leave(i))
		ranked = append(ranked, suspect{
			Suspect: Suspect{Fall: whole.chi2 - without.chi2, Chi2: without.chi2, Freedom: without.freedom},
			at:      []int{i},
		})
	}
	slices.SortStableFunc(ranked, func(a, b suspect) int { return cmp.Compare(b.Fall, a.Fall) })
	return ranked
}

// slips tells whether a figure is easily printed wrong by so many powers of ten: one
// of the point or of centi, three of milli, and those of an area squared. Others are
// a slip of the figure it ties with, squared.
func slips(figure string, tens float64) bool {
	switch figure {
	case mmd: // its slope is that of Mms
		return false
	case sd:
		return tens == 1 || tens == 2 || tens == 4
	}
	return tens == 1 || tens == 3
}

// tell compares the figures of a suspect with what the rest of a fit implies. If a
// power of ten puts some of them right, only those stay suspect. It returns the fit
// with the first of them mended or else aside.
func (p prints) tell(x *suspect, f fitted) fitted {
	var those []int
	var first fitted
	x.Figures = nil
	for _, i := range x.at {
		rest := slices.Clone(f.used)
		for _, k := range x.at {
			if k == i || rest[k].aside {
				rest[k] = p.all[k]
			}
		}
		rest[i].aside = true
		without := p.fit(f.x, rest)
		m := p.moves(without)[i]
		d := Doubt{Figure: m.Figure, Published: m.Published, Implied: m.Reconciled, By: 1/(1+m.By) - 1, Decibels: m.Decibels}
		if m.Decibels {
			d.By = -m.By
		}
		without, d.Slip = p.mend(without, i)
		if len(those) > 0 && d.Slip == 0 && x.Figures[0].Slip != 0 {
			continue
		}
		if len(those) > 0 && d.Slip != 0 && x.Figures[0].Slip == 0 {
			x.Figures, those = nil, nil
		}
		if len(those) == 0 {
			first = without
		}
		x.Figures, those = append(x.Figures, d), append(those, i)
	}
	x.at = those
	x.Remark = p.remark(x.Suspect)
	return first
}

// mend puts figure i, which is aside, right by a power of ten, and returns that; or
// else the fit as it is and 0.
func (p prints) mend(without fitted, i int) (fitted, float64) {
	o := without.used[i]
	tens := math.Round((o.ln - without.x.figure(o.figure.name, o.figure.si, p.air).ln) / math.Ln10)
	if o.decibels || !slips(o.figure.name, math.Abs(tens)) {
		return without, 0
	}
	mended := slices.Clone(without.used)
	mended[i].aside = false
	mended[i].ln -= tens * math.Ln10
	f := p.fit(without.x, mended)
	if f.chi2-without.chi2 > significant {
		return without, 0
	}
	return f, math.Pow(10, tens)
}

// remark tells what may have happened to a suspect.
func (p prints) remark(s Suspect) string {
	if !(s.Fall > significant) {
		return ""
	}
	for _, d := range s.Figures {
		if d.Figure != spl1w && d.Figure != spl283 {
			continue
		}
		levels := map[string]float64{}
		for _, o := range p.all {
			levels[o.figure.name] = o.figure.si
		}
		if sameLevels(levels) {
			return equalLevels
		}
	}
	return ""
}
