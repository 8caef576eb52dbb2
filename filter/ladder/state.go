package ladder

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// State is what a network carries at one frequency, with 1 V from the source. At
// another voltage, multiply voltages and currents by it and powers by its square.
type State struct {
	Current complex128 // from the source, A
	Load    Stress
	Parts   []Stress // along the signal path, as in [Network.Parts]
}

// Stress is what one part has to bear.
type Stress struct {
	Voltage complex128 // across the part, its losses included, V RMS
	Current complex128 // through it, A RMS
	Power   float64    // turned into heat, W; for the load: taken from the network
}

// State returns the state of the network at hz hertz into a load in ohms. The
// powers of all parts and of the load add up to what the source delivers,
// Re(Current) watts. In a series arm the voltage counts toward the load, in a shunt
// arm toward the return.
//
// It is an error if the source is shorted at this frequency, as then no current
// belongs to 1 V, or if hz is not positive and finite, or load not finite.
func (n Network) State(hz float64, load complex128) (State, error) {
	if err := units.Positive("ladder: frequency", units.Frequency(hz)); err != nil {
		return State{}, err
	}
	if !finite(load) {
		return State{}, &units.RangeError{Field: "ladder: load", Value: fmt.Sprint(load) + " Ω", Want: "must be finite"}
	}
	var s State
	err := n.state(&s, make([]passage, len(n)), hz, load)
	return s, err
}

// passage is what the walk to the source leaves at an arm.
type passage struct {
	own complex128 // voltage across a series arm, current in a shunt arm
	cut bool       // the arm keeps everything from the arms behind it
}

// state fills s, whose Parts are used again, with one passage for each arm.
func (n Network) state(s *State, arms []passage, hz float64, load complex128) error {
	w := 2 * math.Pi * hz
	iw := 1 / w

	// From the load, with 1 A in it, to the source.
	v, i := load, complex128(1)
	for k := len(n) - 1; k >= 0; k-- {
		arm := passage{cut: true, own: 1}
		if n[k].Shunt {
			if y, ok := reciprocal(inSeries(n[k].Parts).at(w, iw)); ok {
				arm = passage{own: v * y}
				i += arm.own
			} else {
				v, i = 0, 1
			}
		} else if z, ok := n[k].parallel(w, iw); ok {
			arm = passage{own: i * z}
			v += arm.own
		} else {
			v, i = 1, 0
		}
		arms[k] = arm
	}

	scale, ok := reciprocal(v)
	if !ok {
		return &units.RangeError{Field: "ladder: input impedance", Value: "0 Ω",
			Want: fmt.Sprintf("must not be zero, but the source is shorted at %v", units.Frequency(hz))}
	}
	s.Current, s.Parts = i*scale, s.Parts[:0]
	for k, a := range n {
		arm := arms[k].own * scale
		for _, p := range a.Parts {
			z := p.rlc().at(w, iw)
			v, i := arm*z, arm
			if !a.Shunt {
				y, _ := reciprocal(z)
				v, i = arm, arm*y
			}
			s.Parts = append(s.Parts, Stress{Voltage: v, Current: i, Power: squared(i) * real(z)})
		}
		if arms[k].cut {
			scale = 0
		}
	}
	s.Load = Stress{Voltage: load * scale, Current: scale, Power: squared(scale) * real(load)}
	return nil
}

// parallel returns the impedance of the parts in parallel, or false if it is open.
func (a Arm) parallel(w, iw float64) (complex128, bool) {
	if len(a.Parts) == 1 {
		return a.Parts[0].rlc().at(w, iw), true
	}
	var sum complex128
	for _, p := range a.Parts {
		y, _ := reciprocal(p.rlc().at(w, iw))
		sum += y
	}
	return reciprocal(sum)
}

func squared(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
