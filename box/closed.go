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
// The leak's is infinite when there is none.
func (c Closed) times() (tl, ta float64) {
	w := 2 * math.Pi * float64(c.FQ)
	tl = math.Inf(1)
	if c.QL > 0 {
		tl = c.QL / w
	}
	if c.QA > 0 {
		ta = 1 / (c.QA * w)
	}
	return tl, ta
}

// Flow implements [Enclosure].
func (c Closed) Flow(s complex128, a air.Air) Flow {
	cab := acousticCompliance(c.Vb, a)
	tl, ta := c.times()
	branch := (1/s + complex(ta, 0)) / complex(cab, 0)
	za := branch
	if !math.IsInf(tl, 1) {
		ral := complex(tl/cab, 0)
		za = branch * ral / (branch + ral)
	}
	return Flow{Za: za, Net: za / branch}
}

// Openings implements [Enclosure].
func (c Closed) Openings() Openings { return Openings{} }
