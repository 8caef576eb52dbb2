package circuit

import (
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/nodal"
	"example.com/halfspace/units"
)

// ErrShorted tells that at some frequency the source is shorted, or that there is a
// loop without impedance, whose current is anything.
var ErrShorted = errors.New("the source is shorted, or a loop has no impedance")

// Response is what a circuit does over a grid of frequencies.
type Response struct {
	H   [][]complex128 // [load][frequency] voltage from its From to its To per volt of the source
	Zin []complex128   // impedance that the source sees, Ω; infinite, as cmplx.IsInf tells, if nothing flows
}

// Solve fills r, whose slices are used again, at the frequencies hz in hertz, for the
// impedances in ohms of the loads, in their order, at the same frequencies. A load of
// 0 Ω is a wire.
//
// It is an error if the circuit does not pass [Circuit.Check], if a frequency is not
// positive and finite, if a load is not finite, or ErrShorted. It panics if there are not as many
// impedances as loads and frequencies. Its time grows with the third power of the
// number of nodes and parts.
func (c Circuit) Solve(r *Response, hz []float64, loads ...[]complex128) error {
	if len(loads) != len(c.Loads) {
		panic(fmt.Sprintf("circuit: impedances of %d loads, there are %d", len(loads), len(c.Loads)))
	}
	for i, z := range loads {
		if len(z) != len(hz) {
			panic(fmt.Sprintf("circuit: load %d: %d impedances for %d frequencies", i+1, len(z), len(hz)))
		}
	}
	w, err := c.wire()
	if err != nil {
		return err
	}
	if len(r.Zin) != len(hz) || len(r.H) != len(loads) {
		r.H, r.Zin = make([][]complex128, len(loads)), make([]complex128, len(hz))
		for i := range r.H {
			r.H[i] = make([]complex128, len(hz))
		}
	}
	at := make([]complex128, len(loads))
	for k, f := range hz {
		for i := range at {
			at[i] = loads[i][k]
		}
		if err := w.solve(f, at); err != nil {
			return err
		}
		for i := range at {
			b := w.branches[1+len(c.Branches)+i]
			r.H[i][k] = w.solution.Node[b.From] - w.solution.Node[b.To]
		}
		if current := w.solution.Branch[0]; current != 0 {
			r.Zin[k] = 1 / current
		} else {
			r.Zin[k] = complex(math.Inf(1), 0)
		}
	}
	return nil
}

// State is what a circuit carries at one frequency, with 1 V from the source. At
// another voltage, multiply voltages and currents by it and powers by its square.
type State struct {
	Current      complex128      // from the source, A
	Parts, Loads []ladder.Stress // in the order of the circuit; voltage and current from From to To
}

// State returns the state of the circuit at hz hertz for the impedances of its loads
// in ohms. The powers of all parts and loads add up to what the source delivers,
// Re(Current) watts. Errors and panics are those of [Circuit.Solve].
func (c Circuit) State(hz float64, loads ...complex128) (State, error) {
	if len(loads) != len(c.Loads) {
		panic(fmt.Sprintf("circuit: impedances of %d loads, there are %d", len(loads), len(c.Loads)))
	}
	w, err := c.wire()
	if err != nil {
		return State{}, err
	}
	if err := w.solve(hz, loads); err != nil {
		return State{}, err
	}
	all := make([]ladder.Stress, len(w.branches)-1)
	for k := range all {
		b, i := w.branches[1+k], w.solution.Branch[1+k]
		i2 := real(i)*real(i) + imag(i)*imag(i)
		all[k] = ladder.Stress{Voltage: i * b.Impedance, Current: i, Power: i2 * real(b.Impedance)}
	}
	return State{w.solution.Branch[0], all[:len(c.Branches):len(c.Branches)], all[len(c.Branches):]}, nil
}

// wired is a circuit with numbers for its nodes: the source is branch 0, then come
// parts and loads.
type wired struct {
	c        Circuit
	nodes    int
	branches []nodal.Branch
	solution nodal.Solution
}

func (c Circuit) wire() (*wired, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	number := map[string]int{Return: 0, Input: 1}
	w := &wired{c: c, branches: []nodal.Branch{{From: 0, To: 1, Source: 1}}}
	node := func(name string) int {
		k, ok := number[name]
		if !ok {
			k = len(number)
			number[name] = k
		}
		return k
	}
	for _, b := range c.Branches {
		w.branches = append(w.branches, nodal.Branch{From: node(b.From), To: node(b.To)})
	}
	for _, l := range c.Loads {
		w.branches = append(w.branches, nodal.Branch{From: node(l.From), To: node(l.To)})
	}
	w.nodes = len(number)
	return w, nil
}

func (w *wired) solve(hz float64, loads []complex128) error {
	f := units.Frequency(hz)
	if err := units.Positive("circuit: frequency", f); err != nil {
		return err
	}
	for k, b := range w.c.Branches {
		w.branches[1+k].Impedance = b.Part.Impedance(hz)
	}
	for k, z := range loads {
		if real(z)*0 != 0 || imag(z)*0 != 0 {
			return &units.RangeError{Field: fmt.Sprintf("circuit: load %d (%s) at %v", k+1, w.c.Loads[k].Name, f), Value: fmt.Sprint(z) + " Ω", Want: "must be finite"}
		}
		w.branches[1+len(w.c.Branches)+k].Impedance = z
	}
	if err := w.solution.Solve(w.nodes, w.branches); err != nil {
		return fmt.Errorf("circuit: at %v: %w", f, ErrShorted)
	}
	return nil
}
