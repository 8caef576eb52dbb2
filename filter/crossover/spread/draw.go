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

// Draws is what came of drawing a speaker many times.
type Draws struct {
	Hz      []float64
	Nominal []float64   // level on axis of the design itself, dB re 1 Pa per volt at the input
	Level   [][]float64 // [draw][frequency] that of each draw

	Figures []Figures // by draw

	from, to int // the band
}

// Figures are those of one speaker. Deviations are from the target or line, within
// the band, with a null infinite.
type Figures struct {
	Flatness float64          // dB; root mean square of Ripple and Window
	Ripple   float64          // RMS deviation on axis, dB
	Window   float64          // RMS deviation of the mean power of the window from a line of its own, dB; Ripple if there is no window
	Largest  float64          // largest deviation on axis, dB
	Load     units.Resistance // least modulus of the input impedance on the grid
}

// Flatness returns that of all draws, for [Compare].
func (d *Draws) Flatness() []float64 {
	flatness := make([]float64, len(d.Figures))
	for i, f := range d.Figures {
		flatness[i] = f.Flatness
	}
	return flatness
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
		Hz: slices.Clone(s.Field.Hz), Nominal: make([]float64, len(s.Field.Hz)),
		Level: make([][]float64, n), Figures: make([]Figures, n),
	}
	d.from, d.to = s.band()
	s.builder().solve(d.Nominal)
	all := make([]float64, n*len(d.Hz))
	for i := range d.Level {
		d.Level[i] = all[i*len(d.Hz):][:len(d.Hz):len(d.Hz)]
	}
	judge := s.judge()
	share(n, 16, func() func(i int) {
		b := s.builder()
		return func(i int) {
			if !b.draw(uint64(i)) {
				d.Figures[i].Flatness = math.NaN()
				return
			}
			b.solve(d.Level[i])
			d.Figures[i] = judge.figures(b, d.Level[i])
		}
	})
	if i := slices.IndexFunc(d.Figures, func(f Figures) bool { return math.IsNaN(f.Flatness) }); i >= 0 {
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
