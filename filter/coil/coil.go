package coil

import (
	"math"

	"example.com/halfspace/units"
)

// Coil is a wound air-core coil.
type Coil struct {
	Wire       Wire
	Section    Section // what the winding fills
	Turns      float64 // whole, but for the coil of [Brooks]
	Layers     int     // the last may be begun only
	Inductance units.Inductance
}

// WireLength returns the length of the wire, without leads.
func (c Coil) WireLength() units.Length {
	return units.Length(2 * math.Pi * c.Turns * float64(c.Section.Mean()))
}

// Resistance returns the resistance for direct current at t.
func (c Coil) Resistance(t units.Temperature) units.Resistance {
	return units.Resistance(float64(c.WireLength()) * c.Wire.ResistancePerMetre(t))
}

// Mass returns the mass of the copper.
func (c Coil) Mass() units.Mass {
	return units.Mass(float64(c.WireLength()) * float64(c.Wire.Area()) * float64(CopperDensity))
}

// Price returns what the copper costs at a price for a kilogram.
func (c Coil) Price(perKilogram float64) float64 { return float64(c.Mass()) * perKilogram }

// OuterDiameter returns the diameter over the winding.
func (c Coil) OuterDiameter() units.Length { return 2 * (c.Section.Inner + c.Section.Depth) }

// RoundWire returns what round wire with gaps adds to an inductance calculated for
// a current that fills the section evenly,
//
//	µ0 a N (ln(p/d) + 0.138)
//
// with the mean radius a, the pitch p and the bare diameter d. It is of the order of
// 0.1 % and leaves about 0.02 %. After E. B. Rosa, Bulletin of the Bureau of
// Standards, 1907; the formula is given from memory.
func (c Coil) RoundWire() units.Inductance {
	return units.Inductance(mu0 * float64(c.Section.Mean()) * c.Turns * (math.Log(float64(c.Wire.pitch()/c.Wire.Diameter)) + 0.138))
}
