// Package project is the file in which a builder describes a speaker: TOML with
// quantities as text with units, and curves as plain tables beside it.
package project

import (
	"math"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Project is a two-way speaker to be designed.
type Project struct {
	Name      string
	Speakers  int // built together: money, wood and cutting are for all of them
	Currency  string
	Rules     Rules
	Air       *air.Conditions // nil: the standard air of the literature
	Woofer    Driver
	Tweeter   Driver
	Box       Box
	Vent      Vent
	Cabinet   Cabinet
	Sheet     Sheet
	Crossover Crossover
	Play      Play
	Sweeps    *Sweeps // nil: the acoustic centres are as the drivers say
}

// Rules are the limits of the challenge; what is zero or empty is not limited.
type Rules struct {
	Parts     int      // crossover parts per speaker
	PartKinds []string // which count: resistor, coil, capacitor
	Money     float64  // for all speakers
	MoneyFor  []string // what it is for: drivers, crossover, wood
	Volume    units.Volume
	VolumeIs  string           // net or gross
	Sheets    int              // of wood, for all speakers
	Load      units.Resistance // least modulus of the load
}

// A Driver is a data sheet with its curves and what the carpenter must know.
type Driver struct {
	Name      string
	Price     float64 // of one
	Sheet     ts.Sheet
	X, Y      units.Length // of the centre on the panel, from its lower left corner
	Outer     units.Length // diameter of the flange
	Cutout    units.Length // diameter of the hole
	Depth     units.Length // behind the front of the flange
	Body      units.Length // diameter behind the wall; zero: the hole
	Mass      units.Mass   // for the balance; zero: left out
	Displaced units.Volume // taken from the box
	Centre    units.Length // acoustic centre behind the front of the flange
	Known     units.Length // how well, either way; zero: 8 mm
	Impedance Curve        // free air: ohms and degrees
	Response  Curve        // half space, on axis
	Near      *Near        // nil: the response reaches down to the lowest bass
	Panel     Panel        // the driver on the front panel
}

// A Curve names a table and its columns.
type Curve struct {
	File      string
	Frequency string
	Level     string            // dB re 20 µPa, or ohms
	Phase     string            // degrees; flight time taken out
	Taken     response.Mounting // how a response was taken
	On        string            // panel it was taken on, in words
	Box       string            // enclosure it was taken in, in words; empty: none
	Distance  units.Length      // zero: 1 m
	Volts     units.Voltage
	Slopes    *response.Slopes // beyond the ends of a response without phase
}

// Near is what a microphone close to the cone and the mouth of the vent read, and
// the band in which that and the response, from farther off, both hold.
type Near struct {
	Cone, Vent Curve // Vent may be left out
	Lo, Hi     units.Frequency
}

// Sweeps are three curves from one place of the microphone, on the axis of the
// tweeter, from which the distance of the acoustic centres follows.
type Sweeps struct {
	Woofer, Tweeter, Both Curve
	Lo, Hi                units.Frequency // where the drivers overlap
	Distance              units.Length    // of the microphone from the panel
}

// A Panel holds curves of the driver on a panel in full space. Over the
// half-space response they give the panel's effect.
type Panel struct {
	Width, Height units.Length // of the panel they hold for
	Curve         Curve        // on axis
	Over          Curve        // in half space; empty: the response
	Beside        []Beside     // off axis
}

// Beside is a curve off the driver's axis, positive to the right of the listener
// and up.
type Beside struct {
	Horizontal, Vertical units.Angle
	Curve                Curve
}

// Box is the air and its losses.
type Box struct {
	Volume units.Volume    // net, wanted
	Tuning units.Frequency // of box and vent; zero: a closed box
	Goal   string          // lowest cut-off, smallest box or most output, with Volume the most; empty: as given
	Peak   float64         // dB that the goal may let the response rise
	Cutoff units.Frequency // highest half-power frequency that the goal may take; zero: any
	QL     float64
	QA     float64
	QP     float64
}

// Vent is the vent but for its length.
type Vent struct {
	port.Vent
	InWall   units.Length   // how much of its length lies in the wall that holds it
	AirSpeed units.Velocity // largest, peak
	Room     units.Length   // least distance of the inner end from the wall behind it
	X, Y     units.Length   // of its centre on the panel; zero: the lowest place with room
}

// Cabinet is the wood.
type Cabinet struct {
	Profile outline.Outline // side view: x is the depth, y the height
	Wall    units.Length
	Layers  int          // zero: as many as give the wanted volume
	Caps    units.Length // thickness of each end cap; zero: as the layers
	Inside  []Inside     // whatever else takes up air

	Glue     units.Length    // thickness of each glue line; zero is usual
	Odd      []cabinet.Joint // of odd layers, counted from the left cap; empty in both: as the library chooses
	Even     []cabinet.Joint // of even layers
	Spares   int             // more of each ring piece, for all cabinets together
	Oversize units.Length    // that rings and caps stand over until they are trimmed flush
	CapGrain cabinet.Grain   // of the end caps: along, across or either
}

// Inside is something that takes up air.
type Inside struct {
	Name   string
	Volume units.Volume
}

// Sheet is what the wood is cut from.
type Sheet struct {
	Length, Width units.Length
	Thickness     units.Length // as measured
	Known         units.Length // how well its thickness is known, either way; zero: exactly
	Kerf          units.Length
	Trim          units.Length // cut off all around; zero: the edges are good
	Density       units.Density
	Price         float64
}

// Crossover says where the search starts and what it must keep.
type Crossover struct {
	Frequency     units.Frequency  // where the formula starts
	Lowest        units.Frequency  // lowest crossing allowed
	LowPass       int              // order of the woofer's branch, 1 to 4
	HighPass      int              // order of the tweeter's branch, 1 to 4
	Trap          units.Frequency  // a coil in the woofer's last shunt arm rings here with its capacitor; zero: none
	Pad           bool             // a resistor in series with the tweeter
	Polarity      string           // of the tweeter: same, inverted, or empty for the flatter one
	Lo, Hi        units.Frequency  // band to be flat in
	Load          units.Resistance // least modulus
	Catalogue     string           // table of parts
	Near          int              // shelf values tried for each part
	Search        int              // the most parts of a search over all circuits; zero: the circuit of the orders above
	ResistorPower units.Power      // least rating of resistors
	CoilOhms      units.Resistance // largest resistance of a coil; zero: any
}

// Play is how it is listened to.
type Play struct {
	Amplifier units.Power  // into the rated impedance, sine
	Travel    units.Power  // sine power at which the tweeter must stay within its travel, any frequency
	Distance  units.Length // from the panel
	Ear       units.Length // height above the lower edge of the panel
	Wall      units.Length // from the panel back to the wall behind the speaker
}

// Volts returns the voltage of a power into the rated impedance of the speaker,
// that of its woofer.
func (p Project) Volts(power units.Power) units.Voltage {
	return units.Voltage(math.Sqrt(float64(power) * float64(p.Woofer.Sheet.Zn)))
}

// Medium returns the air of the project.
func (p Project) Medium() (air.Air, error) {
	if p.Air == nil {
		return air.Standard(), nil
	}
	return p.Air.Air()
}

// Stack returns the cabinet of the project with a number of layers.
func (p Project) Stack(layers int) cabinet.Stack {
	return cabinet.Stack{
		Profile: p.Cabinet.Profile, Wall: p.Cabinet.Wall, Layers: layers,
		Thickness: p.Sheet.Thickness, Cap: p.Cabinet.Caps, GlueLine: p.Cabinet.Glue, Density: p.Sheet.Density,
	}
}

// Job returns what is to be cut for all speakers with a stack: as large as it is, or
// with the oversize that is trimmed off later.
func (p Project) Job(s cabinet.Stack) (cabinet.Job, error) {
	if p.Cabinet.Oversize > 0 {
		var err error
		if s, err = s.Oversized(p.Cabinet.Oversize); err != nil {
			return cabinet.Job{}, err
		}
	}
	return cabinet.Job{
		Stack: s, Patterns: [2][]cabinet.Joint{p.Cabinet.Odd, p.Cabinet.Even},
		Cabinets: p.Speakers, Spares: p.Cabinet.Spares, Caps: p.Cabinet.CapGrain, Price: p.Sheet.Price,
		Sheet: cabinet.Sheet{Length: p.Sheet.Length, Width: p.Sheet.Width, Kerf: p.Sheet.Kerf, Trim: p.Sheet.Trim},
	}, nil
}
