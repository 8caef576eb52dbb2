// Package spread tells how far loudspeakers of one design differ, since no part and
// no driver is what its label says.
//
// A [Speaker] is drawn many times with a seed ([Speaker.Draw]). The draws give the
// band in which the level lies ([Draws.Bands]), the share that keeps a limit
// ([Draws.Yield]) and how well two of a pair match ([Draws.Match]).
// [Speaker.Rank] says which part matters by exact derivatives,
// [Speaker.RankByDraws] by drawing one thing at a time, and [Speaker.Worst] finds the
// worst corner of the tolerances. [Compare] tells whether one circuit is better than
// another by more than their spread.
//
// Draws are reproducible. Draw i of seed s takes its numbers from the generator
// PCG-DXSM of math/rand/v2 with the seeds s and i, in this order: for each way the
// level of its driver, then what Vary takes; then, way by way along the signal path,
// one for each part. Also what is exact takes its number. So draw i of two designs
// with the same drivers and seed has the same drivers. The work is spread over the
// processors by index; the answer does not depend on their number.
//
// What varies are the values of parts, the levels of drivers, and what the caller
// adds; losses of the parts stay. Two of a pair are drawn like any others.
package spread
