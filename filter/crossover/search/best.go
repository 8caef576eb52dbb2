package search

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

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

// Values are the least and the largest values of parts. Zero is 0.05 mH to 5 mH,
// 0.47 µF to 68 µF and 0.47 Ω to 47 Ω, which is what builders use between a woofer and
// a tweeter.
type Values struct {
	L [2]units.Inductance
	C [2]units.Capacitance
	R [2]units.Resistance
}

// Progress is how far a search is: of the circuits with so many parts, each with both
// polarities, so many are done with.
type Progress struct {
	Parts    int
	Done, Of int
	Flatness float64 // the least so far with at most Parts parts, dB; infinite if there is none
}

// A Frontier is what a number of parts can do.
type Frontier struct {
	// Best has at index n the best circuits of n parts that keep all limits, flattest
	// first, at most as many as were to be kept. Those that are not flatter than the
	// best with fewer parts are left out, so an empty list says that part n is wasted.
	Best [][]Choice

	// Nearest is given if no circuit keeps the limits: the one that breaks them least.
	Nearest *Choice

	Certificate Certificate
}

// Flattest returns the flattest of all, or false if there is none.
func (f Frontier) Flattest() (Choice, bool) {
	for n := len(f.Best) - 1; n >= 0; n-- {
		if len(f.Best[n]) > 0 {
			return f.Best[n][0], true
		}
	}
	return Choice{}, false
}

// A Certificate counts what a search has done. Index n of the slices counts circuits
// of n parts, each polarity for itself. The circuits and their parts are the same on
// all machines; how many evaluations a fit took hangs on the last bits.
type Certificate struct {
	Enumerated  []int // by the grammar
	Pruned      []int // sketched only: the sketch, with limits that give way, was not flat enough to compete
	Optimised   []int // fitted from several starts, then settled on the shelf if there is one
	Starts      int   // fits begun
	Evaluations int   // of all networks on a grid, in fits; and on the shelf
	Complete    bool  // false if the search was stopped
}

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

func (v Values) check() error {
	for _, r := range []struct {
		name      string
		least     string
		most      string
		lo, hi    float64
		untouched bool
	}{
		{"coils", v.L[0].String(), v.L[1].String(), float64(v.L[0]), float64(v.L[1]), v.L == [2]units.Inductance{}},
		{"capacitors", v.C[0].String(), v.C[1].String(), float64(v.C[0]), float64(v.C[1]), v.C == [2]units.Capacitance{}},
		{"resistors", v.R[0].String(), v.R[1].String(), float64(v.R[0]), float64(v.R[1]), v.R == [2]units.Resistance{}},
	} {
		if !r.untouched && !(r.lo > 0 && r.hi > r.lo && !math.IsInf(r.hi, 0)) {
			return &units.RangeError{Field: "search: values of " + r.name, Value: "from " + r.least + " to " + r.most, Want: "must be positive, finite and ascending"}
		}
	}
	return nil
}

func (v Values) filled() Values {
	if v.L == [2]units.Inductance{} {
		v.L = [2]units.Inductance{0.05 * units.Millihenry, 5 * units.Millihenry}
	}
	if v.C == [2]units.Capacitance{} {
		v.C = [2]units.Capacitance{0.47 * units.Microfarad, 68 * units.Microfarad}
	}
	if v.R == [2]units.Resistance{} {
		v.R = [2]units.Resistance{0.47, 47}
	}
	return v
}

// span returns the least and the largest value of a kind.
func (v Values) span(k ladder.Kind) (lo, hi float64) {
	switch k {
	case ladder.Inductor:
		return float64(v.L[0]), float64(v.L[1])
	case ladder.Capacitor:
		return float64(v.C[0]), float64(v.C[1])
	}
	return float64(v.R[0]), float64(v.R[1])
}

// of returns the items whose values are allowed.
func (v Values) of(c parts.Catalogue) parts.Catalogue {
	return slices.DeleteFunc(slices.Clone(c), func(i parts.Item) bool {
		lo, hi := v.span(i.Part.Kind)
		const hair = 1e-9
		return !(i.Part.Value >= lo*(1-hair) && i.Part.Value <= hi*(1+hair))
	})
}

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

// starts returns values for a circuit, from three crossings.
func (h *hunt) startsFor(m *model, circuit []ladder.Network, which int) []ladder.Network {
	hz := float64(m.limits.Crossing)
	if hz == 0 {
		hz = math.Sqrt(m.hz[m.from] * m.hz[m.to-1])
	}
	hz *= [...]float64{1.15, 1.6, 2.2}[which]
	i, _ := slices.BinarySearch(m.hz, hz)
	i = min(i, len(m.hz)-1)
	n := clone(circuit)
	abs := func(z complex128) float64 { return math.Sqrt(power(z)) }
	resonance := float64(h.problem[0].Resonance)
	if resonance == 0 {
		resonance = hz / 2
	}
	suggest(n, hz, abs(m.load[0][i]), abs(m.load[1][i]), h.louder, resonance)
	return n
}

const crossings = 3

// begin makes a tuner ready for a circuit.
func (h *hunt) begin(t *tuner, n []ladder.Network) {
	t.take(n)
	for i, p := range t.parts {
		lo, hi := h.s.Values.span(p.Kind)
		t.lo[i], t.hi[i] = math.Log(lo), math.Log(hi)
	}
}

// sketch fits a circuit roughly.
func (h *hunt) sketch(w *worker, k *task) {
	t := w.coarse[k.turned]
	best := end{sum: math.Inf(1)}
	try := func(x []float64) {
		w.starts++
		if e := t.minimize(x, sketchy); best.x == nil || e.sum < best.sum {
			best = e
		}
	}
	for i := range crossings {
		h.begin(t, h.startsFor(t.m, k.circuit, i))
		try(t.at())
	}
	for _, x := range h.inherited(*k) {
		try(x)
	}
	e := t.minimize(best.x, fair)
	k.sketch, k.x = math.Sqrt(e.sum), e.x
}

// inherited returns starts from the best two of the circuits without one of the
// parts, with that part faint.
func (h *hunt) inherited(k task) [][]float64 {
	type start struct {
		x   []float64
		sum float64
	}
	var starts []start
	for _, old := range heritages(k.circuit) {
		both, ok := h.known[spell(old.circuit)]
		if !ok || both[k.turned].x == nil {
			continue
		}
		x := make([]float64, len(old.from)+1)
		for i, part := range old.from {
			x[part] = both[k.turned].x[i]
		}
		x[old.without] = math.Log(faint(k.circuit, old.without, h.s.Values))
		starts = append(starts, start{x, both[k.turned].sum})
	}
	slices.SortStableFunc(starts, func(a, b start) int { return cmp.Compare(math.Round(a.sum*1e6), math.Round(b.sum*1e6)) })
	var out [][]float64
	for _, s := range starts[:min(len(starts), 2)] {
		out = append(out, s.x)
	}
	return out
}

// optimise fits a circuit from many starts and settles it on the shelf.
func (h *hunt) optimise(w *worker, k task) entry {
	t := w.coarse[k.turned]
	var ends []end
	for i := range crossings + scattering {
		h.begin(t, h.startsFor(t.m, k.circuit, i%crossings))
		x := t.at()
		if i >= crossings {
			for v := range x {
				x[v] += wide * float64(1+i%2) * scatter(i-crossings+1, v)
			}
		}
		w.starts++
		if e := t.minimize(x, sketchy); !math.IsInf(e.sum, 0) {
			ends = append(ends, e)
		}
	}
	ends = append(ends, end{x: k.x, sum: k.sketch * k.sketch})
	slices.SortStableFunc(ends, bySum)
	var good []end // different ones
	for _, e := range ends[:min(len(ends), 4)] {
		if e := t.minimize(e.x, fair); !slices.ContainsFunc(good, func(g end) bool { return math.Abs(g.sum-e.sum) <= 1e-2*g.sum }) {
			good = append(good, e)
		}
	}
	slices.SortStableFunc(good, bySum)
	best := entry{index: k.index, key: math.Inf(1)}
	for i, e := range good {
		if i > 0 && e.sum > alike*good[0].sum {
			break
		}
		if e := h.settle(w, k, e); e.key < best.key-tie {
			best = e
		}
	}
	return best
}

func bySum(a, b end) int { return cmp.Compare(math.Round(a.sum*1e9), math.Round(b.sum*1e9)) }

// settle fits a circuit on the whole grid, from an end on the coarse one, and chooses
// items.
func (h *hunt) settle(w *worker, k task, from end) entry {
	t := w.whole[k.turned]
	h.begin(t, clone(k.circuit))
	t.set(t.minimize(from.x, good).x)
	if h.s.Catalogue == nil {
		return h.entry(w, k.turned, k.index, Choice{Networks: clone(t.networks)})
	}
	// What misses limits by far with any values will not keep them with those of a shop,
	// but for the resistance of its coils.
	t.m.solve(t.s, t.networks)
	free := t.m.limits
	free.Resistance = units.Resistance(math.Inf(1))
	hopeless := free.excess(t.m.score(t.s, t.networks), 0) > farMissed
	items := w.settlers[k.turned].settle(t.networks, hopeless)
	if items == nil {
		return entry{index: k.index, key: math.Inf(1)} // the catalogue has no such part
	}
	e := h.entry(w, k.turned, k.index, bought(k.circuit, items))
	if e.choice.Broken == nil || hopeless {
		return e
	}
	// Perhaps only between the frequencies of the coarse grid.
	if again := h.entry(w, k.turned, k.index, bought(k.circuit, w.thorough[k.turned].settle(e.choice.Networks, false))); again.key < e.key {
		return again
	}
	return e
}

const (
	alike      = 1.7 // sums of squares of ends that are worth a look, over the best
	scattering = 10  // starts beside those of the crossings
	wide       = 1.2 // nepers, up or down, in which every second lies; the others in twice that
)

// bought returns a circuit with items for its parts.
func bought(circuit []ladder.Network, items [][]parts.Item) Choice {
	c := Choice{Items: items}
	for w, n := range circuit {
		c.Networks = append(c.Networks, built(n, items[w]))
		for _, i := range items[w] {
			c.Price += i.Price
		}
	}
	c.Price = math.Round(c.Price*1e6) / 1e6
	return c
}

// entry scores a choice on the whole grid.
func (h *hunt) entry(w *worker, turned, index int, c Choice) entry {
	t := w.whole[turned]
	m := t.m
	if c.Items == nil {
		for _, v := range values(c.Networks) {
			*v = round6(*v)
		}
	}
	m.solve(t.s, c.Networks)
	c.Score = m.score(t.s, c.Networks)
	c.Inverted = h.problem[turned].Inverted
	c.Broken = m.limits.broken(c.Score)
	if c.Price > m.limits.Budget {
		c.Broken = append(c.Broken, fmt.Sprintf("the price is %.2f, the limit is %.2f", c.Price, m.limits.Budget))
	}
	return entry{c, m.limits.key(c.Score, c.Price), index}
}

// finish takes the kept ones as far as it goes.
func (h *hunt) finish(kept []entry) {
	h.parallel(len(kept), func(w *worker, i int) {
		turned := 0
		if kept[i].choice.Inverted != h.problem[0].Inverted {
			turned = 1
		}
		c := kept[i].choice
		var better Choice
		if h.s.Catalogue == nil {
			t := w.whole[turned]
			h.begin(t, clone(c.Networks))
			t.set(t.minimize(t.at(), full).x)
			better = Choice{Networks: clone(t.networks)}
		} else {
			var err error
			count := [2]int{}
			for w := range c.Networks {
				count[w] = min(perPart(len(values(c.Networks)), finalPairs), perPart(len(values(c.Networks[w:w+1])), finalVariants))
			}
			better, err = h.problem[turned].shelf(h.whole[turned], c.Networks, h.s.Catalogue, count)
			if err != nil {
				return
			}
		}
		if e := h.entry(w, turned, kept[i].index, better); e.key < kept[i].key-tie && e.choice.Broken == nil {
			kept[i] = e
		}
	})
}

// perPart returns how many items for each of n parts make at most so many
// combinations.
func perPart(n, most int) int {
	if n == 0 {
		return 1
	}
	k := 1
	for math.Pow(float64(k+1), float64(n)) <= float64(most) && k < 60 {
		k++
	}
	return k
}
