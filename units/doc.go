// Package units holds the quantities that driver sheets, boxes, vents, crossover
// parts and cabinets are described with: float64 types in SI that people type
// and read as text with a unit.
//
//	vb := 22 * units.Litre                            // like time.Duration
//	vb.In(units.CubicFoot)                            // a plain number again
//	w, err := units.Parse[units.Length](`3' 4-1/8"`)  // what people type
//
// String is for people: four significant digits in the unit of the trade, as
// "24 L" or "0.47 mH". MarshalText is exact: the same unit (K and rad for
// temperature and angle) with as many digits as bring back the same bits. So
// TOML, JSON, flags and CSV work without further code.
//
// A unit constant such as Litre is itself rounded to a float64, so 22 * Litre
// may differ in the last bit from what Parse reads in "22 L", which is nearest.
// Compare quantities with a tolerance.
package units
