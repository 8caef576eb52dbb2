// Package filter holds the prototypes and sections from which passive
// crossovers are made.
//
// A prototype is a low-pass with its corner at 1 rad/s, as a [rational.Func]:
// [Butterworth], [LinkwitzRiley], [Bessel], [Chebyshev], [Legendre],
// [SecondOrder]. proto.Scaled(2πf) is the response of the low-pass at f,
// proto.HighPass().Scaled(2πf) that of the high-pass; [LowPass] and [HighPass]
// are the networks that give these responses into a resistance.
//
// Sections are networks, too, and join by append, from source to load: pads
// ([Pad], [SeriesPad], [TPad], [PiPad]), branches that make a driver a
// resistance ([Zobel], [LossyZobel], [ResonanceTrap]), and corrections of the
// response ([Shelf], [Notch]). Everything is per volt of a source without
// resistance. [MovingCoil] finds the one branch for a driver with coil, resonance and
// box.
//
// The equalisers [AllPass], [BandPass], [BandStop], [Peak], [LowShelf] and
// [HighShelf] are functions for 1 rad/s, for those who filter before the amplifiers;
// [Digital] makes digital sections of them and of anything else rational.
//
// [Pair] is a low- and a high-pass together: sum, power, delay, and lobes of drivers
// above one another. [AllPassThreeWay] finds the sets of three that add up to an
// all-pass.
//
// What a pair of low- and high-pass of one prototype at one frequency adds up
// to, both drivers alike and in one place:
//
//	                    polarity    sum                  each at f
//	Butterworth 1, 3    either      flat                 −3.01 dB
//	Butterworth 2       inverted    +3.01 dB at f        −3.01 dB
//	Butterworth 4       same        +3.01 dB at f        −3.01 dB
//	Linkwitz-Riley 2, 6 inverted    flat                 −6.02 dB
//	Linkwitz-Riley 4, 8 same        flat                 −6.02 dB
//	Bessel 2, PhaseNorm inverted    +1.25 dB at f        −4.77 dB
//	Bessel 4, PhaseNorm same        −1.56 dB at f        −7.58 dB
//	second order, Q = 1 inverted    +6.02 dB at f         0.00 dB
//
// Where the table names a polarity, the other one gives a null at f (for the
// fourth-order Bessel, whose phases differ by 3.7° there, −31 dB). Polarity is
// that of the network; a driver's own phase can reverse it.
package filter
