package spread

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Speaker is what is built many times. Field, Inverted, Point, Window, Lo, Hi and
// Target mean what they do in a problem of package search, whose answers can so be
// taken over.
type Speaker struct {
	Field    *crossover.Field
	Inverted bool             // the highest way is connected the other way round than the field has it
	Networks []ladder.Network // one per way; the Tolerance of each part counts, zero is an exact part
	Parts    Distribution     // of the parts within their tolerance
	Drivers  []Driver         // how those of each way vary; nil: not at all

	// Point is the point of the field that is on axis, counted from 0. Window is the
	// weight of each point in the listening window, whose mean power is judged beside
	// the axis; they need not add up to 1. Nil is a weight of 2 on axis and of 1
	// elsewhere.
	Point  int
	Window []float64

	// The band in which figures are taken: zero is 200 Hz and 16 kHz.
	Lo, Hi units.Frequency

	// Target is the level wanted in dB at each frequency of the grid, to which a
	// constant may be added: zeros stand for a flat sum. Nil is a straight line over
	// the logarithm of frequency that falls by 0 to 1 dB per decade, as fits best.
	Target []float64

	Seed uint64
}

// A Driver is how the driver of a way, or all of its drivers together, varies.
type Driver struct {
	// Level is how far the pressure may be off, in dB, either way; uniform.
	Level float64

	// Vary, if not nil, makes one driver: it multiplies into z and p by what factor
	// impedance and pressure differ from those in the field, at the frequencies hz;
	// they come as ones. All chance must come from rng, as much as it likes. It is
	// called from several goroutines at once.
	Vary func(z, p []complex128, hz []float64, rng *rand.Rand)
}

// Check returns an error that names what is missing or senseless: no field, not one
// network per way, a part that cannot exist, a band with fewer than two frequencies
// of the grid, weights, target or drivers that do not fit the field.
func (s Speaker) Check() error {
	if s.Field == nil {
		return errors.New("spread: the speaker has no field")
	}
	ways := s.Field.Ways()
	if len(s.Networks) != ways {
		return &units.RangeError{Field: "spread:", Value: fmt.Sprintf("%d networks", len(s.Networks)), Want: fmt.Sprintf("must be one for each of the %d ways", ways)}
	}
	for w, n := range s.Networks {
		if err := n.Check(); err != nil {
			return fmt.Errorf("spread: way %d: %w", w+1, err)
		}
	}
	if err := s.Parts.check(); err != nil {
		return err
	}
	if s.Drivers != nil && len(s.Drivers) != ways {
		return &units.RangeError{Field: "spread: drivers:", Value: fmt.Sprint(len(s.Drivers)), Want: fmt.Sprintf("must be one for each of the %d ways, or none", ways)}
	}
	for w, d := range s.Drivers {
		if err := units.NotNegative(fmt.Sprintf("spread: way %d: level in dB", w+1), d.Level); err != nil {
			return err
		}
	}
	if s.Point < 0 || s.Point >= s.Field.Points() {
		return &units.RangeError{Field: "spread: point", Value: fmt.Sprint(s.Point), Want: fmt.Sprintf("must be from 0 to %d, the last of the field", s.Field.Points()-1)}
	}
	if err := s.checkWindow(); err != nil {
		return err
	}
	lower, upper := s.ends()
	if err := units.Positive("spread: lower end of the band", lower); err != nil {
		return err
	}
	if err := units.Positive("spread: upper end of the band", upper); err != nil {
		return err
	}
	if lo, hi := s.band(); hi-lo < 3 {
		return &units.RangeError{Field: fmt.Sprintf("spread: band from %v to %v:", lower, upper),
			Value: fmt.Sprintf("%d frequencies of the grid", max(hi-lo, 0)), Want: "must be three at least"}
	}
	if s.Target != nil && len(s.Target) != len(s.Field.Hz) {
		return &units.RangeError{Field: "spread: target:", Value: fmt.Sprintf("at %d frequencies", len(s.Target)), Want: fmt.Sprintf("must be at the %d of the grid", len(s.Field.Hz))}
	}
	for i, t := range s.Target {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return &units.RangeError{Field: fmt.Sprintf("spread: target at %v", units.Frequency(s.Field.Hz[i])), Value: fmt.Sprintf("%v dB", t), Want: "must be finite"}
		}
	}
	return nil
}

func (s Speaker) checkWindow() error {
	if s.Window == nil {
		return nil
	}
	if len(s.Window) != s.Field.Points() {
		return &units.RangeError{Field: "spread: window:", Value: fmt.Sprintf("%d weights", len(s.Window)), Want: fmt.Sprintf("must be one for each of the %d points, or none", s.Field.Points())}
	}
	sum := 0.0
	for q, w := range s.Window {
		if err := units.NotNegative(fmt.Sprintf("spread: weight of point %d", q), w); err != nil {
			return err
		}
		sum += w
	}
	return units.Positive("spread: sum of the weights", sum)
}

func (s Speaker) ends() (lo, hi units.Frequency) {
	return cmp.Or(s.Lo, 200*units.Hertz), cmp.Or(s.Hi, 16*units.Kilohertz)
}

// band returns the range of indices of the grid in the band.
func (s Speaker) band() (from, to int) {
	lo, hi := s.ends()
	const hair = 1e-9 // a grid that is computed may miss its end by so much
	from, _ = slices.BinarySearch(s.Field.Hz, float64(lo)*(1-hair))
	to, _ = slices.BinarySearch(s.Field.Hz, float64(hi)*(1+hair))
	return from, to
}

// polarity returns -1 for a way that Inverted turns round, else 1.
func (s Speaker) polarity(way int) float64 {
	if s.Inverted && way == len(s.Networks)-1 {
		return -1
	}
	return 1
}
