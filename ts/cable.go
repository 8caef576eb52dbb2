package ts

import "example.com/halfspace/units"

// conductivity is that of annealed copper at 20 °C, 58 MS/m (100 % IACS, IEC 60028, as
// quoted).
const conductivity = 58e6

// CableResistance returns the resistance at 20 °C of a copper cable of two conductors,
// there and back: 2 length over area and 58 MS/m. The area is that of one conductor;
// both must be positive. What it does to a driver is [Driver.WithSource].
func CableResistance(length units.Length, area units.Area) units.Resistance {
	return units.Resistance(2 * float64(length) / (conductivity * float64(area)))
}
