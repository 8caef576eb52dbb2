package box

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Closed is a closed box. Its losses are stated at FQ, normally the resonance
// fc: QL = ω Cab Ral for a leak Ral to the outside, QA = 1/(ω Cab Rab) for
// absorption Rab in series with the compliance Cab = Vb/(ρc²) (R. H. Small 1972,
// "Closed-Box Loudspeaker Systems", from memory). Zero Q means no such loss.
type Closed struct {
	Vb     units.Volume // net
	QL, QA float64
	FQ     units.Frequency
}

// Check implements [Enclosure].
func (c Closed) Check() error {
	if err := cmp.Or(
		units.Positive("box: volume", c.Vb),
		units.NotNegative("box: QL", c.QL),
		units.NotNegative("box: QA", c.QA),
	); err != nil {
		return err
	}
	if c.QL > 0 || c.QA > 0 {
		return units.Positive("box: frequency of QL and QA", c.FQ)
	}
	return nil
}

// times returns the time constants of leak, Ral Cab, and absorption, Rab Cab.
// Zero means no leak; a leak of no time constant would be an open box.
func (c Closed) times() (tl, ta float64) {
	if c.FQ > 0 {
		w := 2 * math.Pi * float64(c.FQ)
		tl, ta = c.QL/w, inverse(c.QA)/w
	}
	return tl, ta
}

// Flow implements [Enclosure]: with N = 1 + s Rab Cab and TL = Ral Cab,
//
//	Za  = N TL/(Cab (s TL + N))
//	Net = s TL/(s TL + N)
//
// and what that becomes for an infinite TL without leak.
func (c Closed) Flow(s complex128, a air.Air) Flow {
	cab := acousticCompliance(c.Vb, a)
	tl, ta := c.times()
	n := 1 + scale(s, ta)
	if tl == 0 {
		return Flow{Za: n * reciprocal(scale(s, cab)), Net: 1}
	}
	y := reciprocal(scale(s, tl) + n)
	return Flow{Za: scale(n*y, tl/cab), Net: scale(s*y, tl)}
}

// side adds the leak: what the pressure in the chamber presses through Ral.
func (c *Closed) side(s complex128, a air.Air) side {
	f := c.Flow(s, a)
	tl, _ := c.times()
	return side{za: f.Za, net: f.Net, leak: scale(f.Za, -inverse(tl)*acousticCompliance(c.Vb, a))}
}

// Openings implements [Enclosure].
func (c Closed) Openings() Openings { return Openings{} }

func (c Closed) polynomials(air.Air) polynomials {
	tl, ta := c.times()
	n := poly{1, ta}
	if tl == 0 {
		return polynomials{den: poly{1}, load: n.scaled(1 / float64(c.Vb)), net: poly{1}}
	}
	out := poly{0, tl}
	return polynomials{
		den:  out.plus(n),
		load: out.times(n).scaled(1 / float64(c.Vb)),
		net:  out,
		leak: n.scaled(-1),
	}
}
