package claims

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A point in metres: x right as the listener sees it, y up, z to the listener.
type point struct {
	X units.Length `in:"x,optional"`
	Y units.Length `in:"y,optional"`
	Z units.Length `in:"z,optional"`
}

func (p point) vec() r3.Vec { return r3.Vec{X: float64(p.X), Y: float64(p.Y), Z: float64(p.Z)} }

// A way of a speaker.
type way struct {
	Name     string       `in:"name"`
	Network  arms         `in:"network,optional" doc:"as of ladder; left out: a wire"`
	Load     load         `in:"load"`
	Pressure *table       `in:"pressure,optional" doc:"of the driver as built in, at 1 m per volt, flight time left out; or sensitivity"`
	Level    float64      `in:"sensitivity,optional" doc:"instead: pressure at 1 m in Pa per volt, the same at all frequencies"`
	Position point        `in:"position,optional" doc:"of the acoustic centre"`
	Inverted bool         `in:"inverted,optional"`
	Radius   units.Length `in:"radius,optional" doc:"of the cone, as a flat piston off its axis; left out: alike in all directions"`
}

type speaker struct {
	medium
	Ways     []way           `in:"ways" doc:"from low to high"`
	Listener point           `in:"listener,optional" doc:"left out: 1 m in front"`
	Lo       units.Frequency `in:"lowest,optional" doc:"of the band for ripple and least impedance; left out: 200 Hz"`
	Hi       units.Frequency `in:"highest,optional" doc:"likewise; left out: 10 kHz"`
}

func (x speaker) at() r3.Vec {
	p := x.Listener.vec()
	if p == (r3.Vec{}) {
		p.Z = 1
	}
	return p
}

func (x speaker) field(hz []float64) (*crossover.Field, []ladder.Network, error) {
	if len(x.Ways) == 0 || len(x.Ways) > 10 {
		return nil, nil, errors.New("want 1 to 10 ways")
	}
	var ways []crossover.Way
	var networks []ladder.Network
	for _, w := range x.Ways {
		z, err := w.Load.impedance(hz)
		if err != nil {
			return nil, nil, fmt.Errorf("way %s: %w", quote(w.Name), err)
		}
		p := make([]complex128, len(hz))
		switch {
		case (w.Pressure == nil) == (w.Level == 0):
			err = errors.New("want either pressure or sensitivity")
		case w.Pressure != nil:
			if !w.Pressure.curve.HasPhase {
				err = errors.New("its pressure has no phase")
				break
			}
			err = w.Pressure.curve.Resample(p, hz)
		default:
			for i := range p {
				p[i] = complex(w.Level, 0)
			}
		}
		if err != nil {
			return nil, nil, fmt.Errorf("way %s: %w", quote(w.Name), err)
		}
		c := crossover.Curves{Hz: hz, Z: z, Directions: []crossover.Direction{{Toward: r3.Vec{Z: 1}, P: p}}, Radius: w.Radius, SpeedOfSound: x.air.SpeedOfSound}
		if err := c.Check(); err != nil {
			return nil, nil, fmt.Errorf("way %s: %w", quote(w.Name), err)
		}
		n, err := w.Network.ladder()
		if err != nil {
			return nil, nil, fmt.Errorf("way %s: %w", quote(w.Name), err)
		}
		ways = append(ways, crossover.Way{Name: w.Name, Radiator: c, Position: w.Position.vec(), Inverted: w.Inverted})
		networks = append(networks, n)
	}
	f, err := crossover.Sample(ways, hz, x.air.SpeedOfSound, x.at())
	return f, networks, err
}

// evaluate is the speaker at frequencies in any order, some of them perhaps twice.
func (x speaker) evaluate(hz []float64, f func(r *crossover.Result) []complex128) ([]complex128, error) {
	grid := slices.Clone(hz)
	slices.Sort(grid)
	grid = slices.Compact(grid)
	field, n, err := x.field(grid)
	if err != nil {
		return nil, err
	}
	var r crossover.Result
	field.Evaluate(&r, n...)
	all := f(&r)
	dst := make([]complex128, len(hz))
	for i, f0 := range hz {
		k, _ := slices.BinarySearch(grid, f0)
		dst[i] = all[k]
	}
	return dst, nil
}

// A score is what the speaker does in a band, on a grid of 160 points a decade.
type score struct {
	ripple, mean float64 // dB, the mean re 1 Pa
	least        float64 // Ω
	crossing     float64 // Hz, NaN without one
}

func (x speaker) score() (score, error) {
	lo, hi := cmp.Or(x.Lo, 200), cmp.Or(x.Hi, 10_000)
	if err := cmp.Or(units.Within("lowest", lo, 1, 1e5), units.Within("highest", hi, 1, 1e5)); err != nil {
		return score{}, err
	}
	if !(lo < hi) {
		return score{}, errors.New("lowest must be below highest")
	}
	hz := response.LogGrid(float64(lo), float64(hi), 160)
	field, n, err := x.field(hz)
	if err != nil {
		return score{}, err
	}
	var r crossover.Result
	field.Evaluate(&r, n...)
	s := score{crossing: math.NaN()}
	level := make([]float64, len(hz))
	for i, p := range r.Sum[0] {
		level[i] = response.DB(p)
	}
	s.mean = stat.Mean(level, nil)
	s.ripple = math.Sqrt(stat.MomentAbout(2, level, s.mean, nil))
	_, least := ladder.RefineMinimum(hz, r.Load)
	s.least = float64(least)
	if len(x.Ways) < 2 {
		return s, nil
	}
	over := func(i int) float64 { // how much louder the second way is
		return response.DB(r.Transfer[1][i]*field.Pressure(1, 0)[i]) - response.DB(r.Transfer[0][i]*field.Pressure(0, 0)[i])
	}
	for i := 1; i < len(hz); i++ {
		if a, b := over(i-1), over(i); a <= 0 && b > 0 {
			s.crossing = hz[i-1] * math.Pow(hz[i]/hz[i-1], a/(a-b))
			break
		}
	}
	return s, nil
}

func (x speaker) way(name string) (int, error) {
	var names []string
	for i, w := range x.Ways {
		if w.Name == name {
			return i, nil
		}
		names = append(names, w.Name)
	}
	return 0, errors.New(unknown("way", name, names))
}

var speakers = []Capability{
	define[speaker]("crossover", "Ways with their networks and places: the sum at the listener and the load on the amplifier.",
		curve[units.Pressure]("pressure", "of all ways at the listener per volt at the input, flight time in", func(x speaker, hz []float64) ([]complex128, error) {
			return x.evaluate(hz, func(r *crossover.Result) []complex128 { return r.Sum[0] })
		}),
		along("level", "of all ways at the listener per volt at the input, re 20 µPa", func(x speaker, f units.Frequency) (units.PressureLevel, error) {
			z, err := x.evaluate([]float64{float64(f)}, func(r *crossover.Result) []complex128 { return r.Sum[0] })
			if err != nil {
				return 0, err
			}
			return units.PressureLevel(response.DB(z[0] / 20e-6)), nil
		}),
		eachCurve[decibels]("voltage", "at the driver of a way over that at the input", "way", func(x speaker, of string, hz []float64) ([]complex128, error) {
			i, err := x.way(of)
			if err != nil {
				return nil, err
			}
			return x.evaluate(hz, func(r *crossover.Result) []complex128 { return r.Transfer[i] })
		}),
		curve[units.Resistance]("impedance", "of all branches in parallel", func(x speaker, hz []float64) ([]complex128, error) {
			return x.evaluate(hz, func(r *crossover.Result) []complex128 { return r.Load })
		}),
		value("ripple", "RMS of the sum about its mean level in the band, 160 points a decade", func(x speaker) (decibels, error) {
			s, err := x.score()
			if err != nil {
				return 0, err
			}
			return decibels(s.ripple), nil
		}),
		value("mean level", "of the sum in the band, re 20 µPa per volt", func(x speaker) (units.PressureLevel, error) {
			s, err := x.score()
			if err != nil {
				return 0, err
			}
			return units.PressureLevel(s.mean - 20*math.Log10(20e-6)), nil
		}),
		value("least impedance", "modulus in the band", func(x speaker) (units.Resistance, error) {
			s, err := x.score()
			if err != nil {
				return 0, err
			}
			return units.Resistance(s.least), nil
		}),
		value("crossing", "where the second way takes over from the first", func(x speaker) (units.Frequency, error) {
			s, err := x.score()
			if err == nil && math.IsNaN(s.crossing) {
				err = errors.New("the ways do not cross in the band")
			}
			return units.Frequency(s.crossing), err
		}),
	),
}
