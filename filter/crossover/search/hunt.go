package search

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"example.com/halfspace/filter/ladder"
)

// A hunt is a search under way.
type hunt struct {
	s       Search
	problem [2]Problem // by polarity
	coarse  [2]*model
	whole   [2]*model
	coils   wire
	workers []*worker

	louder  float64 // by which factor the tweeter is, in the band
	nearest *entry

	// sketches of the circuits with one part fewer, by spelling and polarity
	known map[string][2]known
}

// A worker has room of its own.
type worker struct {
	coarse, whole [2]*tuner
	settlers      [2]*settler
	thorough      [2]*settler // on the whole grid
	starts        int
}

func (w *worker) evaluations() int {
	n := 0
	for i := range 2 {
		n += w.coarse[i].evaluations + w.whole[i].evaluations + w.settlers[i].evaluations + w.thorough[i].evaluations
	}
	return n
}

// known is what a sketch found.
type known struct {
	x   []float64
	sum float64
}

// A task is a circuit with a polarity, and what is known of it.
type task struct {
	circuit []ladder.Network
	index   int
	turned  int // 0 or 1: with the polarity of the field, or the other
	sketch  float64
	x       []float64 // where the sketch ended
}

// An entry is a finished task.
type entry struct {
	choice Choice
	key    float64
	index  int
}

func newHunt(p Problem, s Search) *hunt {
	h := &hunt{s: s, coils: s.wire()}
	every := 1
	from, to := p.band()
	for (to-from)/(every+1) >= coarsePoints {
		every++
	}
	for i := range 2 {
		h.problem[i] = p
		h.problem[i].Inverted = p.Inverted != (i == 1)
		h.coarse[i], h.whole[i] = h.problem[i].model(every), h.problem[i].model(1)
	}
	for range s.Workers {
		w := &worker{}
		for i := range 2 {
			w.coarse[i], w.whole[i] = newTuner(h.coarse[i], nil2), newTuner(h.whole[i], nil2)
			w.coarse[i].coils, w.whole[i].coils = h.coils, h.coils
			w.settlers[i], w.thorough[i] = newSettler(h.coarse[i], s.Catalogue), newSettler(h.whole[i], s.Catalogue)
		}
		h.workers = append(h.workers, w)
	}
	m := h.coarse[0]
	level := [2]float64{}
	for w := range 2 {
		middle := len(m.x) / 2
		ks := [2][2]int{{0, middle}, {middle, len(m.x)}}[w]
		for k := ks[0]; k < ks[1]; k++ {
			level[w] += decibels(m.drive[w][m.from+k]) / float64(ks[1]-ks[0])
		}
	}
	h.louder = math.Pow(10, (level[1]-level[0])/20)
	return h
}

var nil2 = make([]ladder.Network, 2)

// wire returns that of a coil in the middle of the catalogue.
func (s Search) wire() wire {
	var ohms []float64
	for _, i := range s.Catalogue {
		if i.Part.Kind == ladder.Inductor {
			ohms = append(ohms, float64(i.Part.Resistance)/math.Pow(i.Part.Value/1e-3, ofTurns))
		}
	}
	if ohms == nil {
		return wire{}
	}
	slices.Sort(ohms)
	return wire{ohms[len(ohms)/2]}
}

// parallel does n tasks, whose results must not depend on the order or on the worker.
func (h *hunt) parallel(n int, do func(w *worker, i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for _, w := range h.workers[:min(n, len(h.workers))] {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(w, i)
			}
		})
	}
	wait.Wait()
}

// count searches the circuits of n parts.
func (h *hunt) count(ctx context.Context, n int, f *Frontier) error {
	var tasks []task
	for _, c := range Circuits(n) {
		for turned := range 2 {
			tasks = append(tasks, task{circuit: c, index: len(tasks), turned: turned})
		}
	}
	f.Certificate.Enumerated[n] = len(tasks)
	fewer := math.Inf(1)
	if c, ok := f.Flattest(); ok {
		fewer = c.Score.Flatness
	}
	tell := func(done int) {
		if h.s.Progress != nil {
			least := fewer
			if len(f.Best[n]) > 0 {
				least = f.Best[n][0].Score.Flatness
			}
			h.s.Progress(Progress{Parts: n, Done: done, Of: 2 * len(tasks), Flatness: least})
		}
	}
	for from := 0; from < len(tasks); from += chunk {
		if err := ctx.Err(); err != nil {
			return err
		}
		some := tasks[from:min(from+chunk, len(tasks))]
		h.parallel(len(some), func(w *worker, i int) { h.sketch(w, &some[i]) })
		tell(from + len(some))
	}
	h.known = map[string][2]known{}
	for _, k := range tasks {
		name := spell(k.circuit)
		both := h.known[name]
		both[k.turned] = known{k.x, k.sketch}
		h.known[name] = both
	}
	// Rounded, so that the order does not hang on the last bits.
	slices.SortStableFunc(tasks, func(a, b task) int { return cmp.Compare(math.Round(a.sketch*1e6), math.Round(b.sketch*1e6)) })

	var kept []entry
	for from := 0; from < len(tasks); from += batch {
		if err := ctx.Err(); err != nil {
			return err
		}
		bound := fewer
		if len(kept) == h.s.Keep {
			bound = min(bound, kept[len(kept)-1].key)
		}
		some := tasks[from:min(from+batch, len(tasks))]
		for i, t := range some {
			if t.sketch*slack-slackDB > bound {
				some = some[:i]
				break
			}
		}
		done := make([]entry, len(some))
		h.parallel(len(some), func(w *worker, i int) { done[i] = h.optimise(w, some[i]) })
		f.Certificate.Optimised[n] += len(some)
		for _, e := range done {
			kept = h.insert(kept, e, fewer)
		}
		f.Best[n] = f.Best[n][:0]
		for _, e := range kept {
			f.Best[n] = append(f.Best[n], e.choice)
		}
		if len(some) < min(batch, len(tasks)-from) {
			break
		}
		tell(len(tasks) + from + len(some))
	}
	f.Certificate.Pruned[n] = len(tasks) - f.Certificate.Optimised[n]
	h.finish(kept)
	kept = slices.DeleteFunc(kept, func(e entry) bool { return !(e.key < fewer-tie) })
	slices.SortStableFunc(kept, func(a, b entry) int { return compare(a, b) })
	f.Best[n] = nil
	for _, e := range kept {
		f.Best[n] = append(f.Best[n], e.choice)
	}
	tell(2 * len(tasks))
	return nil
}

// compare orders entries, alike ones by their place in the list of circuits.
func compare(a, b entry) int {
	if math.Abs(a.key-b.key) > tie {
		return cmp.Compare(a.key, b.key)
	}
	return cmp.Compare(a.index, b.index)
}

// insert keeps e if it is one of the best that keep the limits; of those that do not it
// remembers the nearest.
func (h *hunt) insert(kept []entry, e entry, fewer float64) []entry {
	switch {
	case e.choice.Networks == nil: // nothing was found
		return kept
	case e.choice.Broken != nil:
		if h.nearest == nil || e.key < h.nearest.key-tie {
			h.nearest = &e
		}
		return kept
	case !(e.key < fewer-tie):
		return kept
	}
	at := 0
	for at < len(kept) && compare(kept[at], e) <= 0 {
		at++
	}
	kept = slices.Insert(kept, at, e)
	return kept[:min(len(kept), h.s.Keep)]
}
