// Package cabinet computes the carpentry of a loudspeaker: the air inside, the wood,
// the pieces to cut, and how they come out of sheets.
//
// A [Stack] is layers cut as rings, each the outer profile less the inner one. They
// stand side by side from left to right, so the profile is the side view of the cabinet
// and the stack gives its width; an end cap closes it on each side. [Panels] is the box
// of flat panels. [Stack.Interlock] cuts the rings into pieces in two patterns that
// take turns; [Sheet.Cut] lays pieces out on sheets in strips, as a table saw cuts
// them, and [Sheet.Bound] says how few sheets can be enough; a [Job] is all of it for
// several cabinets.
//
// Volumes and areas of straight and curved profiles are exact but for rounding: arcs
// are never replaced by polygons.
package cabinet
