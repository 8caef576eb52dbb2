package filter

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// A Biquad is the digital section
//
//	H(z) = (B0 + B1 z⁻¹ + B2 z⁻²) / (1 + A1 z⁻¹ + A2 z⁻²)
//
// so y[n] = B0 x[n] + B1 x[n−1] + B2 x[n−2] − A1 y[n−1] − A2 y[n−2]. Some processors
// want A1 and A2 with the opposite sign. A first-order section has B2 = A2 = 0.
type Biquad struct{ B0, B1, B2, A1, A2 float64 }

// At returns the response at the frequency f with the sampling rate fs, 0 ≤ f ≤ fs/2.
// With poles far below fs the coefficients nearly cancel, whoever computes with them:
// for a corner of 20 Hz at 48 kHz some ten digits are left.
func (b Biquad) At(f, fs units.Frequency) complex128 {
	z := cmplx.Rect(1, -2*math.Pi*float64(f)/float64(fs)) // z⁻¹
	return (complex(b.B0, 0) + z*(complex(b.B1, 0)+z*complex(b.B2, 0))) / (1 + z*(complex(b.A1, 0)+z*complex(b.A2, 0)))
}

// Stable says whether both poles lie within the unit circle: |A2| < 1 and
// |A1| < 1 + A2.
func (b Biquad) Stable() bool { return math.Abs(b.A2) < 1 && math.Abs(b.A1) < 1+b.A2 }

// Digital returns the sections that together do what f does, by the bilinear
// transform
//
//	s = K (1 − z⁻¹)/(1 + z⁻¹), K = 2π·match/tan(π·match/fs)
//
// at the sampling rate fs. At the frequency match, and at 0, the response is that of
// f exactly; any other frequency f stands where K·tan(πf/fs) was, and the whole axis
// ends at fs/2. Bandwidths shrink accordingly.
//
// For the second-order sections at 1 rad/s, scaled to f0 and matched there,
//
//	proto.Scaled(2πf0), match = f0
//
// the coefficients are those of R. Bristow-Johnson, "Audio EQ Cookbook", W3C Working
// Group Note, 8 June 2021: low- and high-pass of [SecondOrder], [BandPass] (of constant
// 0 dB peak), [BandStop] (there notch), [AllPass], [Peak], [LowShelf], [HighShelf].
//
// The sections stand in the order of their poles' closeness to the unit circle, each
// pair of poles with the zeros next to it. All but the first have gain 1 at DC, or at
// fs/2 if they are blind there, or at match; the first carries the rest. A constant
// is one section.
//
// f must be stable and have at most as many zeros as poles; match lies between 0 and
// fs/2.
func Digital(f rational.Func, fs, match units.Frequency) ([]Biquad, error) {
	if err := checkAnalog(f, fs, match); err != nil {
		return nil, err
	}
	k := 2 * math.Pi * float64(match) / math.Tan(math.Pi*float64(match/fs))
	// Each factor s − r becomes (K−r)(1 − q z⁻¹)/(1 + z⁻¹) with q = (K+r)/(K−r).
	gain := complex(f.Gain, 0)
	image := func(roots []complex128) []complex128 {
		out := make([]complex128, len(roots))
		for i, r := range roots {
			out[i] = (complex(k, 0) + r) / (complex(k, 0) - r)
		}
		return out
	}
	for i, p := range f.Poles {
		gain /= complex(k, 0) - p
		if i < len(f.Zeros) {
			gain *= complex(k, 0) - f.Zeros[i]
		}
	}
	zeros, poles := image(f.Zeros), image(f.Poles)
	for len(zeros) < len(poles) {
		zeros = append(zeros, -1) // what the zeros at infinity become
	}
	return sections(zeros, poles, real(gain), match/fs), nil
}

func checkAnalog(f rational.Func, fs, match units.Frequency) error {
	if err := f.Check(); err != nil {
		return fmt.Errorf("filter: %w", err)
	}
	if !f.Stable() || len(f.Zeros) > len(f.Poles) {
		return &units.RangeError{Field: "filter: function", Value: fmt.Sprintf("of %d zeros and %d poles", len(f.Zeros), len(f.Poles)),
			Want: "must be stable and have no more zeros than poles"}
	}
	if err := units.Positive("filter: sampling rate", fs); err != nil {
		return err
	}
	if !(match > 0 && match < fs/2) {
		return &units.RangeError{Field: "filter: matched frequency", Value: match.String(),
			Want: fmt.Sprintf("must be above 0 Hz and below %v, half of the sampling rate", fs/2)}
	}
	return nil
}

// sections joins as many zeros as poles in z to sections of two.
func sections(zeros, poles []complex128, gain float64, match units.Frequency) []Biquad {
	z, p := inPairs(zeros), inPairs(poles)
	radius := func(pair [2]complex128) float64 { return max(cmplx.Abs(pair[0]), cmplx.Abs(pair[1])) }
	slices.SortStableFunc(p, func(a, b [2]complex128) int { return cmp.Compare(radius(a), radius(b)) })
	all := make([]Biquad, len(p))
	// The poles that are closest to the unit circle choose first.
	for i, p := range slices.Backward(p) {
		nearest := 0
		for j := range z {
			if distance(z[j], p) < distance(z[nearest], p) {
				nearest = j
			}
		}
		q := z[nearest]
		z = slices.Delete(z, nearest, nearest+1)
		all[i] = Biquad{
			B0: 1, B1: -real(q[0] + q[1]), B2: real(q[0] * q[1]),
			A1: -real(p[0] + p[1]), A2: real(p[0] * p[1]),
		}
	}
	if len(all) == 0 {
		all = []Biquad{{B0: 1}}
	}
	for i := 1; i < len(all); i++ {
		one := all[i].level(match)
		all[i] = all[i].times(1 / one)
		gain *= one
	}
	all[0] = all[0].times(gain)
	return all
}

// inPairs joins conjugates, and real roots with their neighbours. One root that is
// left stands with 0, which is no root in z⁻¹.
func inPairs(roots []complex128) [][2]complex128 {
	var pairs [][2]complex128
	var reals []float64
	for _, r := range roots {
		switch {
		case imag(r) > 0:
			pairs = append(pairs, [2]complex128{r, cmplx.Conj(r)})
		case imag(r) == 0:
			reals = append(reals, real(r))
		}
	}
	slices.Sort(reals)
	for ; len(reals) > 1; reals = reals[2:] {
		pairs = append(pairs, [2]complex128{complex(reals[0], 0), complex(reals[1], 0)})
	}
	if len(reals) == 1 {
		pairs = append(pairs, [2]complex128{complex(reals[0], 0)})
	}
	return pairs
}

// distance is infinite between a pair and a root that stands alone.
func distance(a, b [2]complex128) float64 {
	if (a[1] == 0) != (b[1] == 0) {
		return math.Inf(1)
	}
	return cmplx.Abs(a[0]-b[0]) + cmplx.Abs(a[1]-b[1])
}

// level returns the gain at DC, at half the sampling rate if that is 0, or the modulus
// at match, given in parts of the sampling rate.
func (b Biquad) level(match units.Frequency) float64 {
	const none = 1e-9
	if n := b.B0 + b.B1 + b.B2; math.Abs(n) > none {
		return n / (1 + b.A1 + b.A2)
	}
	if n := b.B0 - b.B1 + b.B2; math.Abs(n) > none {
		return n / (1 - b.A1 + b.A2)
	}
	return cmplx.Abs(b.At(match, 1))
}

func (b Biquad) times(k float64) Biquad {
	b.B0 *= k
	b.B1 *= k
	b.B2 *= k
	return b
}
