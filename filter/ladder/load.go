package ladder

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// MinimumImpedance returns the smallest modulus on the grid and the frequency of
// the first point that has it. It does not look between the points; pass the part
// of the grid that is the rated frequency range. A NaN in zin is returned as the
// modulus, with its frequency. It panics if the slices are empty or differ in length.
func MinimumImpedance(hz []float64, zin []complex128) (units.Frequency, units.Resistance) {
	if len(hz) != len(zin) || len(hz) == 0 {
		panic(fmt.Sprintf("ladder: slices empty or of different lengths: hz %d, zin %d", len(hz), len(zin)))
	}
	at, least := 0, math.Inf(1)
	for k, z := range zin {
		m := cmplx.Abs(z)
		if math.IsNaN(m) {
			return units.Frequency(hz[k]), units.Resistance(m)
		}
		if m < least {
			at, least = k, m
		}
	}
	return units.Frequency(hz[at]), units.Resistance(least)
}

// RatedImpedance returns the largest rated impedance that a loudspeaker with the
// smallest modulus zmin in its rated frequency range may bear: zmin/0.8, since the
// modulus may fall below the rated value by a fifth at most. So 6.4 Ω allow 8 Ω.
//
// The rule is that of IEC 60268-5, Sound system equipment, Part 5: Loudspeakers,
// as makers' and installers' texts report it; the standard itself was not read.
func RatedImpedance(zmin units.Resistance) units.Resistance { return zmin / 0.8 }

// EPDR returns the equivalent peak dissipation resistance of an impedance: the
// resistor that drives the peak dissipation in an output device of a class-B stage
// as high as z does, with a sine that reaches the supply rails. With θ = |arg z|
//
//	EPDR = |z| / (4 (1 - sin a) sin(a - θ)),  a = 5π/6 + 2θ/3
//
// which is |z| for a resistor and falls to 0.19 |z| at 90°. It says how hard a load
// is on the output devices of such a stage. It is not a load impedance: current
// and power do not follow from it, and it says nothing of class A or class D.
// EPDR(0) is 0, and that of NaN is NaN.
//
// The closed form is the maximum over a half period of the product of the voltage
// across the device and its current. The measure was introduced by Benjamin,
// Journal of the Audio Engineering Society, 1994, and named by Howard, Stereophile, 2007.
func EPDR(z complex128) units.Resistance {
	theta := math.Abs(cmplx.Phase(z))
	a := 5*math.Pi/6 + 2*theta/3
	return units.Resistance(cmplx.Abs(z) / (4 * (1 - math.Sin(a)) * math.Sin(a-theta)))
}
