package nodal

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// TestLinear puts solutions back into their equations, and holds matrices that need
// an exchange of rows.
func TestLinear(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 0))
	number := func() complex128 { return complex(r.NormFloat64(), r.NormFloat64()) }
	for n := 1; n <= 30; n++ {
		a, work := make([][]complex128, n), make([][]complex128, n)
		want, b := make([]complex128, n), make([]complex128, n)
		for i := range a {
			a[i] = make([]complex128, n)
			for j := range a[i] {
				if (i+j)%3 != 0 { // zeros on the diagonal too
					a[i][j] = number()
				}
			}
			a[i][(i+1)%n] += 8 // a permutation dominates
			want[i] = number()
		}
		for i := range a {
			work[i] = append([]complex128(nil), a[i]...)
			for j := range a {
				b[i] += a[i][j] * want[j]
			}
		}
		if err := Linear(work, b); err != nil {
			t.Fatalf("%d equations: %v", n, err)
		}
		for i := range b {
			if d := cmplx.Abs(b[i] - want[i]); !(d < 1e-13) {
				t.Errorf("%d equations: x[%d] = %v, want %v", n, i, b[i], want[i])
			}
		}
	}
}

func TestLinearSingular(t *testing.T) {
	for _, a := range [][][]complex128{
		{{0}},
		{{1, 2}, {2, 4}},
		{{1, 1i}, {1i, -1}},
		{{cmplx.NaN()}},
		{{cmplx.Inf()}},
	} {
		if err := Linear(a, make([]complex128, len(a))); !errors.Is(err, ErrSingular) {
			t.Errorf("%v: %v", a, err)
		}
	}
	for name, f := range map[string]func(){
		"right": func() { Linear([][]complex128{{1}}, nil) },
		"row":   func() { Linear([][]complex128{{1, 2}}, make([]complex128, 1)) },
		"node":  func() { new(Solution).Solve(2, []Branch{{From: 0, To: 2}}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

// TestBridge: the unbalanced bridge of Wheatstone, by hand. 10 V at node 1, 1 Ω and
// 2 Ω down to nodes 2 and 3, 3 Ω and 4 Ω on to the reference, 5 Ω across.
func TestBridge(t *testing.T) {
	var s Solution
	branches := []Branch{
		{From: 0, To: 1, Source: 10},
		{From: 1, To: 2, Impedance: 1},
		{From: 1, To: 3, Impedance: 2},
		{From: 2, To: 0, Impedance: 3},
		{From: 3, To: 0, Impedance: 4},
		{From: 2, To: 3, Impedance: 5},
	}
	if err := s.Solve(4, branches); err != nil {
		t.Fatal(err)
	}
	// (V2-10) + V2/3 + (V2-V3)/5 = 0 and (V3-10)/2 + V3/4 + (V3-V2)/5 = 0: times 15
	// and 20, 23 V2 - 3 V3 = 150 and -4 V2 + 19 V3 = 100, determinant 425.
	v2, v3 := 3150.0/425, 2900.0/425
	for k, want := range []float64{0, 10, v2, v3} {
		if d := cmplx.Abs(s.Node[k] - complex(want, 0)); !(d < 1e-14) {
			t.Errorf("node %d: %v, want %v", k, s.Node[k], want)
		}
	}
	if d := cmplx.Abs(s.Branch[0] - complex((10-v2)+(10-v3)/2, 0)); !(d < 1e-14) {
		t.Errorf("source %v A", s.Branch[0])
	}
	if d := cmplx.Abs(s.Branch[5] - complex((v2-v3)/5, 0)); !(d < 1e-14) {
		t.Errorf("bridge %v A", s.Branch[5])
	}
}

// TestFloating: what hangs in the air, and a loop of wires, are refused, and a wire
// that closes nothing is not.
func TestFloating(t *testing.T) {
	source := Branch{From: 0, To: 1, Source: 1}
	for name, c := range map[string]struct {
		nodes    int
		branches []Branch
		ok       bool
	}{
		"node alone":   {3, []Branch{source, {From: 1, To: 0, Impedance: 8}}, false},
		"island":       {4, []Branch{source, {From: 2, To: 3, Impedance: 8}}, false},
		"shorted":      {2, []Branch{source, {From: 1, To: 0}}, false},
		"wire":         {3, []Branch{source, {From: 1, To: 2}, {From: 2, To: 0, Impedance: 8}}, true},
		"open source":  {2, []Branch{source}, true},
		"resonance":    {3, []Branch{source, {From: 1, To: 2, Impedance: 3i}, {From: 2, To: 0, Impedance: -3i}}, false},
		"with a cable": {3, []Branch{{From: 0, To: 1, Source: 1, Impedance: 0.1}, {From: 1, To: 2, Impedance: 3i}, {From: 2, To: 0, Impedance: -3i}}, true},
	} {
		if err := new(Solution).Solve(c.nodes, c.branches); (err == nil) != c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestReciprocity of random circuits: source and ammeter can change places.
func TestReciprocity(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 0))
	var s Solution
	for range 200 {
		nodes := 3 + r.IntN(6)
		var branches []Branch
		for k := 1; k < nodes; k++ { // a tree, so nothing floats
			branches = append(branches, Branch{From: r.IntN(k), To: k, Impedance: complex(r.Float64(), r.NormFloat64())})
		}
		for range nodes {
			from, to := r.IntN(nodes), r.IntN(nodes)
			branches = append(branches, Branch{From: from, To: to, Impedance: complex(r.Float64(), 10*r.NormFloat64())})
		}
		a, b := r.IntN(len(branches)), r.IntN(len(branches))
		through := func(driven, seen int) complex128 {
			branches[driven].Source = 1
			if err := s.Solve(nodes, branches); err != nil {
				t.Fatal(err)
			}
			branches[driven].Source = 0
			return s.Branch[seen]
		}
		forth := through(a, b)
		if back := through(b, a); !(cmplx.Abs(forth-back) < 1e-11*math.Max(1, cmplx.Abs(forth))) {
			t.Errorf("forth %v, back %v", forth, back)
		}
	}
}

func TestSolveDoesNotAllocate(t *testing.T) {
	branches := []Branch{{From: 0, To: 1, Source: 1}, {From: 1, To: 2, Impedance: 3i}, {From: 2, To: 0, Impedance: 8}}
	var s Solution
	if a := testing.AllocsPerRun(20, func() {
		if s.Solve(3, branches) != nil {
			t.Error("no solution")
		}
	}); a != 0 {
		t.Errorf("%v allocations", a)
	}
}

func BenchmarkSolve(b *testing.B) {
	branches := []Branch{{From: 0, To: 1, Source: 1}}
	for k := 1; k < 8; k++ {
		branches = append(branches, Branch{From: k, To: k + 1, Impedance: complex(0.3, float64(k))}, Branch{From: k + 1, To: 0, Impedance: complex(0.1, -float64(k)-0.5)})
	}
	var s Solution
	b.ReportAllocs()
	for b.Loop() {
		if err := s.Solve(9, branches); err != nil {
			b.Fatal(err)
		}
	}
}
