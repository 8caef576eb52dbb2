package align

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"example.com/halfspace/box"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Objective is what a [Goal] wants most.
type Objective uint8

// The objectives.
const (
	// LowestCutoff wants the lowest half-power cut-off.
	LowestCutoff Objective = iota
	// SmallestBox wants the least net volume.
	SmallestBox
	// MostOutput wants the signal as loud as the limits let it be.
	MostOutput
)

func (o Objective) String() string {
	switch o {
	case LowestCutoff:
		return "lowest cut-off"
	case SmallestBox:
		return "smallest box"
	case MostOutput:
		return "most output"
	}
	return fmt.Sprintf("Objective(%d)", uint8(o))
}

// A Goal is a box that one wants, under limits; a limit that is zero is none. The
// shape of the response (cut-off, peak, dip, delay) is that without the coil's
// inductance, as the families have it; what the signal does is computed with it.
type Goal struct {
	Objective Objective
	// Box says what kind of box and which losses: a [box.Closed], [box.Vented] or
	// [box.PassiveRadiator], whose volume and tuning (of the radiator: its added mass)
	// are sought and not looked at.
	Box box.Enclosure

	Volume Volumes // net; zero: from Vas/100 to 10 Vas
	Tuning Tunings // zero: from fs/5 to 5 fs

	Cutoff units.Frequency // highest half-power cut-off
	Peak   float64         // dB above the reference, at most
	// Dip is how many dB the response may lie below the reference from an octave above
	// its cut-off upwards. It forbids the shelf of a box too large or tuned too low,
	// as well as a trough.
	Dip   float64
	Delay units.Time // largest group delay from the cut-off upwards

	// Limits hold for the signal at Volts (RMS, at the terminals or ahead of a source
	// resistance that Re contains). For [MostOutput] Volts is sought and not given.
	Limits box.Limits
	Signal box.Signal
	Volts  units.Voltage

	Vent VentRoom // of a vented box; zero: its Area is given, or does not matter
}

// Volumes is a range of volumes.
type Volumes struct{ Least, Most units.Volume }

// Tunings is a range of tunings.
type Tunings struct{ Least, Most units.Frequency }

// VentRoom is what there is for a round vent. The vent is as wide as the air
// speed at the stated signal asks for and no wider, which makes it short, or as
// wide as the room lets it be if output is wanted.
type VentRoom struct {
	Vent      port.Vent      // without diameter and length: count, wall, mouths
	Diameters []units.Length // that can be had; none: any
	Space     port.Space
}

func (r VentRoom) given() bool { return r.Space != (port.Space{}) }

// A Design is a box with what it does.
type Design struct {
	Box    box.Enclosure
	Vent   port.Vent // if room for it was given
	Volume units.Volume
	Tuning units.Frequency // zero for a closed box

	Cutoff units.Frequency // half power
	Peak   float64         // dB above the reference; 0 without one
	Dip    float64         // dB below it, from an octave above the cut-off
	Delay  units.Time      // largest from the cut-off upwards

	Volts units.Voltage // up to which the signal stays within the limits; +Inf without limits
	// Level is that of the signal at 1 m in half space: at the goal's Volts, or at
	// these if they are sought; 0 without a signal. Of tones one after the other it is that in the pass band.
	Level units.PressureLevel
}

// A Best is what [Goal.Solve] finds.
type Best struct {
	Design
	Binding []Bound // the limits that it meets exactly; giving way there would make it better
	// Curve is the trade of the objective for volume: the best designs that have at most
	// a volume, for up to 20 volumes, rising. Where the smallest box was wanted it shows
	// the lowest cut-offs, without the limit of the cut-off.
	Curve []Design
}

// A Bound names a limit of a [Goal].
type Bound uint8

// The bounds.
const (
	LeastVolume Bound = iota
	MostVolume
	LeastTuning
	MostTuning
	CutoffBound
	PeakBound
	DipBound
	DelayBound
	ConeBound
	AirBound
	HeatBound
	RadiatorBound
	RoomBound // for the vent
	bounds
)

func (b Bound) String() string {
	if b < bounds {
		return [...]string{
			"least volume", "most volume", "least tuning", "most tuning", "cut-off", "peak", "dip", "group delay",
			"travel of the cone", "air speed", "heat", "travel of the passive radiator", "room for the vent",
		}[b]
	}
	return fmt.Sprintf("Bound(%d)", uint8(b))
}

// Impossible is the error of a goal that no box reaches.
type Impossible struct {
	Nearest Design  // the box that misses its worst limit by the least
	Limits  []Bound // those that stand in the way: missed by the most, often several at once, and ends of ranges
	By      float64 // by what part they are missed; of peak and dip it is one of the amplitude
}

func (e *Impossible) Error() string {
	at := e.Nearest.Volume.String()
	if e.Nearest.Tuning > 0 {
		at += " tuned to " + e.Nearest.Tuning.String()
	}
	by := fmt.Sprintf("%.2g %%", 100*e.By)
	var names []string
	for _, b := range e.Limits {
		names = append(names, b.String())
		if b == PeakBound || b == DipBound {
			by = fmt.Sprintf("%.2g %% (%.2g dB)", 100*e.By, 20*math.Log10(1+e.By))
		}
	}
	return fmt.Sprintf("align: no box reaches the goal: the nearest, %s, misses by %s: %s", at, by, strings.Join(names, ", "))
}

// check refuses what is no goal for a driver, and fills the ranges in.
func (g *Goal) check(d ts.Driver, a air.Air) error {
	if err := cmp.Or(d.Check(), a.Check(), g.Limits.Check(),
		units.NotNegative("align: least volume", g.Volume.Least),
		units.NotNegative("align: most volume", g.Volume.Most),
		units.NotNegative("align: least tuning", g.Tuning.Least),
		units.NotNegative("align: most tuning", g.Tuning.Most),
		units.NotNegative("align: cut-off", g.Cutoff),
		units.NotNegative("align: peak, dB", g.Peak),
		units.NotNegative("align: dip, dB", g.Dip),
		units.NotNegative("align: group delay", g.Delay),
		units.NotNegative("align: voltage", g.Volts),
	); err != nil {
		return err
	}
	g.Volume.Least = cmp.Or(g.Volume.Least, d.Vas(a)/100)
	g.Volume.Most = cmp.Or(g.Volume.Most, max(10*d.Vas(a), g.Volume.Least))
	g.Tuning.Least = cmp.Or(g.Tuning.Least, d.Fs()/5)
	g.Tuning.Most = cmp.Or(g.Tuning.Most, max(5*d.Fs(), g.Tuning.Least))
	refuse := func(field, value, want string) error {
		return &units.RangeError{Field: "align: " + field, Value: value, Want: want}
	}
	switch {
	case g.Objective > MostOutput:
		return refuse("objective", g.Objective.String(), "must be one of those named")
	case g.Volume.Least > g.Volume.Most:
		return refuse("least volume", g.Volume.Least.String(), "must not be above the most, "+g.Volume.Most.String())
	case g.Tuning.Least > g.Tuning.Most:
		return refuse("least tuning", g.Tuning.Least.String(), "must not be above the most, "+g.Tuning.Most.String())
	}
	limited := g.Limits != (box.Limits{})
	switch g.Box.(type) {
	case box.Closed, box.PassiveRadiator:
		if g.Vent.given() {
			return refuse("vent", "given", "is for a box.Vented only")
		}
	case box.Vented:
		if err := g.Vent.check(); err != nil {
			return err
		}
		if g.Vent.given() && g.Limits.AirSpeed == 0 {
			return refuse("limit of air speed", "none", "must be given with room for a vent: it decides how wide the vent is")
		}
	default:
		return refuse("box", fmt.Sprintf("%T", g.Box), "must be a box.Closed, box.Vented or box.PassiveRadiator")
	}
	if limited {
		if err := g.Signal.Check(); err != nil {
			return err
		}
	}
	switch {
	case g.Objective == MostOutput && !limited:
		return refuse("limits", "none", "must be given: without them there is no most output")
	case g.Objective == MostOutput && g.Volts != 0:
		return refuse("voltage", g.Volts.String(), "must be zero: with most output it is sought")
	case g.Objective != MostOutput && limited && g.Volts == 0:
		return refuse("voltage", g.Volts.String(), "must be positive where limits of travel, air speed or heat are given")
	}
	return g.at(g.Volume.Least, g.Tuning.Least, a).Check()
}

// at returns the box with a volume and a tuning.
func (g *Goal) at(vb units.Volume, fb units.Frequency, a air.Air) box.Enclosure {
	switch b := g.Box.(type) {
	case box.Closed:
		b.Vb = vb
		return b
	case box.Vented:
		b.Vb, b.Fb = vb, fb
		return b
	case box.PassiveRadiator:
		b.Vb = vb
		b.Radiator.Added = 0
		ratio := float64(b.Fb(a) / fb)
		b.Radiator.Added = b.Radiator.Mms * units.Mass(max(0, (ratio-1)*(ratio+1)))
		return b
	}
	return g.Box
}

// tunings returns the logarithms of the tunings that there are with a volume.
func (g *Goal) tunings(vb units.Volume, a air.Air) (lo, hi float64) {
	lo, hi = math.Log(float64(g.Tuning.Least)), math.Log(float64(g.Tuning.Most))
	switch b := g.Box.(type) {
	case box.Closed:
		return lo, lo
	case box.PassiveRadiator:
		b.Vb, b.Radiator.Added = vb, 0
		hi = min(hi, math.Log(float64(b.Fb(a)))) // the bare radiator
	}
	return min(lo, hi), hi
}

// Solve returns the best box for the driver. Of all volumes and tunings in range a
// grid is tried (a ninth of an octave apart in tuning for the default range), and the
// best points are refined until nothing changes in the sixth digit, to which volume
// and tuning are rounded. It is deterministic. Limits are kept to one part in ten
// thousand, or 0.001 dB.
//
// If no box keeps all limits the error is an [*Impossible], and the Best returned
// is the nearest box; other errors say what is no goal. Zero air is standard air.
func (g Goal) Solve(d ts.Driver, a air.Air) (Best, error) {
	a = a.OrStandard()
	if err := g.check(d, a); err != nil {
		return Best{}, err
	}
	s := newSearch(g, d, a)
	t, grid := s.solve()
	best := Best{Design: s.design(t)}
	best.Curve = s.curve(t, grid)
	if n := len(best.Curve); n > 0 && best.Volume > best.Curve[n-1].Volume {
		best.Curve = append(best.Curve, best.Design) // to which rounding may have been unkind
	}
	if worst := t.worst(); t.over[worst] > loose {
		return best, &Impossible{Nearest: best.Design, Limits: t.near(t.over[worst]), By: math.Expm1(t.over[worst])}
	}
	best.Binding = t.near(0)
	return best, nil
}

// near returns the limits that are missed by as much, but for a hair, and the ends of
// the ranges of volume and tuning at which the box stands.
func (t *trial) near(over float64) []Bound {
	var near []Bound
	for b, x := range t.over {
		if x > over-binding || b <= int(MostTuning) && x > -binding {
			near = append(near, Bound(b))
		}
	}
	return near
}

// curve returns the designs of the trade, from the grid of volumes that the search
// for the best trial t left.
func (s *search) curve(t trial, grid []trial) []Design {
	c := *s
	c.found = false
	lo, hi := c.volumes()
	top := math.Log(float64(t.vb))
	if c.g.Objective == SmallestBox {
		c.g.Objective, c.g.Cutoff = LowestCutoff, 0
		t, grid = lowest(lo, hi, volumeSteps, hi-lo, func(x float64) trial { return c.tuned(x, coarse) }, c.better)
		top = max(top, math.Log(float64(t.vb)))
	}
	// From the first volume of the grid that keeps the limits, and one step below.
	for i := range grid {
		if grid[i].kept() {
			lo = math.Log(float64(grid[max(i-1, 0)].vb))
			break
		}
	}
	const points = 19
	var best trial
	var out []Design
	for i := range points {
		t := c.tuned(min(top, lo+(top-lo)*float64(i)/(points-1)), fine)
		if t.kept() && (len(out) == 0 || c.better(&t, &best)) {
			best = t
			out = append(out, c.design(t))
		}
	}
	return out
}
