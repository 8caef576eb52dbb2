package spread

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Speaker is what is built many times.
type Speaker struct {
	Field    *crossover.Field
	Networks []ladder.Network // one per way; the Tolerance of each part counts, zero is an exact part
	Parts    Distribution     // of the parts within their tolerance
	Drivers  []Driver         // how those of each way vary; nil: not at all

	// Weights of the points of the field, for the power average that is judged; nil:
	// the first point alone.
	Weights []float64

	Lo, Hi units.Frequency // the band in which figures are taken
	Target []float64       // dB on the grid, of any mean: what would be right; nil: flat

	Seed uint64
}

// A Driver is how the driver of a way, or all of its drivers together, varies.
type Driver struct {
	// Level is how far the pressure may be off, in dB, either way; uniform.
	Level float64

	// Vary, if not nil, makes one driver: it multiplies what happens to be its
	// difference into z and p, which come as ones: the impedance and the pressure over
	// those in the field, at the frequencies hz. All chance must come from rng, as much
	// for each driver as it likes. It is called from several goroutines at once.
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
	if err := s.checkWeights(); err != nil {
		return err
	}
	for _, end := range []struct {
		field string
		f     units.Frequency
	}{{"spread: lower end of the band", s.Lo}, {"spread: upper end of the band", s.Hi}} {
		if err := units.Positive(end.field, end.f); err != nil {
			return err
		}
	}
	if lo, hi := s.band(); hi-lo < 2 {
		return &units.RangeError{Field: fmt.Sprintf("spread: band from %v to %v:", s.Lo, s.Hi),
			Value: fmt.Sprintf("%d frequencies of the grid", max(hi-lo, 0)), Want: "must be two at least"}
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

func (s Speaker) checkWeights() error {
	if s.Weights == nil {
		return nil
	}
	if len(s.Weights) != s.Field.Points() {
		return &units.RangeError{Field: "spread: weights:", Value: fmt.Sprint(len(s.Weights)), Want: fmt.Sprintf("must be one for each of the %d points, or none", s.Field.Points())}
	}
	sum := 0.0
	for j, w := range s.Weights {
		if err := units.NotNegative(fmt.Sprintf("spread: weight of point %d", j+1), w); err != nil {
			return err
		}
		sum += w
	}
	return units.Positive("spread: sum of the weights", sum)
}

// band returns the range of indices of the grid in the band.
func (s Speaker) band() (lo, hi int) {
	hz := s.Field.Hz
	for lo < len(hz) && hz[lo] < float64(s.Lo) {
		lo++
	}
	hi = len(hz)
	for hi > lo && hz[hi-1] > float64(s.Hi) {
		hi--
	}
	return lo, hi
}
