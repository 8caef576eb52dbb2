// Package coil designs air-core coils: how many turns of which wire give an
// inductance, and what the coil then has in resistance, size, copper and price.
//
//	wire := coil.Wire{Diameter: 1.0 * units.Millimetre}
//	c, err := coil.Design(1.2*units.Millihenry, wire)
//	p := ladder.L(c.Inductance).WithResistance(c.Resistance(units.Celsius(20)))
//
// A winding is a rectangular [Section] turned about the axis. [Section.Inductance]
// is the exact field of a current that fills the section evenly, [Section.Wheeler]
// the classical formula beside it; [Solenoid] is the single layer as a current
// sheet, [Mutual] the pair of thin rings of which all of them are made.
//
// Not in the figures: the leads, the capacitance of the winding, iron or other
// coils near by. Real windings differ from the calculation by 1 to 5 per cent, so a
// coil that must be right is wound with a few turns more and measured.
package coil
