// Package units holds the quantities that driver sheets, boxes, vents, crossover
// parts and cabinets are described with: float64 types in SI that people type
// and read as text with a unit.
//
//	vb := 22 * units.Litre                            // like time.Duration
//	vb.In(units.CubicFoot)                            // a plain number again
//	w, err := units.Parse[units.Length](`3' 4-1/8"`)  // what people type
//
// String is for people and rounds; MarshalText is exact and parses back to the
// same bits, so TOML, JSON, flags and CSV work without further code.
package units
