package search

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Score is what a set of networks does, term by term.
type Score struct {
	Flatness float64 // dB; root mean square of Ripple and Window: what is made small

	Ripple float64 // on axis: RMS deviation in dB from the line or target, in the band; infinite with a null there
	Level  float64 // of the line or target: mean of the band on axis in dB re 1 Pa per volt
	Tilt   float64 // of the line on axis, dB per decade
	Window float64 // RMS deviation of the mean power of the window from a line of its own, dB; Ripple if there is no window

	Crossing   []units.Frequency // where each way takes over from the one below it; 0: never within the grid
	Overtaken  []units.Frequency // from where each way stays louder than the one below it, to the end of the band; 0: not even there
	Load       units.Resistance  // least modulus
	LoadAt     units.Frequency
	Travel     []units.Length   // largest, peak, of each way, with its signal; 0 where there is no limit
	Resistance units.Resistance // in series with the lowest way at DC; infinite if it is cut off
}

// Sensitivity returns the mean level of the band on axis in dB re 20 µPa for 2.83 V at
// the input, at the distance of the point.
func (s Score) Sensitivity() float64 { return s.Level + 20*math.Log10(2.83/20e-6) }

// Score evaluates networks, one per way. A way takes over at the lowest frequency
// at which it is louder at the point than the one below it, interpolated between
// the points of the grid; that is the lowest of the grid if it is louder there.
//
// The problem should have passed [Problem.Check]. Score panics if there are not as
// many networks as ways.
func (p Problem) Score(networks ...ladder.Network) Score {
	if len(networks) != p.Field.Ways() {
		panic(fmt.Sprintf("search: %d networks for %d ways", len(networks), p.Field.Ways()))
	}
	m := p.model(1)
	s := m.state()
	m.solve(s, networks)
	return m.score(s, networks)
}

func (m *model) score(s *state, networks []ladder.Network) Score {
	out := Score{
		Flatness: s.flatness(), Ripple: s.axisAt.ripple, Level: s.axisAt.level, Tilt: s.axisAt.slope, Window: s.windAt.ripple,
		Resistance: atDC(networks[0]),
	}
	load := make([]complex128, len(s.y))
	for i, y := range s.y {
		load[i] = reciprocal(y)
	}
	out.LoadAt, out.Load = ladder.MinimumImpedance(m.hz, load)
	for w := 1; w < len(networks); w++ {
		out.Crossing = append(out.Crossing, m.crossing(s, w))
		out.Overtaken = append(out.Overtaken, m.overtaken(s, w))
	}
	for w, t := range m.travel {
		out.Travel = append(out.Travel, t.most(s.h[w]))
	}
	return out
}

// Broken says which limits a score breaks, and by how much. It returns nil if all
// are kept. It does not know prices.
func (p Problem) Broken(s Score) []string { return p.Limits().broken(s) }

func (l Limits) broken(s Score) []string {
	var out []string
	for w, f := range s.Crossing {
		if f > 0 && f < l.Crossing {
			out = append(out, fmt.Sprintf("way %d takes over at %v, the limit is %v", w+2, f, l.Crossing))
		}
	}
	if n := len(s.Overtaken); n > 0 && !math.IsInf(float64(l.Highest), 1) {
		switch f := s.Overtaken[n-1]; {
		case f == 0:
			out = append(out, fmt.Sprintf("way %d does not take over for good in the band, the limit is %v", n+1, l.Highest))
		case f > l.Highest:
			out = append(out, fmt.Sprintf("way %d takes over for good at %v, the limit is %v", n+1, f, l.Highest))
		}
	}
	if !(s.Load >= l.Load) {
		out = append(out, fmt.Sprintf("the load falls to %v at %v, the limit is %v", s.Load, s.LoadAt, l.Load))
	}
	for w, x := range s.Travel {
		if !(x <= l.Travel[w]) {
			out = append(out, fmt.Sprintf("way %d moves %v, the limit is %v", w+1, x, l.Travel[w]))
		}
	}
	if !(s.Resistance <= l.Resistance) {
		out = append(out, fmt.Sprintf("way 1 has %v in series, the limit is %v", s.Resistance, l.Resistance))
	}
	return out
}

// excess returns by which share the limits are missed in all, 0 if they are kept.
func (l Limits) excess(s Score, price float64) float64 {
	sum := 0.0
	for _, f := range s.Crossing {
		if f > 0 {
			sum += max(0, float64(l.Crossing/f)-1)
		}
	}
	if n := len(s.Overtaken); n > 0 && !math.IsInf(float64(l.Highest), 1) {
		if f := s.Overtaken[n-1]; f > 0 {
			sum += max(0, float64(f/l.Highest)-1)
		} else {
			sum++
		}
	}
	if s.Load < l.Load {
		sum += min(float64(l.Load/s.Load)-1, 1e3)
	}
	for w, x := range s.Travel {
		sum += max(0, float64(x/l.Travel[w])-1)
	}
	if s.Resistance > l.Resistance {
		sum += min(float64(s.Resistance/l.Resistance)-1, 1e3)
	}
	return sum + max(0, price/l.Budget-1)
}

// crossing returns where way w takes over, or 0.
func (m *model) crossing(s *state, w int) units.Frequency {
	before := math.Inf(-1)
	for i, f := range m.hz {
		now := m.lead(s, w, i)
		switch {
		case now < 0:
			before = now
		case math.IsInf(before, -1): // the first of the grid, or silent just before
			return units.Frequency(f)
		default:
			return units.Frequency(m.hz[i-1] * math.Pow(f/m.hz[i-1], before/(before-now)))
		}
	}
	return 0
}

// overtaken returns from where way w stays louder, or 0.
func (m *model) overtaken(s *state, w int) units.Frequency {
	var after float64
	for i := m.to - 1; i >= 0; i-- {
		now := m.lead(s, w, i)
		switch {
		case now >= 0:
			after = now
			continue
		case i == m.to-1:
			return 0
		case math.IsInf(now, -1):
			return units.Frequency(m.hz[i+1])
		}
		return units.Frequency(m.hz[i] * math.Pow(m.hz[i+1]/m.hz[i], now/(now-after)))
	}
	return units.Frequency(m.hz[0])
}

// most returns how far the cone or dome moves, with the transfer h to it.
func (t Travel) most(h []complex128) units.Length {
	if t.none() {
		return 0
	}
	most, sum := 0.0, 0.0
	for i, x := range t.PerVolt {
		if t.Spectrum != nil {
			sum += power(h[i]) * x * x * t.Spectrum[i] * t.Spectrum[i]
			continue
		}
		most = max(most, power(h[i])*x*x)
	}
	if t.Spectrum != nil {
		return units.Length(t.crest() * math.Sqrt(sum/2))
	}
	return units.Length(math.Sqrt(most)) * units.Length(t.Volts)
}

func (t Travel) crest() float64 {
	if t.Crest == 0 {
		return defaultCrest
	}
	return t.Crest
}

// atDC returns the resistance of the signal path.
func atDC(n ladder.Network) units.Resistance {
	sum := 0.0
	for _, a := range n {
		if a.Shunt {
			continue
		}
		g := 0.0
		for _, p := range a.Parts {
			switch p.Kind {
			case ladder.Inductor:
				g += 1 / float64(p.Resistance)
			case ladder.Resistor:
				g += 1 / p.Value
			}
		}
		sum += 1 / g
	}
	return units.Resistance(sum)
}
