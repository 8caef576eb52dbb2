package ladder

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/internal/nodal"
)

// impedanceOf is the second writing of a part's impedance.
func impedanceOf(p Part, hz float64) complex128 {
	jw := complex(0, 2*math.Pi*hz)
	v, r := complex(p.Value, 0), complex(float64(p.Resistance), 0)
	switch p.Kind {
	case Inductor:
		return r + jw*v
	case Capacitor:
		return r + complex(1, p.Loss)/(jw*v) // 1/(jωC) + tan δ/(ωC)
	}
	return v
}

// nodes writes the network the other way: every junction is a node, every part a
// branch between two nodes. Branch 0 is the source, with 1 V, the parts follow along
// the signal path, the load is the last, between the node that is returned and 0.
func nodes(n Network, hz float64, load complex128) (count, last int, branches []nodal.Branch) {
	branches = []nodal.Branch{{From: 0, To: 1, Source: 1}}
	count, last = 2, 1
	for _, a := range n {
		from := last
		if !a.Shunt {
			last = count
			count++
		}
		for j, p := range a.Parts {
			to := last
			switch {
			case a.Shunt && j == len(a.Parts)-1:
				to = 0
			case a.Shunt:
				to = count
				count++
			}
			branches = append(branches, nodal.Branch{From: from, To: to, Impedance: impedanceOf(p, hz)})
			if a.Shunt {
				from = to
			}
		}
	}
	return count, last, append(branches, nodal.Branch{From: last, To: 0, Impedance: load})
}

// TestNodal: all equations of Kirchhoff and Ohm at once give the same as the walk.
func TestNodal(t *testing.T) {
	var worst float64
	var s nodal.Solution
	randomNetworks(6, 1000, func(n Network, hz float64, load complex128) {
		count, last, branches := nodes(n, hz, load)
		if err := s.Solve(count, branches); err != nil {
			t.Fatal(err)
		}
		h, zin := solveAt(n, hz, load)
		// The dense system finds every unknown to some digits of the largest of its
		// kind, not of itself.
		volts, amperes := 1.0, 0.0
		for _, v := range s.Node {
			volts = max(volts, cmplx.Abs(v))
		}
		for _, i := range s.Branch {
			amperes = max(amperes, cmplx.Abs(i))
		}
		check := func(what string, got, want complex128, scale float64) {
			d := cmplx.Abs(got-want) / scale
			if !(d < 1e-12) {
				t.Errorf("%vat %g Hz into %g: %s %v, nodal %v (off by %.2g)", n, hz, load, what, got, want, d)
			}
			worst = max(worst, d)
		}
		check("h", h, s.Node[last], volts)
		check("1/zin", 1/zin, s.Branch[0], amperes)
		state, err := n.State(hz, load)
		if err != nil {
			t.Fatal(err)
		}
		for k, p := range append(state.Parts, state.Load) {
			b := branches[k+1]
			check("voltage "+Letter(k), p.Voltage, s.Node[b.From]-s.Node[b.To], volts)
			check("current "+Letter(k), p.Current, s.Branch[k+1], amperes)
			i := cmplx.Abs(s.Branch[k+1])
			check("power "+Letter(k), complex(p.Power, 0), complex(i*i*real(b.Impedance), 0), volts*amperes)
		}
	})
	t.Logf("largest difference %.2g", worst)
}
