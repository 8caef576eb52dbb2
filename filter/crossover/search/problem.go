// Package search finds part values for the networks of a speaker: first freely,
// by least squares ([Problem.Tune]), then from what a catalogue has, by trying
// every combination near ([Problem.Shelf]).
//
// Both want the sum flat at one point, within a band, and keep the load on the
// amplifier, the lowest crossing and the travel of the cones within limits.
package search

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Problem is a speaker whose networks are to be found. The ways of the field
// are ordered from low to high.
type Problem struct {
	Field *crossover.Field
	Point int // of the field, where the sum is to be flat; counted from 0

	Lo, Hi   units.Frequency  // the band in which it is to be flat
	Crossing units.Frequency  // no way may take over from the one below it lower than this; zero is no limit
	Load     units.Resistance // the least modulus of the load on the grid; zero is no limit
	Travel   []Travel         // of each way; nil is no limit
}

// Travel limits how far a cone or dome moves.
type Travel struct {
	PerVolt []float64     // m, peak, per volt at the driver's terminals, on the grid; nil is no limit
	Volts   units.Voltage // sine at the speaker's input, RMS, at any frequency of the grid
	Limit   units.Length  // peak, one way
}

// Check returns an error that says what makes the problem senseless: no field or
// no such point, a band with fewer than two frequencies of the grid, a limit that
// is negative or not finite, or travel given for other ways or another grid.
func (p Problem) Check() error {
	if p.Field == nil {
		return errors.New("search: the problem has no field")
	}
	if p.Point < 0 || p.Point >= p.Field.Points() {
		return &units.RangeError{Field: "search: point", Value: fmt.Sprint(p.Point),
			Want: fmt.Sprintf("must be from 0 to %d, the last of the field", p.Field.Points()-1)}
	}
	if err := cmp.Or(
		units.Positive("search: lower end of the band", p.Lo),
		units.Positive("search: upper end of the band", p.Hi),
		units.NotNegative("search: lowest crossing", p.Crossing),
		units.NotNegative("search: least load", p.Load),
	); err != nil {
		return err
	}
	if n := len(p.band()); n < 2 {
		return &units.RangeError{Field: fmt.Sprintf("search: band from %v to %v:", p.Lo, p.Hi),
			Value: fmt.Sprintf("%d frequencies of the grid", n), Want: "must be two at least"}
	}
	if p.Travel != nil && len(p.Travel) != p.Field.Ways() {
		return &units.RangeError{Field: "search: limits of travel:", Value: fmt.Sprint(len(p.Travel)),
			Want: fmt.Sprintf("must be one for each of the %d ways, or none", p.Field.Ways())}
	}
	for w, t := range p.Travel {
		if err := t.check(fmt.Sprintf("search: way %d", w+1), p.Field.Hz); err != nil {
			return err
		}
	}
	return nil
}

func (t Travel) check(way string, hz []float64) error {
	if t.PerVolt == nil {
		return nil
	}
	if len(t.PerVolt) != len(hz) {
		return &units.RangeError{Field: way + ": travel per volt", Value: fmt.Sprintf("at %d frequencies", len(t.PerVolt)),
			Want: fmt.Sprintf("must be at the %d of the grid", len(hz))}
	}
	for i, x := range t.PerVolt {
		if !(x >= 0) || math.IsInf(x, 0) {
			return units.NotNegative(fmt.Sprintf("%s: travel per volt at %v", way, units.Frequency(hz[i])), units.Length(x))
		}
	}
	if err := units.Positive(way+": voltage for the travel", t.Volts); err != nil {
		return err
	}
	return units.Positive(way+": limit of travel", t.Limit)
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

// band returns the indices of the grid in the band.
func (p Problem) band() []int {
	var in []int
	for i, f := range p.Field.Hz {
		if f >= float64(p.Lo) && f <= float64(p.Hi) {
			in = append(in, i)
		}
	}
	return in
}
