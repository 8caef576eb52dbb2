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

// Flow implements [Enclosure].
func (v Vented) Flow(s complex128, a air.Air) Flow {
	cab := acousticCompliance(v.Vb, a)
	wb := 2 * math.Pi * float64(v.Fb)
	// All in units of 1/(ωb Cab): see the names in [System.Functions].
	S := s / complex(wb, 0)
	n := 1 + S*complex(inverse(v.QA), 0)
	p := S + complex(inverse(v.QP), 0)
	y := complex(inverse(v.QL), 0)*p*n + n + S*p // times 1/(p n)
	if y == 0 {
		// Without losses the load is infinite at fb. What the cone then does is the
		// limit of a large load, which is reached long before numbers end.
		y = 1e-150
	}
	return Flow{
		Za:   p * n / y / complex(wb*cab, 0),
		Net:  S * p / y,
		Vent: -n / y,
	}
}

// Openings implements [Enclosure].
func (v Vented) Openings() Openings { return Openings{Vent: v.Area} }
