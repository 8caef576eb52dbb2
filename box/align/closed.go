package align

import (
	"math"

	"example.com/halfspace/units"
)

// The total Q of closed boxes with a name, for box.ClosedFor.
const (
	// CriticalQ gives a double real pole: the step of the cone's travel just does
	// not overshoot.
	CriticalQ = 0.5
	// BesselQ gives the flattest group delay, 1/√3.
	BesselQ = 0.57735026918962576450914878050195745565
	// ButterworthQ gives the flattest response, 1/√2; f3 = fc.
	ButterworthQ = 1 / math.Sqrt2
)

// ChebyshevQ returns the total Q of a closed box whose response peaks by ripple dB:
// with the peak g as a ratio,
//
//	Q² = (g² + g√(g² − 1))/2
//
// from g = Q²/√(Q² − 1/4) (R. H. Small 1972, "Closed-Box Loudspeaker Systems,
// Part I", from memory).
func ChebyshevQ(ripple float64) (float64, error) {
	if err := units.NotNegative("align: ripple, dB", ripple); err != nil {
		return 0, err
	}
	over := math.Expm1(ripple / 10 * math.Ln10) // g² − 1
	g2 := 1 + over
	return math.Sqrt((g2 + math.Sqrt(g2*over)) / 2), nil
}
