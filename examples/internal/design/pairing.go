package design

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A Pair is a woofer with a tweeter in a project's cabinet.
type Pair struct {
	Woofer, Tweeter string
	Price           float64         // of the drivers, for all speakers
	F3              units.Frequency // in the best box for it, half space
	Volume          units.Volume
	Tuning          units.Frequency
	Margin          float64         // dB by which the tweeter is louder than the woofer, on the panel
	From, To        units.Frequency // where the tweeter may take over: it bears from, the woofer is well to
	ToWhy           string          // what ends the woofer
	Load            units.Resistance
	Rated           units.Resistance
	Flatness        []float64 // by number of parts, ideal values on axis; infinite where no circuit keeps the limits
	Reasons         []string  // against it
}

// Overlap is the room for the crossing in octaves; negative if there is none.
func (p Pair) Overlap() float64 { return math.Log2(float64(p.To / p.From)) }

// Best is the flattest that any number of parts gives.
func (p Pair) Best() float64 {
	best := math.Inf(1)
	for _, f := range p.Flatness {
		best = min(best, f)
	}
	return best
}

// gap is what stays free between the flanges of woofer and tweeter.
const gap = 4 * units.Millimetre

// leastRoom is how many octaves of room a crossing wants: our judgement.
const leastRoom = 0.75

// Pairing tries every woofer with every tweeter in the cabinet of a project, each in
// the box with the lowest cut-off that the rules allow, and ranks them: those with
// fewer reasons against them first, then by flatness, then by price.
func Pairing(ctx context.Context, src project.Source, base project.Project, woofers, tweeters []project.Driver, most int) ([]Pair, error) {
	var out []Pair
	for _, w := range woofers {
		for _, t := range tweeters {
			if ctx.Err() != nil {
				return out, ctx.Err()
			}
			p := base
			p.Sweeps = nil
			p.Woofer, p.Tweeter = w, t
			// The tweeter where the project has it, the woofer below it in the middle.
			p.Tweeter.X, p.Tweeter.Y = base.Tweeter.X, base.Tweeter.Y
			p.Woofer.X = base.Woofer.X
			off := float64(p.Tweeter.X - p.Woofer.X)
			apart := float64((w.Outer+t.Outer)/2 + gap)
			p.Woofer.Y = p.Tweeter.Y - units.Length(math.Sqrt(max(0, apart*apart-off*off)))
			if p.Box.Goal == "" {
				p.Box.Goal = "lowest cut-off"
			}
			pair, err := try(ctx, src, p, most)
			if err != nil {
				return out, fmt.Errorf("%s with %s: %w", w.Name, t.Name, err)
			}
			out = append(out, pair)
		}
	}
	slices.SortStableFunc(out, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(len(a.Reasons), len(b.Reasons)), cmp.Compare(math.Round(20*a.Best()), math.Round(20*b.Best())), cmp.Compare(a.Price, b.Price))
	})
	return out, nil
}

func try(ctx context.Context, src project.Source, p project.Project, most int) (Pair, error) {
	pair := Pair{Woofer: p.Woofer.Name, Tweeter: p.Tweeter.Name, Price: float64(p.Speakers) * (p.Woofer.Price + p.Tweeter.Price)}
	against := func(format string, args ...any) { pair.Reasons = append(pair.Reasons, fmt.Sprintf(format, args...)) }
	d, err := run(src, p, (*Design).drivers, (*Design).choose)
	if err != nil {
		return pair, err
	}
	for _, x := range []struct {
		name string
		Driver
	}{{p.Woofer.Name, d.Woofer}, {p.Tweeter.Name, d.Tweeter}} {
		for _, c := range x.Culprits {
			against("%s: its sheet contradicts itself: %v", x.name, c)
		}
	}
	// What does not fit is a reason, not an error.
	for _, step := range []func(*Design, project.Source) error{(*Design).cabinet, (*Design).bass} {
		if err := step(d, src); err != nil {
			against("%v", err)
			return pair, ctx.Err()
		}
	}
	pair.F3, pair.Volume, pair.Tuning = d.Bass.F3, d.Cabinet.Net, d.Project.Box.Tuning
	woofer, tweeter, err := d.curves(src)
	if err != nil {
		return pair, err
	}
	c := p.Crossover
	d.overlap(&pair, woofer, tweeter)
	if pair.Overlap() < 0 {
		against("the tweeter bears from %.0f Hz, but the woofer is well only to %.0f Hz: %s", float64(pair.From), float64(pair.To), pair.ToWhy)
	} else if pair.Overlap() < leastRoom {
		against("only %.1f octaves of room to cross, from %.0f Hz to %.0f Hz: %s", pair.Overlap(), float64(pair.From), float64(pair.To), pair.ToWhy)
	}
	gain := response.DB(complex(2.83/20e-6, 0))
	middle := units.Frequency(math.Sqrt(float64(pair.From) * float64(pair.To)))
	low := d.mean(woofer.onPanel.Directions[0].P, c.Lo, middle/1.5) + gain
	high := d.mean(tweeter.onPanel.Directions[0].P, 1.5*middle, c.Hi) + gain
	if pair.Margin = high - low; pair.Margin < 0 {
		against("the tweeter is %.1f dB softer than the woofer, and nothing passive lifts it", -pair.Margin)
	}
	_, zw := ladder.MinimumImpedance(d.Hz, woofer.onPanel.Z)
	_, zt := ladder.MinimumImpedance(d.Hz, tweeter.onPanel.Z)
	pair.Load = min(zw, zt)
	pair.Rated = ladder.RatedImpedance(pair.Load)
	if limit := p.Rules.Load; limit > 0 && pair.Load < limit {
		against("a driver falls to %.2f Ω, below the %.2f Ω of the rules, unless resistors stand before it", float64(pair.Load), float64(limit))
	}
	if budget := d.budget(); budget < 0 {
		against("the drivers cost more than the rules allow")
	} else if budget > 0 && budget < 15 {
		against("%.2f %s a speaker are left for parts: too little", budget, p.Currency)
	}
	return pair, d.flattest(ctx, &pair, woofer, tweeter, most)
}

// overlap finds where the tweeter may take over: above twice its resonance, where
// programme noise with the amplifier's peaks moves it within its travel, and below
// where the woofer beams by 6 dB at 30° or its level leaves 3 dB about its mean.
func (d *Design) overlap(pair *Pair, woofer, tweeter mounted) {
	pair.From = max(2*d.Tweeter.Model.Fs(), d.Project.Crossover.Lowest)
	a := math.Sqrt(float64(d.Woofer.Model.Sd) / math.Pi)
	const half = 2.215 // 2 J1(x)/x = 1/2
	pair.To = units.Frequency(half * float64(d.Air.SpeedOfSound) / (2 * math.Pi * a * math.Sin(math.Pi/6)))
	pair.ToWhy = "it beams by 6 dB at 30°"
	p := woofer.onPanel.Directions[0].P
	mean := d.mean(p, 400, 1200)
	for i, f := range d.Hz {
		if f < 800 {
			continue
		}
		if off := response.DB(p[i]) - mean; math.Abs(off) > 4 {
			if units.Frequency(f) < pair.To {
				pair.To = units.Frequency(f)
				pair.ToWhy = fmt.Sprintf("its level is %+.0f dB off its mean", off)
			}
			break
		}
	}
}

// flattest searches circuits of free values for the sum on axis.
func (d *Design) flattest(ctx context.Context, pair *Pair, woofer, tweeter mounted, most int) error {
	ear := r3.Vec{Z: float64(d.Project.Play.Distance)}
	field, err := d.sample(thin(woofer.onPanel, 3), thin(tweeter.onPanel, 3), false, 0, ear)
	if err != nil {
		return err
	}
	c := d.Project.Crossover
	problem := search.Problem{
		Field: field, Lo: c.Lo, Hi: c.Hi, Crossing: pair.From, Load: c.Load,
		Travel: []search.Travel{{Limit: search.Off}, {Limit: search.Off}},
	}
	if x := d.Tweeter.Model.Xmax; x > 0 {
		travel := search.Travel{Limit: x, Spectrum: d.noise(field.Hz)}
		for _, hz := range field.Hz {
			travel.PerVolt = append(travel.PerVolt, cmplx.Abs(d.domeAt(hz)))
		}
		problem.Travel[1] = travel
	}
	f, err := problem.Best(ctx, search.Search{Parts: most, Keep: 1})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	pair.Flatness = make([]float64, most+1)
	best := math.Inf(1)
	for n := range pair.Flatness {
		if n < len(f.Best) && len(f.Best[n]) > 0 {
			best = min(best, f.Best[n][0].Score.Ripple)
		}
		pair.Flatness[n] = best
	}
	if err != nil {
		if f.Nearest == nil {
			return err
		}
		pair.Reasons = append(pair.Reasons, fmt.Sprintf("no circuit of up to %d parts keeps the limits: the nearest breaks %s", most, strings.Join(f.Nearest.Broken, ", ")))
	}
	return nil
}
