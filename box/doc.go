// Package box computes a driver in an enclosure: pressure, travel of the cone,
// impedance, air speed in the vent, and the voltage at which something reaches
// its limit.
//
// A [System] solves the complete electro-mechano-acoustic circuit at each
// frequency; an [Enclosure] decides only what the air around the cone does:
// [InfiniteBaffle], [Closed], [Vented], [PassiveRadiator], [Bandpass4], [Bandpass6]
// and [Bandpass6Series]. The closed forms of the literature ([ClosedAlignment],
// [System.Functions]) stand beside it as rational functions, and agree with it to
// rounding where their assumptions hold: no voice-coil inductance.
//
// Everything is linear and per volt (RMS) at the driver's terminals; levels are
// at 1 m in half space. What stands before the terminals (amplifier, cable, coils,
// a whole network) multiplies: a network solved into [Point.Impedance], times the
// pressure, is exact. A finished speaker in a room radiates otherwise: see the
// panel's effect in the other packages.
package box
