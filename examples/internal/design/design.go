// Package design carries a project through: drivers, cabinet, bass, curves,
// networks and rules. Every calculation is one of the library's packages; this
// one only says what follows what.
package design

import (
	"fmt"
	"slices"

	"example.com/halfspace/box"
	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/search"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Grid is the frequencies of all curves: 20 Hz to 20 kHz.
func Grid() []float64 { return response.LogGrid(20, 20000, 96) }

// A Design is a finished speaker.
type Design struct {
	Project project.Project
	Air     air.Air
	Hz      []float64

	Woofer, Tweeter Driver
	Cabinet         Cabinet
	Bass            Bass
	Centres         Centres
	Speaker         Speaker
	Bench           Bench
	Rules           []Rule
	Doubts          []string // what looks like a mistake in tables and project
	Notes           []string // what a careful builder should know about this result
}

// A Driver is a driver with how its model came about.
type Driver struct {
	Model    ts.Driver
	Steps    []ts.Step
	Findings []ts.Finding
	Culprits []ts.Suspect // figures that are probably wrong, in order
	Curves   Curves
}

// A Cabinet is the wood with the air in it.
type Cabinet struct {
	Stack  cabinet.Stack
	Inside []cabinet.Displacement
	Gross  units.Volume
	Net    units.Volume
	Fewer  Neighbour       // one layer less
	More   Neighbour       // one layer more
	Job    cabinet.Job     // what is cut for all speakers
	Plan   cabinet.Plan    // of the job
	Pieces []cabinet.Piece // of one cabinet
	Layout cabinet.Layout  // of all speakers, lot after lot
	Least  int             // sheets that no plan can beat
	Width  units.Length
	Height units.Length
	Depth  units.Length
	Mass   units.Mass
	Sheet  cabinet.Sheet
}

// A Neighbour is the cabinet with another number of layers.
type Neighbour struct {
	Layers int // 0: there is none
	Net    units.Volume
	F3     units.Frequency
	System box.System
}

// Bass is the woofer in its box, half space, without the network.
type Bass struct {
	System   box.System
	Points   []box.Point // per volt, on the grid
	Vent     port.Vent   // zero for a closed box
	Behind   units.Length
	Line     units.Frequency // tuning with the vent as a line
	Pipe     units.Frequency // first resonance of the vent
	F3       units.Frequency
	F6       units.Frequency
	F10      units.Frequency
	BreakIn  float64         // dB by which a suspension softer by 30 % changes the response, 20 to 200 Hz
	MaxVolts []units.Voltage // at the woofer's terminals, on the grid
	First    []box.Limit     // what gives first there
}

// A Speaker is the finished thing.
type Speaker struct {
	Field     *crossover.Field // on the panel in full space, at the ear and then beside it
	Result    crossover.Result // per volt at the input
	Inverted  bool             // the tweeter
	HalfSpace []complex128     // sum flush in an endless wall, at the ear
	Formula   search.Score
	Tuned     search.Score
	Choice    search.Choice   // shelf parts
	Problem   search.Problem  // on the grid of the curves
	Moved     [2]search.Score // with the tweeter's centre behind and ahead by Centres.Within
	NearWall  []complex128    // sum with the wall behind, to NearTop
	NearTop   units.Frequency

	Sensitivity units.PressureLevel // mean of the band at 1 m for 2.83 V
	F3, F6, F10 units.Frequency     // below the sensitivity, on the panel in free field
	LoadMin     units.Resistance
	LoadAt      units.Frequency
	Rated       units.Resistance // largest rated impedance the load may be given
	EPDR        units.Resistance // least
	EPDRAt      units.Frequency
	Dome        units.Length // tweeter's largest travel at Play.Travel
	Stress      []Stress     // of the parts, at the amplifier's power
	Loudest     []Loudest
	Played      []Played  // noise
	Spread      Spread    // of speakers as built
	Window      []float64 // mean power of the listening window, Pa² per V² at the distance of the ear, on the grid
}

// A Stress is what the heat in one part comes to.
type Stress struct {
	Letter string
	Way    string
	Part   ladder.Part
	Name   string // of the item
	Kind   string
	Price  float64
	Noise  units.Power // mean, with programme noise whose peaks are those of the amplifier
	Share  units.Ratio // of its rating that the noise takes; 0: no rating is given
	Worst  units.Power // sine at the amplifier's power, at the worst frequency
	At     units.Frequency
	Rating units.Power // of a resistor; 0 not given
}

// Loudest is how loud it plays with a tone.
type Loudest struct {
	Frequency units.Frequency
	Volts     units.Voltage // at the input
	Watts     units.Power   // into the rated impedance
	Level     units.PressureLevel
	First     string // what gives first
}

// A Rule is a limit with how far it is kept.
type Rule struct {
	Name   string
	Limit  string
	Value  string
	Margin string
	Holds  bool
}

// Run designs the speaker of a project.
func Run(src project.Source, p project.Project) (*Design, error) {
	return run(src, p, (*Design).drivers, (*Design).choose, (*Design).cabinet, (*Design).bass, (*Design).speaker, (*Design).rules)
}

// Measure goes only as far as the curves of both drivers in their cabinet.
func Measure(src project.Source, p project.Project) (*Design, error) {
	return run(src, p, (*Design).drivers, (*Design).choose, (*Design).cabinet, (*Design).bass, func(d *Design, src project.Source) error {
		_, _, err := d.curves(src)
		return err
	})
}

func run(src project.Source, p project.Project, steps ...func(*Design, project.Source) error) (*Design, error) {
	d := &Design{Project: p, Hz: Grid()}
	var err error
	if d.Air, err = p.Medium(); err != nil {
		return nil, err
	}
	for _, step := range steps {
		if err := step(d, src); err != nil {
			return nil, d.blame(err)
		}
	}
	return d, nil
}

// blame adds to an error which figure of a sheet is probably misprinted, if one is:
// it may well be the reason.
func (d *Design) blame(err error) error {
	for _, x := range []struct {
		key string
		Driver
	}{{"woofer", d.Woofer}, {"tweeter", d.Tweeter}} {
		if len(x.Culprits) > 0 {
			err = fmt.Errorf("%w; %s.sheet is probably misprinted: %v", err, x.key, x.Culprits[0])
		}
	}
	return err
}

func (d *Design) drivers(project.Source) error {
	for _, x := range []struct {
		key  string
		from project.Driver
		to   *Driver
	}{{"woofer", d.Project.Woofer, &d.Woofer}, {"tweeter", d.Project.Tweeter, &d.Tweeter}} {
		var err error
		if x.to.Model, x.to.Steps, err = x.from.Sheet.Driver(d.Air); err != nil {
			return fmt.Errorf("%s.sheet: %w", x.key, err)
		}
		if x.to.Findings, err = x.from.Sheet.Audit(d.Air); err != nil {
			return fmt.Errorf("%s.sheet: %w", x.key, err)
		}
		// A sheet with too few figures has no redundancy to find culprits by.
		if culprits, _, err := x.from.Sheet.Culprits(d.Air); err == nil {
			x.to.Culprits = culprits
		}
	}
	return nil
}

// odd keeps what looks like a mistake.
func (d *Design) odd(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(d.Doubts, text) {
		d.Doubts = append(d.Doubts, text)
	}
}

func (d *Design) note(format string, args ...any) {
	d.Notes = append(d.Notes, fmt.Sprintf(format, args...))
}
