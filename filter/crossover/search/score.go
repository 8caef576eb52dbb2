package search

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Score is what a set of networks does.
type Score struct {
	Ripple   float64           // RMS deviation in dB from Level, over the grid points in the band; infinite with a null there
	Level    float64           // mean of the band in dB re 1 Pa per volt
	Crossing []units.Frequency // where each way takes over from the one below it; 0: never within the grid
	Load     units.Resistance  // least modulus
	LoadAt   units.Frequency
	Travel   []units.Length // largest, peak, of each way, at its Volts; 0 where there is no limit
}

// Score evaluates networks, one per way. A way takes over at the lowest frequency
// at which it is louder at the point than the one below it, interpolated between
// the points of the grid; that is the lowest of the grid if it is louder there.
//
// The problem should have passed [Problem.Check]. Score panics if there are not as
// many networks as ways.
func (p Problem) Score(networks ...ladder.Network) Score {
	var r crossover.Result
	p.Field.Evaluate(&r, networks...)
	var s Score
	s.Level, s.Ripple = flatness(r.Sum[p.Point], p.band())
	s.LoadAt, s.Load = ladder.MinimumImpedance(p.Field.Hz, r.Load)
	for w := 1; w < p.Field.Ways(); w++ {
		s.Crossing = append(s.Crossing, p.crossing(&r, w))
	}
	for w, t := range p.Travel {
		s.Travel = append(s.Travel, t.largest(r.Transfer[w]))
	}
	return s
}

// Broken says which limits a score breaks, and by how much. It returns nil if all
// are kept.
func (p Problem) Broken(s Score) []string {
	var out []string
	for w, f := range s.Crossing {
		if f > 0 && f < p.Crossing {
			out = append(out, fmt.Sprintf("way %d takes over at %v, the limit is %v", w+2, f, p.Crossing))
		}
	}
	if !(s.Load >= p.Load) {
		out = append(out, fmt.Sprintf("the load falls to %v at %v, the limit is %v", s.Load, s.LoadAt, p.Load))
	}
	for w, x := range s.Travel {
		if t := p.Travel[w]; t.PerVolt != nil && !(x <= t.Limit) {
			out = append(out, fmt.Sprintf("way %d moves %v, the limit is %v", w+1, x, t.Limit))
		}
	}
	return out
}

// flatness returns the mean level of some points in dB and the RMS deviation.
func flatness(sum []complex128, in []int) (mean, rms float64) {
	for _, i := range in {
		mean += decibels(sum[i])
	}
	mean /= float64(len(in))
	if math.IsInf(mean, -1) {
		return mean, math.Inf(1)
	}
	for _, i := range in {
		d := decibels(sum[i]) - mean
		rms += float64(d * d)
	}
	return mean, math.Sqrt(rms / float64(len(in)))
}

func decibels(z complex128) float64 { return 10 * math.Log10(power(z)) }

func power(z complex128) float64 {
	return float64(real(z)*real(z)) + float64(imag(z)*imag(z))
}

// lead returns by how many dB way w is louder at the point than the one below it:
// minus infinity where w is silent.
func (p Problem) lead(r *crossover.Result, w, i int) float64 {
	hi := decibels(r.Transfer[w][i] * p.Field.Pressure(w, p.Point)[i])
	lo := decibels(r.Transfer[w-1][i] * p.Field.Pressure(w-1, p.Point)[i])
	if math.IsInf(hi, -1) {
		return hi
	}
	return hi - lo
}

// crossing returns where way w takes over, or 0.
func (p Problem) crossing(r *crossover.Result, w int) units.Frequency {
	hz := p.Field.Hz
	before := math.Inf(-1)
	for i, f := range hz {
		now := p.lead(r, w, i)
		switch {
		case now < 0:
			before = now
		case math.IsInf(before, -1): // the first of the grid, or silent just before
			return units.Frequency(f)
		default:
			return units.Frequency(hz[i-1] * math.Pow(f/hz[i-1], before/(before-now)))
		}
	}
	return 0
}

// largest returns how far the cone or dome moves, with the transfer h to it.
func (t Travel) largest(h []complex128) units.Length {
	most := 0.0
	for i, x := range t.PerVolt {
		most = max(most, x*cmplx.Abs(h[i])*float64(t.Volts))
	}
	return units.Length(most)
}
