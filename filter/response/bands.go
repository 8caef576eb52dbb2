package response

import (
	"fmt"
	"math"
)

// A Band is a fractional-octave band.
type Band struct {
	Lo, Mid, Hi float64 // lower edge, exact midband frequency, upper edge, in hertz
}

// Bands returns the bands of 1/b octave from the one in which lo lies to the one in
// which hi lies, so that nominal frequencies will do: 31.5 for 31.62 Hz. A limit that
// is an edge itself adds no band outside.
//
// They are those of IEC 61260-1, octave ratio G = 10^0.3, reference frequency 1 kHz:
//
//	midband  1000·G^(x/b)         b odd
//	         1000·G^((2x+1)/2b)   b even
//	edges    midband·G^(±1/2b)
//
// for whole x. Neighbours share an edge to the last bit. It panics unless 0 < lo < hi,
// finite, and b > 0.
func Bands(b int, lo, hi float64) []Band {
	if !(lo > 0 && lo < hi) || math.IsInf(hi, 0) || b < 1 {
		panic("response: bands need 0 < lo < hi and a positive fraction")
	}
	// Edges and midbands stand half a band apart; midbands are those with an even
	// number if b is odd, with an odd one if b is even.
	at := func(half int) float64 { return math.Pow(10, 3+float64(3*half)/float64(20*b)) }
	edge := -(b % 2)                    // the lower one of x = 0
	number := func(f float64) float64 { // in bands above the lower edge of x = 0
		return (float64(20*b)*(math.Log10(f)-3)/3 - float64(edge)) / 2
	}
	const near = 1e-9
	first := int(math.Floor(number(lo) + near))
	last := max(first, int(math.Ceil(number(hi)-near))-1)
	bands := make([]Band, 0, last-first+1)
	for x := first; x <= last; x++ {
		half := edge + 2*x
		bands = append(bands, Band{at(half), at(half + 1), at(half + 2)})
	}
	return bands
}

// InBands returns the magnitude of c in each band of 1/b octave that lies wholly
// within c, at its midband frequency: the root of the mean of |H|² over the logarithm
// of frequency, as pink noise measured through such filters would give it if they
// were ideal. The result has no phase. It is an error if b is not from 1 to 1000, if c
// fails [Curve.Check], or if it holds fewer than two bands.
func (c Curve) InBands(b int) (Curve, error) {
	if err := checkFraction(b); err != nil {
		return Curve{}, err
	}
	p, err := c.power()
	if err != nil {
		return Curve{}, err
	}
	lo, hi := c.span()
	out := Curve{Taken: c.Taken, From: c.From}
	for _, band := range Bands(b, lo, hi) {
		if band.Lo >= lo*(1-rounding) && band.Hi <= hi*(1+rounding) {
			a, b := math.Log(max(band.Lo, lo)), math.Log(min(band.Hi, hi))
			out.Hz, out.H = append(out.Hz, band.Mid), append(out.H, complex(p.rms(a, b), 0))
		}
	}
	if err := out.Check(); err != nil {
		return Curve{}, fmt.Errorf("response: bands of 1/%d octave within %s to %s: %w", b, hertz(lo), hertz(hi), err)
	}
	return out, nil
}
