// Package filter holds the prototypes and sections from which passive
// crossovers are made.
//
// A prototype is a low-pass with its corner at 1 rad/s, as a [rational.Func]:
// [Butterworth], [LinkwitzReilly], [Bessel], [Chebyshev], [Legendre],
// [SecondOrder]. proto.Scaled(2πf) is the low-pass at f and
// proto.HighPass().Scaled(2πf) the high-pass.
package filter
