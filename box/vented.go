package box

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Vented is a box with a vent. Its losses are those of R. H. Small 1973,
// "Vented-Box Loudspeaker Systems" (from memory), all at the tuning fb:
// QL = ωb Cab Ral for a leak to the outside, QA = 1/(ωb Cab Rab) for absorption
// in series with the compliance, QP = ωb Map/Rap for friction in the vent. Zero
// means no such loss. Boxes of 25 to 100 L measure 5 to 10 in all; QL = 7 alone
// is the usual first guess (Small 1973, part III).
type Vented struct {
	Vb         units.Volume    // net: less driver, vent and bracing
	Fb         units.Frequency // tuning, the Helmholtz resonance of box and vent
	QL, QA, QP float64
	Area       units.Area // of all vents together; zero leaves the air speed out
}

// Check implements [Enclosure].
func (v Vented) Check() error {
	return cmp.Or(
		units.Positive("box: volume", v.Vb),
		units.Positive("box: tuning", v.Fb),
		units.NotNegative("box: QL", v.QL),
		units.NotNegative("box: QA", v.QA),
		units.NotNegative("box: QP", v.QP),
		units.NotNegative("box: vent area", v.Area),
	)
}

func (v *Vented) omega() float64 { return 2 * math.Pi * float64(v.Fb) }

// terms returns S = s/ωb, N = 1 + S/QA of the compliance, P = S + 1/QP of the vent,
// and Y = PN/QL + N + SP. In units of ωb Cab the admittances are S/N of the
// compliance, 1/QL of the leak, 1/P of the vent, and Y/(PN) of all.
func (v *Vented) terms(s complex128) (S, n, p, y complex128) {
	S = scale(s, 1/v.omega())
	n, p = 1, S
	if v.QA > 0 {
		n += scale(S, 1/v.QA)
	}
	if v.QP > 0 {
		p += complex(1/v.QP, 0)
	}
	y = n + S*p
	if v.QL > 0 {
		y += scale(p*n, 1/v.QL)
	}
	return S, n, p, y
}

// stiffness is 1/(ωb Cab), Pa·s/m³.
func (v *Vented) stiffness(a air.Air) float64 {
	return float64(a.BulkModulus()) / (v.omega() * float64(v.Vb))
}

// Flow implements [Enclosure].
func (v Vented) Flow(s complex128, a air.Air) Flow {
	S, n, p, y := v.terms(s)
	r := reciprocal(y)
	return Flow{Za: scale(p*n*r, v.stiffness(a)), Net: S * p * r, Vent: -n * r}
}

// side solves the chamber like Flow, and adds the leak: what the pressure presses
// through Ral.
func (v *Vented) side(s complex128, a air.Air) side {
	S, n, p, y := v.terms(s)
	r := reciprocal(y)
	all := p * n * r
	return side{za: scale(all, v.stiffness(a)), net: S * p * r, vent: -n * r, leak: scale(all, -inverse(v.QL))}
}

// Openings implements [Enclosure].
func (v Vented) Openings() Openings { return Openings{Vent: v.Area} }

// polynomialTerms are those of terms, as polynomials in s.
func (v Vented) polynomialTerms() (S, n, p, y poly) {
	t := 1 / v.omega()
	S = poly{0, t}
	n = poly{1, t * inverse(v.QA)}
	p = poly{inverse(v.QP), t}
	return S, n, p, p.times(n).scaled(inverse(v.QL)).plus(n).plus(S.times(p))
}

func (v Vented) polynomials(air.Air) polynomials {
	S, n, p, y := v.polynomialTerms()
	net := S.times(p)
	return polynomials{
		den:  y,
		load: net.times(n).scaled(1 / float64(v.Vb)),
		net:  net,
		vent: n.scaled(-1),
		leak: p.times(n).scaled(-inverse(v.QL)),
	}
}
