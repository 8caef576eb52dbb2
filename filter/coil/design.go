package coil

import (
	"fmt"
	"math"
	"sort"

	"example.com/halfspace/units"
)

// Brooks returns the coil of an inductance and a wire with the proportions that
// need the least wire: a square section c by c with the inner radius c. The turns
// are those that the section holds, (c/pitch)², and need not be whole; see [Design]
// for a coil one can wind.
//
// The proportions are those of H. B. Brooks, Design of standards of inductance,
// Bureau of Standards Journal of Research, volume 7, 1931, who rounded the best
// ones. It is a *[units.RangeError] if the wire does not pass [Wire.Check], or if l
// is not positive or less than one turn of that shape has.
func Brooks(l units.Inductance, w Wire) (Coil, error) {
	if err := checkGiven(l, w); err != nil {
		return Coil{}, err
	}
	unit, err := brooks(1).Inductance(1)
	if err != nil {
		return Coil{}, err
	}
	p := w.pitch()
	// L = unit c N², N = (c/p)².
	c := units.Length(math.Pow(float64(l/unit)*math.Pow(float64(p), 4), 0.2))
	n := float64(c/p) * float64(c/p)
	if n < 1 {
		return Coil{}, tooSmall(l, unit*units.Inductance(p))
	}
	return Coil{w, brooks(c), n, int(math.Ceil(float64(c / p))), l}, nil
}

func brooks(c units.Length) Section { return Section{Inner: c, Length: c, Depth: c} }

// Design returns the coil of whole turns nearest to an inductance, in the shape of
// [Brooks] as nearly as whole turns in a layer allow: on a former of the radius
// that Brooks gives, with a length of the nearest whole number of turns.
//
// The inductance of the result is that of the turns it has. The errors are those of
// [Brooks], and one for more than 10000 turns in a layer.
func Design(l units.Inductance, w Wire) (Coil, error) {
	ideal, err := Brooks(l, w)
	if err != nil {
		return Coil{}, err
	}
	side := float64(ideal.Section.Inner / w.pitch())
	if side > mostInLayer {
		return Coil{}, &units.RangeError{Field: "coil: inductance", Value: l.String(), Want: fmt.Sprintf("must need at most %d turns in a layer, but needs %.0f", mostInLayer, side)}
	}
	perLayer := max(1, int(math.Round(side)))
	return wind(l, w, ideal.Section.Inner, perLayer, perLayer*int(2*side+2))
}

// Wind returns the coil of whole turns nearest to an inductance that is wound in
// even layers into the space s, a bobbin's: on the inner radius, as many turns in a
// layer as the length takes, the last layer perhaps begun only.
//
// The section of the result is what the winding fills, its inductance that of the
// turns it has; an unfinished layer is counted as spread over the length. It is a
// *[units.RangeError] if wire or space do not pass their checks, if the wire is
// thicker than the space or thinner than a ten-thousandth of it, or if l is less than one turn has there or more than the
// full space has.
func (s Section) Wind(l units.Inductance, w Wire) (Coil, error) {
	if err := checkGiven(l, w); err != nil {
		return Coil{}, err
	}
	if err := s.Check(); err != nil {
		return Coil{}, err
	}
	p := w.pitch()
	if small := min(s.Length, s.Depth); p > small {
		return Coil{}, &units.RangeError{Field: "coil: wire pitch", Value: p.String(), Want: "must be at most the smaller side of the winding space, " + small.String()}
	}
	if large := max(s.Length, s.Depth); large > mostInLayer*p {
		return Coil{}, &units.RangeError{Field: "coil: wire pitch", Value: p.String(), Want: fmt.Sprintf("must be at least a %dth of the larger side of the winding space, %v", mostInLayer, large)}
	}
	perLayer, layers := whole(s.Length, p), whole(s.Depth, p)
	return wind(l, w, s.Inner, perLayer, perLayer*layers)
}

// mostInLayer keeps the number of turns within an int of any size. No wire is so thin.
const mostInLayer = 10000

// whole returns how many pitches fit, with a hair for lengths that are multiples
// but for rounding.
func whole(space, pitch units.Length) int { return int(math.Floor(float64(space/pitch) * (1 + 1e-12))) }

// wind finds the whole number of turns, from 1 to most, nearest to l.
func wind(l units.Inductance, w Wire, inner units.Length, perLayer, most int) (Coil, error) {
	var failed error
	wound := func(turns int) Coil {
		p := w.pitch()
		c := Coil{Wire: w, Turns: float64(turns), Layers: (turns + perLayer - 1) / perLayer}
		c.Section = Section{inner, units.Length(min(turns, perLayer)) * p, units.Length(max(1, c.Turns/float64(perLayer))) * p}
		var err error
		if c.Inductance, err = c.Section.Inductance(c.Turns); err != nil {
			failed = err
		}
		return c
	}
	if one := wound(1); failed == nil && l < one.Inductance {
		return Coil{}, tooSmall(l, one.Inductance)
	}
	if full := wound(most); failed == nil && l > full.Inductance {
		return Coil{}, &units.RangeError{Field: "coil: inductance", Value: l.String(), Want: "must be at most that of the full winding space, " + full.Inductance.String()}
	}
	n := sort.Search(most, func(i int) bool { return wound(i+1).Inductance >= l }) + 1
	best := wound(n)
	if n > 1 {
		if fewer := wound(n - 1); l-fewer.Inductance <= best.Inductance-l {
			best = fewer
		}
	}
	if failed != nil {
		return Coil{}, failed
	}
	return best, nil
}

func checkGiven(l units.Inductance, w Wire) error {
	if err := units.Positive("coil: inductance", l); err != nil {
		return err
	}
	return w.Check()
}

func tooSmall(l, one units.Inductance) error {
	return &units.RangeError{Field: "coil: inductance", Value: l.String(), Want: "must be at least that of one turn, " + one.String()}
}
