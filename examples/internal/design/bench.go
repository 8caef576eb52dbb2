package design

import (
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/port"
	"example.com/halfspace/units"
)

// A Bench is what one wants to know with the finished speaker on the bench.
type Bench struct {
	Peaks      []Extreme // of the impedance below 200 Hz
	Dip        Extreme   // between the peaks of a vented box; zero for a closed one
	DipLow     units.Frequency
	DipHigh    units.Frequency // with vent and box off by what a workshop is
	Null       Null
	Brightness []Change
}

// An Extreme is a peak or a dip of the impedance.
type Extreme struct {
	Frequency units.Frequency
	Impedance units.Resistance
}

// A Null is the dip that one driver the other way round leaves.
type Null struct {
	Frequency units.Frequency
	Depth     float64 // dB below the sum as it should be
}

// A Change is what another value of one part does to the treble.
type Change struct {
	Letter   string
	From, To units.Resistance
	Level    float64 // dB more of the treble, mean of an octave above the crossing up to the end of the band
}

// workshop is how well a vent and a box come out, common practice: a millimetre of
// length, a millimetre of section, three per cent of volume, five kelvins.
var workshop = port.Tolerance{Length: units.Millimetre, Section: units.Millimetre, Volume: 0.03, Temperature: 5}

// bench computes it from the finished speaker.
func (d *Design) bench() error {
	s, b := &d.Speaker, &d.Bench
	z := s.Result.Load
	for i := 1; i+1 < len(z) && d.Hz[i] < 200; i++ {
		at := Extreme{units.Frequency(d.Hz[i]), units.Resistance(cmplx.Abs(z[i]))}
		switch before, after := cmplx.Abs(z[i-1]), cmplx.Abs(z[i+1]); {
		case cmplx.Abs(z[i]) > before && cmplx.Abs(z[i]) >= after:
			b.Peaks = append(b.Peaks, at)
		case cmplx.Abs(z[i]) < before && cmplx.Abs(z[i]) <= after && len(b.Peaks) == 1:
			b.Dip = at
		}
	}
	if d.Project.Box.Tuning > 0 {
		var err error
		if b.DipLow, b.DipHigh, err = d.Bass.Vent.TuningRange(d.Cabinet.Net, d.Air, workshop); err != nil {
			return err
		}
	} else {
		b.Dip = Extreme{}
	}

	// One driver the other way round.
	volts := [][]complex128{s.Result.Transfer[0], slices.Clone(s.Result.Transfer[1])}
	for i := range volts[1] {
		volts[1][i] = -volts[1][i]
	}
	turned := make([]complex128, len(d.Hz))
	s.Field.Add(turned, atEar, volts)
	at := float64(s.crossing())
	for i, f := range d.Hz {
		if f < at/2 || f > 2*at {
			continue
		}
		if depth := response.DB(s.Result.Sum[atEar][i] / turned[i]); depth > b.Null.Depth {
			b.Null = Null{units.Frequency(f), depth}
		}
	}
	d.brightness()
	return nil
}

// brightness tries the next values of the series for each resistor of the tweeter's
// branch.
func (d *Design) brightness() {
	s := &d.Speaker
	networks := s.Choice.Networks
	first := 0
	for _, arm := range networks[0] {
		first += len(arm.Parts)
	}
	letter := first
	lo, hi := 2*float64(s.crossing()), float64(d.Project.Crossover.Hi)
	treble := func(r *crossover.Result) float64 {
		sum, n := 0.0, 0
		for i, f := range d.Hz {
			if f >= lo && f <= hi {
				sum += response.DB(r.Sum[atEar][i])
				n++
			}
		}
		return sum / float64(max(n, 1))
	}
	now := treble(&s.Result)
	for a, arm := range networks[1] {
		for i, part := range arm.Parts {
			if part.Kind == ladder.Resistor {
				below, _ := parts.E12.Bracket(part.Value * (1 - 1e-6))
				_, above := parts.E12.Bracket(part.Value * (1 + 1e-6))
				for _, v := range []float64{below, above} {
					changed := slices.Clone(networks)
					changed[1] = slices.Clone(networks[1])
					changed[1][a].Parts = slices.Clone(arm.Parts)
					changed[1][a].Parts[i].Value = v
					var r crossover.Result
					s.Field.Evaluate(&r, changed...)
					d.Bench.Brightness = append(d.Bench.Brightness, Change{ladder.Letter(letter), units.Resistance(part.Value), units.Resistance(v), treble(&r) - now})
				}
			}
			letter++
		}
	}
}
