package design

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// Level returns the level of a pressure at the ear per volt, as at 1 m, for a
// voltage.
func (d *Design) Level(p complex128, v units.Voltage) float64 {
	return 20 * math.Log10(cmplx.Abs(p)*float64(v)*float64(d.Project.Play.Distance)/20e-6)
}

// judge measures the finished speaker.
func (d *Design) judge() {
	s := &d.Speaker
	p := d.Project
	score := s.Choice.Score
	s.Sensitivity = units.PressureLevel(score.Level + 20*math.Log10(2.83*float64(p.Play.Distance)/20e-6))
	s.F3, s.F6, s.F10 = d.below(3), d.below(6), d.below(10)
	s.LoadAt, s.LoadMin = ladder.MinimumImpedance(d.Hz, s.Result.Load)
	s.Rated = ladder.RatedImpedance(s.LoadMin)
	s.EPDR = units.Resistance(math.Inf(1))
	for i, z := range s.Result.Load {
		if e := ladder.EPDR(z); e < s.EPDR {
			s.EPDR, s.EPDRAt = e, units.Frequency(d.Hz[i])
		}
	}
	s.Dome = score.Travel[1]
	d.stress()
	d.loudest()

	for _, b := range s.Problem.Broken(score) {
		d.note("The parts keep the limits of the search on its coarse grid, but on the fine one %s.", b)
	}
	if d.Tweeter.Model.Xmax == 0 {
		d.note("The tweeter's sheet gives no travel, so nothing guards it.")
	}
	if p.Air == nil {
		d.note("Standard air of the literature: %.2f kg/m³, %.0f m/s.", float64(d.Air.Density), float64(d.Air.SpeedOfSound))
	}
	d.noteCurves()
}

// below returns where the sum, followed down from the lower end of the band, falls
// db below the sensitivity; 0 if it does not within the grid.
func (d *Design) below(db float64) units.Frequency {
	limit := float64(d.Speaker.Sensitivity) - db
	for i := len(d.Hz) - 1; i > 0; i-- {
		if d.Hz[i] > float64(d.Project.Crossover.Lo) {
			continue
		}
		hi, lo := d.Level(d.Speaker.Result.Sum[atEar][i], 2.83), d.Level(d.Speaker.Result.Sum[atEar][i-1], 2.83)
		if lo < limit {
			return units.Frequency(d.Hz[i] * math.Pow(d.Hz[i-1]/d.Hz[i], (hi-limit)/(hi-lo)))
		}
	}
	return 0
}

// stress finds what each part has to bear with a sine at the amplifier's power.
func (d *Design) stress() {
	s := &d.Speaker
	volts := float64(d.Project.Volts(d.Project.Play.Amplifier))
	for w, n := range s.Choice.Networks {
		first := len(s.Stress)
		for _, item := range s.Choice.Items[w] {
			s.Stress = append(s.Stress, Stress{
				Letter: ladder.Letter(len(s.Stress)), Way: []string{"woofer", "tweeter"}[w], Part: item.Part, Name: item.ID,
				Kind: item.Kind.String(), Price: item.Price, Rating: item.Rating.Power,
			})
		}
		for i, f := range d.Hz {
			state, err := n.State(f, s.Field.Load(w)[i])
			if err != nil {
				continue // a short at this frequency: the load rule speaks of it
			}
			for k, part := range state.Parts {
				x := &s.Stress[first+k]
				if heat := units.Power(part.Power * volts * volts); heat > x.Worst {
					x.Worst, x.At = heat, units.Frequency(f)
				}
			}
		}
	}
	for _, x := range s.Stress {
		if x.Rating > 0 && x.Worst > x.Rating {
			d.note("Part %s (%s) can get %.0f W from a steady tone at %.1f kHz with all of the amplifier; it bears %v. Music stays well below, a test tone does not.",
				x.Letter, x.Name, float64(x.Worst), float64(x.At)/1000, x.Rating)
		}
	}
}

// tones are where the loudest level is told.
var tones = []units.Frequency{30, 40, 50, 63, 80, 100, 200, 500, 1000, 2000, 4000, 8000}

// loudest finds how loud a tone can get before cone, vent, dome, heat or the
// amplifier gives.
func (d *Design) loudest() {
	s := &d.Speaker
	amplifier := d.Project.Volts(d.Project.Play.Amplifier)
	for _, tone := range tones {
		i := d.nearest(tone)
		v, first := d.Ceiling(i)
		if amplifier < v {
			v, first = amplifier, "amplifier"
		}
		s.Loudest = append(s.Loudest, Loudest{
			Frequency: units.Frequency(d.Hz[i]), Volts: v,
			Watts: units.Power(v*v) / units.Power(d.Project.Woofer.Sheet.Zn),
			Level: units.PressureLevel(d.Level(s.Result.Sum[atEar][i], v)), First: first,
		})
	}
}

// Ceiling returns the voltage at the speaker's input at which a driver or the vent
// first reaches a limit at grid point i, whatever the amplifier can do.
func (d *Design) Ceiling(i int) (units.Voltage, string) {
	s := &d.Speaker
	v := d.Bass.MaxVolts[i] / units.Voltage(cmplx.Abs(s.Result.Transfer[0][i]))
	first := "woofer: " + d.Bass.First[i].String()
	if d.Bass.First[i] == box.Vent {
		first = "vent"
	}
	drive := cmplx.Abs(s.Result.Transfer[1][i])
	tweeter := d.Tweeter.Model
	if t := s.Problem.Travel[1]; t.PerVolt != nil {
		if x := units.Voltage(float64(t.Limit) / (t.PerVolt[i] * drive)); x < v {
			v, first = x, "tweeter: dome"
		}
	}
	if tweeter.Power > 0 {
		// |I|² Re in the coil is its rated power.
		if x := units.Voltage(math.Sqrt(float64(tweeter.Power)/float64(tweeter.Re)) * cmplx.Abs(s.Field.Load(1)[i]) / drive); x < v {
			v, first = x, "tweeter: heat"
		}
	}
	return v, first
}

// Cost returns what some things cost for all speakers: drivers, crossover, wood.
func (d *Design) Cost(things []string) float64 {
	p := d.Project
	sum := 0.0
	for _, t := range things {
		switch t {
		case "drivers":
			sum += float64(p.Speakers) * (p.Woofer.Price + p.Tweeter.Price)
		case "crossover":
			sum += float64(p.Speakers) * d.Speaker.Choice.Price
		case "wood":
			sum += float64(d.Cabinet.Layout.Sheets) * p.Sheet.Price
		}
	}
	return sum
}

func (d *Design) rules(project.Source) error {
	r := d.Project.Rules
	add := func(name, limit, value, margin string, holds bool) {
		d.Rules = append(d.Rules, Rule{name, limit, value, margin, holds})
	}
	if r.Parts > 0 {
		n := 0
		for _, items := range d.Speaker.Choice.Items {
			for _, item := range items {
				if counts(r.PartKinds, item) {
					n++
				}
			}
		}
		if n > r.Parts {
			d.note("For fewer parts: crossover.search = %d searches all circuits of up to so many; or do without crossover.trap or crossover.pad, or lower crossover.lowpass or crossover.highpass.", r.Parts)
		}
		add("crossover parts per speaker", fmt.Sprintf("%d", r.Parts), fmt.Sprintf("%d", n), fmt.Sprintf("%+d", r.Parts-n), n <= r.Parts)
	}
	if r.Money > 0 {
		cost := d.Cost(r.MoneyFor)
		add("money for "+strings.Join(r.MoneyFor, " and "), fmt.Sprintf("%.2f %s", r.Money, d.Project.Currency),
			fmt.Sprintf("%.2f %s", cost, d.Project.Currency), fmt.Sprintf("%+.2f %s", r.Money-cost, d.Project.Currency), cost <= r.Money+1e-9)
	}
	if r.Volume > 0 {
		v := d.counted(d.Cabinet.Gross, d.Cabinet.Net)
		kind := r.VolumeIs
		if kind == "" {
			kind = "net"
		}
		add(kind+" air per speaker", r.Volume.String(), fmt.Sprintf("%.2f L", v.In(units.Litre)), fmt.Sprintf("%+.2f L", (r.Volume-v).In(units.Litre)), v <= r.Volume)
	}
	if r.Sheets > 0 {
		n := d.Cabinet.Layout.Sheets
		add("sheets of wood", fmt.Sprintf("%d", r.Sheets), fmt.Sprintf("%d", n), fmt.Sprintf("%+d", r.Sheets-n), n <= r.Sheets)
	}
	if r.Load > 0 {
		z := d.Speaker.LoadMin
		add("least impedance", r.Load.String(), fmt.Sprintf("%.2f Ω", float64(z)), fmt.Sprintf("%+.2f Ω", float64(z-r.Load)), z >= r.Load)
	}
	return nil
}

// counts says whether an item is a part in the sense of the rules; no kinds
// means that everything is.
func counts(kinds []string, item parts.Item) bool {
	return len(kinds) == 0 || slices.Contains(kinds, item.Part.Kind.String())
}

// Holds says whether every rule holds.
func (d *Design) Holds() bool {
	return !slices.ContainsFunc(d.Rules, func(r Rule) bool { return !r.Holds })
}
