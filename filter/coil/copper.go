package coil

import (
	"math"

	"example.com/halfspace/units"
)

// Annealed copper of the international standard: National Bureau of Standards,
// Circular 31 and Handbook 100, Copper Wire Tables.
const (
	resistivity20 = 1e-6 / 58 // Ω m at 20 °C, 100 % IACS
	perKelvin     = 0.00393   // of the value at 20 °C
	// CopperDensity is the density of copper wire.
	CopperDensity units.Density = 8890
)

const mu0 = 4e-7 * math.Pi // H/m; the measured value differs in the tenth digit

// CopperResistivity returns the resistivity of annealed copper in Ω m:
// 1/58 µΩ m at 20 °C and 0.393 % of that more for each kelvin.
//
// The straight line holds from about -50 °C to 200 °C. The figures are those of
// National Bureau of Standards, Handbook 100, Copper Wire Tables. The test of
// winding wires of IEC 60851-5 counts with 0.396 % between 15 °C and 25 °C, and
// tables of enamelled wire with 1/58.5 µΩ m: 0.9 % less, inside the tolerance of
// real wire.
func CopperResistivity(t units.Temperature) float64 {
	return resistivity20 * (1 + perKelvin*(t.Celsius()-20))
}
