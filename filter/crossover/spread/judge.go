package spread

import (
	"math"
	"math/cmplx"
)

// steepest is how far the line that serves as target may fall, in dB per decade.
const steepest = -1

// A judge takes the figures of speakers of one field.
type judge struct {
	from, to int       // the band
	x        []float64 // of the band: decades from its middle
	sxx      float64   // sum of their squares
	target   []float64 // of the band; nil: a line

	// The mean power of the window is the sum over the ways v and w of hv h̄w
	// together[v][w], so it costs as much for many points as for one. Nil without a
	// window.
	together [][][]complex128
}

func (s *Speaker) judge() *judge {
	j := &judge{}
	j.from, j.to = s.band()
	mean := 0.0
	for _, hz := range s.Field.Hz[j.from:j.to] {
		j.x = append(j.x, math.Log10(hz))
		mean += math.Log10(hz) / float64(j.to-j.from)
	}
	for k := range j.x {
		j.x[k] -= mean
		j.sxx += float64(j.x[k] * j.x[k])
	}
	if s.Target != nil {
		j.target = s.Target[j.from:j.to]
	}

	weights, sum, window := s.Window, 0.0, false
	if weights == nil {
		weights = make([]float64, s.Field.Points())
		for q := range weights {
			weights[q] = 1
		}
		weights[s.Point] = 2
	}
	for q, w := range weights {
		sum += w
		window = window || w > 0 && q != s.Point
	}
	if !window {
		return j
	}
	for v := range s.Networks {
		j.together = append(j.together, nil)
		for w := range v + 1 {
			of := make([]complex128, j.to-j.from)
			for q, weight := range weights {
				a, b := s.Field.Pressure(v, q)[j.from:j.to], s.Field.Pressure(w, q)[j.from:j.to]
				for k := range of {
					of[k] += complex(weight/sum, 0) * a[k] * cmplx.Conj(b[k])
				}
			}
			j.together[v] = append(j.together[v], of)
		}
	}
	return j
}

// figures judges the speaker that b just solved, with its level on axis.
func (j *judge) figures(b *builder, level []float64) Figures {
	var f Figures
	f.Ripple, f.Largest = j.deviation(level[j.from:j.to])
	f.Window = f.Ripple
	if j.together != nil {
		for k := range b.window {
			b.window[k] = decibels(j.mean(b.h, k))
		}
		f.Window, _ = j.deviation(b.window)
	}
	f.Flatness = math.Sqrt((float64(f.Ripple*f.Ripple) + float64(f.Window*f.Window)) / 2)
	f.Load = b.load()
	return f
}

// mean returns the mean power of the window at place k of the band.
func (j *judge) mean(h [][]complex128, k int) float64 {
	i, sum := j.from+k, 0.0
	for v := range h {
		sum += float64(power(h[v][i]) * real(j.together[v][v][k]))
		for w := range v {
			sum += 2 * real(h[v][i]*cmplx.Conj(h[w][i])*j.together[v][w][k])
		}
	}
	return max(sum, 0)
}

// deviation returns the RMS and the largest deviation of levels in the band from the
// target, or from the line that fits best.
func (j *judge) deviation(level []float64) (rms, largest float64) {
	n := float64(len(level))
	var mean, slope float64
	for k, v := range level {
		if j.target != nil {
			v -= j.target[k]
		}
		mean += v
		slope += float64(j.x[k] * v)
	}
	mean /= n
	if math.IsInf(mean, -1) {
		return math.Inf(1), math.Inf(1)
	}
	slope = min(max(slope/j.sxx, steepest), 0)
	if j.target != nil {
		slope = 0
	}
	for k, v := range level {
		if j.target != nil {
			v -= j.target[k]
		}
		d := v - mean - float64(slope*j.x[k])
		rms += float64(d * d)
		largest = max(largest, math.Abs(d))
	}
	return math.Sqrt(rms / n), largest
}
