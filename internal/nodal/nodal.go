// Package nodal solves linear circuits of impedances and voltage sources between
// any nodes, at one frequency, and is the one home of complex linear equations.
//
// It is the slow and general road: Kirchhoff's law at every node and Ohm's law in
// every branch as one dense system, without regard to the shape of the circuit. A
// branch may have no impedance, so wires, ideal sources and exact resonances need no
// special care, and currents are unknowns of their own, not differences of voltages.
package nodal

import (
	"fmt"
	"slices"
)

// A Branch is an impedance in ohms in series with a source of voltage, between two
// nodes. Its current flows from From to To: V(From) - V(To) = Impedance · I - Source.
// So a source in a branch from the reference to a node lifts that node.
type Branch struct {
	From, To  int // node 0 is the reference
	Impedance complex128
	Source    complex128
}

// A Solution holds the voltages of the nodes to the reference, in V, and the
// currents of the branches, in A. It can be used again, then nothing is allocated
// for a circuit that is not larger.
type Solution struct {
	Node   []complex128
	Branch []complex128

	rows  [][]complex128
	flat  []complex128
	right []complex128
}

// Solve fills s for a circuit with the nodes 0 to nodes-1. It returns ErrSingular if
// a part of the circuit hangs in the air, or if a current is not determined, as in a
// loop without impedance. It panics if a branch names a node that is not there.
func (s *Solution) Solve(nodes int, branches []Branch) error {
	// Unknowns: the voltages of nodes 1 and up, then the currents. Equations: the
	// currents that leave each node add up to none, then the branches.
	free := nodes - 1
	n := free + len(branches)
	s.fit(n)
	for k, b := range branches {
		if b.From < 0 || b.To < 0 || b.From >= nodes || b.To >= nodes {
			panic(fmt.Sprintf("nodal: branch from node %d to %d of %d nodes", b.From, b.To, nodes))
		}
		law := s.rows[free+k]
		if b.From > 0 {
			law[b.From-1] += 1
			s.rows[b.From-1][free+k] += 1
		}
		if b.To > 0 {
			law[b.To-1] -= 1
			s.rows[b.To-1][free+k] -= 1
		}
		law[free+k] = -b.Impedance
		s.right[free+k] = -b.Source
	}
	if err := Linear(s.rows, s.right); err != nil {
		return fmt.Errorf("nodal: %w", err)
	}
	s.Node = append(append(s.Node[:0], 0), s.right[:free]...)
	s.Branch = append(s.Branch[:0], s.right[free:]...)
	return nil
}

// fit makes an empty system of n equations.
func (s *Solution) fit(n int) {
	s.flat = slices.Grow(s.flat[:0], n*n)[:n*n]
	s.right = slices.Grow(s.right[:0], n)[:n]
	s.rows = slices.Grow(s.rows[:0], n)[:n]
	clear(s.flat)
	clear(s.right)
	for i := range s.rows { // elimination has exchanged the rows
		s.rows[i] = s.flat[i*n : (i+1)*n : (i+1)*n]
	}
}
