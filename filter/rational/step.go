package rational

import (
	"math"
	"math/cmplx"
)

// Step returns the response at time t in seconds to a unit step at t = 0. It
// is 0 before; at t = 0 it is the value just after the jump. Repeated poles
// are no special case, since nothing is split into partial fractions: the
// function is a chain of sections of first order, and the exponential of the
// chain's matrix carries it from 0 to t. The error is about 1e-16 times the
// number of time constants of the fastest pole in t, until that has died away.
//
// t must be finite. Step panics if f has more zeros than poles, as the response is then not
// finite. An unstable function grows without limit.
func (f Func) Step(t float64) float64 {
	c := f.chain("step")
	if t < 0 {
		return 0
	}
	var y complex128
	for i, row := range exponential(c.rates, t) {
		y += c.out[i] * row[0]
	}
	return c.gain * real(y)
}

// Impulse returns the response at time t in seconds to a unit impulse at t = 0,
// which is the slope of [Func.Step] for t > 0, in 1/s times the unit of f. It is 0
// before; at t = 0 it is the value just after. It is computed like Step, with the
// same error relative to the fastest pole.
//
// A function with as many zeros as poles answers with an impulse of the weight Gain
// at t = 0 besides, which a value cannot show: closed and vented boxes do, as their
// response does not fall at high frequencies. Impulse leaves it out. t must be
// finite. Impulse panics if f has more zeros than poles.
func (f Func) Impulse(t float64) float64 {
	c := f.chain("impulse")
	if t < 0 {
		return 0
	}
	// The impulse sets the states to the rates at which a step would start them.
	start := make([]complex128, len(c.rates))
	for i, row := range c.rates {
		start[i] = row[0]
	}
	var y complex128
	for i, row := range exponential(c.rates, t) {
		for j, v := range start[:i+1] {
			y += c.out[i] * row[j] * v
		}
	}
	return c.gain * real(y)
}

// A chain is a function as sections of first order, each fed by the last. State 0 is
// the step at the entrance, state i the one of section i.
type chain struct {
	rates [][]complex128 // each row gives the derivative of a state
	out   []complex128   // the function's output over gain, as a sum over states
	gain  float64
}

func (f Func) chain(response string) chain {
	n := len(f.Poles)
	if len(f.Zeros) > n {
		panic("rational: " + response + " response of more zeros than poles")
	}
	// out is the signal after the sections so far.
	a := make([][]complex128, n+1)
	a[0] = make([]complex128, n+1)
	out := make([]complex128, n+1)
	out[0] = 1
	gain := f.Gain
	for i, p := range f.Poles {
		// A section is (s−z)/(s−p) = 1 + (p−z)/(s−p), or |p|/(s−p) where the
		// zeros have run out. States are scaled by |p|, so that they are all
		// of the size of the signal.
		scale := cmplx.Abs(p)
		if scale == 0 {
			scale = 1
		}
		a[i+1] = make([]complex128, n+1)
		for j, v := range out {
			a[i+1][j] = v * complex(scale, 0)
		}
		a[i+1][i+1] = p
		if i < len(f.Zeros) {
			out[i+1] = (p - f.Zeros[i]) / complex(scale, 0)
		} else {
			clear(out)
			out[i+1] = 1
			gain /= scale
		}
	}
	return chain{a, out, gain}
}

// exponential returns exp(a·t) of a lower triangular matrix by scaling and
// squaring of its Taylor series. It overwrites a.
func exponential(a [][]complex128, t float64) [][]complex128 {
	n := len(a)
	var norm float64
	for _, row := range a {
		var sum float64
		for _, v := range row {
			sum += cmplx.Abs(v)
		}
		norm = max(norm, sum)
	}
	_, halvings := math.Frexp(norm * t)
	halvings = max(halvings+1, 0) // norm·t is now at most 1/2
	h := math.Ldexp(t, -halvings)
	term, e := identity(n), identity(n)
	for i, row := range a {
		for j := range row {
			a[i][j] *= complex(h, 0)
		}
	}
	const terms = 16 // (1/2)^17/17! is below 1e-19
	for k := 1; k <= terms; k++ {
		term = product(term, a)
		for i := range e {
			for j := range e[i] {
				term[i][j] /= complex(float64(k), 0)
				e[i][j] += term[i][j]
			}
		}
	}
	for range halvings {
		e = product(e, e)
	}
	return e
}

func identity(n int) [][]complex128 {
	m := make([][]complex128, n)
	for i := range m {
		m[i] = make([]complex128, n)
		m[i][i] = 1
	}
	return m
}

// product returns a·b of lower triangular matrices.
func product(a, b [][]complex128) [][]complex128 {
	m := make([][]complex128, len(a))
	for i := range m {
		m[i] = make([]complex128, len(a))
		for j := range i + 1 {
			for k := j; k <= i; k++ {
				m[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return m
}
