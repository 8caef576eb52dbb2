package filter

import (
	"cmp"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/units"
)

// Toward returns the sum of two point sources far away, at the frequency hz in
// hertz: the high way above the low one by the spacing, seen from angle above the
// axis, with the speed of sound c. Flight times count from the middle between them:
//
//	Low e^{−jφ} + High e^{+jφ}, φ = πf·spacing·sin(angle)/c
func (p Pair) Toward(hz float64, spacing units.Length, angle units.Angle, c units.Velocity) complex128 {
	s := complex(0, 2*math.Pi*hz)
	phi := math.Pi * hz * float64(spacing) * math.Sin(float64(angle)) / float64(c)
	return p.Low.At(s)*cmplx.Rect(1, -phi) + p.high(s)*cmplx.Rect(1, phi)
}

// Lobes returns the angles in the half plane in front, from −90° to 90° and in
// ascending order, at which the sources of [Pair.Toward] arrive in phase (the
// middles of the lobes) and in opposite phase (nulls, where both are equally loud).
// At the corner, with the wavelength λ, ways in phase on the axis have their lobe
// there and nulls at sin θ = ±λ/(2d); ways 90° apart, as Butterworth of odd order,
// have the lobe at sin θ = λ/(4d) to one side and the null at the mirror image.
func (p Pair) Lobes(hz float64, spacing units.Length, c units.Velocity) (lobes, nulls []units.Angle, err error) {
	if err := cmp.Or(
		units.Positive("filter: frequency", units.Frequency(hz)),
		units.Positive("filter: spacing", spacing),
		units.Positive("filter: speed of sound", c),
	); err != nil {
		return nil, nil, err
	}
	s := complex(0, 2*math.Pi*hz)
	lead := cmplx.Phase(p.high(s)) - cmplx.Phase(p.Low.At(s))
	turns := hz * float64(spacing) / float64(c) // from one end of the half plane to the middle
	// In phase where lead + 2π·turns·sin θ is a whole number of turns m.
	at := func(shift float64) (angles []units.Angle) {
		offset := lead/(2*math.Pi) + shift
		for m := math.Ceil(offset - turns - 1); m <= offset+turns+1; m++ {
			// An end just missed by rounding is the end.
			if sin := (m - offset) / turns; math.Abs(sin) <= 1+1e-12 {
				angles = append(angles, units.Angle(math.Asin(max(-1, min(1, sin)))))
			}
		}
		return slices.Compact(angles)
	}
	return at(0), at(0.5), nil
}

// TowardSymmetric returns the sum of three point sources far away, at the frequency
// hz in hertz: two low ways, each with half the pressure of Low, one spacing above
// and below one high way, seen from angle above the axis.
//
//	Low cos φ + High, φ = 2πf·spacing·sin(angle)/c
//
// The lobe stays on the axis whatever the phase between the ways; ways 90° apart
// at the corner have no null there. J. A. D'Appolito, "A geometric approach to
// eliminating lobing error in multiway loudspeakers", preprint 2000 of the Audio
// Engineering Society, 1983 (from memory).
func (p Pair) TowardSymmetric(hz float64, spacing units.Length, angle units.Angle, c units.Velocity) complex128 {
	s := complex(0, 2*math.Pi*hz)
	phi := 2 * math.Pi * hz * float64(spacing) * math.Sin(float64(angle)) / float64(c)
	return p.Low.At(s)*complex(math.Cos(phi), 0) + p.high(s)
}
