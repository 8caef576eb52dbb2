package crossover

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
)

// A Result is the finished speaker per volt at its input. Its slices are reused
// from one evaluation to the next.
type Result struct {
	Sum      [][]complex128 // [point] Pa
	Transfer [][]complex128 // [way] voltage at its terminals per volt at the input
	Branch   [][]complex128 // [way] impedance of network and drivers, Ω
	Load     []complex128   // all branches in parallel, Ω
}

// Evaluate solves the networks, one per way, all of them across the input, and adds
// the ways up. Nothing is allocated if r comes from an earlier call on the same
// field. A shorted input has a Load of 0; an open one is infinite, as cmplx.IsInf
// tells.
//
// It panics if there are not as many networks as ways. The networks should have
// passed [ladder.Network.Check].
func (f *Field) Evaluate(r *Result, networks ...ladder.Network) {
	if len(networks) != len(f.p) {
		panic(fmt.Sprintf("crossover: %d networks for %d ways", len(networks), len(f.p)))
	}
	r.fit(f)
	for w, n := range networks {
		n.Solve(r.Transfer[w], r.Branch[w], f.Hz, f.loads[w])
	}
	for i := range r.Load {
		var y complex128
		for _, z := range r.Branch {
			y += reciprocal(z[i])
		}
		r.Load[i] = reciprocal(y)
	}
	for point := range r.Sum {
		f.Add(r.Sum[point], point, r.Transfer)
	}
}

// Add writes to sum the pressure at a point, in Pa, of the ways with the given
// voltages at their terminals. It panics unless there is one slice of voltages for
// each way and all slices are as long as the grid.
func (f *Field) Add(sum []complex128, point int, volts [][]complex128) {
	if len(volts) != len(f.p) || len(sum) != len(f.Hz) {
		panic(fmt.Sprintf("crossover: voltages of %d ways, room for %d sums: want %d and %d", len(volts), len(sum), len(f.p), len(f.Hz)))
	}
	clear(sum)
	for w, v := range volts {
		if len(v) != len(sum) {
			panic(fmt.Sprintf("crossover: way %d: %d voltages for %d frequencies", w+1, len(v), len(sum)))
		}
		p := f.p[w][point][:len(sum)]
		for i := range sum {
			sum[i] += v[i] * p[i]
		}
	}
}

// fit makes room in r for what f gives.
func (r *Result) fit(f *Field) {
	grow := func(s *[][]complex128, n int) {
		if len(*s) == n && len((*s)[0]) == len(f.Hz) {
			return
		}
		*s = make([][]complex128, n)
		for i := range *s {
			(*s)[i] = make([]complex128, len(f.Hz))
		}
	}
	grow(&r.Sum, f.Points())
	grow(&r.Transfer, f.Ways())
	grow(&r.Branch, f.Ways())
	if len(r.Load) != len(f.Hz) {
		r.Load = make([]complex128, len(f.Hz))
	}
}

// reciprocal returns 1/z; zero and infinity change places. The complex division
// of the language takes several times as long.
func reciprocal(z complex128) complex128 {
	re, im := real(z), imag(z)
	d := re*re + im*im
	switch {
	case d == 0:
		return complex(math.Inf(1), 0)
	case math.IsInf(d, 1):
		return 0
	}
	d = 1 / d
	return complex(re*d, -im*d)
}
