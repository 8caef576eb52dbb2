package main

import (
	"fmt"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A tour is one driver in many boxes.
type tour struct {
	project project.Project
	air     air.Air
	driver  ts.Driver
	limits  box.Limits
	hz      []float64
	stops   []stop
	skipped []string // kinds of boxes that do not suit, and why
	goals   []goal
	vents   []port.Alternative // for the box with the lowest cut-off
}

// A stop is the driver in one box.
type stop struct {
	Name   string
	How    string // how it was designed
	System box.System
	Volume units.Volume // of all chambers, net
	Tuning units.Frequency
	Vent   port.Vent        // zero without one
	Zn     units.Resistance // rated load

	Points      []box.Point
	F3, F10     units.Frequency // zero: not reached
	Top         units.Frequency // upper half-power edge of a band-pass box; zero for others
	Peak        float64         // dB re the reference
	Delay       units.Time      // largest group delay above f10
	Sine, Noise box.Verdict     // tones from f3 up; programme noise behind a high-pass at f3
}

// grid is the frequencies of all curves.
func grid() []float64 { return response.LogGrid(10, 1000, 96) }

// take designs and judges every box.
func take(p project.Project) (*tour, error) {
	t := &tour{project: p, hz: grid()}
	var err error
	if t.air, err = p.Medium(); err != nil {
		return nil, err
	}
	if t.driver, _, err = p.Woofer.Sheet.Driver(t.air); err != nil {
		return nil, fmt.Errorf("woofer.sheet: %w", err)
	}
	t.limits = box.Limits{Travel: t.driver.Xmax, AirSpeed: p.Vent.AirSpeed, Heat: t.driver.Power}
	for _, visit := range []func() error{t.infinite, t.closed, t.vented, t.asGiven, t.radiator, t.bandpass, t.sixth, t.pairs} {
		if err := visit(); err != nil {
			return nil, err
		}
	}
	return t, t.ask()
}

// skip notes a kind of box that does not suit.
func (t *tour) skip(name string, why error) {
	t.skipped = append(t.skipped, fmt.Sprintf("%s: %v", name, why))
}

// add judges a box. Vent carries the diameter that the vent should have.
func (t *tour) add(s stop, vent port.Vent) error {
	if s.System.Driver == (ts.Driver{}) {
		s.System.Driver = t.driver
	}
	if s.Zn == 0 {
		s.Zn = t.project.Woofer.Sheet.Zn
	}
	s.System.Air = t.air
	if vent != (port.Vent{}) {
		tuned, err := vent.Tuned(ventedVolume(s.System.Enclosure), s.Tuning, t.air)
		if err != nil {
			t.skip(s.Name, err)
			return nil
		}
		s.Vent = tuned
	}
	if err := s.System.Check(); err != nil {
		return fmt.Errorf("%s: %w", s.Name, err)
	}
	s.Points = make([]box.Point, len(t.hz))
	s.System.Sweep(s.Points, t.hz)
	var err error
	if s.F3, err = s.System.F3(); err != nil {
		t.skip(s.Name, err)
		return nil
	}
	if f, err := s.System.Cutoff(10); err == nil {
		s.F10 = f
	}
	_, s.Peak = s.System.Peak()
	for _, f := range t.hz {
		if f >= float64(s.F10) && f <= 200 {
			s.Delay = max(s.Delay, s.System.GroupDelay(units.Frequency(f)))
		}
	}
	limits := t.limits
	limits.Travel = s.System.Driver.Xmax
	limits.Heat = s.System.Driver.Power
	if r, ok := s.System.Enclosure.(box.PassiveRadiator); ok {
		limits.Radiator = r.Radiator.Xmax
	}
	if s.Sine, err = s.System.Loudest(box.Sines(s.F3, 200), limits); err != nil {
		return fmt.Errorf("%s: %w", s.Name, err)
	}
	if s.Noise, err = s.System.Loudest(box.Programme(2).HighPass(s.F3, 4), limits); err != nil {
		return fmt.Errorf("%s: %w", s.Name, err)
	}
	t.stops = append(t.stops, s)
	return nil
}

// ventedVolume is that of the chamber that the vent of a box tunes.
func ventedVolume(e box.Enclosure) units.Volume {
	switch e := e.(type) {
	case box.Vented:
		return e.Vb
	case box.Bandpass4:
		return e.Front.Vb
	}
	return 0
}

func (t *tour) infinite() error {
	return t.add(stop{Name: "no box: an endless wall", How: "the driver by itself, its rear in another room", System: box.System{Enclosure: box.InfiniteBaffle{}}}, port.Vent{})
}

func (t *tour) closed() error {
	for _, x := range []struct {
		name, how string
		q         float64
	}{
		{"closed, flattest", "Qtc 0.707, Butterworth", align.ButterworthQ},
		{"closed, flattest delay", "Qtc 0.577, Bessel", align.BesselQ},
	} {
		c, err := box.ClosedFor(t.driver, x.q, t.air)
		if err != nil {
			t.skip(x.name, err)
			continue
		}
		a, err := c.Alignment(t.driver, t.air)
		if err != nil {
			return err
		}
		if err := t.add(stop{Name: x.name, How: x.how, System: box.System{Enclosure: c}, Volume: c.Vb, Tuning: a.Fc}, port.Vent{}); err != nil {
			return err
		}
	}
	return nil
}

// ql is the leak of the project, or the usual first guess.
func (t *tour) ql() float64 {
	if q := t.project.Box.QL; q > 0 {
		return q
	}
	return 7
}

func (t *tour) vented() error {
	for _, x := range []struct {
		family align.Family
		words  string
	}{{align.QB3, "quasi-Butterworth, third order"}, {align.C4, "Chebyshev, fourth order"}, {align.SC4, "sub-Chebyshev, fourth order"}} {
		d, err := align.Vented(t.driver, x.family, t.ql(), t.air)
		name := "vented, " + x.family.String()
		if err != nil {
			t.skip(name, err)
			continue
		}
		v := d.Box
		v.Area = t.project.Vent.Area()
		s := stop{Name: name, How: fmt.Sprintf("%s, leak Q %.3g", x.words, t.ql()), System: box.System{Enclosure: v}, Volume: v.Vb, Tuning: v.Fb}
		if err := t.add(s, t.project.Vent.Vent); err != nil {
			return err
		}
	}
	return nil
}

// asGiven is the box that the project asks for.
func (t *tour) asGiven() error {
	b := t.project.Box
	if b.Tuning == 0 {
		return t.add(stop{Name: "closed, the project's", How: "volume as given", System: box.System{Enclosure: box.Closed{Vb: b.Volume}}, Volume: b.Volume}, port.Vent{})
	}
	v := box.Vented{Vb: b.Volume, Fb: b.Tuning, QL: b.QL, QA: b.QA, QP: b.QP, Area: t.project.Vent.Area()}
	return t.add(stop{Name: "vented, the project's", How: "volume and tuning as given", System: box.System{Enclosure: v}, Volume: b.Volume, Tuning: b.Tuning}, t.project.Vent.Vent)
}

// radiator is a box with the driver's own cone, twice, without motors: what one gets
// by buying frames of the same series.
func (t *tour) radiator() error {
	const name = "two passive radiators"
	b := box.PassiveRadiator{Vb: t.project.Box.Volume, QL: t.ql(), Radiator: box.PassiveCone{
		Sd: t.driver.Sd, Mms: t.driver.Mms, Cms: t.driver.Cms, Rms: t.driver.Rms, Xmax: t.driver.Xmax, Count: 2,
	}}
	tuning := t.project.Box.Tuning
	if tuning == 0 {
		tuning = t.driver.Fs()
	}
	added, err := b.AddedFor(tuning, t.air)
	if err != nil {
		t.skip(name, err)
		return nil
	}
	b.Radiator.Added = added
	return t.add(stop{
		Name: name, How: fmt.Sprintf("the driver's own cone and suspension without motor, %v added to each", added),
		System: box.System{Enclosure: b}, Volume: b.Vb, Tuning: b.Fb(t.air),
	}, port.Vent{})
}

func (t *tour) bandpass() error {
	const name = "band-pass, fourth order"
	d, err := align.BandPass(t.driver, 0.7, 0, t.air)
	if err != nil {
		t.skip(name, err)
		return nil
	}
	b := d.Box
	b.Front.Area = t.project.Vent.Area()
	b.Front.QL = t.ql()
	s := stop{
		Name: name, How: "symmetric, S = 0.7, no gain", System: box.System{Enclosure: b},
		Volume: b.Rear.Vb + b.Front.Vb, Tuning: b.Front.Fb, Top: d.Upper,
	}
	return t.add(s, t.project.Vent.Vent)
}

// sixth has no published tables: the rear chamber is a vented box of its own, the
// front one is tuned to two and a half times as high.
func (t *tour) sixth() error {
	const name = "band-pass, sixth order, parallel"
	rear, err := t.anyVented()
	if err != nil {
		t.skip(name, err)
		return nil
	}
	front := box.Vented{Vb: rear.Vb / 2, Fb: 2.5 * rear.Fb, QL: t.ql(), Area: t.project.Vent.Area()}
	rear.Area = t.project.Vent.Area()
	b := box.Bandpass6{Rear: rear, Front: front}
	s := stop{
		Name: name, How: "rear chamber as a vented box; front half as large, tuned 2.5 times as high: a rule of this program, no tables exist",
		System: box.System{Enclosure: b}, Volume: rear.Vb + front.Vb, Tuning: rear.Fb,
	}
	if top, err := (box.System{Driver: t.driver, Enclosure: b, Air: t.air}).UpperCutoff(3.0103); err == nil {
		s.Top = top
	}
	return t.add(s, port.Vent{})
}

// anyVented is the member of the first family that has the driver.
func (t *tour) anyVented() (box.Vented, error) {
	var first error
	for _, f := range []align.Family{align.QB3, align.C4} {
		d, err := align.Vented(t.driver, f, t.ql(), t.air)
		if err == nil {
			return d.Box, nil
		}
		if first == nil {
			first = err
		}
	}
	return box.Vented{}, first
}

// pairs are two drivers as one.
func (t *tour) pairs() error {
	v, err := t.anyVented()
	if err != nil {
		t.skip("pairs", err)
		return nil
	}
	v.Area = t.project.Vent.Area()
	compound, double := v, v
	compound.Vb, double.Vb = v.Vb/2, 2*v.Vb
	double.Area = 2 * v.Area
	two := t.project.Vent.Vent
	two.Count = 2 * max(1, two.Count)
	if err := t.add(stop{
		Name: "compound pair, vented", How: "one cone behind the other, coils in parallel: half the air",
		System: box.System{Driver: t.driver.CompoundParallel(), Enclosure: compound}, Volume: compound.Vb, Tuning: v.Fb, Zn: t.project.Woofer.Sheet.Zn / 2,
	}, t.project.Vent.Vent); err != nil {
		return err
	}
	return t.add(stop{
		Name: "two drivers, vented", How: "side by side, coils in parallel: twice the air and two vents",
		System: box.System{Driver: t.driver.Parallel(2), Enclosure: double}, Volume: double.Vb, Tuning: v.Fb, Zn: t.project.Woofer.Sheet.Zn / 2,
	}, two)
}

// least returns the stop with the lowest cut-off among boxes for one driver that are
// flat within a decibel and have no upper edge.
func (t *tour) least() stop {
	best := t.stops[0]
	for _, s := range t.stops {
		if s.Top == 0 && s.Peak <= 1 && s.System.Driver == t.driver && s.F3 < best.F3 {
			best = s
		}
	}
	return best
}
