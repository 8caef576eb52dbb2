// Package ladder solves passive crossover branches: a network of resistors, coils
// and capacitors with their losses, fed from an ideal voltage source, into the
// real complex impedance of a driver.
//
// A network is data, a slice of arms from the source to the load. A series arm
// stands in the signal path and joins its parts in parallel; a shunt arm stands
// across it and joins its parts in series. So every ladder has one spelling:
//
//	woofer := ladder.Network{
//		ladder.Series(ladder.L(1.2*units.Millihenry).WithResistance(0.35*units.Ohm)),
//		ladder.Shunt(ladder.C(15*units.Microfarad)),
//		ladder.Shunt(ladder.R(7.2*units.Ohm), ladder.C(12*units.Microfarad)), // Zobel
//	}
//
// [Network.Check] refuses what cannot be built. Over a grid of frequencies
// [Network.Solve] gives the voltage transfer and the input impedance,
// [Network.Gradient] also how both change with every part, and [Network.GroupDelay]
// the delay; [Network.State] gives the voltage, current and heat of every part at one
// frequency and [Network.Duty] from a programme. [AssessLoad] reports what the input
// impedance asks of an amplifier. What is not a ladder, as a series crossover, is a
// matter of package circuit.
//
// Everything is linear and per volt of the source, RMS, with e^{+jωt}. A driver
// connected the other way round is not a matter of the network: multiply its
// pressure by -1.
//
// Parts are lumped: a coil is an inductance with a resistance, without skin and
// proximity effect, self-capacitance or saturation, and coils do not couple.
package ladder
