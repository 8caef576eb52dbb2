package design

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/filter/crossover/spread"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// A Frontier is what a number of crossover parts can do for a project's drivers in its
// cabinet.
type Frontier struct {
	search.Frontier
	Problem search.Problem
	Limits  search.Limits
	Winners []Winner // the flattest of each number of parts that has one
	Pick    int      // which winner to build: the cheapest that cannot be told from the flattest
	Stopped bool     // before all was searched
}

// A Winner is the flattest circuit of so many parts.
type Winner struct {
	Parts int
	search.Choice
	Draws  *spread.Draws
	Gain   spread.Comparison // over the winner with fewer parts; zero for the first
	Same   bool              // cannot be told from that one
	Result crossover.Result  // nominal
	Yield  spread.Yield      // of speakers whose ripple is at most 0.2 dB more than nominal
}

// draws is how many speakers are built of each winner, and seed with what chance.
const (
	draws = 400
	seed  = 1
	sure  = 0.9 // share of pairs in which one must be flatter to be told from the other
)

// SearchFrontier searches the best circuits of up to so many parts. If the context ends
// it returns what it has.
func SearchFrontier(ctx context.Context, src project.Source, p project.Project, most int, progress func(search.Progress)) (*Design, *Frontier, error) {
	d, err := run(src, p, (*Design).drivers, (*Design).choose, (*Design).cabinet, (*Design).bass)
	if err != nil {
		return nil, nil, err
	}
	woofer, tweeter, err := d.curves(src)
	if err != nil {
		return nil, nil, err
	}
	catalogue, err := src.Parts(p.Crossover.Catalogue)
	if err != nil {
		return nil, nil, err
	}
	if catalogue, err = fit(catalogue, p.Crossover); err != nil {
		return nil, nil, err
	}
	f, err := d.frontier(ctx, woofer, tweeter, catalogue, most, progress)
	return d, f, err
}

// frontier runs the search for mounted drivers.
func (d *Design) frontier(ctx context.Context, woofer, tweeter mounted, catalogue parts.Catalogue, most int, progress func(search.Progress)) (*Frontier, error) {
	f := &Frontier{}
	var err error
	if f.Problem, err = d.windowed(thin(woofer.onPanel, 2), thin(tweeter.onPanel, 2)); err != nil {
		return nil, err
	}
	if f.Problem.Budget = d.budget(); f.Problem.Budget < 0 {
		return nil, fmt.Errorf("rules.money %v: the drivers alone cost more", d.Project.Rules.Money)
	}
	f.Limits = f.Problem.Limits()
	f.Frontier, err = f.Problem.Best(ctx, search.Search{Parts: most, Catalogue: catalogue, Progress: progress})
	if f.Stopped = err != nil && errors.Is(err, ctx.Err()); err != nil && !f.Stopped {
		if f.Nearest == nil {
			return nil, fmt.Errorf("crossover: %w", err)
		}
		d.note("%v", err)
	}
	for n, best := range f.Best {
		if len(best) > 0 {
			f.Winners = append(f.Winners, Winner{Parts: n, Choice: best[0]})
		}
	}
	return f, d.compare(f)
}

// Searched is how many circuits were searched to their end.
func (f *Frontier) Searched() int {
	n := 0
	for _, k := range f.Certificate.Optimised {
		n += k
	}
	return n
}

// windowed states the problem with the listening window, the tweeter's travel with
// programme noise, and the safe limits of the search.
func (d *Design) windowed(woofer, tweeter crossover.Curves) (search.Problem, error) {
	points, weights := crossover.ListeningWindow().Points(d.Project.Play.Distance)
	field, err := d.sample(woofer, tweeter, false, 0, points...)
	if err != nil {
		return search.Problem{}, err
	}
	c := d.Project.Crossover
	p := search.Problem{
		Field: field, Window: weights, Lo: c.Lo, Hi: c.Hi,
		Resonance: d.Tweeter.Model.Fs(), Crossing: c.Lowest, Load: c.Load,
		Travel: []search.Travel{{Limit: search.Off}, {Limit: search.Off}},
	}
	if x := d.Tweeter.Model.Xmax; x > 0 {
		t := search.Travel{Limit: x, Spectrum: d.noise(field.Hz)}
		for _, hz := range field.Hz {
			t.PerVolt = append(t.PerVolt, cmplx.Abs(d.domeAt(hz)))
		}
		p.Travel[1] = t
	}
	return p, p.Check()
}

// domeAt is the travel of the tweeter's dome per volt at its terminals, its rear free.
func (d *Design) domeAt(hz float64) complex128 {
	s := box.System{Driver: d.Tweeter.Model, Enclosure: box.InfiniteBaffle{}, Air: d.Air}
	return s.At(units.Frequency(hz)).Travel
}

// noise is programme noise whose peaks are those of the amplifier, as the voltage in
// each step of a grid.
func (d *Design) noise(hz []float64) []float64 {
	volts := float64(d.Project.Volts(d.Project.Play.Amplifier)) * math.Sqrt2 / crest
	power := make([]float64, len(hz))
	all := 0.0
	for _, l := range box.Programme(crest).Lines {
		i, _ := slices.BinarySearch(hz, l.Hz)
		// A line halfway goes up, whatever the last digit says.
		if i == len(hz) || i > 0 && l.Hz/hz[i-1] < hz[i]/l.Hz*(1-1e-9) {
			i--
		}
		power[i] += l.Power
		all += l.Power
	}
	for i, p := range power {
		power[i] = volts * math.Sqrt(p/all)
	}
	return power
}

// compare draws every winner and says which can be told apart.
func (d *Design) compare(f *Frontier) error {
	for i := range f.Winners {
		w := &f.Winners[i]
		s := f.speaker(w.Choice)
		var err error
		if w.Draws, err = s.Draw(draws); err != nil {
			return err
		}
		if w.Yield, err = w.Draws.Yield(spread.Limit{Ripple: w.Score.Ripple + 0.2}, 0.95); err != nil {
			return err
		}
		f.Problem.Field.Evaluate(&w.Result, w.Networks...)
		if i > 0 {
			w.Gain, w.Same = spread.Indistinguishable(f.Winners[i-1].Draws.Flatness(), w.Draws.Flatness(), sure)
		}
	}
	if len(f.Winners) == 0 {
		return nil
	}
	best := len(f.Winners) - 1
	for i, w := range f.Winners {
		if w.Score.Flatness < f.Winners[best].Score.Flatness {
			best = i
		}
	}
	f.Pick = best
	for i, w := range f.Winners {
		if _, same := spread.Indistinguishable(w.Draws.Flatness(), f.Winners[best].Draws.Flatness(), sure); same && w.Price < f.Winners[f.Pick].Price {
			f.Pick = i
		}
	}
	return nil
}

// level is how far a driver may be off another of its kind, in dB: common practice.
const level = 0.5

func (f *Frontier) speaker(c search.Choice) spread.Speaker {
	return spread.Speaker{
		Field: f.Problem.Field, Inverted: c.Inverted, Networks: c.Networks, Point: f.Problem.Point, Window: f.Problem.Window,
		Lo: f.Problem.Lo, Hi: f.Problem.Hi, Seed: seed, Drivers: []spread.Driver{{Level: level}, {Level: level}},
	}
}

// Rank says which part of a winner matters.
func (f *Frontier) Rank(w Winner) ([]spread.Cause, error) { return f.speaker(w.Choice).Rank() }

// Letters of the parts of a winner run on from one branch to the next.
func (w Winner) Letters() []string {
	var out []string
	for _, n := range w.Networks {
		for _, arm := range n {
			for range arm.Parts {
				out = append(out, ladder.Letter(len(out)))
			}
		}
	}
	return out
}
