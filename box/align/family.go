package align

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// A Family is a rule that vented boxes share.
type Family uint8

// The families.
const (
	// B4 is the Butterworth response, see [Butterworth]; one Qts has it.
	B4 Family = iota
	// QB3 lies below it in Qts, see [QuasiButterworth]: a smaller box, flat.
	QB3
	// C4 lies above it, see [Chebyshev]: a larger box, with ripple.
	C4
	// SC4 continues C4 below B4: flat, tuned lower than QB3.
	SC4
	// BE4 has mirrored Bessel poles, see [Bessel]; one Qts has it.
	BE4
	// TwoPairs has two pairs of poles at one frequency, equal ones where a driver
	// chooses, see [CoincidentPairs] and [Pairs].
	TwoPairs
)

func (f Family) String() string {
	switch f {
	case B4:
		return "B4"
	case QB3:
		return "QB3"
	case C4:
		return "C4"
	case SC4:
		return "SC4"
	case BE4:
		return "BE4"
	case TwoPairs:
		return "two pairs"
	}
	return fmt.Sprintf("Family(%d)", uint8(f))
}

// root8 is √(4 + 2√2), a1 and a3 of the fourth-order Butterworth polynomial.
var root8 = math.Sqrt(4 + 2*math.Sqrt2)

// Butterworth returns the alignment B4, maximally flat:
//
//	a1 = a3 = √(4 + 2√2),  a2 = 2 + √2
//
// It is tuned to fs whatever QL, and f3 = fs. QL must be 0 or above 1.307, where
// the volume grows without limit.
func Butterworth(ql float64) (Alignment, error) {
	return realise(B4, 0, ql, root8, 2+math.Sqrt2, root8)
}

// QuasiButterworth returns the alignment QB3 with the parameter b > 0:
//
//	|G|⁻² = 1 + b² (f0/f)⁶ + (f0/f)⁸
//
// which falls with the slope of third order at first (A. N. Thiele 1961, "Loudspeakers in
// Vented Boxes", from memory):
//
//	a1 = √(2 a2),  a3 = (a2² + 2)/(2 a1),  b² = a3² − 2 a2,  a2 > 2 + √2
//
// b = 0 would be B4.
func QuasiButterworth(b, ql float64) (Alignment, error) {
	if err := cmp.Or(units.Positive("align: B", b), units.NotNegative("align: QL", ql)); err != nil {
		return Alignment{}, err
	}
	// a3² − a1² rises with a2, from 0 at B4.
	lo, hi := 2+math.Sqrt2, 2+math.Sqrt2+1
	over := func(a2 float64) bool {
		a3 := (a2*a2 + 2) / (2 * math.Sqrt(2*a2))
		return (a3-math.Sqrt(2*a2))*(a3+math.Sqrt(2*a2)) > b*b
	}
	for !over(hi) {
		if hi > 1e100 {
			return Alignment{}, &units.RangeError{Field: "align: B", Value: fmt.Sprintf("%.4g", b), Want: "must be smaller"}
		}
		hi *= 2
	}
	a2 := bisect(lo, hi, over)
	a1 := math.Sqrt(2 * a2)
	return realise(QB3, b, ql, a1, a2, (a2*a2+2)/(2*a1))
}

// Chebyshev returns the alignment whose poles are those of Butterworth with the
// real parts times k: for k below 1 the family C4, which ripples between the
// reference and [ChebyshevRipple] above it; for k above 1 the family SC4, which
// falls without ripple.
//
//	a1 = (a3/√D) (1 − (1 − k²)/(2√2)),  a2 = (1 + k²(1 + √2))/√D
//	a3 = k √(4 + 2√2)/D^¼,  D = (k⁴ + 6k² + 1)/8
//
// k = tanh(asinh(1/ε)/4) in the usual notation of Chebyshev filters. The
// coefficients were derived here from the poles; forms quoted with a1 and a3
// exchanged follow the other order of indices.
func Chebyshev(k, ql float64) (Alignment, error) {
	if err := cmp.Or(units.Positive("align: k", k), units.NotNegative("align: QL", ql)); err != nil {
		return Alignment{}, err
	}
	k2 := k * k
	d := ((k2+6)*k2 + 1) / 8
	a3 := k * root8 / math.Sqrt(math.Sqrt(d))
	a2 := (1 + k2*(1+math.Sqrt2)) / math.Sqrt(d)
	a1 := a3 / math.Sqrt(d) * (1 - (1-k2)/(2*math.Sqrt2))
	f := C4
	if k > 1 {
		f = SC4
	}
	v, err := realise(f, k, ql, a1, a2, a3)
	if f == C4 {
		v.Ripple = ChebyshevRipple(k)
	}
	return v, err
}

// ChebyshevRipple returns the ripple in dB of [Chebyshev] for 0 < k <= 1:
//
//	10 log(1 + K⁴/(64 + 128 K + 80 K² + 16 K³)),  K = 1/k² − 1
//
// exactly. A form with 28 for 128 has been quoted; it is wrong, by 0.05 dB at k = 1/2.
func ChebyshevRipple(k float64) float64 {
	x := (1 - k) * (1 + k) / (k * k)
	return 10 * math.Log1p(x*x*x*x/(64+x*(128+x*(80+x*16)))) / math.Ln10
}

// ChebyshevK returns the k of [Chebyshev] for a ripple in dB, the inverse of
// [ChebyshevRipple]: k = tanh(asinh(1/ε)/4), ε² = 10^(ripple/10) − 1.
func ChebyshevK(ripple float64) (float64, error) {
	if err := units.Positive("align: ripple, dB", ripple); err != nil {
		return 0, err
	}
	e := math.Sqrt(math.Expm1(ripple / 10 * math.Ln10))
	return math.Tanh(math.Asinh(1/e) / 4), nil
}

// Bessel returns the alignment BE4, whose poles are those of the fourth-order
// Bessel low-pass with s turned into 1/s:
//
//	a1 = 105^¼,  a2 = 45/√105,  a3 = 10/105^¼
//
// The low-pass has a maximally flat delay, this high-pass does not.
func Bessel(ql float64) (Alignment, error) {
	q := math.Sqrt(math.Sqrt(105))
	return realise(BE4, 0, ql, q, 45/math.Sqrt(105), 10/q)
}

// CoincidentPairs returns the alignment tuned to fs whose two pairs of poles
// coincide: fb = fs and α = (1/Qts − 1/QL)²/4, so that both sections have
// Q = 2/(1/Qts + 1/QL). It is probably what hobby tables call SBB4: a curve
// printed under that name lies within 4 % in α and 2 % in f3, no definition was
// found. Above a section's Q of 1/√2 the response peaks, and Ripple tells how
// high. Qts must be below QL.
func CoincidentPairs(qts, ql float64) (Alignment, error) {
	if err := cmp.Or(units.Positive("align: Qts", qts), units.NotNegative("align: QL", ql)); err != nil {
		return Alignment{}, err
	}
	less := 1/qts - inverse(ql)
	if !(less > 0) {
		return Alignment{}, &units.RangeError{Field: "align: Qts", Value: fmt.Sprintf("%.4g", qts), Want: fmt.Sprintf("must be below QL, %.4g", ql)}
	}
	v := Alignment{Family: TwoPairs, QL: ql, Qts: qts, Alpha: less * less / 4, H: 1}
	v.Ripple = v.peak()
	return v, nil
}

// Pairs returns the alignment tuned to fs whose two pairs of poles have the same
// frequency and the Q q1 and q2:
//
//	a1 = a3 = 1/q1 + 1/q2,  a2 = 2 + 1/(q1 q2)
//
// With an auxiliary filter as the missing section it makes the assisted boxes of
// Thiele (1961): for a Butterworth response of sixth order, whose sections have
// Q 0.518, 0.707 and 1.932, take two of them here and the third as the filter. It is
// [B4] for 0.541 and 1.307, and [CoincidentPairs] for equal Q.
func Pairs(q1, q2, ql float64) (Alignment, error) {
	if err := cmp.Or(units.Positive("align: Q of the first pair", q1), units.Positive("align: Q of the second pair", q2)); err != nil {
		return Alignment{}, err
	}
	sum := 1/q1 + 1/q2
	v, err := realise(TwoPairs, 0, ql, sum, 2+1/(q1*q2), sum)
	if err != nil {
		return Alignment{}, err
	}
	v.Ripple = v.peak()
	return v, nil
}

// oneQ is how far, in parts, a driver's Qts may be from the only one that a family
// has: sheets print three digits.
const oneQ = 1e-3

// For returns the family's member for a driver's Qts (source resistance included)
// and the box's QL. It is an error, which names the range, if Qts is outside what
// the family has at this QL; [B4] and [BE4] have one Qts, which must be met to one
// part in a thousand, and the alignment returned has exactly that.
func (f Family) For(qts, ql float64) (Alignment, error) {
	if err := cmp.Or(units.Positive("align: Qts", qts), units.NotNegative("align: QL", ql)); err != nil {
		return Alignment{}, err
	}
	if f == TwoPairs {
		return CoincidentPairs(qts, ql)
	}
	lo, hi, err := f.Range(ql)
	if err != nil {
		return Alignment{}, err
	}
	if lo == hi {
		if !(math.Abs(qts/lo-1) <= oneQ) {
			return Alignment{}, &units.RangeError{Field: "align: Qts", Value: fmt.Sprintf("%.4g", qts), Want: fmt.Sprintf("must be %.4g for %s at this QL", lo, f)}
		}
		if f == B4 {
			return Butterworth(ql)
		}
		return Bessel(ql)
	}
	if !(qts > lo && qts < hi) {
		return Alignment{}, &units.RangeError{Field: "align: Qts", Value: fmt.Sprintf("%.4g", qts), Want: fmt.Sprintf("must be between %.4g and %.4g for %s at this QL", lo, hi, f)}
	}
	member, from, to := f.members(ql)
	log := bisect(math.Log(from), math.Log(to), func(p float64) bool {
		v, err := member(math.Exp(p))
		return err != nil || v.Qts > qts == (f == C4) // C4 goes up in Qts, the others down
	})
	return member(math.Exp(log))
}

// members returns the family as a function of its parameter, which runs from the
// neighbourhood of B4 to the family's end.
func (f Family) members(ql float64) (member func(float64) (Alignment, error), from, to float64) {
	if f == QB3 {
		return func(b float64) (Alignment, error) { return QuasiButterworth(b, ql) }, 1e-9, largestB
	}
	member = func(k float64) (Alignment, error) { return Chebyshev(k, ql) }
	if f == SC4 {
		return member, 1 + 1e-12, largestK
	}
	return member, 1 - 1e-12, smallestK
}

// Ends of the families in their parameters. QB3 goes down to a Qts of 0.007; SC4 is within
// 1e-10 of its limit, four real poles; C4 has 6 dB of ripple.
const (
	largestB  = 1e3
	largestK  = 1e5
	smallestK = 0.136
)

// Range returns the driver's Qts between which the family has members at this
// QL; lo == hi for those with one Qts. [QB3] and [SC4] end at the Qts of [B4],
// where [C4] starts. C4 ends where its ripple reaches 6 dB or, at low QL, where no
// box has the poles.
func (f Family) Range(ql float64) (lo, hi float64, err error) {
	if f > TwoPairs {
		return 0, 0, &units.RangeError{Field: "align: family", Value: f.String(), Want: "must be one of those named"}
	}
	if f == TwoPairs {
		if err := units.NotNegative("align: QL", ql); err != nil {
			return 0, 0, err
		}
		if ql == 0 {
			ql = math.Inf(1)
		}
		return 0, ql, nil
	}
	one := Butterworth
	if f == BE4 {
		one = Bessel
	}
	v, err := one(ql)
	if err != nil {
		return 0, 0, err
	}
	lo, hi = v.Qts, v.Qts
	if f == B4 || f == BE4 {
		return lo, hi, nil
	}
	member, from, to := f.members(ql)
	if end, err := member(to); err == nil {
		return min(v.Qts, end.Qts), max(v.Qts, end.Qts), nil
	}
	// Only C4 can end before its parameter does: where the volume grows without limit.
	last := math.Exp(bisect(math.Log(from), math.Log(to), func(p float64) bool {
		_, err := member(math.Exp(p))
		return err != nil
	}))
	end, err := member(last)
	if err != nil {
		end, err = member(last * (1 + 1e-12))
	}
	return lo, end.Qts, err
}
