package spread

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.com/halfspace/units"
)

// Draws is what came of drawing a speaker many times. Levels are in dB re 1 Pa per
// volt at the input, of the power average of the points.
type Draws struct {
	Hz      []float64
	Nominal []float64   // level of the design itself
	Level   [][]float64 // [draw][frequency]

	// By draw, in the band: the RMS deviation from the target and the largest one,
	// both in dB, after the mean deviation is taken out. Infinite with a null.
	Ripple, Largest []float64

	Load []units.Resistance // by draw: the least modulus of the input impedance on the grid

	lo, hi int // the band
}

// Draw builds the speaker n times. The levels take 8 bytes for each draw and
// frequency. Nothing else is allocated per draw.
//
// It is an error if the speaker fails its check, if n is below 1, or if Vary makes a
// driver that is not finite.
func (s Speaker) Draw(n int) (*Draws, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if n < 1 {
		return nil, &units.RangeError{Field: "spread: draws:", Value: fmt.Sprint(n), Want: "must be at least 1"}
	}
	d := &Draws{
		Hz: slices.Clone(s.Field.Hz), Nominal: make([]float64, len(s.Field.Hz)), Level: make([][]float64, n),
		Ripple: make([]float64, n), Largest: make([]float64, n), Load: make([]units.Resistance, n),
	}
	d.lo, d.hi = s.band()
	s.builder().solve(d.Nominal)
	all := make([]float64, n*len(d.Hz))
	for i := range d.Level {
		d.Level[i] = all[i*len(d.Hz):][:len(d.Hz):len(d.Hz)]
	}
	share(n, 16, func() func(i int) {
		b := s.builder()
		return func(i int) {
			if !b.draw(uint64(i)) {
				d.Ripple[i] = math.NaN()
				return
			}
			b.solve(d.Level[i])
			d.Ripple[i], d.Largest[i] = s.deviation(d.Level[i], d.lo, d.hi)
			d.Load[i] = b.load()
		}
	})
	if i := slices.IndexFunc(d.Ripple, math.IsNaN); i >= 0 {
		return nil, fmt.Errorf("spread: draw %d: Vary gave a driver that is not finite", i)
	}
	return d, nil
}

// share does n pieces of work on all processors, each with a worker of its own that
// takes some pieces at a time. Who does which is left to chance, so pieces must not
// depend on each other.
func share(n, some int, worker func() func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), (n+some-1)/some)
	var taken atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			work := worker()
			for {
				to := int(taken.Add(int64(some)))
				for i := to - some; i < min(to, n); i++ {
					work(i)
				}
				if to >= n {
					return
				}
			}
		})
	}
	all.Wait()
}

// deviation returns the RMS and the largest deviation from the target between the
// indices lo and hi, after the mean is taken out.
func (s *Speaker) deviation(level []float64, lo, hi int) (rms, largest float64) {
	off := func(k int) float64 {
		if s.Target == nil {
			return level[k]
		}
		return level[k] - s.Target[k]
	}
	mean := 0.0
	for k := lo; k < hi; k++ {
		mean += off(k)
	}
	mean /= float64(hi - lo)
	if math.IsInf(mean, -1) {
		return math.Inf(1), math.Inf(1)
	}
	for k := lo; k < hi; k++ {
		d := off(k) - mean
		rms += float64(d * d)
		largest = max(largest, math.Abs(d))
	}
	return math.Sqrt(rms / float64(hi-lo)), largest
}
