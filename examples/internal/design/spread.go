package design

import (
	"slices"

	"example.com/halfspace/filter/crossover/spread"
	"example.com/halfspace/units"
)

// A Spread is how far speakers built from this design differ, since no part is what
// its label says. Of all drawn, nine of ten lie within each range.
type Spread struct {
	Lo, Hi []float64 // level on axis on the grid, dB above that of the design itself
	Ripple [2]float64
	Load   [2]units.Resistance
	Match  float64 // RMS difference of a pair in dB that nine of ten pairs keep
	Causes []spread.Cause
}

// spread draws the finished speaker many times.
func (d *Design) spread() error {
	s := &d.Speaker
	c := d.Project.Crossover
	x := spread.Speaker{
		Field: s.Field, Inverted: false, Networks: s.Choice.Networks,
		Lo: c.Lo, Hi: c.Hi, Seed: seed, Drivers: []spread.Driver{{Level: level}, {Level: level}},
		Target: make([]float64, len(d.Hz)),
	}
	all, err := x.Draw(draws)
	if err != nil {
		return err
	}
	bands, err := all.Bands(0.05, 0.95)
	if err != nil {
		return err
	}
	for i, nominal := range all.Nominal {
		s.Spread.Lo = append(s.Spread.Lo, bands[0][i]-nominal)
		s.Spread.Hi = append(s.Spread.Hi, bands[1][i]-nominal)
	}
	var ripple, load []float64
	for _, f := range all.Figures {
		ripple, load = append(ripple, f.Ripple), append(load, float64(f.Load))
	}
	s.Spread.Ripple = nine(ripple)
	within := nine(load)
	s.Spread.Load = [2]units.Resistance{units.Resistance(within[0]), units.Resistance(within[1])}
	match := all.Match()
	slices.Sort(match)
	s.Spread.Match = match[len(match)*9/10-1]
	s.Spread.Causes, err = x.Rank()
	return err
}

// nine returns the range from which one of twenty falls out at either end.
func nine(all []float64) [2]float64 {
	slices.Sort(all)
	return [2]float64{all[len(all)/20], all[len(all)*19/20-1]}
}
