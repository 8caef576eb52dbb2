package search

import (
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A model is a problem as numbers, on its grid or on every few points of it, in the
// shape in which they are needed again and again.
type model struct {
	hz    []float64
	load  [][]complex128 // [way]
	drive [][]complex128 // [way] pressure on axis, with polarity

	from, to int       // band
	x        []float64 // of the band: decades from its middle
	sxx      float64   // sum of their squares
	target   []float64 // of the band; nil: a line

	// The mean power of the window is the sum over v and w of hv h̄w together[v][w],
	// within the band: as cheap as one point however many there are.
	together [][][]complex128
	window   bool

	limits Limits
	travel []Travel // on this grid
	below  int      // frequencies below the lowest crossing
	above  int      // frequencies below where the highest way has to stay louder; without such a limit to
}

// model takes every so many points of the grid.
func (p Problem) model(every int) *model {
	m := &model{limits: p.Limits()}
	f := p.Field
	var at []int
	lo, hi := p.band()
	for i := range f.Hz {
		if i%every == 0 {
			if i >= lo && i < hi {
				if m.to == 0 {
					m.from = len(at)
				}
				m.to = len(at) + 1
			}
			if f.Hz[i] < float64(m.limits.Crossing) {
				m.below = len(at) + 1
			}
			at = append(at, i)
		}
	}
	m.hz = pick(f.Hz, at)
	if m.above = m.to; f.Ways() > 1 {
		n, _ := slices.BinarySearch(m.hz, float64(m.limits.Highest))
		m.above = min(n, m.to)
	}
	sign := complex(1, 0)
	for w := range f.Ways() {
		if p.Inverted && w == f.Ways()-1 {
			sign = -1
		}
		m.load = append(m.load, pick(f.Load(w), at))
		drive := pick(f.Pressure(w, p.Point), at)
		for i := range drive {
			drive[i] *= sign
		}
		m.drive = append(m.drive, drive)
	}
	band := at[m.from:m.to]
	if p.Target != nil {
		m.target = pick(p.Target, band)
	}
	m.x = make([]float64, len(band))
	mean := 0.0
	for k, i := range band {
		m.x[k] = math.Log10(f.Hz[i])
		mean += m.x[k] / float64(len(band))
	}
	for k := range m.x {
		m.x[k] -= mean
		m.sxx += float64(m.x[k] * m.x[k])
	}

	m.fillWindow(p, band)
	for _, t := range p.Travel {
		if !t.none() {
			t.PerVolt = pick(t.PerVolt, at)
			if t.Spectrum != nil {
				t.Spectrum = pick(t.Spectrum, at)
				for i := range t.Spectrum { // of wider steps
					t.Spectrum[i] *= math.Sqrt(float64(every))
				}
			}
		}
		m.travel = append(m.travel, t)
	}
	return m
}

func (m *model) fillWindow(p Problem, band []int) {
	f := p.Field
	weights, sum := p.weights(), 0.0
	for q, w := range weights {
		sum += w
		m.window = m.window || w > 0 && q != p.Point
	}
	if !m.window {
		return
	}
	ways := f.Ways()
	for v := range ways {
		m.together = append(m.together, nil)
		for w := range ways {
			a := make([]complex128, len(band))
			for q, weight := range weights {
				if weight == 0 {
					continue
				}
				g := complex(weight/sum, 0)
				if p.Inverted && (v == ways-1) != (w == ways-1) {
					g = -g
				}
				for k, i := range band {
					a[k] += g * f.Pressure(v, q)[i] * cmplx.Conj(f.Pressure(w, q)[i])
				}
			}
			m.together[v] = append(m.together[v], a)
		}
	}
}

func pick[T any](from []T, at []int) []T {
	out := make([]T, len(at))
	for k, i := range at {
		out[k] = from[i]
	}
	return out
}

// A state is what networks do in a model, and room to work it out.
type state struct {
	h, z           [][]complex128 // [way] transfer and impedance of the branch
	y              []complex128   // admittance of the load
	axis, window   []float64      // dB in the band; then about their lines
	axisAt, windAt line
}

// A line is a straight one in dB over decades, and the RMS deviation from it.
type line struct{ level, slope, ripple float64 }

func (m *model) state() *state {
	s := &state{y: make([]complex128, len(m.hz)), axis: make([]float64, len(m.x)), window: make([]float64, len(m.x))}
	for range m.load {
		s.h = append(s.h, make([]complex128, len(m.hz)))
		s.z = append(s.z, make([]complex128, len(m.hz)))
	}
	return s
}

// solve fills the state.
func (m *model) solve(s *state, networks []ladder.Network) {
	for w, n := range networks {
		n.Solve(s.h[w], s.z[w], m.hz, m.load[w])
	}
	m.add(s)
}

// add fills the state from what stands in h and z.
func (m *model) add(s *state) {
	for i := range s.y {
		var y complex128
		for w := range s.z {
			y += reciprocal(s.z[w][i])
		}
		s.y[i] = y
	}
	for k := range s.axis {
		i := m.from + k
		var p complex128
		for w := range s.h {
			p += s.h[w][i] * m.drive[w][i]
		}
		s.axis[k] = decibels(p)
	}
	s.axisAt = m.straighten(s.axis)
	s.windAt = s.axisAt
	if !m.window {
		return
	}
	for k := range s.window {
		s.window[k] = 10 * math.Log10(m.mean(s.h, k))
	}
	s.windAt = m.straighten(s.window)
}

// mean returns the mean power of the window at place k of the band.
func (m *model) mean(h [][]complex128, k int) float64 {
	i, sum := m.from+k, 0.0
	for v := range h {
		sum += float64(power(h[v][i]) * real(m.together[v][v][k]))
		for w := range v {
			sum += 2 * real(h[v][i]*cmplx.Conj(h[w][i])*m.together[v][w][k])
		}
	}
	return max(sum, 0)
}

// straighten takes from levels the target or the straight line that fits best within
// the slopes allowed.
func (m *model) straighten(level []float64) line {
	var l line
	n := float64(len(level))
	for k := range level {
		if m.target != nil {
			level[k] -= m.target[k]
		}
		l.level += level[k]
	}
	l.level /= n
	if math.IsInf(l.level, -1) {
		return line{level: l.level, ripple: math.Inf(1)}
	}
	if m.target == nil {
		for k, v := range level {
			l.slope += float64(m.x[k] * v)
		}
		l.slope = min(max(l.slope/m.sxx, steepest), 0)
	}
	for k := range level {
		level[k] -= l.level + float64(l.slope*m.x[k])
		l.ripple += float64(level[k] * level[k])
	}
	l.ripple = math.Sqrt(l.ripple / n)
	return l
}

// flatness joins axis and window.
func (s *state) flatness() float64 {
	return math.Sqrt((float64(s.axisAt.ripple*s.axisAt.ripple) + float64(s.windAt.ripple*s.windAt.ripple)) / 2)
}

// reciprocal returns 1/z; zero and infinity change places.
func reciprocal(z complex128) complex128 {
	d := power(z)
	switch {
	case d == 0:
		return complex(math.Inf(1), 0)
	case math.IsInf(d, 1):
		return 0
	}
	d = 1 / d
	return complex(real(z)*d, -imag(z)*d)
}

func decibels(z complex128) float64 { return 10 * math.Log10(power(z)) }

func power(z complex128) float64 {
	return float64(real(z)*real(z)) + float64(imag(z)*imag(z))
}

// lead returns by how many dB way w is louder on axis than the one below it: minus
// infinity where w is silent.
func (m *model) lead(s *state, w, i int) float64 {
	hi := decibels(s.h[w][i] * m.drive[w][i])
	lo := decibels(s.h[w-1][i] * m.drive[w-1][i])
	if math.IsInf(hi, -1) {
		return hi
	}
	return hi - lo
}

// between says where f lies from the frequency before place n to that at it, on a scale
// of logarithms.
func (m *model) between(f units.Frequency, n int) float64 {
	return math.Log(float64(f)/m.hz[n-1]) / math.Log(m.hz[n]/m.hz[n-1])
}

// leadAt is the lead of way w at f, which lies before place n.
func (m *model) leadAt(s *state, w int, f units.Frequency, n int) float64 {
	u := m.between(f, n)
	return float64(m.lead(s, w, n-1)*(1-u)) + float64(m.lead(s, w, n)*u)
}
