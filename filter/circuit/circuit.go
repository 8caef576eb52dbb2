// Package circuit solves passive crossovers of any shape: parts and drivers between
// named nodes, fed from one ideal voltage source. Series crossovers, whose drivers
// stand in one another's way, and bridges are circuits; what is a ladder of series
// and shunt arms is better a [ladder.Network], which is solved some hundred times
// faster.
//
//	series := circuit.Circuit{
//		Branches: []circuit.Branch{
//			{From: "in", To: "mid", Part: ladder.C(10 * units.Microfarad)},
//			{From: "mid", To: "0", Part: ladder.L(0.64 * units.Millihenry)},
//		},
//		Loads: []circuit.Load{
//			{Name: "woofer", From: "in", To: "mid"},
//			{Name: "tweeter", From: "mid", To: "0"},
//		},
//	}
//
// [Circuit.Check] refuses what hangs in the air or cannot be built, [Circuit.Solve]
// gives the voltage at each driver and the input impedance over a grid of
// frequencies, [Circuit.State] the voltage, current and heat of every part at one.
// Everything is linear and per volt of the source, RMS, with e^{+jωt}. The limits of
// the parts are those of package ladder.
package circuit

import (
	"fmt"
	"slices"
	"strings"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// The nodes of the source: 1 V from Return to Input.
const (
	Input  = "in"
	Return = "0"
)

// Branch is a part between two nodes.
type Branch struct {
	From, To string
	Part     ladder.Part
}

// Load is a driver between two nodes, its positive terminal at From. Connected the
// other way round From and To change places, and its transfer its sign.
type Load struct {
	Name     string
	From, To string
}

// Circuit is a crossover with its drivers. The order of branches, in which parts
// have their letters, is free; along the signal path reads best.
type Circuit struct {
	Branches []Branch
	Loads    []Load
}

// Of returns a ladder as a circuit, with the nodes 1, 2, 3 ... after the source and a
// load of the given name. An arm without parts, which [ladder.Network.Check]
// refuses, is left out.
func Of(n ladder.Network, load string) Circuit {
	var c Circuit
	count := 0
	node := func() string {
		count++
		return fmt.Sprint(count)
	}
	at := Input
	for _, a := range n {
		if len(a.Parts) == 0 {
			continue
		}
		from, next := at, at
		if !a.Shunt {
			next = node()
		}
		for i, p := range a.Parts {
			to := next
			if a.Shunt {
				to = Return
				if i < len(a.Parts)-1 {
					to = node()
				}
			}
			c.Branches = append(c.Branches, Branch{from, to, p})
			if a.Shunt {
				from = to
			}
		}
		at = next
	}
	c.Loads = []Load{{load, at, Return}}
	return c
}

// terminal is an end of a branch or load, for messages.
type terminal struct{ what, from, to string }

func (c Circuit) terminals() []terminal {
	var all []terminal
	for i, b := range c.Branches {
		all = append(all, terminal{fmt.Sprintf("circuit: part %s (%v)", ladder.Letter(i), b.Part.Kind), b.From, b.To})
	}
	for i, l := range c.Loads {
		all = append(all, terminal{fmt.Sprintf("circuit: load %d (%s)", i+1, l.Name), l.From, l.To})
	}
	return all
}

// Check returns a *[units.RangeError] unless the circuit can be built: it has a load,
// loads have names of their own, every part passes [ladder.Part.Check], and no part
// joins a node with itself. Nodes are words without space, ; or #. Each has at least
// two ends of parts or loads, the two of the source one, and a way to Return, through
// the source if need be.
func (c Circuit) Check() error {
	if len(c.Loads) == 0 {
		return &units.RangeError{Field: "circuit: loads:", Value: "none", Want: "must be at least one"}
	}
	for i, b := range c.Branches {
		if err := b.Part.Check(); err != nil {
			return fmt.Errorf("circuit: part %s: %w", ladder.Letter(i), err)
		}
	}
	for i, l := range c.Loads {
		if strings.TrimSpace(l.Name) != l.Name || l.Name == "" || strings.ContainsAny(l.Name, "\n\r#;") {
			return &units.RangeError{Field: fmt.Sprintf("circuit: load %d: name", i+1), Value: fmt.Sprintf("%q", l.Name), Want: "must be words without ; or #"}
		}
		if slices.ContainsFunc(c.Loads[:i], func(o Load) bool { return o.Name == l.Name }) {
			return &units.RangeError{Field: fmt.Sprintf("circuit: load %d: name", i+1), Value: l.Name, Want: "must not be that of another"}
		}
	}
	terminals := c.terminals()
	ends := map[string]int{Input: 1, Return: 1}
	for _, t := range terminals {
		for _, node := range []string{t.from, t.to} {
			if node == "" || strings.ContainsAny(node, " \t\n\r;#") || len(strings.Fields(node)) != 1 {
				return &units.RangeError{Field: t.what + ": node", Value: fmt.Sprintf("%q", node), Want: "must be a word without ; or #"}
			}
			ends[node]++
		}
		if t.from == t.to {
			return &units.RangeError{Field: t.what + ": nodes", Value: t.from + " and " + t.to, Want: "must differ"}
		}
	}
	for _, node := range []string{Input, Return} {
		if ends[node] == 1 {
			return &units.RangeError{Field: "circuit: node", Value: node, Want: "must be connected, it is one of the source"}
		}
	}
	for _, t := range terminals {
		for _, node := range []string{t.from, t.to} {
			if ends[node] == 1 {
				return &units.RangeError{Field: t.what + ": node", Value: node, Want: "must join another part, load or the source"}
			}
		}
	}
	grounded := map[string]bool{Input: true, Return: true}
	for more := true; more; {
		more = false
		for _, t := range terminals {
			if grounded[t.from] != grounded[t.to] {
				grounded[t.from], grounded[t.to], more = true, true, true
			}
		}
	}
	for _, t := range terminals {
		if !grounded[t.from] {
			return &units.RangeError{Field: t.what + ": node", Value: t.from, Want: "must have a way to the source"}
		}
	}
	return nil
}
