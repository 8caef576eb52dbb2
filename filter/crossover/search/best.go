package search

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
)

// What decides who is optimised. A sketch is fitted on fewer frequencies and not to
// the end, so it may be a little worse than what comes of it.
const (
	coarsePoints = 40   // of the band, at least, for sketches
	batch        = 16   // optimised between two looks at the best
	chunk        = 64   // sketched between two looks at the context
	slack        = 0.85 // of a sketch that its fit may reach
	slackDB      = 0.01
	defaultKeep  = 3
	mostParts    = 7
	farMissed    = 0.2 // share of limits, in all

	// How many combinations of items are tried at the end, of both ways and of one.
	finalPairs    = 1_500_000
	finalVariants = 4000
)

// Best searches all circuits of the grammar with up to s.Parts parts, for a two-way
// speaker, both polarities of the tweeter, and returns the best few for each number of
// parts: with free values, or with the items of a catalogue and their losses and
// prices.
//
// Every circuit is sketched: fitted from three starts on few frequencies. In the order
// of their sketches they are optimised from thirteen starts on the grid, and settled on
// items, until a sketch is so poor that it cannot compete with the best few or
// with fewer parts. Items are exchanged one way at a time and in pairs until nothing
// gets better; then all combinations near are tried. So the answer is what a careful
// search finds, not proof that there is nothing better. It does not depend on the
// number of workers.
//
// If the context ends, Best returns what it has so far, and the context's error. If no
// circuit keeps the limits, the error says what the one that breaks them least breaks,
// and Frontier.Nearest has it. It is an error without a frontier if the problem or the
// catalogue fails its check, if there are not two ways, if there is a budget but no
// price, or if a limit and the catalogue contradict each other.
func (p Problem) Best(ctx context.Context, s Search) (Frontier, error) {
	if err := s.check(p); err != nil {
		return Frontier{}, err
	}
	s.Values = s.Values.filled()
	s.Catalogue = s.Values.of(s.Catalogue)
	s.Keep = cmp.Or(s.Keep, defaultKeep)
	s.Workers = cmp.Or(s.Workers, runtime.GOMAXPROCS(0))
	h := newHunt(p, s)
	f := Frontier{Best: make([][]Choice, s.Parts+1), Certificate: Certificate{
		Enumerated: make([]int, s.Parts+1), Pruned: make([]int, s.Parts+1), Optimised: make([]int, s.Parts+1),
	}}
	var err error
	for n := 1; n <= s.Parts && err == nil; n++ {
		err = h.count(ctx, n, &f)
	}
	for _, w := range h.workers {
		f.Certificate.Starts += w.starts
		f.Certificate.Evaluations += w.evaluations()
	}
	f.Certificate.Complete = err == nil
	if _, ok := f.Flattest(); ok {
		return f, err
	}
	if h.nearest == nil {
		return f, cmp.Or(err, errors.New("search: the sum of every circuit has a null in the band"))
	}
	f.Nearest = &h.nearest.choice
	return f, cmp.Or(err, fmt.Errorf("search: no circuit of up to %d parts keeps the limits: with the nearest, %s", s.Parts, f.Nearest.Broken[0]))
}
