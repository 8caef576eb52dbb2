package search

import (
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// A Search says how wide [Problem.Best] looks. Only Parts must be given.
type Search struct {
	Parts     int             // the most parts of a circuit, 1 to 7
	Catalogue parts.Catalogue // what can be bought; nil: any values, coils without resistance, and no prices
	Values    Values          // the values that parts may have
	Keep      int             // circuits kept for each number of parts; zero is 3
	Workers   int             // zero is all processors; the answer is the same for any number

	// Progress, if not nil, is told now and then how far the search is, by the
	// goroutine that called Best.
	Progress func(Progress)
}

func (s Search) check(p Problem) error {
	if err := p.Check(); err != nil {
		return err
	}
	if ways := p.Field.Ways(); ways != 2 {
		return &units.RangeError{Field: "search: circuits for", Value: fmt.Sprintf("%d ways", ways), Want: "must be 2"}
	}
	if s.Parts < 1 || s.Parts > mostParts {
		return &units.RangeError{Field: "search: parts", Value: fmt.Sprint(s.Parts), Want: fmt.Sprintf("must be from 1 to %d", mostParts)}
	}
	if s.Keep < 0 || s.Workers < 0 {
		return &units.RangeError{Field: "search:", Value: fmt.Sprintf("%d to keep, %d workers", s.Keep, s.Workers), Want: "must not be negative"}
	}
	if err := s.Values.check(); err != nil {
		return err
	}
	if s.Catalogue == nil {
		if p.Budget > 0 {
			return fmt.Errorf("search: budget %.2f: there are no prices without a catalogue", p.Budget)
		}
		return nil
	}
	return s.checkCatalogue(p)
}

func (s Search) checkCatalogue(p Problem) error {
	if err := checkItems(s.Catalogue); err != nil {
		return err
	}
	within := s.Values.filled().of(s.Catalogue)
	capacitor, coil := math.Inf(1), math.Inf(1)
	priced := false
	for _, item := range within {
		priced = priced || item.Price > 0
		switch item.Part.Kind {
		case ladder.Capacitor:
			capacitor = min(capacitor, item.Price)
		case ladder.Inductor:
			coil = min(coil, float64(item.Part.Resistance))
		}
	}
	l := p.Limits()
	switch {
	case math.IsInf(capacitor, 1):
		return errors.New("search: the catalogue has no capacitor of an allowed value, which every tweeter needs")
	case p.Budget > 0 && !priced:
		return fmt.Errorf("search: budget %.2f: no item of the catalogue has a price", p.Budget)
	case capacitor > l.Budget:
		return fmt.Errorf("search: the budget, %.2f, and the catalogue contradict each other: the cheapest capacitor costs %.2f", l.Budget, capacitor)
	case !math.IsInf(coil, 1) && coil > float64(l.Resistance):
		return fmt.Errorf("search: the series resistance, at most %v, and the catalogue contradict each other: the best coil has %v", l.Resistance, units.Resistance(coil))
	}
	return nil
}
