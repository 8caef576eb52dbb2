package ladder

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// nodal solves the network the other way: every junction is a node, every part a
// branch between two nodes, and the voltages of all nodes and the currents of all
// branches come at once from a dense system of Kirchhoff's and Ohm's equations.
func nodal(t *testing.T, n Network, hz float64, load complex128) (h, zin complex128) {
	type branch struct {
		from, to int // node 0 is the return, node 1 the source
		z        complex128
	}
	var branches []branch
	jw := complex(0, 2*math.Pi*hz)
	impedance := func(p Part) complex128 {
		v, r := complex(p.Value, 0), complex(float64(p.Resistance), 0)
		switch p.Kind {
		case Inductor:
			return r + jw*v
		case Capacitor:
			return r + complex(1, p.Loss)/(jw*v) // 1/(jωC) + tan δ/(ωC)
		}
		return v
	}
	nodes, here := 2, 1
	for _, a := range n {
		from := here
		if !a.Shunt {
			here = nodes
			nodes++
		}
		for j, p := range a.Parts {
			to := here
			switch {
			case a.Shunt && j == len(a.Parts)-1:
				to = 0
			case a.Shunt:
				to = nodes
				nodes++
			}
			branches = append(branches, branch{from, to, impedance(p)})
			if a.Shunt {
				from = to
			}
		}
	}
	branches = append(branches, branch{here, 0, load})

	// Unknown 0 is the current of the source, unknown k the voltage of node k, then
	// come the currents of the branches. Complex equations as real ones: (re, im) of
	// unknown k stand at k and size+k.
	size := nodes + len(branches)
	m := mat.NewDense(2*size, 2*size, nil)
	add := func(row, col int, z complex128) {
		for _, e := range []struct {
			r, c int
			v    float64
		}{{row, col, real(z)}, {row, size + col, -imag(z)}, {size + row, col, imag(z)}, {size + row, size + col, real(z)}} {
			m.Set(e.r, e.c, m.At(e.r, e.c)+e.v)
		}
	}
	add(0, 1, 1) // the source has 1 V
	add(1, 0, -1)
	for k, b := range branches {
		row := nodes + k
		add(row, row, -b.z)
		for _, end := range []struct {
			node int
			sign complex128
		}{{b.from, 1}, {b.to, -1}} {
			if end.node != 0 {
				add(row, end.node, end.sign) // Ohm: the voltages differ by z times the current
				add(end.node, row, end.sign) // Kirchhoff: the currents of a node add up to none
			}
		}
	}
	right := mat.NewVecDense(2*size, nil)
	right.SetVec(0, 1)
	var x mat.VecDense
	if err := x.SolveVec(m, right); err != nil && !errors.As(err, new(mat.Condition)) {
		t.Fatal(err)
	}
	unknown := func(k int) complex128 { return complex(x.AtVec(k), x.AtVec(size+k)) }
	return unknown(here), 1 / unknown(0)
}

func TestNodal(t *testing.T) {
	worst := 0.0
	randomNetworks(6, 600, func(n Network, hz float64, load complex128) {
		h, zin := solveAt(n, hz, load)
		wantH, wantZ := nodal(t, n, hz, load)
		// The dense system finds every voltage to some digits of the largest, not of itself.
		errH, errZ := cmplx.Abs(h-wantH)/max(1, cmplx.Abs(wantH)), cmplx.Abs(zin/wantZ-1)
		if !(errH < 1e-12 && errZ < 1e-12) {
			t.Errorf("%vat %g Hz into %g: h %v zin %v, nodal %v %v (off by %.2g, %.2g)", n, hz, load, h, zin, wantH, wantZ, errH, errZ)
		}
		worst = max(worst, errH, errZ)
	})
	t.Logf("largest difference %.2g", worst)
}
