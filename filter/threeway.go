package filter

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

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

// halves are the elements of a band-pass in henries and farads for 1 Ω, in the
// order of the signal path.
type halves struct{ lowPass, highPass []float64 }

// bandPassElements returns the ladder that gives K sⁿ over a denominator of order
// 2n between a source without resistance and 1 Ω.
func bandPassElements(f rational.Func) (halves, error) {
	// What the load looks into, with the source shorted, is a reactance: the ratio of
	// the even and the odd part of the denominator. Its poles at infinity are the
	// elements of a low-pass half, those at zero the elements of a high-pass half, from
	// the load on. The half at the load ends with a part across it (even order) or in
	// the path; either ratio starts with the part next to the load.
	d := rational.Polynomial(f.Poles, 1)
	n := len(f.Poles) / 2
	var g halves
	if n%2 == 0 {
		g.lowPass, d = fromInfinity(d, n)
		g.highPass, _ = fromZero(d, n)
	} else {
		g.highPass, d = fromZero(d, n)
		g.lowPass, _ = fromInfinity(d, n)
	}
	for _, v := range slices.Concat(g.lowPass, g.highPass) {
		if !(v > 0) || math.IsInf(v, 0) {
			return halves{}, &units.RangeError{Field: "filter: element of the middle way", Value: fmt.Sprint(v), Want: "must be positive and finite"}
		}
	}
	return g, nil
}

// fromInfinity takes n elements of a low-pass half from the load's end of a ladder
// with the denominator d, and returns them from the source's end, and the denominator
// that is left.
func fromInfinity(d []float64, n int) (g, rest []float64) {
	d = slices.Clone(d)
	g = make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		top := len(d) - 1
		g[i] = d[top] / d[top-1]
		for k := top - 2; k >= 1; k -= 2 {
			d[k] -= g[i] * d[k-1]
		}
		d = d[:top]
	}
	return g, d
}

// fromZero takes n elements of a high-pass half: the mirror image of fromInfinity.
func fromZero(d []float64, n int) (g, rest []float64) {
	d = slices.Clone(d)
	slices.Reverse(d)
	g, d = fromInfinity(d, n)
	slices.Reverse(d)
	for i := range g {
		g[i] = 1 / g[i]
	}
	return g, d
}

// allPassDenominator returns the low-pass denominator P of a three-way set with
// crossover frequencies r apart, in ascending powers of s in units of their geometric
// mean, and the gain K of the middle way.
func allPassDenominator(n int, r float64, inverted bool) (p []float64, k float64, err error) {
	// Normalised at its own corner P begins and ends with 1. Start from the family
	// that the set approaches as r grows.
	start := lowPass(onEllipse(n, 1, 1))
	if n%2 == 0 {
		half := onEllipse(n/2, 1, 1)
		start = lowPass(append(half, half...))
	}
	a := rational.Polynomial(start.Poles, 1)
	sign := 1.0
	if inverted {
		sign = -1
	}
	root := math.Sqrt(r)
	k = math.Pow(root, float64(n))
	// P has the coefficients a_j √r^j; Q = sⁿP(1/s) has them in reverse order. Over
	// PQ, which the middle way has for a denominator, the sum is
	//
	//	N = Q + sⁿP ± √rⁿ K sⁿ, and |N| = |PQ| on the axis.
	//
	// Both sides are even in s and mirrored about sⁿ, so n coefficients are left, as
	// many as there are unknowns: a₁ … a₍ₙ₋₁₎ and K.
	scale := math.Pow(root, float64(n))
	power := func(j int) float64 { return math.Pow(root, float64(j)) }
	for range 50 {
		p = make([]float64, n+1)
		for j := range p {
			p[j] = a[j] * power(j)
		}
		q := slices.Clone(p)
		slices.Reverse(q)
		m := times(p, q)
		sum := plus(q, shifted(p, n))
		sum[n] += sign * scale * k
		residue := even(plus(product(sum), scaledBy(product(m), -1)), n)
		jacobian := mat.NewDense(n, n, nil)
		for j := 1; j <= n; j++ {
			var dSum, dM []float64
			if j < n {
				one := shifted([]float64{power(j)}, j)
				mirrored := shifted([]float64{power(j)}, n-j)
				dSum = plus(mirrored, shifted(one, n))
				dM = plus(times(one, q), times(p, mirrored))
			} else {
				dSum = shifted([]float64{sign * scale}, n)
				dM = []float64{0}
			}
			column := even(plus(crossed(dSum, sum), scaledBy(crossed(dM, m), -1)), n)
			jacobian.SetCol(j-1, column)
		}
		var step mat.VecDense
		if err := step.SolveVec(jacobian, mat.NewVecDense(n, residue)); err != nil {
			break
		}
		largest := 0.0
		for j := 1; j < n; j++ {
			a[j] -= step.AtVec(j - 1)
			largest = max(largest, math.Abs(step.AtVec(j-1)/a[j]))
		}
		k -= step.AtVec(n - 1)
		if largest = max(largest, math.Abs(step.AtVec(n-1)/k)); largest <= 1e-13 {
			for j := range p {
				p[j] = a[j] * power(j)
			}
			return p, k, nil
		}
	}
	return nil, 0, fmt.Errorf("filter: no three-way set of order %d for crossover frequencies %v apart was found", n, r)
}

// product returns p(s)p(−s).
func product(p []float64) []float64 {
	mirrored := slices.Clone(p)
	for k := 1; k < len(p); k += 2 {
		mirrored[k] = -mirrored[k]
	}
	return times(p, mirrored)
}

// crossed returns the derivative of product(p) toward dp, d(s)p(−s) + p(s)d(−s).
func crossed(dp, p []float64) []float64 {
	both := plus(dp, p)
	return scaledBy(plus(plus(product(both), scaledBy(product(dp), -1)), scaledBy(product(p), -1)), 1)
}

// even returns the coefficients of s², s⁴ … s^(2n).
func even(p []float64, n int) []float64 {
	out := make([]float64, n)
	for k := range out {
		if 2*k+2 < len(p) {
			out[k] = p[2*k+2]
		}
	}
	return out
}

func times(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] += float64(x * y)
		}
	}
	return out
}

func shifted(p []float64, n int) []float64 { return slices.Concat(make([]float64, n), p) }

func scaledBy(p []float64, k float64) []float64 {
	out := make([]float64, len(p))
	for i, v := range p {
		out[i] = v * k
	}
	return out
}
