package crossover

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Way is one branch of the speaker.
type Way struct {
	Name     string
	Radiator Radiator
	Position r3.Vec // of the acoustic centre, in metres
	Inverted bool   // connected the other way round
}

// A Field holds the ways as numbers: the load each puts on its network, and the
// pressure it gives at each point per volt at its own terminals.
type Field struct {
	Hz    []float64
	loads [][]complex128   // [way]
	p     [][][]complex128 // [way][point]
}

// Sample asks the ways for their values at the frequencies hz and the points, in
// metres, and adds position and polarity: 1/r and e^{−jkr} for the distance r from
// acoustic centre to point, with the speed of sound c. All of the flight time is
// in. The error says which way or point cannot be.
func Sample(ways []Way, hz []float64, c units.Velocity, points ...r3.Vec) (*Field, error) {
	if err := units.Positive("crossover: speed of sound", c); err != nil {
		return nil, err
	}
	if len(ways) == 0 || len(points) == 0 || len(hz) == 0 {
		return nil, fmt.Errorf("crossover: %d ways, %d points, %d frequencies: one of each is the least", len(ways), len(points), len(hz))
	}
	f := &Field{Hz: hz}
	for _, w := range ways {
		z := make([]complex128, len(hz))
		w.Radiator.Impedance(z, hz)
		for i, v := range z {
			if notFinite(v) {
				return nil, fmt.Errorf("crossover: %s: impedance at %g Hz is %v", w.Name, hz[i], v)
			}
		}
		f.loads = append(f.loads, z)
		var at [][]complex128
		for _, point := range points {
			path := r3.Sub(point, w.Position)
			r := r3.Norm(path)
			if !(r > 0) || math.IsInf(r, 0) {
				return nil, fmt.Errorf("crossover: %s: the point %v is %g m away: must be positive and finite", w.Name, point, r)
			}
			p := make([]complex128, len(hz))
			w.Radiator.Pressure(p, hz, r3.Unit(path))
			sign := 1.0
			if w.Inverted {
				sign = -1
			}
			for i := range p {
				p[i] *= cmplx.Rect(sign/r, -2*math.Pi*hz[i]*r/float64(c))
				if notFinite(p[i]) {
					return nil, fmt.Errorf("crossover: %s: pressure at %g Hz is %v", w.Name, hz[i], p[i])
				}
			}
			at = append(at, p)
		}
		f.p = append(f.p, at)
	}
	return f, nil
}

// Ways and Points return how many there are.
func (f *Field) Ways() int   { return len(f.p) }
func (f *Field) Points() int { return len(f.p[0]) }

// Load returns the impedance of a way's driver. It is not to be changed.
func (f *Field) Load(way int) []complex128 { return f.loads[way] }

// Pressure returns the pressure of a way at a point per volt at the driver's
// terminals. It is not to be changed.
func (f *Field) Pressure(way, point int) []complex128 { return f.p[way][point] }

// A Result is the finished speaker per volt at its input. Its slices are reused
// from one evaluation to the next.
type Result struct {
	Sum      [][]complex128 // [point] Pa
	Transfer [][]complex128 // [way] voltage at the driver per volt at the input
	Branch   [][]complex128 // [way] impedance of the branch, Ω
	Load     []complex128   // all branches in parallel, Ω
}

// Evaluate solves the networks, one per way, and adds the ways up. It allocates
// nothing when r comes from an earlier call on the same field. It panics if there
// are not as many networks as ways; the networks should have passed Check.
func (f *Field) Evaluate(r *Result, networks ...ladder.Network) {
	if len(networks) != len(f.p) {
		panic(fmt.Sprintf("crossover: %d networks for %d ways", len(networks), len(f.p)))
	}
	r.fit(f)
	for w, n := range networks {
		n.Solve(r.Transfer[w], r.Branch[w], f.Hz, f.loads[w])
	}
	for i := range f.Hz {
		var y complex128
		for w := range networks {
			y += 1 / r.Branch[w][i]
		}
		r.Load[i] = 1 / y
	}
	for point := range r.Sum {
		f.Add(r.Sum[point], point, r.Transfer)
	}
}

// Add writes to sum the pressure at a point of ways driven through the given
// voltage transfers.
func (f *Field) Add(sum []complex128, point int, transfer [][]complex128) {
	clear(sum)
	for w, h := range transfer {
		p := f.p[w][point]
		for i := range sum {
			sum[i] += h[i] * p[i]
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
