package box_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/box"
	"example.com/halfspace/units"
)

// A circuit is a system as nodes and branches, laid out from the elements without a
// formula of the package, and solved as a dense system of equations.
type circuit struct {
	s           box.System
	w           float64
	front, rear string // chambers the cone pushes into and pulls from; "" is outside
	branches    []branch
}

// A branch is an acoustic impedance between two chambers, or a chamber and outside.
type branch struct {
	name     string // vent, rear vent, radiator, or other
	from, to string
	z        complex128
}

// chamber adds compliance with absorption and leak; the Q are at f.
func (c *circuit) chamber(name string, vb units.Volume, f units.Frequency, ql, qa float64) (cab float64) {
	cab = float64(vb) / float64(c.s.Air.BulkModulus())
	wq := 2 * math.Pi * float64(f)
	z := 1 / complex(0, c.w*cab)
	if qa > 0 {
		z += complex(1/(wq*cab*qa), 0)
	}
	// The other end of a compliance is at no pressure, as outside, but lets none out.
	c.branches = append(c.branches, branch{"air", name, "", z})
	if ql > 0 {
		c.branches = append(c.branches, branch{"leak", name, "", complex(ql/(wq*cab), 0)})
	}
	return cab
}

func (c *circuit) vented(name, to, vent string, v box.Vented) {
	cab := c.chamber(name, v.Vb, v.Fb, v.QL, v.QA)
	wb := 2 * math.Pi * float64(v.Fb)
	mass := 1 / (wb * wb * cab)
	z := complex(0, c.w*mass)
	if v.QP > 0 {
		z += complex(wb*mass/v.QP, 0)
	}
	c.branches = append(c.branches, branch{vent, name, to, z})
}

func newCircuit(s box.System, f units.Frequency) *circuit {
	c := &circuit{s: s, w: 2 * math.Pi * float64(f)}
	switch e := s.Enclosure.(type) {
	case box.InfiniteBaffle:
	case box.Closed:
		c.rear = "box"
		c.chamber("box", e.Vb, e.FQ, e.QL, e.QA)
	case box.Vented:
		c.rear = "box"
		c.vented("box", "", "vent", e)
	case box.PassiveRadiator:
		c.rear = "box"
		r := e.Radiator
		n := float64(max(r.Count, 1))
		// n alike: the flow of each is 1/n of all.
		per := complex(float64(r.Sd*r.Sd)*n, 0)
		spring := n * float64(r.Sd*r.Sd) * float64(r.Cms) // m³/Pa
		cab := float64(e.Vb) / float64(s.Air.BulkModulus())
		total := spring * cab / (spring + cab)
		mass := float64(r.Mms+r.Added) / real(per)
		c.chamber("box", e.Vb, units.Frequency(1/(2*math.Pi*math.Sqrt(mass*total))), e.QL, e.QA)
		z := complex(float64(r.Rms), c.w*float64(r.Mms+r.Added)-1/(c.w*float64(r.Cms)))
		c.branches = append(c.branches, branch{"radiator", "box", "", z / per})
	case box.Bandpass4:
		c.rear, c.front = "rear", "front"
		c.chamber("rear", e.Rear.Vb, e.Rear.FQ, e.Rear.QL, e.Rear.QA)
		c.vented("front", "", "vent", e.Front)
	case box.Bandpass6:
		c.rear, c.front = "rear", "front"
		c.vented("rear", "", "rear vent", e.Rear)
		c.vented("front", "", "vent", e.Front)
	case box.Bandpass6Series:
		c.rear, c.front = "rear", "front"
		c.vented("rear", "front", "rear vent", e.Rear)
		c.vented("front", "", "vent", e.Front)
	default:
		panic(fmt.Sprintf("no circuit of %T", e))
	}
	return c
}

// A state is what a circuit does; flows are along the branches.
type state struct {
	velocity, current complex128
	flows             []complex128
}

// solve drives the terminals with e volts, and the outer end of the named branch
// with a pressure.
func (c *circuit) solve(e complex128, driven string, pressure complex128) state {
	d := c.s.Driver
	index := map[string]int{} // of unknown pressures; the velocity is the last unknown
	for _, b := range c.branches {
		for _, n := range []string{b.from, b.to} {
			if _, ok := index[n]; n != "" && !ok {
				index[n] = len(index)
			}
		}
	}
	n := len(index) + 1
	a := make([][]complex128, n)
	for i := range a {
		a[i] = make([]complex128, n+1)
	}
	for _, b := range c.branches {
		i := index[b.from]
		a[i][i] += 1 / b.z
		if b.to != "" {
			j := index[b.to]
			a[j][j] += 1 / b.z
			a[i][j] -= 1 / b.z
			a[j][i] -= 1 / b.z
		} else if b.name == driven {
			a[i][n] += pressure / b.z
		}
	}
	jw := complex(0, c.w)
	sd, bl := complex(float64(d.Sd), 0), complex(float64(d.Bl), 0)
	ze := complex(float64(d.Re), 0) + d.Coil.Impedance(jw)
	cone := n - 1
	a[cone][cone] = complex(float64(d.Rms), c.w*float64(d.Mms)-1/(c.w*float64(d.Cms))) + bl*bl/ze
	a[cone][n] = bl * e / ze
	if c.front != "" {
		a[index[c.front]][cone] -= sd
		a[cone][index[c.front]] += sd
	}
	if c.rear != "" {
		a[index[c.rear]][cone] += sd
		a[cone][index[c.rear]] -= sd
	}
	x := solveComplex(a)
	st := state{velocity: x[cone], current: (e - bl*x[cone]) / ze}
	for _, b := range c.branches {
		q := x[index[b.from]]
		if b.to != "" {
			q -= x[index[b.to]]
		} else if b.name == driven {
			q -= pressure
		}
		st.flows = append(st.flows, q/b.z)
	}
	return st
}

// solveComplex solves equations whose last column is the right side, as real ones of
// twice the number, with rows and columns brought to one size.
func solveComplex(a [][]complex128) []complex128 {
	n := len(a)
	column := make([]float64, n)
	for j := range column {
		column[j] = 1 / math.Sqrt(cmplx.Abs(a[j][j]))
	}
	m, b := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
	for i, row := range a {
		for j, v := range row[:n] {
			v *= complex(column[i]*column[j], 0)
			m.Set(i, j, real(v))
			m.Set(i, n+j, -imag(v))
			m.Set(n+i, j, imag(v))
			m.Set(n+i, n+j, real(v))
		}
		b.SetVec(i, real(row[n])*column[i])
		b.SetVec(n+i, imag(row[n])*column[i])
	}
	var x mat.VecDense
	if err := x.SolveVec(m, b); err != nil {
		if _, near := err.(mat.Condition); !near {
			panic(err)
		}
	}
	out := make([]complex128, n)
	for i := range out {
		out[i] = complex(x.AtVec(i), x.AtVec(n+i)) * complex(column[i], 0)
	}
	return out
}

// Every kind of enclosure against its elements solved as equations: each figure of a
// point, the balance of energy, and what the vents do backwards.
func TestAgainstElements(t *testing.T) {
	kinds := map[string]int{}
	randomSystems(8, func(s box.System, u func(lo, hi float64) float64) {
		kind := fmt.Sprintf("%T", s.Enclosure)
		kinds[kind]++
		f := s.Driver.Fs() * units.Frequency(u(0.1, 20))
		c := newCircuit(s, f)
		p, st := s.At(f), c.solve(1, "", 0)
		o := s.Enclosure.Openings()
		near := func(what string, got, want complex128, scale float64) {
			t.Helper()
			if !(cmplx.Abs(got-want) <= 1e-9*max(scale, cmplx.Abs(want))) {
				t.Errorf("%+v at %v: %s %v, by its elements %v", s, f, what, got, want)
			}
		}
		jw := complex(0, c.w)
		near("current", p.Current, st.current, 0)
		near("impedance", p.Impedance, 1/st.current, 0)
		near("travel", p.Travel, math.Sqrt2*st.velocity/jw, 0)
		var out complex128
		biggest := 0.0
		if c.front == "" {
			out = complex(float64(s.Driver.Sd), 0) * st.velocity
			biggest = cmplx.Abs(out)
		}
		lost := math.Pow(cmplx.Abs(st.current), 2)*(float64(s.Driver.Re)+real(s.Driver.Coil.Impedance(jw))) +
			math.Pow(cmplx.Abs(st.velocity), 2)*float64(s.Driver.Rms)
		for i, b := range c.branches {
			q := st.flows[i]
			lost += real(b.z) * math.Pow(cmplx.Abs(q), 2)
			if b.to == "" && b.name != "air" {
				out += q
				biggest = max(biggest, cmplx.Abs(q))
			}
			switch b.name {
			case "vent":
				near("air speed", p.AirSpeed, math.Sqrt2*q/complex(float64(o.Vent), 0), 0)
			case "rear vent":
				near("rear air speed", p.RearSpeed, math.Sqrt2*q/complex(float64(o.Rear), 0), 0)
			case "radiator":
				near("radiator", p.Radiator, math.Sqrt2*q/(jw*complex(float64(o.Radiator), 0)), 0)
			}
			// Short the terminals and sound in front of the opening: the coil gives the
			// current per pressure that the opening gives as flow per volt. The coil in
			// its field turns the sign.
			if b.to == "" && b.name != "air" && b.name != "leak" {
				back := c.solve(0, b.name, 1)
				near("backwards through the "+b.name, back.current, q, 0)
			}
		}
		near("pressure", p.Pressure, jw*complex(float64(s.Air.Density)/(2*math.Pi), 0)*out,
			c.w*float64(s.Air.Density)/(2*math.Pi)*biggest*1e-3)
		if in := real(p.Current); !(math.Abs(in-lost) <= 1e-11*cmplx.Abs(p.Current)) {
			t.Errorf("%+v at %v: %g W in, %g W lost", s, f, in, lost)
		}
	})
	if len(kinds) != 7 {
		t.Errorf("only %v", kinds)
	}
}
