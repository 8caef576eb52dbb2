package box

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// Functions are the transfer functions of a closed or vented system without
// coil inductance, as the literature writes them.
type Functions struct {
	G rational.Func // pressure re [System.Reference]
	X rational.Func // travel re Bl E Cms/Re, what a steady voltage would give in open air
	Z rational.Func // impedance at the terminals, Ω
}

// Functions returns the rational functions of the system with its losses. With
// A = s²Ts² + sTs/Qts + 1, α = Vas/Vb, and S = s/ωb, N = 1 + S/QA, P = S + 1/QP,
// Y = PN/QL + N + SP for a vented box:
//
//	G = s²Ts² S P/(A Y + α S P N)
//	X = Y/(A Y + α S P N)
//	Z = Re + Res (sTs/Qms) Y/(Am Y + α S P N),  Am: A with Qms for Qts
//
// For a closed box with TL = Ral Cab, N = 1 + s Rab Cab and Y = sTL + N, the same
// with s TL for S P. The circuit is that of R. H. Small 1972 and 1973 (from
// memory); the form with all losses was derived here and agrees with
// [System.At] to rounding. Coil inductance is left out. It is an error for
// enclosures that are neither [Closed] nor [Vented].
func (s System) Functions() (Functions, error) {
	if err := s.Check(); err != nil {
		return Functions{}, err
	}
	d := s.Driver
	alpha := float64(d.Vas(s.Air))
	var y, load, flow poly // Y; α S P N or its like; S P or its like
	switch e := s.Enclosure.(type) {
	case Closed:
		alpha /= float64(e.Vb)
		tl, ta := e.times()
		n := poly{1, ta}
		if math.IsInf(tl, 1) { // divided by s TL
			y, flow, load = poly{1}, poly{1}, n
			break
		}
		flow = poly{0, tl}
		y = flow.plus(n)
		load = flow.times(n)
	case Vented:
		alpha /= float64(e.Vb)
		tb := 1 / (2 * math.Pi * float64(e.Fb))
		n := poly{1, tb * inverse(e.QA)}
		p := poly{inverse(e.QP), tb}
		flow = poly{0, tb}.times(p)
		y = p.times(n).scaled(inverse(e.QL)).plus(n).plus(flow)
		load = flow.times(n)
	default:
		return Functions{}, &units.RangeError{Field: "box: enclosure", Value: fmt.Sprintf("%T", e), Want: "must be Closed or Vented"}
	}
	load = load.scaled(alpha)
	t := 1 / (2 * math.Pi * float64(d.Fs()))
	den := poly{1, t / d.Qts(), t * t}.times(y).plus(load)
	denZ := poly{1, t / d.Qms(), t * t}.times(y).plus(load)
	bl2 := float64(d.Bl * d.Bl)
	// Res Ts/Qms = Bl² Cms, which holds without mechanical losses too.
	motional := poly{0, bl2 * float64(d.Cms)}.times(y)

	var f Functions
	for _, r := range []struct {
		to       *rational.Func
		num, den poly
	}{
		{&f.G, poly{0, 0, t * t}.times(flow), den},
		{&f.X, y, den},
		{&f.Z, denZ.scaled(float64(d.Re)).plus(motional), denZ},
	} {
		var err error
		if *r.to, err = rational.FromPolynomials(r.num, r.den); err != nil {
			return Functions{}, err
		}
	}
	return f, nil
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
