// Package search finds the networks of a speaker: the values of given networks by
// least squares ([Problem.Tune]), the same from what a catalogue has by trying every
// combination near ([Problem.Shelf]), and the best of all sensible two-way circuits
// of up to a number of parts ([Problem.Best]).
//
// # What is wanted
//
// A [Problem] is a speaker and an objective. What is made small is [Score.Flatness]:
// the RMS deviation, in dB, of the sum on axis and of the mean of the window from a
// straight line that may fall by up to 1 dB per decade. What must be kept are limits:
// the lowest crossing, the load, the travel of the drivers, the resistance before the
// woofer, and the price. Safe limits hold where none is given; [Off] takes one away,
// so that nothing is loosened but by name.
//
// # The grammar of circuits
//
// [Circuits] lists them. Each way has a ladder of arms, from the source to the driver.
// An arm in series joins its parts in parallel, a shunt arm in series:
//
//	woofer, series   L   L|C   L|R   L|C|R
//	woofer, shunt    C   R+C   L+C   R+L+C
//	tweeter, series  C   R   C|R   L|C   R|L|C
//	tweeter, shunt   L   R   R+L   R+C   L+C   R+L+C
//
// The woofer may go without a network. These rules drop what is equal to another
// circuit, or of no use:
//
//   - The first arm is in series: a shunt arm across the source only loads it.
//   - Of neighbours of one place the order does not matter, so they stand in that of
//     the table; never two equal ones, which one arm can stand for, and never three.
//   - The tweeter has a capacitor alone in series, which keeps all DC from it.
//   - R+C at a tweeter, against its coil's inductance, stands at the driver.
//
// Resistors before the woofer, coils before the tweeter and capacitors across it
// work against their way and are not in the table. Every circuit is tried with the
// tweeter in both polarities.
package search
