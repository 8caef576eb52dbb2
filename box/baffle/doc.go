// Package baffle computes what stands around a driver does to its sound: the front
// panel, walls and floor. It has the radiation of flat pistons too.
//
// Effects are factors on the pressure. Of a panel it is full space over half space:
// 1/2 (−6 dB) far below, about 1 far above where its width is a wavelength or two.
// Of walls it is that with the walls over free field.
//
// A [Panel] with a [Driver] has a [Diffraction], which turns a curve in half space into
// that on the panel, in all directions within 30° of the axis; what lies beyond or
// behind is not offered, since no method here holds there. [Step] is the same as a
// simple shelf, [Sphere] the exact solution of a ball, all around. [Mounted] is a driver
// with its panel as a radiator for the crossover package, and a [Placement] looks for
// the place with the smoothest edge.
package baffle
