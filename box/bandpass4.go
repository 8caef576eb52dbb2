package box

import (
	"cmp"

	"example.com/halfspace/units/air"
)

// Bandpass4 is a fourth-order band-pass box: the cone works between a closed rear
// chamber and a front chamber whose vent is all that radiates. Each chamber has
// its losses, those of [Closed] and [Vented]; leaks go to the outside.
//
// Lossless, and with α the ratio of Vas to the volume behind, q = s/ωc, S = s/ωb,
//
//	G = q²/((q² + q/Qbp + 1)(S² + 1) + a2 S²)
//	fc = fs √(1+α), Qbp = Qts √(1+α), a2 = (Vas/Vf)/(1+α)
//
// (derived here from the circuit; the enclosure is that of L. R. Fincham 1979, "A
// Bandpass Loudspeaker Enclosure", AES preprint 1512, cited from memory). G is
// relative to [System.Reference], as for other boxes: above 0 dB is real gain.
type Bandpass4 struct {
	Rear  Closed
	Front Vented
}

// Check implements [Enclosure].
func (b Bandpass4) Check() error {
	return cmp.Or(inChamber("rear chamber", b.Rear.Check()), inChamber("front chamber", b.Front.Check()))
}

// Flow implements [Enclosure].
func (b Bandpass4) Flow(s complex128, a air.Air) Flow {
	return between(b.Rear.side(s, a), b.Front.side(s, a))
}

// Openings implements [Enclosure].
func (b Bandpass4) Openings() Openings { return Openings{Vent: b.Front.Area} }

func (b Bandpass4) polynomials(a air.Air) polynomials {
	return polynomialsBetween(b.Rear.polynomials(a), b.Front.polynomials(a))
}
