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
	w := 2 * math.Pi * hz
	iw := 1 / w

	// From the load, with 1 A in it, to the source: own is the voltage across a
	// series arm or the current in a shunt arm, cut says that the arm keeps
	// everything from the arms behind it.
	own := make([]complex128, len(n))
	cut := make([]bool, len(n))
	v, i := load, complex128(1)
	count := 0
	for k := len(n) - 1; k >= 0; k-- {
		count += len(n[k].Parts)
		if n[k].Shunt {
			y, ok := reciprocal(inSeries(n[k].Parts).at(w, iw))
			if ok {
				own[k] = v * y
				i += own[k]
			} else {
				cut[k], own[k] = true, 1
				v, i = 0, 1
			}
			continue
		}
		z, ok := n[k].parallel(w, iw)
		if ok {
			own[k] = i * z
			v += own[k]
		} else {
			cut[k], own[k] = true, 1
			v, i = 1, 0
		}
	}

	scale, ok := reciprocal(v)
	if !ok {
		return State{}, &units.RangeError{Field: "ladder: input impedance", Value: "0 Ω",
			Want: fmt.Sprintf("must not be zero, but the source is shorted at %v", units.Frequency(hz))}
	}
	s := State{Current: i * scale, Parts: make([]Stress, 0, count)}
	for k, a := range n {
		arm := own[k] * scale
		for _, p := range a.Parts {
			z := p.rlc().at(w, iw)
			v, i := arm*z, arm
			if !a.Shunt {
				y, _ := reciprocal(z)
				v, i = arm, arm*y
			}
			s.Parts = append(s.Parts, Stress{Voltage: v, Current: i, Power: squared(i) * real(z)})
		}
		if cut[k] {
			scale = 0
		}
	}
	s.Load = Stress{Voltage: load * scale, Current: scale, Power: squared(scale) * real(load)}
	return s, nil
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
