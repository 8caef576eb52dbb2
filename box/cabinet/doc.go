// Package cabinet computes cabinets stacked from layers of sheet: the air inside,
// the wood, the list of pieces to cut and whether they fit on a sheet.
//
// Each layer is a ring, the outer profile less the inner one. The layers stand side
// by side from left to right, so the profile is the side view of the cabinet and
// the stack gives its width; an end cap closes it on each side.
package cabinet
