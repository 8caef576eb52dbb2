package box

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Enclosure is the air behind the cone.
type Enclosure interface {
	// Flow returns what the enclosure does at s = jω; s is not zero and the air
	// is not the zero air.
	Flow(s complex128, a air.Air) Flow
	// Check reports the first impossible figure.
	Check() error
}

// A Flow is the effect of an enclosure at one frequency. Flows are outward and
// per outward flow of the cone.
type Flow struct {
	Za   complex128 // acoustic impedance on the cone, Pa·s/m³
	Net  complex128 // all flow to the outside: cone, vent and leak
	Vent complex128 // flow out of the vent
}

// InfiniteBaffle is a wall that parts front from rear: no air load but that in
// Mms. Driver curves in half space are measured so.
type InfiniteBaffle struct{}

// Flow implements [Enclosure].
func (InfiniteBaffle) Flow(complex128, air.Air) Flow { return Flow{Net: 1} }

// Check implements [Enclosure].
func (InfiniteBaffle) Check() error { return nil }

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

// inverse returns 1/q, and 0 for the q = 0 that means no loss.
func inverse(q float64) float64 {
	if q == 0 {
		return 0
	}
	return 1 / q
}

// acousticCompliance returns Vb/(ρc²) in m³/Pa.
func acousticCompliance(vb units.Volume, a air.Air) float64 {
	return float64(vb) / float64(a.BulkModulus())
}
