// Package port calculates bass-reflex vents: the length that tunes a box and
// the tuning a length gives, what the two ends add to the length, how fast the
// air moves, where the tube itself resonates, and the volume it takes away.
//
// A vent is described by what can be measured with a rule: its inside
// dimensions, the length from mouth plane to mouth plane, the thickness of its
// material, and what each end opens into.
//
//	fB = (c/2π) √(S/(V Leff)),  Leff = L + d(outer) + d(inner)
//
// with S the area of all vents together, V the net volume of the box (vent and
// driver taken away) and d the end correction of one end. Flow is without loss
// and without limit in level; ends are sharp edged; end corrections are those
// of low frequency (at ka = 0.5 a free end is 5 % shorter). Vents side by side
// are taken as independent of each other: two mouths in one panel whose centres
// are three radii apart lengthen each other by a sixth of a radius per end,
// eight radii apart by a sixteenth.
//
// Methods without an error take the vent as one that passes [Vent.Check].
package port
