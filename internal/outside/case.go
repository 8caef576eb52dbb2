package outside

import (
	"fmt"
	"io/fs"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Drivers is cases/drivers.json: drivers by name, and the air around them.
type Drivers struct {
	Air struct {
		Density      float64 `json:"density"`
		SpeedOfSound float64 `json:"speed_of_sound"`
	} `json:"air"`
	Drivers map[string]Driver `json:"drivers"`
}

// A Driver is a moving-coil driver in SI units.
type Driver struct {
	Re   float64 `json:"re"`
	Bl   float64 `json:"bl"`
	Mms  float64 `json:"mms"`
	Cms  float64 `json:"cms"`
	Rms  float64 `json:"rms"`
	Sd   float64 `json:"sd"`
	Coil struct {
		Leb float64 `json:"leb"`
		Le  float64 `json:"le"`
		Ke  float64 `json:"ke"`
		Rss float64 `json:"rss"`
		K   float64 `json:"k"`
		N   float64 `json:"n"`
	} `json:"coil"`
}

// Boxes is cases/boxes.json, and cases/enclosures.json.
type Boxes struct {
	Hz    []float64 `json:"hz"`
	Boxes []Box     `json:"boxes"`
}

// A Box is a driver in an infinite baffle, a box or between two. Losses that are zero
// are not there. Vb to Area are the chamber behind the cone.
type Box struct {
	ID     string  `json:"id"`
	Driver string  `json:"driver"`
	Kind   string  `json:"kind"` // baffle, closed, vented, passive radiator, bandpass, rear ...
	Vb     float64 `json:"vb"`
	Fb     float64 `json:"fb"`
	QL     float64 `json:"ql"`
	QA     float64 `json:"qa"`
	QP     float64 `json:"qp"`
	FQ     float64 `json:"fq"`   // closed: frequency of QL and QA; vented: fb
	Area   float64 `json:"area"` // of the vent

	Front    *Chamber `json:"front"` // bandpass
	Radiator Radiator `json:"radiator"`
}

// A Chamber has a vent.
type Chamber struct {
	Vb   float64 `json:"vb"`
	Fb   float64 `json:"fb"`
	QL   float64 `json:"ql"`
	QA   float64 `json:"qa"`
	QP   float64 `json:"qp"`
	Area float64 `json:"area"`
}

// A Radiator is a number of passive radiators alike, each as given.
type Radiator struct {
	Sd    float64 `json:"sd"`
	Mass  float64 `json:"mass"` // with air load and added weight
	Cms   float64 `json:"cms"`
	Rms   float64 `json:"rms"`
	Count int     `json:"count"`
}

func (b Box) chamber() Chamber { return Chamber{b.Vb, b.Fb, b.QL, b.QA, b.QP, b.Area} }

func (c Chamber) vented() box.Vented {
	return box.Vented{Vb: units.Volume(c.Vb), Fb: units.Frequency(c.Fb), QL: c.QL, QA: c.QA, QP: c.QP, Area: units.Area(c.Area)}
}

// Ladders is cases/ladders.json.
type Ladders struct {
	Hz      []float64 `json:"hz"`
	Ladders []Ladder  `json:"ladders"`
}

// A Ladder is a network into a driver in an infinite baffle, or into a resistor.
type Ladder struct {
	ID     string  `json:"id"`
	Driver string  `json:"driver"`
	Ohms   float64 `json:"ohms"`
	Arms   []Arm   `json:"arms"`
}

// An Arm has its parts in series if it is a shunt, in parallel if not.
type Arm struct {
	Shunt bool   `json:"shunt"`
	Parts []Part `json:"parts"`
}

// A Part is a resistor, a coil with its resistance, or a capacitor with a series
// resistance and a loss factor.
type Part struct {
	Kind       string  `json:"kind"` // R, L, C
	Value      float64 `json:"value"`
	Resistance float64 `json:"resistance"`
	Loss       float64 `json:"loss"`
}

// ReadCases reads cases/name.json below the folder of this package.
func ReadCases[T any](folder fs.FS, name string) (T, error) {
	var cases T
	return cases, readJSON(folder, "cases/"+name+".json", &cases)
}

// Medium returns the air as our library has it.
func (d Drivers) Medium() air.Air {
	return air.Air{Density: units.Density(d.Air.Density), SpeedOfSound: units.Velocity(d.Air.SpeedOfSound)}
}

// Model returns the driver as our library has it.
func (d Driver) Model() ts.Driver {
	return ts.Driver{
		Re: units.Resistance(d.Re), Bl: units.ForceFactor(d.Bl), Mms: units.Mass(d.Mms),
		Cms: units.Compliance(d.Cms), Rms: units.MechanicalResistance(d.Rms), Sd: units.Area(d.Sd),
		Coil: ts.Coil{
			Leb: units.Inductance(d.Coil.Leb), Le: units.Inductance(d.Coil.Le), Ke: d.Coil.Ke,
			Rss: units.Resistance(d.Coil.Rss), K: d.Coil.K, N: d.Coil.N,
		},
	}
}

// System returns the driver in its box as our library has it.
func (b Box) System(drivers Drivers) (box.System, error) {
	d, ok := drivers.Drivers[b.Driver]
	if !ok {
		return box.System{}, fmt.Errorf("outside: %s: no driver %q", b.ID, b.Driver)
	}
	s := box.System{Driver: d.Model(), Air: drivers.Medium()}
	closed := box.Closed{Vb: units.Volume(b.Vb), QL: b.QL, QA: b.QA, FQ: units.Frequency(b.FQ)}
	var front box.Vented
	if b.Front != nil {
		front = b.Front.vented()
	}
	switch b.Kind {
	case "baffle":
		s.Enclosure = box.InfiniteBaffle{}
	case "closed":
		s.Enclosure = closed
	case "vented":
		s.Enclosure = b.chamber().vented()
	case "passive radiator":
		r := b.Radiator
		s.Enclosure = box.PassiveRadiator{Vb: units.Volume(b.Vb), QL: b.QL, QA: b.QA, Radiator: box.PassiveCone{
			Sd: units.Area(r.Sd), Mms: units.Mass(r.Mass), Cms: units.Compliance(r.Cms), Rms: units.MechanicalResistance(r.Rms), Count: r.Count,
		}}
	case "bandpass, rear closed":
		s.Enclosure = box.Bandpass4{Rear: closed, Front: front}
	case "bandpass, rear vented":
		s.Enclosure = box.Bandpass6{Rear: b.chamber().vented(), Front: front}
	case "bandpass, rear vented into front":
		s.Enclosure = box.Bandpass6Series{Rear: b.chamber().vented(), Front: front}
	}
	return s, s.Check()
}

// Network returns the arms as our library has them.
func Network(arms []Arm) (ladder.Network, error) {
	n := make(ladder.Network, len(arms))
	for i, a := range arms {
		n[i].Shunt = a.Shunt
		for _, p := range a.Parts {
			part, err := p.model()
			if err != nil {
				return nil, err
			}
			n[i].Parts = append(n[i].Parts, part)
		}
	}
	return n, n.Check()
}

func (p Part) model() (ladder.Part, error) {
	kind, ok := map[string]ladder.Kind{"R": ladder.Resistor, "L": ladder.Inductor, "C": ladder.Capacitor}[p.Kind]
	if !ok {
		return ladder.Part{}, fmt.Errorf("outside: no kind of part %q", p.Kind)
	}
	return ladder.Part{Kind: kind, Value: p.Value, Resistance: units.Resistance(p.Resistance), Loss: p.Loss}, nil
}
