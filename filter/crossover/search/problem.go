package search

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"golang.org/x/exp/constraints"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Off takes a limit of a [Problem] away, where zero is a safe default.
const Off = -1

// A Problem is a speaker whose networks are to be found, and what is wanted of it.
// The ways of the field are ordered from low to high. The zero value of each limit is
// the safe default that stands beside it.
type Problem struct {
	Field    *crossover.Field
	Inverted bool // the highest way is connected the other way round than the field has it

	// Point is the point of the field that is on axis, counted from 0. Window is the
	// weight of each point in the listening window, whose mean power counts as much
	// as the axis; they need not add up to 1. Nil is a weight of 2 on axis and of 1
	// elsewhere.
	Point  int
	Window []float64

	// The band in which the sum is to be flat: zero is 200 Hz and 16 kHz.
	Lo, Hi units.Frequency

	// Target is the level wanted in dB at each frequency of the grid, to which a
	// constant may be added: zeros stand for a flat sum. Nil is a straight line over
	// the logarithm of frequency that falls by 0 to 1 dB per decade, as fits best.
	Target []float64

	// Crossing is the lowest frequency at which a way may take over from the one
	// below it: zero is twice Resonance, that of the highest way's driver.
	Crossing  units.Frequency
	Resonance units.Frequency

	// Highest is from where the highest way must stay louder than the one below it,
	// to the end of the band: zero is where the one below is 6 dB down on its axis in
	// some direction of the window. So there is no such default on axis only.
	Highest units.Frequency

	// Load is the least modulus of the load on the grid: zero is 3.2 Ω, what a
	// speaker rated 4 Ω may fall to ([ladder.RatedImpedance]).
	Load units.Resistance

	// Resistance is the most resistance in series with the lowest way at DC, which is
	// that of its coils: zero is an eighth of the least modulus of its driver, which
	// raises the driver's total Q by less than that.
	Resistance units.Resistance

	// Travel limits how far each way's driver moves. It must be given, or off, for
	// the highest way. That of the lowest is a matter of its box.
	Travel []Travel

	// Budget is the most that all parts of one speaker may cost, in the currency of
	// the catalogue. Zero and Off are no ceiling.
	Budget float64
}

// Travel limits how far a cone or dome moves with a stated signal at the speaker's
// input: a sine of any frequency of the grid, or a noise of a given spectrum.
type Travel struct {
	PerVolt []float64    // m, peak, per volt RMS at the driver's terminals, on the grid
	Limit   units.Length // peak, one way; Off is none

	Volts units.Voltage // of the sine, RMS

	// Spectrum is the voltage of the noise in each step of the grid, RMS; nil is the
	// sine. Crest is the peak of the travel over its RMS value: zero is 3, which noise
	// of a normal distribution exceeds 0.3 % of the time.
	Spectrum []float64
	Crest    float64
}

func (t Travel) none() bool { return t.PerVolt == nil || t.Limit == Off }

// The safe defaults.
const (
	defaultLo    = 200 * units.Hertz
	defaultHi    = 16 * units.Kilohertz
	defaultLoad  = 3.2 * units.Ohm
	steepest     = -1 // dB per decade
	defaultShare = 1. / 8
	defaultCrest = 3
	beams        = 0.251 // −6 dB as a power
)

// Band returns the ends of the band.
func (p Problem) Band() (lo, hi units.Frequency) {
	return cmp.Or(p.Lo, defaultLo), cmp.Or(p.Hi, defaultHi)
}

// Limits are those of a problem with the defaults filled in. What is off is 0,
// infinite or nil.
type Limits struct {
	Crossing   units.Frequency
	Highest    units.Frequency
	Load       units.Resistance
	Resistance units.Resistance
	Travel     []units.Length // of each way, infinite for none
	Budget     float64
}

// Limits returns the limits that hold. The problem should have passed
// [Problem.Check].
func (p Problem) Limits() Limits {
	inf := math.Inf(1)
	l := Limits{Crossing: p.Crossing, Load: p.Load, Resistance: p.Resistance, Budget: p.Budget}
	switch p.Crossing {
	case 0:
		l.Crossing = 2 * p.Resonance
	case Off:
		l.Crossing = 0
	}
	l.Highest = p.Highest
	switch p.Highest {
	case 0:
		l.Highest = p.beaming()
	case Off:
		l.Highest = units.Frequency(inf)
	}
	switch p.Load {
	case 0:
		l.Load = defaultLoad
	case Off:
		l.Load = 0
	}
	switch p.Resistance {
	case 0:
		_, least := ladder.MinimumImpedance(p.Field.Hz, p.Field.Load(0))
		l.Resistance = defaultShare * least
	case Off:
		l.Resistance = units.Resistance(inf)
	}
	for w := range p.Field.Ways() {
		l.Travel = append(l.Travel, units.Length(inf))
		if w < len(p.Travel) && !p.Travel[w].none() {
			l.Travel[w] = p.Travel[w].Limit
		}
	}
	if l.Budget <= 0 {
		l.Budget = inf
	}
	return l
}

// weights returns those of the window.
func (p Problem) weights() []float64 {
	if p.Window != nil {
		return p.Window
	}
	w := make([]float64, p.Field.Points())
	for q := range w {
		w[q] = 1
	}
	w[p.Point] = 2
	return w
}

// beaming returns from where the way below the highest is too far down in some
// direction of the window, or infinity.
func (p Problem) beaming() units.Frequency {
	from, to := p.band()
	w := p.Field.Ways() - 2
	if w < 0 {
		return units.Frequency(math.Inf(1))
	}
	axis := p.Field.Pressure(w, p.Point)
	for i := from; i < to; i++ {
		for q, weight := range p.weights() {
			if weight > 0 && power(p.Field.Pressure(w, q)[i]) < beams*power(axis[i]) {
				return units.Frequency(p.Field.Hz[i])
			}
		}
	}
	return units.Frequency(math.Inf(1))
}

// Check returns an error that says what makes the problem senseless: no field or
// no such point; a band that the grid does not cover or with fewer than two of its
// frequencies; a limit that is neither positive, nor zero, nor Off; a default that
// cannot be worked out, as that of the crossing without a resonance; weights, targets
// or travel for another field or grid; or two limits that contradict each other.
func (p Problem) Check() error {
	if p.Field == nil {
		return errors.New("search: the problem has no field")
	}
	f := p.Field
	if p.Point < 0 || p.Point >= f.Points() {
		return &units.RangeError{Field: "search: point", Value: fmt.Sprint(p.Point),
			Want: fmt.Sprintf("must be from 0 to %d, the last of the field", f.Points()-1)}
	}
	if err := p.checkWindow(); err != nil {
		return err
	}
	lo, hi := p.Band()
	if err := cmp.Or(
		units.Positive("search: lower end of the band", lo),
		units.Positive("search: upper end of the band", hi),
		limit("search: lowest crossing", p.Crossing),
		units.NotNegative("search: resonance", p.Resonance),
		limit("search: highest crossing", p.Highest),
		limit("search: least load", p.Load),
		limit("search: series resistance", p.Resistance),
		limit("search: budget", p.Budget),
	); err != nil {
		return err
	}
	if p.Crossing == 0 && p.Resonance == 0 && f.Ways() > 1 {
		return errors.New("search: lowest crossing: neither it nor the resonance of the highest way is given: one must be, or the crossing Off")
	}
	first, last := f.Hz[0], f.Hz[len(f.Hz)-1]
	const hair = 1e-6 // tables print their frequencies rounded
	if float64(lo) < first*(1-hair) || float64(hi) > last*(1+hair) {
		return &units.RangeError{Field: "search: band from", Value: fmt.Sprintf("%v to %v", lo, hi),
			Want: fmt.Sprintf("must lie within the tables, %v to %v", units.Frequency(first), units.Frequency(last))}
	}
	if from, to := p.band(); to-from < 2 {
		return &units.RangeError{Field: fmt.Sprintf("search: band from %v to %v:", lo, hi),
			Value: fmt.Sprintf("%d frequencies of the grid", max(0, to-from)), Want: "must be two at least"}
	}
	if p.Target != nil {
		if len(p.Target) != len(f.Hz) {
			return &units.RangeError{Field: "search: target", Value: fmt.Sprintf("at %d frequencies", len(p.Target)),
				Want: fmt.Sprintf("must be at the %d of the grid", len(f.Hz))}
		}
		for i, v := range p.Target {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return &units.RangeError{Field: fmt.Sprintf("search: target at %v", units.Frequency(f.Hz[i])), Value: fmt.Sprintf("%v dB", v), Want: "must be finite"}
			}
		}
	}
	if err := p.checkTravel(); err != nil {
		return err
	}
	l := p.Limits()
	switch {
	case f.Ways() < 2:
	case l.Crossing > hi:
		return fmt.Errorf("search: the lowest crossing, %v, and the upper end of the band, %v, contradict each other: the highest way would not be heard in the band", l.Crossing, hi)
	case l.Crossing > l.Highest && p.Highest == 0:
		return fmt.Errorf("search: the lowest crossing, %v, and the highest, %v, where the way below is 6 dB down in the window, contradict each other", l.Crossing, l.Highest)
	case l.Crossing > l.Highest:
		return fmt.Errorf("search: the lowest crossing, %v, and the highest, %v, contradict each other", l.Crossing, l.Highest)
	}
	return nil
}

// limit returns an error unless v is positive and finite, zero, or Off.
func limit[Q constraints.Float](field string, v Q) error {
	if v == Off {
		return nil
	}
	return units.NotNegative(field, v)
}

func (p Problem) checkWindow() error {
	if p.Window == nil {
		return nil
	}
	if len(p.Window) != p.Field.Points() {
		return &units.RangeError{Field: "search: window:", Value: fmt.Sprintf("%d weights", len(p.Window)),
			Want: fmt.Sprintf("must be one for each of the %d points", p.Field.Points())}
	}
	for i, v := range p.Window {
		if !(v >= 0) || math.IsInf(v, 0) {
			return &units.RangeError{Field: fmt.Sprintf("search: weight of point %d", i), Value: fmt.Sprint(v), Want: "must be zero or positive, and finite"}
		}
	}
	if slices.Max(p.Window) == 0 {
		return &units.RangeError{Field: "search: window:", Value: "no weight", Want: "must have one above zero"}
	}
	return nil
}

func (p Problem) checkTravel() error {
	ways := p.Field.Ways()
	if len(p.Travel) != ways && p.Travel != nil {
		return &units.RangeError{Field: "search: limits of travel:", Value: fmt.Sprint(len(p.Travel)),
			Want: fmt.Sprintf("must be one for each of the %d ways", ways)}
	}
	if ways > 1 && (p.Travel == nil || p.Travel[ways-1].PerVolt == nil && p.Travel[ways-1].Limit != Off) {
		return fmt.Errorf("search: way %d: travel per volt: not given: it must be, or its limit Off", ways)
	}
	for w, t := range p.Travel {
		if t.none() {
			continue
		}
		if err := t.check(fmt.Sprintf("search: way %d", w+1), p.Field.Hz); err != nil {
			return err
		}
	}
	return nil
}

func (t Travel) check(way string, hz []float64) error {
	if len(t.PerVolt) != len(hz) {
		return &units.RangeError{Field: way + ": travel per volt", Value: fmt.Sprintf("at %d frequencies", len(t.PerVolt)),
			Want: fmt.Sprintf("must be at the %d of the grid", len(hz))}
	}
	for i, x := range t.PerVolt {
		if err := units.NotNegative(fmt.Sprintf("%s: travel per volt at %v", way, units.Frequency(hz[i])), units.Length(x)); err != nil {
			return err
		}
	}
	if err := units.Positive(way+": limit of travel", t.Limit); err != nil {
		return err
	}
	if t.Spectrum == nil {
		return units.Positive(way+": voltage for the travel", t.Volts)
	}
	if len(t.Spectrum) != len(hz) {
		return &units.RangeError{Field: way + ": spectrum", Value: fmt.Sprintf("at %d frequencies", len(t.Spectrum)),
			Want: fmt.Sprintf("must be at the %d of the grid", len(hz))}
	}
	for i, x := range t.Spectrum {
		if err := units.NotNegative(fmt.Sprintf("%s: spectrum at %v", way, units.Frequency(hz[i])), units.Voltage(x)); err != nil {
			return err
		}
	}
	return units.NotNegative(way+": crest factor", t.Crest)
}

// ready checks the problem and the networks.
func (p Problem) ready(networks []ladder.Network) error {
	if err := p.Check(); err != nil {
		return err
	}
	if len(networks) != p.Field.Ways() {
		return &units.RangeError{Field: "search:", Value: fmt.Sprintf("%d networks", len(networks)),
			Want: fmt.Sprintf("must be one for each of the %d ways", p.Field.Ways())}
	}
	for w, n := range networks {
		if err := n.Check(); err != nil {
			return fmt.Errorf("search: way %d: %w", w+1, err)
		}
	}
	if len(values(networks)) == 0 {
		return errors.New("search: the networks have no parts")
	}
	return nil
}

// band returns which part of the grid is in the band.
func (p Problem) band() (from, to int) {
	lo, hi := p.Band()
	const hair = 1e-9
	from, _ = slices.BinarySearch(p.Field.Hz, float64(lo)*(1-hair))
	to, _ = slices.BinarySearch(p.Field.Hz, float64(hi)*(1+hair))
	return from, to
}
