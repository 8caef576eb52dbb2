package spread

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A Cause is one thing that varies, and what it does alone.
type Cause struct {
	Way    int    // counted from 0
	Part   int    // of the way, along the signal path, counted from 0; -1 for its driver
	Letter string // of the part, running on from way to way; empty for a driver

	// Effect is the standard deviation of the level on axis that it causes alone, in dB: the
	// RMS of that over the band. As long as effects are small their squares add up to
	// that of all together.
	Effect float64
}

// Rank returns what each part with a tolerance, and the level of each driver, does,
// the largest effect first: to the first order, from exact derivatives. What a driver
// varies by Vary is not in it; see [Speaker.RankByDraws].
//
// It is an error if the speaker fails its check, or if the level has a null in the
// band.
func (s Speaker) Rank() ([]Cause, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	causes := s.causes(func(d Driver) bool { return d.Level > 0 })
	slopes, err := s.slopes(causes)
	if err != nil {
		return nil, err
	}
	lo, hi := s.band()
	for i := range causes {
		causes[i].Effect = s.sigma(causes[i]) * rms(slopes[i][lo:hi])
	}
	return ranked(causes), nil
}

// RankByDraws ranks as [Speaker.Rank] does, but by drawing n speakers for each cause
// in which nothing else varies: for large tolerances, and for what Vary does, which
// counts as the driver's together with its level. The RMS of an effect is as certain
// as that of n draws: to 1/√(2n), relative.
//
// It is an error if the speaker fails its check, if n is below 2, if Vary gives a
// driver that is not finite, or if the level has a null in the band.
func (s Speaker) RankByDraws(n int) ([]Cause, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	if n < 2 {
		return nil, &units.RangeError{Field: "spread: draws:", Value: fmt.Sprint(n), Want: "must be at least 2"}
	}
	causes := s.causes(func(d Driver) bool { return d.Level > 0 || d.Vary != nil })
	column := make([]float64, n)
	for i, c := range causes {
		d, err := s.only(c).Draw(n)
		if err != nil {
			return nil, err
		}
		sum := 0.0
		for k := d.from; k < d.to; k++ {
			for j, level := range d.Level {
				column[j] = level[k]
			}
			v := stat.Variance(column, nil)
			if math.IsNaN(v) {
				return nil, null(d.Hz[k])
			}
			sum += v
		}
		causes[i].Effect = math.Sqrt(sum / float64(d.to-d.from))
	}
	return ranked(causes), nil
}

// causes returns what varies, way by way: the driver if varies says so, then the
// parts with a tolerance.
func (s Speaker) causes(varies func(Driver) bool) []Cause {
	var causes []Cause
	letter := 0
	for w, n := range s.Networks {
		if s.Drivers != nil && varies(s.Drivers[w]) {
			causes = append(causes, Cause{Way: w, Part: -1})
		}
		i := 0
		for _, part := range n.Parts() {
			if part.Tolerance > 0 {
				causes = append(causes, Cause{Way: w, Part: i, Letter: ladder.Letter(letter)})
			}
			i++
			letter++
		}
	}
	return causes
}

// tolerance returns by which share of its value a part may be off, or by how many
// dB the level of a driver.
func (s Speaker) tolerance(c Cause) float64 {
	if c.Part < 0 {
		return s.Drivers[c.Way].Level
	}
	return float64(*tolerances(s.Networks[c.Way])[c.Part])
}

// sigma is the standard deviation of that.
func (s Speaker) sigma(c Cause) float64 {
	if c.Part < 0 {
		return s.tolerance(c) * Uniform.Sigma()
	}
	return s.tolerance(c) * s.Parts.Sigma()
}

// only returns the speaker in which nothing varies but by one cause.
func (s Speaker) only(c Cause) Speaker {
	drivers := make([]Driver, len(s.Networks))
	if c.Part < 0 {
		drivers[c.Way] = s.Drivers[c.Way]
	}
	s.Drivers = drivers
	networks := make([]ladder.Network, len(s.Networks))
	for w, n := range s.Networks {
		networks[w] = clone(n)
		for i, t := range tolerances(networks[w]) {
			if w != c.Way || i != c.Part {
				*t = 0
			}
		}
	}
	s.Networks = networks
	return s
}

// tolerances returns where those of the parts of a network stand.
func tolerances(n ladder.Network) []*units.Ratio {
	var out []*units.Ratio
	for a := range n {
		for i := range n[a].Parts {
			out = append(out, &n[a].Parts[i].Tolerance)
		}
	}
	return out
}

func clone(n ladder.Network) ladder.Network {
	n = slices.Clone(n)
	for a := range n {
		n[a].Parts = slices.Clone(n[a].Parts)
	}
	return n
}

// slopes returns how the level on axis in dB changes by cause and frequency: with the
// logarithm of the value of a part, or with the level of a driver in dB.
func (s Speaker) slopes(causes []Cause) ([][]float64, error) {
	f := s.Field
	points := len(f.Hz)
	gradients := make([]ladder.Gradient, len(s.Networks))
	h := make([][]complex128, len(s.Networks))
	for w, n := range s.Networks {
		g := &gradients[w]
		n.Gradient(g, f.Hz, f.Load(w))
		n.ByValue(g.DH, g.DH, f.Hz)
		h[w] = slices.Clone(g.H)
		for k := range h[w] {
			h[w][k] *= complex(s.polarity(w), 0)
		}
	}
	sum := make([]complex128, points)
	f.Add(sum, s.Point, h)
	from, to := s.band()
	for k := from; k < to; k++ {
		if sum[k] == 0 {
			return nil, null(f.Hz[k])
		}
	}
	slopes := make([][]float64, len(causes))
	for i, c := range causes {
		slopes[i] = make([]float64, points)
		dh, scale := h[c.Way], math.Ln10/20 // 1 dB is so much of h
		if c.Part >= 0 {
			dh, scale = gradients[c.Way].DH[c.Part], s.polarity(c.Way)
		}
		pressure := f.Pressure(c.Way, s.Point)
		for k, p := range sum {
			// Of 20 lg |p|.
			slopes[i][k] = 20 / math.Ln10 * scale * real(dh[k]*pressure[k]/p)
		}
	}
	return slopes, nil
}

func null(hz float64) error {
	return &units.RangeError{Field: fmt.Sprintf("spread: pressure at %v", units.Frequency(hz)), Value: "0 Pa", Want: "must not be a null"}
}

// ranked sorts by effect, of which 1e-9 dB do not matter.
func ranked(causes []Cause) []Cause {
	slices.SortStableFunc(causes, func(a, b Cause) int {
		return cmp.Compare(step(b.Effect), step(a.Effect))
	})
	return causes
}

// step counts in steps of 1e-9 dB, so that the order of operations decides nothing.
func step(dB float64) float64 { return math.Round(dB * 1e9) }

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v * v)
	}
	return math.Sqrt(sum / float64(len(x)))
}
