// Package baffle computes what stands around a driver does to its sound: the front
// panel, walls and floor.
//
// Effects are factors on the pressure. Of a panel it is full space over half space:
// 1/2 (−6 dB) far below, about 1 far above where its width is a wavelength or two.
// Of walls it is that with the walls over free field.
package baffle
