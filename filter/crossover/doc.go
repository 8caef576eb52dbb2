// Package crossover adds the ways of a loudspeaker up: drivers with their
// networks, places and polarities give the pressure at points in space and the
// load on the amplifier.
//
// It knows a driver only as a [Radiator]: impedance, and pressure per volt at its
// terminals. Everything is linear; [Sample] turns the ways into numbers on one
// grid, and [Field.Evaluate] is then quick enough to sit inside a search. The
// amplifier is a source without resistance; with a cable of impedance Zc to a load
// Z everything is Z/(Z + Zc) of what it is here.
//
// The x axis points right as the listener sees the speaker, y up, z from the
// speaker to the listener; lengths are in metres.
package crossover
