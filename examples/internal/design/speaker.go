package design

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// atEar is the first point of the field; the angles beside it follow.
const atEar = 0

// beside lists the angles at which the finished speaker is shown.
var beside = []struct {
	Name                 string
	Horizontal, Vertical units.Angle
}{
	{"15° right", 15 * units.Degree, 0}, {"30° right", 30 * units.Degree, 0},
	{"10° up", 0, 10 * units.Degree}, {"10° down", 0, -10 * units.Degree},
}

func (d *Design) speaker(src project.Source) error {
	p := d.Project
	s := &d.Speaker
	woofer, tweeter, err := d.curves(src)
	if err != nil {
		return err
	}
	catalogue, err := src.Parts(p.Crossover.Catalogue)
	if err != nil {
		return err
	}
	if catalogue, err = fit(catalogue, p.Crossover); err != nil {
		return err
	}
	start, err := d.formula(woofer, tweeter, catalogue)
	if err != nil {
		return err
	}

	// Tune with either polarity; keep the one that keeps the limits, else the flatter.
	ear := r3.Vec{Z: float64(p.Play.Distance)}
	const coarse = 2
	var thinned search.Problem
	var free []ladder.Network
	var least int // limits broken
	for _, inverted := range []bool{false, true} {
		if p.Crossover.Polarity == "same" && inverted || p.Crossover.Polarity == "inverted" && !inverted {
			continue
		}
		field, err := d.sample(thin(woofer.onPanel, coarse), thin(tweeter.onPanel, coarse), inverted, 0, ear)
		if err != nil {
			return err
		}
		problem := d.problem(field)
		fit, err := problem.Tune(3, start...)
		if err != nil {
			return fmt.Errorf("crossover: %w", err)
		}
		tuned, score := fit.Networks, fit.Score
		broken := len(problem.Broken(score))
		if free == nil || cmp.Or(cmp.Compare(broken, least), cmp.Compare(score.Ripple, s.Tuned.Ripple)) < 0 {
			free, thinned, least = tuned, problem, broken
			s.Inverted, s.Tuned, s.Formula = inverted, score, problem.Score(start...)
		}
	}
	var choice search.Choice
	if most := p.Crossover.Search; most > 0 {
		if choice, err = d.searched(woofer, tweeter, catalogue, most); err != nil {
			return err
		}
	} else if choice, err = d.shop(thinned, free, catalogue); err != nil {
		return fmt.Errorf("crossover: %w (way 1 is the woofer, way 2 the tweeter; a higher crossover.frequency spares the tweeter)", err)
	}

	// The finished speaker on the whole grid, at the ear and beside it.
	points := []r3.Vec{ear}
	for _, b := range beside {
		points = append(points, r3.Scale(float64(p.Play.Distance), toward(b.Horizontal, b.Vertical)))
	}
	if s.Field, err = d.sample(woofer.onPanel, tweeter.onPanel, s.Inverted, 0, points...); err != nil {
		return err
	}
	s.Problem = d.problem(s.Field)
	choice.Score = s.Problem.Score(choice.Networks...)
	s.Choice = choice
	s.Field.Evaluate(&s.Result, choice.Networks...)
	seats, weights := crossover.ListeningWindow().Points(p.Play.Distance)
	window, err := d.sample(woofer.onPanel, tweeter.onPanel, s.Inverted, 0, seats...)
	if err != nil {
		return err
	}
	var around crossover.Result
	window.Evaluate(&around, choice.Networks...)
	s.Window = make([]float64, len(d.Hz))
	crossover.PowerAverage(s.Window, around.Sum, weights)
	for i, ahead := range []units.Length{-d.Centres.Within, d.Centres.Within} {
		moved, err := d.sample(woofer.onPanel, tweeter.onPanel, s.Inverted, ahead, ear)
		if err != nil {
			return err
		}
		s.Moved[i] = d.problem(moved).Score(choice.Networks...)
	}
	if woofer.panel != nil && tweeter.panel != nil {
		flush, err := d.sample(woofer.halfSpace, tweeter.halfSpace, s.Inverted, 0, ear)
		if err != nil {
			return err
		}
		var r crossover.Result
		flush.Evaluate(&r, choice.Networks...)
		s.HalfSpace = r.Sum[0]
		s.NearWall, s.NearTop = d.nearWall(woofer, tweeter), 500
	}
	d.judge()
	if err := d.duties(); err != nil {
		return err
	}
	if err := d.bench(); err != nil {
		return err
	}
	if err := d.spread(); err != nil {
		return err
	}
	return d.signals()
}

// searched takes the circuit that the search over all of them recommends.
func (d *Design) searched(woofer, tweeter mounted, catalogue parts.Catalogue, most int) (search.Choice, error) {
	f, err := d.frontier(context.Background(), woofer, tweeter, catalogue, most, nil)
	if err != nil {
		return search.Choice{}, err
	}
	s := &d.Speaker
	pick := f.Nearest
	if len(f.Winners) > 0 {
		w := f.Winners[f.Pick]
		pick = &w.Choice
		d.note("Of all circuits of up to %d parts the one with %d was taken: flattest on axis and in the listening window, or the cheapest that cannot be told from that.", most, w.Parts)
	}
	s.Inverted, s.Tuned = pick.Inverted, pick.Score
	return *pick, nil
}

// fit drops resistors rated too low and coils of too much resistance.
func fit(all parts.Catalogue, c project.Crossover) (parts.Catalogue, error) {
	weak := func(x parts.Item) bool { return x.Kind == parts.Resistor && x.Rating.Power < c.ResistorPower }
	thin := func(x parts.Item) bool {
		return x.Part.Kind == ladder.Inductor && c.CoilOhms > 0 && x.Part.Resistance > c.CoilOhms
	}
	kept := slices.DeleteFunc(slices.Clone(all), func(x parts.Item) bool { return weak(x) || thin(x) })
	resistor := func(x parts.Item) bool { return x.Kind == parts.Resistor }
	coil := func(x parts.Item) bool { return x.Part.Kind == ladder.Inductor }
	if slices.ContainsFunc(all, resistor) && !slices.ContainsFunc(kept, resistor) {
		return nil, fmt.Errorf("crossover.resistorpower %v: no resistor of %s is rated so high", c.ResistorPower, c.Catalogue)
	}
	if slices.ContainsFunc(all, coil) && !slices.ContainsFunc(kept, coil) {
		return nil, fmt.Errorf("crossover.coilohms %v: every coil of %s has more", c.CoilOhms, c.Catalogue)
	}
	return kept, nil
}

// problem states what the crossover must do. The tweeter's travel is that of its
// model with a free rear.
func (d *Design) problem(f *crossover.Field) search.Problem {
	c := d.Project.Crossover
	tweeter := box.System{Driver: d.Tweeter.Model, Enclosure: box.InfiniteBaffle{}, Air: d.Air}
	travel := make([]float64, len(f.Hz))
	for i, hz := range f.Hz {
		travel[i] = cmplx.Abs(tweeter.At(units.Frequency(hz)).Travel)
	}
	t := search.Travel{PerVolt: travel, Volts: d.Project.Volts(d.Project.Play.Travel), Limit: d.Tweeter.Model.Xmax}
	if t.Limit == 0 {
		t = search.Travel{Limit: search.Off}
	}
	// The sum is wanted flat at the ear; what the project does not limit is free.
	p := search.Problem{
		Field: f, Target: make([]float64, len(f.Hz)), Window: make([]float64, f.Points()), Lo: c.Lo, Hi: c.Hi,
		Crossing: c.Lowest, Highest: search.Off, Load: c.Load, Resistance: search.Off,
		Travel: []search.Travel{{}, t},
	}
	p.Window[atEar] = 1
	if p.Crossing == 0 {
		p.Crossing = search.Off
	}
	if p.Load == 0 {
		p.Load = search.Off
	}
	return p
}

// shop chooses parts within the money; if there are none it says so and chooses
// without, so that the rule tells by how much the money is short.
func (d *Design) shop(p search.Problem, free []ladder.Network, catalogue parts.Catalogue) (search.Choice, error) {
	near := d.Project.Crossover.Near
	budget := d.budget()
	if budget >= 0 {
		limited := p
		limited.Budget = budget
		choice, err := limited.Shelf(free, catalogue, near)
		if err == nil || budget == 0 {
			return choice, err
		}
	}
	d.note("No choice of shelf parts near the tuned values keeps both the money and the limits; shown is the flattest that keeps the limits.")
	return p.Shelf(free, catalogue, near)
}

// budget returns what the parts of one speaker may cost; 0 for no limit, and a
// negative number if nothing is left.
func (d *Design) budget() float64 {
	r := d.Project.Rules
	if r.Money == 0 || !slices.Contains(r.MoneyFor, "crossover") {
		return 0
	}
	others := slices.DeleteFunc(slices.Clone(r.MoneyFor), func(x string) bool { return x == "crossover" })
	left := r.Money - d.Cost(others)
	if left <= 0 {
		return -1
	}
	return left / float64(d.Project.Speakers)
}

// formula designs both branches for the moduli of the impedances at the starting
// frequency, as a handbook would: even orders after Linkwitz and Riley, odd ones
// after Butterworth, and a resistor that brings the tweeter down to the woofer.
// Coils and capacitors get the losses of the nearest parts on the shelf.
func (d *Design) formula(woofer, tweeter mounted, shelf parts.Catalogue) ([]ladder.Network, error) {
	c := d.Project.Crossover
	f := c.Frequency
	proto := func(order int) (rational.Func, error) {
		if order%2 == 0 {
			return filter.LinkwitzRiley(order)
		}
		return filter.Butterworth(order)
	}
	at := func(z []complex128) units.Resistance { return units.Resistance(cmplx.Abs(z[d.nearest(f)])) }

	low, err := proto(c.LowPass)
	if err != nil {
		return nil, err
	}
	lp, err := filter.LowPass(low, f, at(woofer.onPanel.Z))
	if err != nil {
		return nil, err
	}
	if c.Trap > 0 {
		for i := len(lp) - 1; i >= 0; i-- {
			if lp[i].Shunt {
				w := 2 * math.Pi * float64(c.Trap)
				coil := ladder.L(units.Inductance(1 / (w * w * lp[i].Parts[0].Value)))
				lp[i] = ladder.Shunt(lp[i].Parts[0], coil)
				break
			}
		}
	}

	high, err := proto(c.HighPass)
	if err != nil {
		return nil, err
	}
	z := at(tweeter.onPanel.Z)
	pad := units.Resistance(0)
	if c.Pad {
		surplus := d.mean(tweeter.onPanel.Directions[0].P, 1.5*f, c.Hi) - d.mean(woofer.onPanel.Directions[0].P, c.Lo, f/1.5)
		// A tweeter that is not louder still gets a resistor to tune, a small one.
		k := math.Pow(10, max(surplus, 0.5)/20)
		pad = z * units.Resistance(k-1)
	}
	hp, err := filter.HighPass(high, f, z+pad)
	if err != nil {
		return nil, err
	}
	if pad > 0 {
		hp = append(hp, ladder.Series(ladder.R(pad)))
	}
	networks := []ladder.Network{lp, hp}
	for _, n := range networks {
		for a := range n {
			for i, part := range n[a].Parts {
				if near := shelf.Nearest(part, 1); len(near) > 0 && part.Kind != ladder.Resistor {
					n[a].Parts[i].Resistance, n[a].Parts[i].Loss = near[0].Part.Resistance, near[0].Part.Loss
				}
			}
		}
	}
	return networks, nil
}

// nearest returns the point of the grid nearest to a frequency.
func (d *Design) nearest(f units.Frequency) int {
	best := 0
	for i, hz := range d.Hz {
		if math.Abs(math.Log(hz/float64(f))) < math.Abs(math.Log(d.Hz[best]/float64(f))) {
			best = i
		}
	}
	return best
}

// mean returns the mean level in dB of p from lo to hi.
func (d *Design) mean(p []complex128, lo, hi units.Frequency) float64 {
	sum, n := 0.0, 0
	for i, f := range d.Hz {
		if f >= float64(lo) && f <= float64(hi) {
			sum += 20 * math.Log10(cmplx.Abs(p[i]))
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// Beside names the angles beside the axis, in the order of the field's points
// after the ear.
func Beside() []string {
	var names []string
	for _, b := range beside {
		names = append(names, b.Name)
	}
	return names
}
