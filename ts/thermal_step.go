package ts

import (
	"math"
	"strconv"

	"example.com/halfspace/units"
)

// RiseUnder returns how much warmer than the room coil and magnet are (K) after a
// time t from cold, when the heat depends on how warm the coil already is. heat is
// called with the rise of the coil and must be smooth. The error is below 1e-6 of the
// rise. An infinite t is taken as fifty slow time constants; a heat or t that is no
// number gives NaN.
//
// The steps are those of the exponential Rosenbrock method of fourth order with an
// error estimate of third order, of M. Hochbruck, A. Ostermann and J. Schweitzer
// 2009, SIAM J. Numer. Anal. 47 (from memory; a test compares with small explicit
// steps). It is exact for a heat that is a straight line over temperature, so its
// steps grow with the slow body once the fast one has settled.
func (h Thermal) RiseUnder(heat func(coil float64) units.Power, t units.Time) (coil, magnet float64) {
	const tolerance = 1e-8 // of one step, of the rise and of 1 K
	flow := func(x pair) pair {
		toMagnet := (x[0] - x[1]) / h.Rtv
		return pair{(float64(heat(x[0])) - toMagnet) / h.Ctv, (toMagnet - x[1]/h.Rtm) / h.Ctm}
	}
	fast, slow := h.TimeConstants()
	left := float64(min(t, 50*slow))
	step := float64(fast) / 10
	var x pair
	for left > 0 {
		step = min(step, left)
		f := flow(x)
		const dx = 0.01 // K
		slope := float64(heat(x[0]+dx)-heat(x[0]-dx)) / (2 * dx)
		j := h.matrix(slope)
		bent := func(y pair) pair { // what is not linear in y − x, times the step
			return flow(y).minus(f).minus(j.times(y.minus(x))).scaled(step)
		}
		whole := j.function(step, phi1)
		straight := x.plus(whole.times(f).scaled(step))
		d2 := bent(x.plus(j.function(step/2, phi1).times(f).scaled(step / 2)))
		d3 := bent(straight.plus(whole.times(d2)))
		third := j.function(step, phi3).times(d2.scaled(16).minus(d3.scaled(2)))
		fourth := j.function(step, phi4).times(d3.scaled(12).minus(d2.scaled(48)))
		next := straight.plus(third).plus(fourth)
		off := max(math.Abs(fourth[0]), math.Abs(fourth[1])) / (tolerance * (1 + math.Abs(next[0])))
		if math.IsNaN(off) {
			return math.NaN(), math.NaN()
		}
		if off <= 1 {
			x = next
			left -= step
		}
		step *= min(5, max(0.2, 0.8/math.Sqrt(math.Sqrt(off)))) // off grows with the fourth power
	}
	if math.IsNaN(left) {
		x[0], x[1] = left, left
	}
	return x[0], x[1]
}

// matrix returns the derivative of the flow of [Thermal.RiseUnder], where the heat
// changes by slope (W/K) with the temperature of the coil.
func (h Thermal) matrix(slope float64) matrix {
	return matrix{
		{(slope - 1/h.Rtv) / h.Ctv, 1 / (h.Rtv * h.Ctv)},
		{1 / (h.Rtv * h.Ctm), -(1/h.Rtv + 1/h.Rtm) / h.Ctm},
	}
}

// A matrix couples two bodies: it is positive off the diagonal, so its eigenvalues
// are real and differ.
type matrix [2][2]float64

type pair [2]float64

func (m matrix) eigenvalues() (lower, upper, half float64) {
	mean := (m[0][0] + m[1][1]) / 2
	half = math.Hypot((m[0][0]-m[1][1])/2, math.Sqrt(m[0][1]*m[1][0]))
	lower = mean - half
	// By the determinant: the sum would cancel when one body is much slower.
	upper = (float64(m[0][0]*m[1][1]) - float64(m[0][1]*m[1][0])) / lower
	return lower, upper, half
}

// function returns f(t m), by its values at the eigenvalues.
func (m matrix) function(t float64, f func(float64) float64) matrix {
	a, b, half := m.eigenvalues()
	fa, fb := f(a*t), f(b*t)
	// f = fb + (fa − fb)/(a − b) (m − b), in Lagrange's form
	k := (fb - fa) / (2 * half)
	return matrix{
		{fb + k*(m[0][0]-b), k * m[0][1]},
		{k * m[1][0], fb + k*(m[1][1]-b)},
	}
}

func (m matrix) times(x pair) pair {
	return pair{m[0][0]*x[0] + m[0][1]*x[1], m[1][0]*x[0] + m[1][1]*x[1]}
}

func (x pair) plus(y pair) pair      { return pair{x[0] + y[0], x[1] + y[1]} }
func (x pair) minus(y pair) pair     { return pair{x[0] - y[0], x[1] - y[1]} }
func (x pair) scaled(k float64) pair { return pair{k * x[0], k * x[1]} }
func number(v float64) string        { return strconv.FormatFloat(v, 'g', -1, 64) }
func phi1(z float64) float64         { return phi(z, 1) }
func phi3(z float64) float64         { return phi(z, 3) }
func phi4(z float64) float64         { return phi(z, 4) }

// phi returns φn(z) = Σ z^k/(k+n)!, which for n = 0 is e^z, the next being
// (φn(z) − 1/n!)/z.
func phi(z float64, n int) float64 {
	factorial := 1.0
	if math.Abs(z) < 1 { // where the recursion cancels
		for k := 2; k <= n; k++ {
			factorial *= float64(k)
		}
		sum, term := 0.0, 1/factorial
		for k := n + 1; math.Abs(term) > 1e-18; k++ {
			sum += term
			term *= z / float64(k)
		}
		return sum
	}
	p := math.Expm1(z) / z
	for k := 1; k < n; k++ {
		factorial *= float64(k)
		p = (p - 1/factorial) / z
	}
	return p
}
