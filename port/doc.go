// Package port calculates bass-reflex vents: the length that tunes a box and
// the tuning a length gives, what ends, walls, neighbours, roundings and bends do
// to the length, how fast the air may move, what the vent loses, where the tube
// itself resonates, what tolerances do, and what else one can build if a
// vent does not fit.
//
// A vent is described by what can be measured with a rule: its inside
// dimensions, the length from mouth plane to mouth plane, the thickness of its
// material, and what each end opens into.
//
//	fB = (c/2π) √(S/(V Leff)),  Leff = L + d(outer) + d(inner)
//
// with S the area of all vents together, V the net volume of the box (vent and
// driver taken away) and d the end correction of one end.
//
// Ends are those of low frequency; [Mouth.OpenEnd] says what becomes of them (at
// ka = 0.5 a free end is 5 % shorter). Vents are taken as independent of each other
// unless Vent.Spacing is given: two mouths in one panel whose centres are three
// radii apart lengthen each other by a sixth of a radius per end, eight radii
// apart by a sixteenth.
//
// Tunings are without loss. What the walls hold on to makes the air of a vent
// of 100 mm heavier by 0.8 % at 30 Hz ([Vent.BoundaryLayer]) and the tuning lower by half of
// that; the QP of a vented box is the total of [Vent.Losses] at its tuning and at
// the air speed that it has there.
//
// Methods without an error take the vent as one that passes [Vent.Check].
package port
