package box

import (
	"cmp"

	"example.com/halfspace/units/air"
)

// Bandpass6 is a sixth-order band-pass box of the parallel kind: the cone works
// between two chambers, each with a vent to the outside. The flows of the vents
// oppose each other; the response is the difference of two vented boxes, and falls
// by 12 dB per octave above the higher and 24 below the lower tuning.
//
// Lossless, with S1 = s/ω and α1 = Vas/V of the rear chamber, S2 and α2 of the front
// one, and A = s²Ts² + sTs/Qts + 1,
//
//	G = s²Ts² (S1² − S2²)/(A (S1²+1)(S2²+1) + α1 S1² (S2²+1) + α2 S2² (S1²+1))
//
// (derived here from the circuit). With both chambers tuned alike nothing is heard.
type Bandpass6 struct {
	Rear, Front Vented
}

// Check implements [Enclosure].
func (b Bandpass6) Check() error {
	return cmp.Or(inChamber("rear chamber", b.Rear.Check()), inChamber("front chamber", b.Front.Check()))
}

// Flow implements [Enclosure].
func (b Bandpass6) Flow(s complex128, a air.Air) Flow {
	return between(b.Rear.side(s, a), b.Front.side(s, a))
}

// Openings implements [Enclosure].
func (b Bandpass6) Openings() Openings { return Openings{Vent: b.Front.Area, Rear: b.Rear.Area} }

func (b Bandpass6) polynomials(a air.Air) polynomials {
	return polynomialsBetween(b.Rear.polynomials(a), b.Front.polynomials(a))
}
