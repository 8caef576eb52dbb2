package coil

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/units"
)

// Mutual returns the mutual inductance of two thin coaxial rings of the radii r1
// and r2 whose planes are apart by distance:
//
//	M = µ0 √(r1 r2) ((2/k - k) K - (2/k) E),  k² = 4 r1 r2/((r1+r2)² + distance²)
//
// with the complete elliptic integrals K and E of modulus k. This is the formula of
// James Clerk Maxwell, A Treatise on Electricity and Magnetism, 1873, article 701.
//
// It is a *[units.RangeError] if a radius is not positive, the distance not finite,
// or the rings are one and the same, for which M is infinite.
func Mutual(r1, r2, distance units.Length) (units.Inductance, error) {
	for _, r := range []units.Length{r1, r2} {
		if err := units.Positive("coil: radius", r); err != nil {
			return 0, err
		}
	}
	if err := units.NotNegative("coil: distance", units.Length(math.Abs(float64(distance)))); err != nil {
		return 0, err
	}
	a, b, z := float64(r1), float64(r2), float64(distance)
	near, far := (a-b)*(a-b)+z*z, (a+b)*(a+b)+z*z
	if !(near > 0) {
		return 0, &units.RangeError{Field: "coil: distance", Value: distance.String(), Want: "must not be zero between rings of one radius"}
	}
	if gap := near / far; gap < 1e-6 {
		// The modulus is 1 but for its last digits: expand in 1 - k².
		log := math.Log(4) - math.Log(gap)/2
		return units.Inductance(mu0 * math.Sqrt(a*b) * (log - 2 + 0.75*gap*(log-1))), nil
	}
	m := 4 * a * b / far
	// K - E = m D and K = B + D leave no difference of near numbers but D - B.
	return units.Inductance(mu0 * math.Sqrt(a*b*m) * (mathext.CompleteD(m) - mathext.CompleteB(m))), nil
}
