package ts

import (
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
		size := fmt.Sprintf("%+.1f %%", 100*d.By)
		switch {
		case d.Decibels:
			size = fmt.Sprintf("%+.1f dB", d.By)
		case d.Slip > 1:
			size = fmt.Sprintf("%g times too large", d.Slip)
		case d.Slip > 0:
			size = fmt.Sprintf("%g times too small", math.Round(1/d.Slip))
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
// are named together. Figures that nothing else implies are left out. First come those
// that a power of ten, a slip of the unit or of the point, puts right.
//
// Every figure is ranked, of a sound sheet too: what matters is a fall well above 1,
// and [Sheet.Culprits] draws the line.
func (s Sheet) Suspects(a air.Air, stated ...Tolerance) ([]Suspect, error) {
	p, err := s.prints(a, stated)
	if err != nil {
		return nil, err
	}
	ranked := p.rank(p.fit(p.start, p.all))
	out := make([]Suspect, len(ranked))
	for i, r := range ranked {
		out[i] = r.Suspect
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
	var culprits []Suspect
	f := p.fit(p.start, p.all)
	for {
		ranked := p.rank(f)
		if len(ranked) == 0 || !(ranked[0].Fall > significant) {
			break
		}
		culprits = append(culprits, ranked[0].Suspect)
		f = ranked[0].without
	}
	r := p.reconciled(f)
	return culprits, r, r.Driver.Check()
}

// significant is what the square of a normal deviate exceeds once in a thousand.
const significant = 10.83

type suspect struct {
	Suspect
	at      []int  // of the figures among the observations
	without fitted // with the figure mended or aside
}

// rank leaves out each figure that has a say.
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
		tie := slices.IndexFunc(ranked, func(r suspect) bool { return !determined(leave(r.at[0], i)) })
		without := p.fit(whole.x, leave(i))
		doubt, mended := p.doubt(without, i)
		if tie < 0 {
			ranked = append(ranked, suspect{
				Suspect: Suspect{Figures: []Doubt{doubt}, Fall: whole.chi2 - without.chi2, Chi2: without.chi2, Freedom: without.freedom},
				at:      []int{i}, without: mended,
			})
			continue
		}
		r := &ranked[tie]
		switch slipped := r.Figures[0].Slip != 0; {
		case doubt.Slip == 0 && slipped: // the others explain it better
		case doubt.Slip != 0 && !slipped:
			r.Figures, r.at, r.without = []Doubt{doubt}, append([]int{i}, r.at...), mended
		default:
			r.Figures, r.at = append(r.Figures, doubt), append(r.at, i)
		}
	}
	slipped := func(r suspect) int {
		if r.Figures[0].Slip != 0 && r.Fall > significant {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(ranked, func(a, b suspect) int {
		if d := slipped(b) - slipped(a); d != 0 {
			return d
		}
		switch {
		case a.Fall > b.Fall:
			return -1
		case a.Fall < b.Fall:
			return 1
		}
		return 0
	})
	for i := range ranked {
		ranked[i].Remark = p.remark(ranked[i].Suspect)
	}
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

// doubt compares figure i with the fit without it, and returns the fit with it mended
// if a power of ten does that.
func (p prints) doubt(without fitted, i int) (Doubt, fitted) {
	r := p.reconciled(without).Moves[i]
	o := without.used[i]
	d := Doubt{Figure: r.Figure, Published: r.Published, Implied: r.Reconciled, By: 1/(1+r.By) - 1, Decibels: r.Decibels}
	if r.Decibels {
		d.By = -r.By
		return d, without
	}
	implied := without.x.figure(o.figure.name, o.figure.si, p.air).ln
	tens := math.Round((o.ln - implied) / math.Ln10)
	if !slips(o.figure.name, math.Abs(tens)) {
		return d, without
	}
	mended := slices.Clone(without.used)
	mended[i].aside = false
	mended[i].ln -= tens * math.Ln10
	f := p.fit(without.x, mended)
	if f.chi2-without.chi2 > significant {
		return d, without
	}
	d.Slip = math.Pow(10, tens)
	return d, f
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
