package filter

import (
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// A Pair is the low-pass and the high-pass of two ways, and how they meet. The
// drivers are alike, small and without a response of their own, so what is
// computed is what the filters alone do. For a prototype p with its corner at f,
//
//	w := 2 * math.Pi * f
//	pair := filter.Pair{Low: p.Scaled(w), High: p.HighPass().Scaled(w)}
//
// S. Linkwitz, "Active crossover networks for noncoincident drivers", Journal of
// the Audio Engineering Society 24(1), 1976; R. H. Small, "Constant-voltage
// crossover network design", the same 19(1), 1971.
type Pair struct {
	Low, High rational.Func
	Inverted  bool       // the high way is connected the other way round
	Delay     units.Time // by which the high way arrives later; path over speed of sound
}

// At returns the sum of the two at s in rad/s.
func (p Pair) At(s complex128) complex128 { return p.Low.At(s) + p.high(s) }

// AtHz returns the sum of the two at the frequency hz in hertz.
func (p Pair) AtHz(hz float64) complex128 { return p.At(complex(0, 2*math.Pi*hz)) }

// high returns the high way with its polarity and delay.
func (p Pair) high(s complex128) complex128 { return p.High.At(s) * p.arrival(s) }

func (p Pair) arrival(s complex128) complex128 {
	sign := complex(1, 0)
	if p.Inverted {
		sign = -1
	}
	return sign * cmplx.Exp(-s*complex(float64(p.Delay), 0))
}

// Power returns |Low|² + |High|² at the frequency hz in hertz: the sum where the
// two meet without a common phase, as in a reverberant room.
//
// It is also what both ladders of [LowPass] and [HighPass] in parallel take from
// the source, over what the load alone would take: they lose nothing. So the
// conductance of the two is Power over the resistance of the load. At the corner
// of a prototype whose low- and high-pass mirror each other, where the
// susceptances cancel, their impedance is the load over Power; Butterworth pairs
// are the resistance of the load at all frequencies.
func (p Pair) Power(hz float64) float64 {
	s := complex(0, 2*math.Pi*hz)
	l, h := cmplx.Abs(p.Low.At(s)), cmplx.Abs(p.High.At(s))
	return float64(l*l) + float64(h*h)
}

// GroupDelay returns −d arg(sum)/dω in seconds at the frequency hz in hertz. It
// is exact, −Re(sum′/sum) with the derivative taken over the roots. At a null
// there is no phase and the delay is NaN.
func (p Pair) GroupDelay(hz float64) float64 {
	s := complex(0, 2*math.Pi*hz)
	e := p.arrival(s)
	slope := derivative(p.Low, s) + e*(derivative(p.High, s)-complex(float64(p.Delay), 0)*p.High.At(s))
	sum := p.At(s)
	if sum == 0 {
		return math.NaN()
	}
	return -real(slope / sum)
}

// derivative returns dH/ds.
func derivative(f rational.Func, s complex128) complex128 {
	var log complex128 // H′/H
	for i, z := range f.Zeros {
		if s != z {
			log += 1 / (s - z)
			continue
		}
		// On a simple zero the derivative is what is left without it, on a
		// multiple one this is 0, too.
		f.Zeros = slices.Delete(slices.Clone(f.Zeros), i, i+1)
		return f.At(s)
	}
	for _, p := range f.Poles {
		log -= 1 / (s - p)
	}
	return f.At(s) * log
}

// Polarity is how the two ways of a pair should be connected.
type Polarity int

const (
	// Either polarity gives the same level: the ways are 90° apart.
	Either Polarity = iota
	// Same polarity gives the higher level.
	Same
	// Inverted means that one of the two is to be connected the other way round.
	Inverted
)

// String returns either, same or inverted.
func (p Polarity) String() string {
	switch p {
	case Either:
		return "either"
	case Same:
		return "same"
	case Inverted:
		return "inverted"
	}
	return "no polarity"
}

// Polarity returns the polarity that gives the higher level at the frequency hz in
// hertz, whatever p.Inverted is; the Delay counts. Below 1e-9 of the whole the
// difference is none.
func (p Pair) Polarity(hz float64) Polarity {
	p.Inverted = false
	s := complex(0, 2*math.Pi*hz)
	l, h := p.Low.At(s), p.high(s)
	switch c := real(l * cmplx.Conj(h)); {
	case math.Abs(c) <= 1e-9*cmplx.Abs(l)*cmplx.Abs(h):
		return Either
	case c > 0:
		return Same
	}
	return Inverted
}

// Func returns the sum as a rational function. Roots that zeros and poles share to
// 1e-9 cancel, so that the fourth-order Linkwitz-Riley pair gives the second-order
// all-pass that it is.
//
// It is an error if Delay is not zero, for a delay is not rational.
func (p Pair) Func() (rational.Func, error) {
	if p.Delay != 0 {
		return rational.Func{}, &units.RangeError{Field: "filter: delay", Value: p.Delay.String(), Want: "must be zero for a rational sum"}
	}
	if err := checkFuncs(p); err != nil {
		return rational.Func{}, err
	}
	// Over the common denominator each numerator gains the poles that only the
	// other way has.
	lowOnly, highOnly := without(p.Low.Poles, p.High.Poles, 1e-12), without(p.High.Poles, p.Low.Poles, 1e-12)
	sign := 1.0
	if p.Inverted {
		sign = -1
	}
	low := rational.Polynomial(slices.Concat(p.Low.Zeros, highOnly), p.Low.Gain)
	high := rational.Polynomial(slices.Concat(p.High.Zeros, lowOnly), sign*p.High.Gain)
	f, err := numerator(plus(low, high))
	if err != nil {
		return rational.Func{}, err
	}
	poles := slices.Concat(p.Low.Poles, highOnly)
	return rational.Func{
		Zeros: without(f.Zeros, poles, 1e-9),
		Poles: without(poles, f.Zeros, 1e-9),
		Gain:  f.Gain,
	}, nil
}

// numerator factors a polynomial. Mirrored ways of one prototype give a + bsⁿ, whose
// roots are known and need not be found.
func numerator(c []float64) (rational.Func, error) {
	n := len(c) - 1
	if n < 1 || c[0] == 0 || c[n] == 0 || slices.ContainsFunc(c[1:n], func(v float64) bool { return v != 0 }) {
		return rational.FromPolynomials(c, []float64{1})
	}
	radius, turn := math.Pow(math.Abs(c[0]/c[n]), 1/float64(n)), 0.0
	if c[0]*c[n] > 0 {
		turn = 0.5 // −a/b is negative
	}
	f := rational.Func{Gain: c[n]}
	for k := range n {
		switch turns := (float64(k) + turn) / float64(n); {
		case turns == 0:
			f.Zeros = append(f.Zeros, complex(radius, 0))
		case turns == 0.5:
			f.Zeros = append(f.Zeros, complex(-radius, 0))
		case turns < 0.5:
			z := cmplx.Rect(radius, 2*math.Pi*turns)
			f.Zeros = append(f.Zeros, z, cmplx.Conj(z))
		}
	}
	return f, nil
}

func checkFuncs(p Pair) error {
	if err := p.Low.Check(); err != nil {
		return err
	}
	return p.High.Check()
}

// without returns the roots of a that have no partner in b within tolerance, each
// root of b being the partner of one.
func without(a, b []complex128, tolerance float64) []complex128 {
	b = slices.Clone(b)
	var left []complex128
	for _, r := range a {
		i := slices.IndexFunc(b, func(q complex128) bool { return cmplx.Abs(q-r) <= tolerance*cmplx.Abs(r) })
		if i < 0 {
			left = append(left, r)
			continue
		}
		b = slices.Delete(b, i, i+1)
	}
	return left
}

// plus returns the sum of two polynomials in ascending powers.
func plus(a, b []float64) []float64 {
	if len(a) < len(b) {
		a, b = b, a
	}
	out := slices.Clone(a)
	for k, v := range b {
		out[k] += v
	}
	return out
}

// IsAllPass reports whether |f| is the same at all frequencies: whether the zeros
// are the poles mirrored about the imaginary axis, to 1e-9. A constant is an
// all-pass.
func IsAllPass(f rational.Func) bool {
	mirrored := make([]complex128, len(f.Poles))
	for i, p := range f.Poles {
		mirrored[i] = complex(-real(p), imag(p))
	}
	return len(f.Zeros) == len(f.Poles) && len(without(f.Zeros, mirrored, 1e-9)) == 0
}
