package box

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// PassiveRadiator is a box with one or more passive radiators. Its losses are
// stated at the tuning fB: QL = ωB Cab Ral for a leak to the outside, QA =
// 1/(ωB Cab Rab) for absorption in series with the compliance; those of the radiator
// are its Rms. Zero means no such loss.
//
// With δ = Vap/Vb, s' = s/ωp of the radiator, N = 1 + s/(ωB QA),
// M = s'² + s'/Qmp + 1, and Y = s/ωB (M + δN) + MN/QL, the flows are s/ωB M to the
// outside and −s/ωB δN of the radiator, over Y, and L = s/ωB MN/Vb (see
// [System.Functions]). The circuit is that of R. H. Small 1974, "Passive-Radiator
// Loudspeaker Systems" (from memory); this form was derived here.
//
// The notch at fp, below the tuning, is as deep as the losses let it. The stated
// suspension is linear: a radiator needs about twice the driver's displacement
// (Small 1974, part I, abstract).
type PassiveRadiator struct {
	Vb       units.Volume // net: less driver, radiator and bracing
	Radiator PassiveCone
	QL, QA   float64
}

// Check implements [Enclosure].
func (p PassiveRadiator) Check() error {
	return cmp.Or(
		units.Positive("box: volume", p.Vb),
		units.NotNegative("box: QL", p.QL),
		units.NotNegative("box: QA", p.QA),
		p.Radiator.Check(),
	)
}

// Fb returns the tuning, the resonance of radiator and air of the box,
// fB = fp √(1 + Vap/Vb): the frequency at which the cone moves least.
func (p PassiveRadiator) Fb(a air.Air) units.Frequency {
	return p.Radiator.Fp() * units.Frequency(math.Sqrt(1+p.delta(a)))
}

// delta is the ratio of compliances, radiator to box.
func (p PassiveRadiator) delta(a air.Air) float64 { return float64(p.Radiator.Vap(a) / p.Vb) }

// AddedFor returns the weight on each radiator that tunes the box to fb, instead of
// what is on it now. It is an error if the bare radiator is too heavy for fb.
func (p PassiveRadiator) AddedFor(fb units.Frequency, a air.Air) (units.Mass, error) {
	if err := cmp.Or(p.Check(), units.Positive("box: tuning", fb)); err != nil {
		return 0, err
	}
	p.Radiator.Added = 0
	highest := p.Fb(a)
	if !(fb <= highest) {
		return 0, &units.RangeError{Field: "box: tuning", Value: fb.String(), Want: fmt.Sprintf("must be at most %v, which the radiator gives without added mass", highest)}
	}
	ratio := float64(highest / fb)
	return p.Radiator.Mms * units.Mass((ratio-1)*(ratio+1)), nil
}

// Flow implements [Enclosure].
func (p PassiveRadiator) Flow(s complex128, a air.Air) Flow {
	r := &p.Radiator
	delta := p.delta(a)
	wp2 := 1 / (r.mass() * float64(r.Cms))
	m := 1 + s*(s+complex(float64(r.Rms)/r.mass(), 0))*complex(1/wp2, 0)
	wb := math.Sqrt(wp2 * (1 + delta))
	S := scale(s, 1/wb)
	n := 1 + scale(S, inverse(p.QA))
	inside := m * n
	y := reciprocal(S*(m+scale(n, delta)) + scale(inside, inverse(p.QL)))
	return Flow{
		Za:       scale(inside*y, 1/(wb*acousticCompliance(p.Vb, a))),
		Net:      S * m * y,
		Radiator: scale(S*n*y, -delta),
	}
}

// Openings implements [Enclosure].
func (p PassiveRadiator) Openings() Openings { return Openings{Radiator: p.Radiator.area()} }

func (p PassiveRadiator) polynomials(a air.Air) polynomials {
	r := p.Radiator
	cms := float64(r.Cms)
	m := poly{1, float64(r.Rms) * cms, r.mass() * cms}
	S := poly{0, 1 / (2 * math.Pi * float64(p.Fb(a)))}
	n := poly{1, S[1] * inverse(p.QA)}
	inside := m.times(n)
	cone := n.scaled(p.delta(a))
	return polynomials{
		den:      S.times(m.plus(cone)).plus(inside.scaled(inverse(p.QL))),
		load:     S.times(inside).scaled(1 / float64(p.Vb)),
		net:      S.times(m),
		radiator: S.times(cone).scaled(-1),
	}
}
