package spread

import (
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
)

// A Corner is a speaker in which all that has a tolerance lies at one end of it.
type Corner struct {
	Networks   []ladder.Network
	Levels     []float64 // dB, of the driver of each way
	Figures    Figures
	Tried      int  // corners looked at
	Exhaustive bool // these were all there are
}

// exhaustive is up to how many things that vary all corners are tried.
const exhaustive = 12

// Worst returns the corner of the tolerances of parts and driver levels with the
// worst [Figures].Flatness. Up to 12 of them all corners are tried. If there are more, the corners
// that move the level on axis at one frequency of the band most, up or down, are tried, by
// the signs of its exact derivatives; and from the worst of these, one thing after
// the other goes to its other end as long as that makes it worse. That may miss the
// worst of all. So may corners in general: a resonance may be worse between them.
//
// Vary is left out. The errors are those of [Speaker.Rank].
func (s Speaker) Worst() (Corner, error) { return s.worst(exhaustive) }

func (s Speaker) worst(most int) (Corner, error) {
	if err := s.Check(); err != nil {
		return Corner{}, err
	}
	drivers := make([]Driver, len(s.Networks))
	for w := range s.Drivers {
		drivers[w].Level = s.Drivers[w].Level
	}
	s.Drivers = drivers
	causes := s.causes(func(d Driver) bool { return d.Level > 0 })
	slopes, err := s.slopes(causes)
	if err != nil {
		return Corner{}, err
	}
	var c Corner
	var worst []bool // for each cause: at the upper end
	if c.Exhaustive = len(causes) <= most; c.Exhaustive {
		all := make([][]bool, 1<<len(causes))
		for i := range all {
			all[i] = make([]bool, len(causes))
			for k := range causes {
				all[i][k] = i>>k&1 == 1
			}
		}
		worst, _ = s.worstOf(causes, all)
		c.Tried = len(all)
	} else {
		worst, c.Tried = s.climb(causes, s.bySigns(slopes))
	}
	b := s.builder()
	b.corner(causes, worst)
	level := make([]float64, len(s.Field.Hz))
	b.solve(level)
	c.Figures = s.judge().figures(b, level)
	c.Networks = b.networks
	for w, g := range b.gain {
		c.Levels = append(c.Levels, 20*math.Log10(s.polarity(w)*g))
	}
	return c, nil
}

// bySigns returns the corners that move the level on axis at one frequency of the band most.
func (s Speaker) bySigns(slopes [][]float64) [][]bool {
	lo, hi := s.band()
	var corners [][]bool
	for k := lo; k < hi; k++ {
		up, down := make([]bool, len(slopes)), make([]bool, len(slopes))
		for i := range slopes {
			up[i] = slopes[i][k] > 0
			down[i] = !up[i]
		}
		corners = append(corners, up, down)
	}
	return corners
}

// climb starts from the worst of the corners and flips one cause at a time, the one
// that makes it worst, until none does. It also returns how many it looked at.
func (s Speaker) climb(causes []Cause, corners [][]bool) (worst []bool, tried int) {
	worst, flatness := s.worstOf(causes, corners)
	tried = len(corners)
	for {
		flipped := make([][]bool, len(causes))
		for i := range flipped {
			flipped[i] = slices.Clone(worst)
			flipped[i][i] = !flipped[i][i]
		}
		next, more := s.worstOf(causes, flipped)
		tried += len(flipped)
		if !(more > flatness) {
			return worst, tried
		}
		worst, flatness = next, more
	}
}

// worstOf returns the first corner of those that is the least flat, and that in steps.
func (s Speaker) worstOf(causes []Cause, corners [][]bool) ([]bool, float64) {
	judge := s.judge()
	all := make([]float64, len(corners))
	share(len(corners), 16, func() func(int) {
		b := s.builder()
		level := make([]float64, len(s.Field.Hz))
		return func(i int) {
			b.corner(causes, corners[i])
			b.solve(level)
			all[i] = step(judge.figures(b, level).Flatness)
		}
	})
	worst := 0
	for i, f := range all {
		if f > all[worst] {
			worst = i
		}
	}
	return corners[worst], all[worst]
}

// corner brings every cause to one of its ends.
func (b *builder) corner(causes []Cause, upper []bool) {
	for i, c := range causes {
		end := -1.0
		if upper[i] {
			end = 1
		}
		if c.Part < 0 {
			b.level(c.Way, end*b.speaker.Drivers[c.Way].Level)
			continue
		}
		j := c.Part
		for _, n := range b.speaker.Networks[:c.Way] {
			for range n.Parts() {
				j++
			}
		}
		b.set(j, end)
	}
}
