package filter

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// A ThreeWay is a set of three filters that add up to an all-pass if the middle
// way is MidLevel decibels louder than the other two.
type ThreeWay struct {
	Low, Mid, High rational.Func // of the ladders, in rad/s
	MidInverted    bool          // the middle way is connected the other way round
	MidLevel       float64       // dB
}

// AllPassThreeWay returns the three-way set of order n whose ladders, an n-th
// order low-pass at low, an n-th order high-pass at high, and both in one
// interacting ladder of 2n parts between, add up to an all-pass exactly.
//
// The order is 1 to 4. For orders 1 and 3 the middle way has either polarity, for 2
// it must be inverted, for 4 it must not. high is from 3 to 1000 times low. The
// filters are near those of Butterworth (odd orders) and Linkwitz-Riley (even), and
// come as close to them as the two frequencies are apart.
//
// With s in units of the geometric mean, the low-pass 1/P(s), the high-pass 1/P(1/s)
// mirrors it and the middle is K sⁿ over the product of both denominators. P and K
// follow from |sum| = 1 by Newton's iteration. The idea is from R. M. Bullock,
// "Passive three-way all-pass crossover networks", Journal of the Audio Engineering
// Society 32 (1984) (from memory).
func AllPassThreeWay(order int, low, high units.Frequency, midInverted bool) (ThreeWay, error) {
	if order < 1 || order > 4 {
		return ThreeWay{}, &units.RangeError{Field: "filter: order of three-way", Value: fmt.Sprint(order), Want: "must be from 1 to 4"}
	}
	if err := cmp.Or(
		units.Positive("filter: lower crossover frequency", low),
		units.Within("filter: upper crossover frequency", high, 3*low, 1000*low),
	); err != nil {
		return ThreeWay{}, err
	}
	if order%2 == 0 && midInverted != (order == 2) {
		return ThreeWay{}, &units.RangeError{Field: "filter: middle of order", Value: fmt.Sprint(order),
			Want: "must be inverted for order 2 and must not for order 4"}
	}
	r := float64(high) / float64(low)
	p, k, err := allPassDenominator(order, r, midInverted)
	if err != nil {
		return ThreeWay{}, err
	}
	lp, err := rational.FromPolynomials([]float64{1}, p)
	if err != nil {
		return ThreeWay{}, err
	}
	w := 2 * math.Pi * math.Sqrt(float64(low)*float64(high))
	t := ThreeWay{Low: lp, High: lp.HighPass(), MidInverted: midInverted}
	t.Mid = rational.Func{Zeros: make([]complex128, order), Poles: slices.Concat(t.Low.Poles, t.High.Poles), Gain: 1}
	g, err := bandPassElements(t.Mid)
	if err != nil {
		return ThreeWay{}, err
	}
	// Far above its band only the low-pass half counts, and falls as 1/Π g.
	for _, e := range g.lowPass {
		t.Mid.Gain /= e
	}
	t.MidLevel = 20 * math.Log10(k/t.Mid.Gain)
	t.Low, t.Mid, t.High = t.Low.Scaled(w), t.Mid.Scaled(w), t.High.Scaled(w)
	return t, nil
}

// At returns the sum of the three at s in rad/s, the middle way with its level and
// polarity.
func (t ThreeWay) At(s complex128) complex128 {
	k := math.Pow(10, t.MidLevel/20)
	if t.MidInverted {
		k = -k
	}
	return t.Low.At(s) + complex(k, 0)*t.Mid.At(s) + t.High.At(s)
}

// Networks returns the three ladders, each from a source without resistance into its
// load. The middle one has the high-pass half at the source, in the third order the
// low-pass half; the other way round its values would be others. Its gain within the
// band is above 1, which MidLevel allows for.
//
// t is as [AllPassThreeWay] returned it.
func (t ThreeWay) Networks(low, mid, high units.Resistance) (l, m, h ladder.Network, err error) {
	const radian = units.Frequency(1 / (2 * math.Pi)) // the prototypes are in rad/s already
	if l, err = LowPass(t.Low, radian, low); err != nil {
		return nil, nil, nil, err
	}
	if h, err = HighPass(t.High.HighPass(), radian, high); err != nil {
		return nil, nil, nil, err
	}
	if err := units.Positive("filter: load", mid); err != nil {
		return nil, nil, nil, err
	}
	g, err := bandPassElements(t.Mid)
	if err != nil {
		return nil, nil, nil, err
	}
	// Elements of the first, third ... place of their half are in the signal path.
	half := func(values []float64, coilInPath bool) (n ladder.Network) {
		for i, v := range values {
			part := ladder.C(units.Capacitance(v / float64(mid)))
			if (i%2 == 0) == coilInPath {
				part = ladder.L(units.Inductance(v * float64(mid)))
			}
			if i%2 == 0 {
				n = append(n, ladder.Series(part))
			} else {
				n = append(n, ladder.Shunt(part))
			}
		}
		return n
	}
	lowPart, highPart := half(g.lowPass, true), half(g.highPass, false)
	if len(lowPart) == 3 {
		return l, append(lowPart, highPart...), h, nil
	}
	return l, append(highPart, lowPart...), h, nil
}
