// Package outline describes closed plane outlines made of straight lines and
// circular arcs: the side view of a cabinet, the edge of a front panel.
//
// An [Outline] is a list of corners, in order, either way round. A corner may be
// rounded, and the side that leaves it may be an arc. Area, length, centre of
// area, bounds and inside test are exact: arcs are never replaced by polygons.
//
// The x axis points right, the y axis up. Corners and sides are counted from 1 in
// messages, as a person counts them.
package outline
