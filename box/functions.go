package box

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Functions are the transfer functions of a system without coil inductance, as the
// literature writes them. Poles, zeros, exact group delay, step and impulse response
// are those of [rational.Func]. Functions of what an enclosure does not have are zero.
type Functions struct {
	G rational.Func // pressure re [System.Reference]
	X rational.Func // travel re Bl E Cms/Re, what a steady voltage would give in open air
	Z rational.Func // impedance at the terminals, Ω

	// Air moved, in volume re Sd times the reference of X, outward. The travel of a
	// passive radiator is Sd over its area times this.
	Vent     rational.Func // through the vent, of the front chamber if there are two
	Rear     rational.Func // through the vent of the rear chamber besides
	Radiator rational.Func // by the passive radiators
}

// Functions returns the rational functions of the system with its losses. With
// A = s²Ts² + sTs/Qts + 1, the flow out of the enclosure U/Y and its load
// Vas L/Y = s Cms Sd² Za, both over a polynomial Y,
//
//	G = s²Ts² U/(A Y + Vas L)
//	X = Y/(A Y + Vas L)
//	Z = Re + Res (sTs/Qms) Y/(Am Y + Vas L),  Am: A with Qms for Qts
//
// For a vented box S = s/ωb, N = 1 + S/QA, P = S + 1/QP, Y = PN/QL + N + SP, U = SP
// and L = SPN/Vb. For a closed box with TL = Ral Cab it is N = 1 + s Rab Cab,
// Y = sTL + N, U = sTL and L = sTL N/Vb. Other enclosures state theirs. The circuit
// is that of R. H. Small 1972 to 1974 (from memory); the form with all losses was
// derived here and agrees with [System.At] to rounding. Coil inductance and creep are
// left out.
// It is an error for enclosures of other packages.
func (s System) Functions() (Functions, error) {
	if err := s.Check(); err != nil {
		return Functions{}, err
	}
	e, ok := s.Enclosure.(interface{ polynomials(air.Air) polynomials })
	if !ok {
		return Functions{}, &units.RangeError{Field: "box: enclosure", Value: fmt.Sprintf("%T", s.Enclosure), Want: "must be one of this package"}
	}
	d := s.Driver
	p := e.polynomials(s.Air.OrStandard())
	load := p.load.scaled(float64(d.Vas(s.Air)))
	t := 1 / (2 * math.Pi * float64(d.Fs()))
	den := poly{1, t / d.Qts(), t * t}.times(p.den).plus(load)
	denZ := poly{1, t / d.Qms(), t * t}.times(p.den).plus(load)
	bl2 := float64(d.Bl * d.Bl)
	// Res Ts/Qms = Bl² Cms, which holds without mechanical losses too.
	motional := poly{0, bl2 * float64(d.Cms)}.times(p.den)

	var f Functions
	for _, r := range []struct {
		to       *rational.Func
		num, den poly
	}{
		{&f.G, poly{0, 0, t * t}.times(p.net), den},
		{&f.X, p.den, den},
		{&f.Z, denZ.scaled(float64(d.Re)).plus(motional), denZ},
		{&f.Vent, p.vent, den},
		{&f.Rear, p.rear, den},
		{&f.Radiator, p.radiator, den},
	} {
		var err error
		if *r.to, err = rational.FromPolynomials(r.num, r.den); err != nil {
			return Functions{}, err
		}
	}
	return f, nil
}

// polynomials are a [Flow] as rational functions of s over den: load is s Za/(ρc²),
// in 1/m³; the flows are as in Flow, and leak is that to the outside. One that is
// nil is zero.
type polynomials struct{ den, load, net, vent, rear, radiator, leak poly }

// polynomialsBetween is [between] for polynomials.
func polynomialsBetween(rear, front polynomials) polynomials {
	through := func(p polynomials) poly { return p.vent.plus(p.leak) }
	return polynomials{
		den:  rear.den.times(front.den),
		load: rear.load.times(front.den).plus(front.load.times(rear.den)),
		net:  front.net.times(through(rear)).plus(rear.net.times(through(front)).scaled(-1)),
		vent: front.vent.times(rear.den).scaled(-1),
		rear: rear.vent.times(front.den),
	}
}

// A poly is a polynomial in s, ascending powers.
type poly []float64

func (p poly) plus(q poly) poly {
	sum := make(poly, max(len(p), len(q)))
	copy(sum, p)
	for i, c := range q {
		sum[i] += c
	}
	return sum
}

func (p poly) times(q poly) poly {
	if len(p) == 0 || len(q) == 0 {
		return nil
	}
	product := make(poly, len(p)+len(q)-1)
	for i, a := range p {
		for j, b := range q {
			product[i+j] += a * b
		}
	}
	return product
}

func (p poly) scaled(k float64) poly {
	out := make(poly, len(p))
	for i, c := range p {
		out[i] = k * c
	}
	return out
}
