package outside

import (
	"strconv"

	"example.com/halfspace/filter/circuit"
)

// Circuits is cases/circuits.json.
type Circuits struct {
	Hz       []float64 `json:"hz"`
	Circuits []Circuit `json:"circuits"`
}

// A Circuit has parts and loads between named nodes, the source between in and 0.
type Circuit struct {
	ID       string `json:"id"`
	Branches []struct {
		From string `json:"from"`
		To   string `json:"to"`
		Part
	} `json:"branches"`
	Loads []struct {
		From   string  `json:"from"`
		To     string  `json:"to"`
		Driver string  `json:"driver"`
		Ohms   float64 `json:"ohms"`
	} `json:"loads"`
}

// Model returns the circuit as our library has it; its loads are named by their
// numbers.
func (c Circuit) Model() (circuit.Circuit, error) {
	var m circuit.Circuit
	for _, b := range c.Branches {
		p, err := b.Part.model()
		if err != nil {
			return circuit.Circuit{}, err
		}
		m.Branches = append(m.Branches, circuit.Branch{From: b.From, To: b.To, Part: p})
	}
	for k, l := range c.Loads {
		m.Loads = append(m.Loads, circuit.Load{Name: strconv.Itoa(k), From: l.From, To: l.To})
	}
	return m, m.Check()
}

// Deck returns the circuit driven with 1 V at hz. It answers current (from the
// source), and for parts and loads voltage and current: v0, i0, v1, i1 ... and load0,
// load current0 ...
func (c Circuit) Deck(drivers Drivers, hz float64) *Deck {
	d := &Deck{hz: hz}
	d.add("V", "source 0 dc 0 ac 1")
	d.ask("current", "i("+d.meter("source", "in")+")")
	for k, b := range c.Branches {
		d.part(b.From, b.To, b.Part, k)
	}
	for k, l := range c.Loads {
		d.load(l.From, l.To, l.Driver, l.Ohms, drivers, "load"+strconv.Itoa(k), "load current"+strconv.Itoa(k))
	}
	return d
}
