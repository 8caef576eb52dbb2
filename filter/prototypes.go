package filter

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// maxOrder is the highest order of a prototype. Beyond it the coefficients of
// a polynomial no longer carry its roots in float64.
const maxOrder = 12

// A Norm says which property of a Bessel low-pass is put at 1 rad/s. The three
// differ by up to a factor of two in frequency, so two tables of "Bessel"
// values agree only if their norms do.
type Norm int

const (
	// DelayNorm makes the group delay at DC 1 s.
	DelayNorm Norm = iota
	// PhaseNorm makes the first and the last coefficient of the denominator 1,
	// which gives the asymptotes of a Butterworth of the same order. At 1 rad/s
	// low- and high-pass have each turned through about half of their final
	// phase: exactly for orders 1 and 2, within 1.9° for 3 and 4, 20° for 12.
	PhaseNorm
	// MagnitudeNorm puts the half-power point (−3.0103 dB) at 1 rad/s.
	MagnitudeNorm
)

// Butterworth returns the maximally flat low-pass of order n = 1 to 12: half
// power (−3.0103 dB) at 1 rad/s, poles exp(jπ(2k+n−1)/(2n)), k = 1 … n.
//
// S. Butterworth, "On the theory of filter amplifiers", Experimental Wireless
// and the Wireless Engineer 7 (1930).
func Butterworth(n int) (rational.Func, error) {
	if err := checkOrder("Butterworth", n); err != nil {
		return rational.Func{}, err
	}
	return lowPass(onEllipse(n, 1, 1)), nil
}

// LinkwitzRiley returns the square of the Butterworth of half the order, for
// even n = 2 to 24: −6.0206 dB at 1 rad/s. The low- and high-pass add up to an
// all-pass, for n = 2, 6, 10 ... with one of them inverted. An odd order does
// not exist.
//
// S. Linkwitz, "Active crossover networks for noncoincident drivers", Journal
// of the Audio Engineering Society 24(1), 1976.
func LinkwitzRiley(n int) (rational.Func, error) {
	if n%2 != 0 || n < 2 || n > 2*maxOrder {
		return rational.Func{}, &units.RangeError{
			Field: "filter: Linkwitz-Riley order", Value: fmt.Sprint(n),
			Want: fmt.Sprintf("must be even, from 2 to %d", 2*maxOrder),
		}
	}
	half := onEllipse(n/2, 1, 1)
	return lowPass(append(half, half...)), nil
}

// Chebyshev returns the low-pass of order n = 1 to 12 whose pass band ripples
// by ripple dB (0.001 to 12) up to its edge at 1 rad/s. The gain at DC is 1,
// as it must be for a passive network on a source without resistance; so the
// response lies between −ripple and 0 dB if n is odd, and between 0 and
// +ripple dB if n is even, where it is back at 0 dB at the edge.
//
// What handbooks of loudspeaker crossovers call a second-order Chebyshev is
// [SecondOrder] with Q = 1.
//
// Poles −sinh v sin t ± j cosh v cos t with t = π(2k−1)/(2n), v = asinh(1/e)/n
// and e² = 10^(ripple/10) − 1: L. Weinberg, Network Analysis and Synthesis,
// 1962.
func Chebyshev(n int, ripple float64) (rational.Func, error) {
	if err := checkOrder("Chebyshev", n); err != nil {
		return rational.Func{}, err
	}
	if !(ripple >= 0.001 && ripple <= 12) {
		return rational.Func{}, &units.RangeError{
			Field: "filter: Chebyshev ripple", Value: fmt.Sprintf("%v dB", ripple), Want: "must be from 0.001 dB to 12 dB",
		}
	}
	e := math.Sqrt(math.Expm1(ripple * math.Ln10 / 10))
	v := math.Asinh(1/e) / float64(n)
	return lowPass(onEllipse(n, math.Sinh(v), math.Cosh(v))), nil
}

// SecondOrder returns the low-pass 1/(s² + s/Q + 1), whose gain at 1 rad/s is
// Q: 1/2 is [LinkwitzRiley], 1/√3 [Bessel] in the phase norm, 1/√2
// [Butterworth], and 1 is called Chebyshev in handbooks. Q is from 0.05 to 50.
func SecondOrder(q float64) (rational.Func, error) {
	if err := units.Within("filter: Q", q, 0.05, 50); err != nil {
		return rational.Func{}, err
	}
	return rational.FromPolynomials([]float64{1}, []float64{1, 1 / q, 1})
}

// Bessel returns the low-pass of order n = 1 to 12 with maximally flat group
// delay, in the given norm. Its denominator in the delay norm is
// Σ (2n−k)! s^k / (2^(n−k) k! (n−k)!).
//
// W. E. Thomson, "Delay networks having maximally flat frequency
// characteristics", Proceedings of the IEE 96 (1949).
func Bessel(n int, norm Norm) (rational.Func, error) {
	if err := checkOrder("Bessel", n); err != nil {
		return rational.Func{}, err
	}
	d := besselPolynomial(n)
	f, err := rational.FromPolynomials(d[:1], d)
	if err != nil {
		return rational.Func{}, err
	}
	switch norm {
	case DelayNorm:
		return f, nil
	case PhaseNorm:
		return f.Scaled(math.Pow(d[0], -1/float64(n))), nil
	case MagnitudeNorm:
		return f.Scaled(1 / halfPower(f)), nil
	}
	return rational.Func{}, &units.RangeError{
		Field: "filter: Bessel norm", Value: fmt.Sprint(int(norm)), Want: "must be DelayNorm, PhaseNorm or MagnitudeNorm",
	}
}

// besselPolynomial returns the reverse Bessel polynomial, whose coefficients
// are integers, by θ(n) = (2n−1)θ(n−1) + s²θ(n−2).
func besselPolynomial(n int) []float64 {
	before, now := []float64{1}, []float64{1, 1}
	for m := 2; m <= n; m++ {
		next := make([]float64, m+1)
		for k, c := range now {
			next[k] = float64(2*m-1) * c
		}
		for k, c := range before {
			next[k+2] += c
		}
		before, now = now, next
	}
	return now
}

// halfPower returns the angular frequency at which a low-pass that falls
// steadily from 1 at DC has lost half of the power.
func halfPower(f rational.Func) float64 {
	lo, hi := 0.0, 1.0
	at := func(w float64) float64 { return cmplx.Abs(f.At(complex(0, w))) }
	for at(hi) > math.Sqrt2/2 {
		hi *= 2
	}
	for {
		w := lo + (hi-lo)/2
		if w <= lo || w >= hi {
			return w
		}
		if at(w) > math.Sqrt2/2 {
			lo = w
		} else {
			hi = w
		}
	}
}

// onEllipse returns the n poles in the left half plane on the ellipse with
// half axes a along the real and b along the imaginary axis, conjugates side by
// side.
func onEllipse(n int, a, b float64) []complex128 {
	var poles []complex128
	for k := range n / 2 {
		sin, cos := math.Sincos(math.Pi * float64(2*k+1) / float64(2*n))
		poles = append(poles, complex(-a*sin, b*cos), complex(-a*sin, -b*cos))
	}
	if n%2 == 1 {
		poles = append(poles, complex(-a, 0))
	}
	return poles
}

// lowPass returns the all-pole low-pass with gain 1 at DC.
func lowPass(poles []complex128) rational.Func {
	gain := complex(1, 0)
	for _, p := range poles {
		gain *= -p
	}
	return rational.Func{Poles: poles, Gain: real(gain)}
}

func checkOrder(family string, n int) error {
	if n < 1 || n > maxOrder {
		return &units.RangeError{
			Field: "filter: " + family + " order", Value: fmt.Sprint(n), Want: fmt.Sprintf("must be from 1 to %d", maxOrder),
		}
	}
	return nil
}
