package response

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// Smooth returns c smoothed over 1/b octave, b = 1, 3, 6, 12, 24 ... At each frequency
// f the magnitude becomes the root of the mean of |H|², over the logarithm of
// frequency, from f·G^(−1/2b) to f·G^(1/2b), with the octave ratio G = 10^0.3 of IEC
// 61260-1. The mean is of the same interpolant as in [Curve.Resample], so it does not
// depend on how the points are spaced.
//
// Power is averaged because it adds for sounds that have nothing to do with each
// other, as pink noise does in bands: at a midband frequency it is the level of the
// band ([Curve.InBands]). Levels in decibels would give a notch the weight of a peak,
// and complex values would fade wherever time of flight is left in the phase. A
// logarithmic axis keeps the window symmetric about f as one hears and draws it; a
// mean over f itself would lean to high frequencies. (Sources for the choice: J. G.
// Tylka, B. B. Boren, E. Y. Choueiri, Journal of the Audio Engineering Society 65,
// 2017, 239, on windows that skew; P. D. Hatziantoniou, J. N. Mourjopoulos, the same
// journal 48, 2000, 259, on smoothing complex values.)
//
// Near an end the window is cut on both sides alike, down to nothing at the end
// itself, so that a slope is not pulled to one side. A straight slope of n·6 dB an
// octave keeps its slope, but comes out higher by 10 lg(sinh z/z), z = n ln G/b: for
// 24 dB an octave by 4.6 dB over whole octaves, 0.6 dB over thirds, 0.04 dB over
// twelfths; this rise goes to nothing towards an end.
//
// The phase stays as it is. It belongs to the curve before smoothing: a mean of it
// would need unwrapping, which noise defeats, and would stretch every delay. For the
// phase that belongs to the smoothed level take [Curve.MinimumPhase] of the result.
//
// Points below c.From stay as they are and enter no mean. It is an error if b is not
// from 1 to 1000 or if c fails [Curve.Check]. Work grows as n log n.
func (c Curve) Smooth(b int) (Curve, error) {
	if err := checkFraction(b); err != nil {
		return Curve{}, err
	}
	p, err := c.power()
	if err != nil {
		return Curve{}, err
	}
	first, last := c.span()
	lo, hi := math.Log(first), math.Log(last)
	half := 0.3 * math.Ln10 / float64(2*b)
	out := c
	out.H = make([]complex128, len(c.H))
	for i, x := range p.x {
		out.H[i] = c.H[i]
		w := min(half, x-lo, hi-x)
		if !(w > 0) {
			continue
		}
		m := p.rms(x-w, x+w)
		if c.HasPhase {
			out.H[i] *= complex(m/cmplx.Abs(c.H[i]), 0)
		} else {
			out.H[i] = complex(m, 0)
		}
	}
	// Of levels 3000 dB apart the lesser has no power left.
	if err := out.Check(); err != nil {
		return Curve{}, fmt.Errorf("response: smoothed: %w", err)
	}
	return out, nil
}

// Mean returns the root of the mean of |H|² over the logarithm of frequency from lo
// to hi: the magnitude in that band, as pink noise would give it. In decibels it is a
// mean level, by which curves are set to one height ([Curve.Shift]). It is an error if
// c fails [Curve.Check] or if the band is empty or not within c.
func (c Curve) Mean(lo, hi units.Frequency) (float64, error) {
	p, err := c.power()
	if err != nil {
		return 0, err
	}
	if err := c.Covers(lo, hi); err != nil {
		return 0, err
	}
	first, last := c.span()
	a, b := math.Log(max(float64(lo), first)), math.Log(min(float64(hi), last))
	if !(a < b) {
		return 0, &units.RangeError{Field: "response: band", Value: hertz(float64(lo)) + " to " + hertz(float64(hi)),
			Want: "must not be empty"}
	}
	return p.rms(a, b), nil
}

// finest is the finest fraction of an octave: nothing measured needs it, and a slip
// of the keyboard must not ask for a billion bands.
const finest = 1000

func checkFraction(b int) error {
	if b >= 1 && b <= finest {
		return nil
	}
	return &units.RangeError{Field: "response: bands", Value: fmt.Sprintf("1/%d octave", b),
		Want: fmt.Sprintf("must be from 1/1 to 1/%d octave", finest)}
}
