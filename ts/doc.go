// Package ts turns the published figures of a loudspeaker driver into one
// self-consistent small-signal model, and audits figures that contradict each
// other.
//
// A [Sheet] holds whatever a maker prints. [Sheet.Driver] finds the six numbers
// that fix a linear driver (Re, Bl, Mms, Cms, Rms, Sd) by the best route the
// figures allow and tells the steps; [Sheet.Audit] compares every printed figure
// with what the others imply. [Sheet.Reconcile] finds the most plausible driver behind
// all figures at once, and how well each is known; [Sheet.Culprits] names the figures
// that must be wrong. A [Driver] gives all derived figures back, with the lossy coil
// ([Coil]), the creep of the suspension and the heat ([Thermal]); drivers combine and
// change, and a [Spread] draws those of one production run.
//
// Relations and symbols follow R. H. Small, "Direct-Radiator Loudspeaker System
// Analysis", J. Audio Eng. Soc. 20(5), 1972 (from memory), each checked against a
// second solution. Levels are at 1 m in half space.
package ts
