package search

import (
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
)

// A tuner fits the values of networks to a model.
type tuner struct {
	m        *model
	networks []ladder.Network
	parts    []*ladder.Part
	values   []*float64
	way      []int     // of each part
	lo, hi   []float64 // bounds of the logarithms
	coils    wire

	s           *state
	g           []ladder.Gradient
	missed      []float64 // by which share each limit is missed, point by point
	push        []float64
	axis, wind  [][]complex128 // [way] what makes dB of a change of h
	problem     lsq.Problem
	evaluations int
}

// A wire gives coils their resistance ohms·(L/1 mH)^0.6, that of one thickness of wire
// whatever the number of turns; without ohms they keep theirs.
type wire struct{ ohms float64 }

const ofTurns = 0.6

// A rigour says how far to go.
type rigour struct {
	rounds    int // of pushes against limits that are just missed
	steps     int
	tolerance float64
}

var (
	full    = rigour{rounds: 20}
	sketchy = rigour{rounds: 1, steps: 12, tolerance: 1e-2}
	fair    = rigour{rounds: 1, steps: 40, tolerance: 1e-3}
	good    = rigour{rounds: 6, steps: 60, tolerance: 1e-6}
)

const (
	stiff    = 30    // weight, in dB of ripple, of a limit missed by its own size
	margin   = 0.002 // how far inside the limits a tuner aims, as a share of them
	settled  = 1e-10 // change of a push that ends the rounds
	hopeless = 10    // share by which a limit is missed that nothing will mend
)

func newTuner(m *model, networks []ladder.Network) *tuner {
	t := &tuner{m: m, s: m.state(), g: make([]ladder.Gradient, len(networks))}
	for range networks {
		t.axis = append(t.axis, make([]complex128, len(m.x)))
		t.wind = append(t.wind, make([]complex128, len(m.x)))
	}
	t.take(networks)
	return t
}

// take starts on other networks, which it will change.
func (t *tuner) take(networks []ladder.Network) {
	t.networks, t.parts, t.values = networks, partsOf(networks), values(networks)
	t.way = t.way[:0]
	for w, n := range networks {
		for _, a := range n {
			for range a.Parts {
				t.way = append(t.way, w)
			}
		}
	}
	t.lo, t.hi = make([]float64, len(t.values)), make([]float64, len(t.values))
	m := t.m
	limits := 0
	if m.limits.Crossing > 0 {
		limits += (len(networks) - 1) * (m.below + 1)
	}
	if n := m.to - m.above; n > 0 {
		limits += 1 + n
	}
	if m.limits.Load > 0 {
		limits += len(m.hz)
	}
	for _, x := range m.travel {
		switch {
		case x.none():
		case x.Spectrum != nil:
			limits++
		default:
			limits += len(m.hz)
		}
	}
	t.missed, t.push = make([]float64, limits), make([]float64, limits)
	curves := 1
	if m.window {
		curves = 2
	}
	t.problem = lsq.Problem{Residuals: t.residuals, Jacobian: t.jacobian, M: curves*len(m.x) + limits, Lo: t.lo, Hi: t.hi}
}

// at returns the logarithms of the values.
func (t *tuner) at() []float64 {
	x := make([]float64, len(t.values))
	for i, v := range t.values {
		x[i] = math.Log(*v)
	}
	return x
}

func (t *tuner) set(x []float64) {
	for i, p := range t.parts {
		p.Value = math.Exp(x[i])
		if p.Kind == ladder.Inductor && t.coils.ohms > 0 {
			p.Resistance = t.coils.of(p.Value)
		}
	}
}

func (t *tuner) solve(x []float64) {
	t.set(x)
	t.m.solve(t.s, t.networks)
	t.evaluations++
}

func (t *tuner) finite(x []float64) bool {
	t.solve(x)
	return !math.IsInf(t.s.flatness(), 0) && !math.IsNaN(t.s.flatness())
}

// minimize runs from x. A limit is a residual that is zero where it is kept. Each
// round pushes those that bind further, by what they were missed by, until they are
// just kept: the method of multipliers (Hestenes and Powell, both 1969, from
// memory). Unlike a stiff wall this leaves the residuals smooth where the solution
// lies. Limits that hold over a range of frequencies bind at single ones, so each
// frequency has its own residual and all is smooth in the values.
func (t *tuner) minimize(x []float64, r rigour) end {
	clear(t.push)
	e := end{x: x, sum: math.Inf(1)}
	t.problem.MaxSteps, t.problem.Tolerance = r.steps, r.tolerance
	for range r.rounds {
		fit, err := t.problem.Minimize(e.x)
		if err != nil {
			return e // a null: nothing to start from
		}
		e = end{fit.X, fit.Sum, fit.Converged}
		t.solve(e.x)
		t.miss()
		change := 0.0
		for k, m := range t.missed {
			next := max(0, m+t.push[k])
			change = max(change, math.Abs(next-t.push[k]))
			t.push[k] = next
		}
		if change < settled || change > hopeless {
			break
		}
	}
	return e
}

// An end is where a fit ended.
type end struct {
	x         []float64
	sum       float64 // of squares: of the flatness and of limits missed
	converged bool
}

// residuals are those of the axis, of the window, and of the limits; the sum of
// squares of the first two is the square of the flatness.
func (t *tuner) residuals(r, x []float64) {
	t.solve(x)
	m, s := t.m, t.s
	scale := t.scale()
	for k, v := range s.axis {
		r[k] = v * scale
	}
	if math.IsInf(s.flatness(), 0) {
		r[0] = math.Inf(1)
		return
	}
	rest := r[len(m.x):]
	if m.window {
		for k, v := range s.window {
			rest[k] = v * scale
		}
		rest = rest[len(m.x):]
	}
	t.miss()
	for k, v := range t.missed {
		rest[k] = stiff * max(0, v+t.push[k])
	}
}

func (t *tuner) scale() float64 {
	n := float64(len(t.m.x))
	if t.m.window {
		n *= 2
	}
	return 1 / math.Sqrt(n)
}

// miss works out by which share each limit, tightened by the margin, is missed at
// each frequency; it is negative where it is kept.
func (t *tuner) miss() {
	m, s := t.m, t.s
	out := t.missed
	if x := float64(m.limits.Crossing); x > 0 {
		for w := 1; w < len(s.h); w++ {
			for i := range m.below {
				hi, lo := power(s.h[w][i])*power(m.drive[w][i]), power(s.h[w-1][i])*power(m.drive[w-1][i])
				if out[i] = -1; hi > 0.01*lo { // far below the limit nothing counts
					out[i] = t.share(w, i)
				}
			}
			out[m.below] = -1
			if n := m.below; 0 < n && n < len(m.hz) {
				u := m.between(m.limits.Crossing, n)
				out[n] = t.share(w, n-1)*(1-u) + t.share(w, n)*u
			}
			out = out[m.below+1:]
		}
	}
	if n := m.above; n < m.to {
		w := len(s.h) - 1
		if out[0] = -1; n > 0 {
			u := m.between(m.limits.Highest, n)
			out[0] = 2*margin - (t.share(w, n-1)*(1-u) + t.share(w, n)*u)
		}
		for i := n; i < m.to; i++ {
			out[1+i-n] = 2*margin - t.share(w, i)
		}
		out = out[1+m.to-n:]
	}
	if least := float64(m.limits.Load); least > 0 {
		for i, y := range s.y {
			out[i] = 1 + margin - math.Sqrt(power(reciprocal(y)))/least
		}
		out = out[len(m.hz):]
	}
	for w, x := range m.travel {
		switch {
		case x.none():
		case x.Spectrum != nil:
			out[0] = float64(x.most(s.h[w])/x.Limit) - 1 + margin
			out = out[1:]
		default:
			for i, v := range x.PerVolt {
				out[i] = v*math.Sqrt(power(s.h[w][i]))*float64(x.Volts)/float64(x.Limit) - 1 + margin
			}
			out = out[len(m.hz):]
		}
	}
}

// share is the lead of way w as a share of the pressure, for small ones; it ends at
// 100 dB either way, where it counts no more.
func (t *tuner) share(w, i int) float64 {
	return min(max(t.m.lead(t.s, w, i), -silence), silence)*math.Ln10/20 + margin
}

const silence = 100

// jacobian fills j, by row and variable.
func (t *tuner) jacobian(j, x []float64) {
	t.set(x)
	m, s := t.m, t.s
	for w, n := range t.networks {
		n.Gradient(&t.g[w], m.hz, m.load[w])
		copy(s.h[w], t.g[w].H)
		copy(s.z[w], t.g[w].Zin)
	}
	m.add(s)
	t.evaluations++
	// dB per change of h: of the axis 20/ln 10 Re(dh p/sum), of the window likewise.
	for k := range m.x {
		i := m.from + k
		var sum complex128
		for w := range s.h {
			sum += s.h[w][i] * m.drive[w][i]
		}
		per := reciprocal(sum)
		for w := range s.h {
			t.axis[w][k] = perNeper * m.drive[w][i] * per
		}
		if !m.window {
			continue
		}
		mean := complex(perNeper/m.mean(s.h, k), 0)
		for v := range s.h {
			var c complex128
			for w := range s.h {
				c += cmplx.Conj(s.h[w][i]) * m.together[v][w][k]
			}
			t.wind[v][k] = c * mean
		}
	}
	t.miss()
	n := len(t.values)
	part := 0
	for p := range t.parts {
		w := t.way[p]
		if p > 0 && w != t.way[p-1] {
			part = 0
		}
		t.column(j, n, p, w, t.g[w].DH[part], t.g[w].DZin[part])
		part++
	}
}

const perNeper = 20 / math.Ln10

// column fills that of one part, given how transfer and impedance of its way depend on
// its impedance.
func (t *tuner) column(j []float64, n, p, w int, dh, dz []complex128) {
	m, s := t.m, t.s
	perLog := t.perLog(p)
	scale := t.scale()
	db := make([]float64, len(m.x))
	curve := func(c []complex128, slope float64) {
		for k := range db {
			i := m.from + k
			db[k] = real(c[k] * dh[i] * perLog(m.hz[i]))
		}
		m.project(db, slope)
		for k, v := range db {
			j[k*n+p] = v * scale
		}
		j = j[len(db)*n:]
	}
	curve(t.axis[w], s.axisAt.slope)
	if m.window {
		curve(t.wind[w], s.windAt.slope)
	}

	row := 0
	put := func(of func() float64) {
		if t.missed[row]+t.push[row] > 0 {
			j[row*n+p] = stiff * of()
		}
		row++
	}
	louder := func(v, i int) float64 { // of the lead of way v, in nepers
		if v != w && v-1 != w {
			return 0
		}
		if math.Abs(m.lead(s, v, i)) >= silence {
			return 0
		}
		d := real(dh[i] * perLog(m.hz[i]) * reciprocal(s.h[w][i]))
		if v != w {
			d = -d
		}
		return d
	}
	if m.limits.Crossing > 0 {
		for v := 1; v < len(s.h); v++ {
			for i := range m.below {
				put(func() float64 { return louder(v, i) })
			}
			put(func() float64 {
				u, i := m.between(m.limits.Crossing, m.below), m.below
				return louder(v, i-1)*(1-u) + louder(v, i)*u
			})
		}
	}
	if n := m.above; n < m.to {
		v := len(s.h) - 1
		put(func() float64 {
			u := m.between(m.limits.Highest, n)
			return -(louder(v, n-1)*(1-u) + louder(v, n)*u)
		})
		for i := n; i < m.to; i++ {
			put(func() float64 { return -louder(v, i) })
		}
	}
	if least := float64(m.limits.Load); least > 0 {
		for i := range m.hz {
			put(func() float64 {
				per := reciprocal(s.z[w][i])
				dy := -dz[i] * perLog(m.hz[i]) * per * per
				z := reciprocal(s.y[i])
				return math.Sqrt(power(z)) / least * real(dy*z)
			})
		}
	}
	for v, x := range m.travel {
		switch {
		case x.none():
		case x.Spectrum != nil:
			put(func() float64 {
				if v != w {
					return 0
				}
				sum := 0.0
				for i, per := range x.PerVolt {
					a := per * x.Spectrum[i]
					sum += a * a * real(cmplx.Conj(s.h[w][i])*dh[i]*perLog(m.hz[i]))
				}
				most := float64(x.most(s.h[w]))
				return sum * x.crest() * x.crest() / 2 / most / float64(x.Limit)
			})
		default:
			for i, per := range x.PerVolt {
				put(func() float64 {
					if v != w {
						return 0
					}
					h := s.h[w][i]
					d := real(dh[i] * perLog(m.hz[i]) * reciprocal(h))
					return per * math.Sqrt(power(h)) * float64(x.Volts) / float64(x.Limit) * d
				})
			}
		}
	}
}

// perLog returns how the impedance of a part depends on the logarithm of its value.
func (t *tuner) perLog(p int) func(hz float64) complex128 {
	part := t.parts[p]
	switch part.Kind {
	case ladder.Inductor:
		r := 0.0
		if t.coils.ohms > 0 {
			r = ofTurns * float64(part.Resistance)
		}
		l := 2 * math.Pi * part.Value
		return func(hz float64) complex128 { return complex(r, l*hz) }
	case ladder.Capacitor:
		s := 1 / (2 * math.Pi * part.Value)
		return func(hz float64) complex128 { return complex(-s*part.Loss/hz, s/hz) }
	}
	return func(float64) complex128 { return complex(part.Value, 0) }
}

// project takes from the change of levels that of their line, which does not tilt
// where its slope is held.
func (m *model) project(db []float64, slope float64) {
	mean, tilt := 0.0, 0.0
	for k, v := range db {
		mean += v
		tilt += float64(m.x[k] * v)
	}
	mean /= float64(len(db))
	tilt /= m.sxx
	if m.target != nil || slope >= 0 || slope <= steepest {
		tilt = 0
	}
	for k := range db {
		db[k] -= mean + float64(tilt*m.x[k])
	}
}

func (c wire) of(henry float64) units.Resistance {
	return units.Resistance(c.ohms * math.Pow(henry/1e-3, ofTurns))
}
