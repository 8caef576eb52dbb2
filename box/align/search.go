package align

import (
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

const (
	volumeSteps = 24
	tuningSteps = 40
	starts      = 2    // local best points of a grid that are refined
	coarse      = 1e-3 // widths, in logarithms, at which refining ends
	fine        = 1e-5
	tight       = 1e-8
	exact       = 1e-9 // by which a limit may be missed in the search: rounding of logarithms
	loose       = 1e-4 // and after volume and tuning have been rounded
	binding     = 1e-3 // from which on a limit is met exactly
)

// A trial is one box, judged. It is comparable by [search.better].
type trial struct {
	vb   units.Volume
	fb   units.Frequency
	vent fitting

	cutoff units.Frequency
	peak   float64
	dip    float64
	delay  units.Time
	volts  units.Voltage
	level  units.PressureLevel

	over [bounds]float64 // by limit: how far it is missed, the logarithm of what is over what may be, negative if kept
}

func (t *trial) worst() Bound {
	w := Bound(0)
	for b := range t.over {
		if t.over[b] > t.over[w] {
			w = Bound(b)
		}
	}
	return w
}

func (t *trial) kept() bool { return t.over[t.worst()] <= exact }

// A search is a goal with a driver, and the room to compute in.
type search struct {
	g      Goal
	d      ts.Driver
	bare   ts.Driver // without coil inductance
	a      air.Air
	ref    float64 // of [box.System.Reference]
	hz     []float64
	points []box.Point
	power  []float64    // of the response, re the reference
	found  bool         // a box that keeps all limits
	widest units.Length // vent that goes into the box across
}

// The grid of the response: octaves below and above fs, points per octave.
const (
	gridBelow = 4
	gridAbove = 5
	gridPer   = 10
)

func newSearch(g Goal, d ts.Driver, a air.Air) *search {
	s := &search{g: g, d: d, bare: d, a: a}
	s.bare.Coil = ts.Coil{}
	s.ref = box.System{Driver: d, Enclosure: g.Box, Air: a}.Reference()
	n := (gridBelow+gridAbove)*gridPer + 1
	s.hz, s.points, s.power = make([]float64, n), make([]box.Point, n), make([]float64, n)
	if g.Vent.given() {
		s.widest = g.Vent.widest()
	}
	for i := range s.hz {
		s.hz[i] = float64(d.Fs()) * math.Exp2(float64(i)/gridPer-gridBelow)
	}
	return s
}

func (s *search) volumes() (lo, hi float64) {
	return math.Log(float64(s.g.Volume.Least)), math.Log(float64(s.g.Volume.Most))
}

// better orders boxes of one volume, and boxes of any where volume is not the
// objective: kept limits first, by the objective; else by the worst miss.
func (s *search) better(t, u *trial) bool {
	if tk, uk := t.kept(), u.kept(); tk != uk {
		return tk
	} else if !tk {
		return t.over[t.worst()] < u.over[u.worst()]
	}
	if s.g.Objective == MostOutput {
		return t.level > u.level
	}
	return t.cutoff < u.cutoff
}

// betterBox orders boxes of any volume.
func (s *search) betterBox(t, u *trial) bool {
	if s.g.Objective == SmallestBox && t.kept() && u.kept() && t.vb != u.vb {
		return t.vb < u.vb
	}
	return s.better(t, u)
}

// solve returns the best trial, its volume and tuning rounded, and those of a grid of
// volumes.
func (s *search) solve() (trial, []trial) {
	lo, hi := s.volumes()
	t, grid := lowest(lo, hi, volumeSteps, 3*coarse, func(x float64) trial { return s.tuned(x, coarse) }, s.betterBox)
	// Once more near it, to the last digit.
	const near = 5 * coarse
	x, y := math.Log(float64(t.vb)), math.Log(float64(t.fb))
	t = descend(max(lo, x-near), min(hi, x+near), tight, t, func(x float64) trial {
		lo, hi := s.g.tunings(units.Volume(math.Exp(x)), s.a)
		from, to := max(lo, y-4*near), min(hi, y+4*near)
		try := func(y float64) trial { return s.judge(math.Exp(x), math.Exp(y)) }
		if !(from < to) {
			return try(hi)
		}
		return descend(from, to, tight, try(from), try, s.better)
	}, s.betterBox)
	return s.rounded(t), grid
}

// rounded returns the best of the four trials around t whose volume and tuning have
// six digits. It is the best that has some limit at its edge, and there rounding one
// way may miss the limit and the other not.
func (s *search) rounded(t trial) trial {
	s.found = false
	var best trial
	for i := range 4 {
		u := s.judge(sixDigits(float64(t.vb), i&1), sixDigits(float64(t.fb), i>>1))
		if i == 0 || s.betterBox(&u, &best) {
			best = u
		}
		s.found = false
	}
	return best
}

// tuned returns the best box of a volume, given as its logarithm.
func (s *search) tuned(x, width float64) trial {
	vb := math.Exp(x)
	lo, hi := s.g.tunings(units.Volume(vb), s.a)
	try := func(y float64) trial { return s.judge(vb, math.Exp(y)) }
	if lo == hi {
		return try(lo)
	}
	t, _ := lowest(lo, hi, tuningSteps, width, try, s.better)
	return t
}

// lowest tries a grid from lo to hi and refines around its best local points. It
// returns the grid too.
func lowest(lo, hi float64, steps int, width float64, try func(float64) trial, better func(t, u *trial) bool) (trial, []trial) {
	if lo == hi {
		t := try(lo)
		return t, []trial{t}
	}
	at := func(i int) float64 { return lo + (hi-lo)*float64(i)/float64(steps) }
	grid := make([]trial, steps+1)
	for i := range grid {
		grid[i] = try(at(i))
	}
	var first [starts]int
	n := 0
	for i := range grid {
		if i > 0 && better(&grid[i-1], &grid[i]) || i < steps && better(&grid[i+1], &grid[i]) {
			continue
		}
		j := min(n, starts-1)
		if n == starts && !better(&grid[i], &grid[first[j]]) {
			continue
		}
		for ; j > 0 && better(&grid[i], &grid[first[j-1]]); j-- {
			first[j] = first[j-1]
		}
		first[j] = i
		n = min(n+1, starts)
	}
	best := grid[first[0]]
	for _, i := range first[:n] {
		best = descend(at(max(i-1, 0)), at(min(i+1, steps)), width, best, try, better)
	}
	return best, grid
}

// descend returns the best trial between a and b by golden section, or the one
// known if none is better. The order of trials has one best point between a and b: at
// the edge of what keeps the limits, the limits that are missed lead to it from one side, and the
// objective from the other.
func descend(a, b, width float64, best trial, try func(float64) trial, better func(t, u *trial) bool) trial {
	ratio := (math.Sqrt(5) - 1) / 2
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	tx, ty := try(x), try(y)
	keep := func(t trial) {
		if better(&t, &best) {
			best = t
		}
	}
	keep(tx)
	keep(ty)
	for b-a > width {
		if better(&tx, &ty) {
			b, y, ty = y, x, tx
			x = b - ratio*(b-a)
			tx = try(x)
			keep(tx)
		} else {
			a, x, tx = x, y, ty
			y = a + ratio*(b-a)
			ty = try(y)
			keep(ty)
		}
	}
	keep(try(a))
	keep(try(b))
	return best
}

// sixDigits cuts x after six digits, and adds one or none to the last.
func sixDigits(x float64, add int) float64 {
	unit := math.Pow10(5 - int(math.Floor(math.Log10(x))))
	return (math.Floor(x*unit) + float64(add)) / unit
}

// design returns a trial with everything that is known of it.
func (s *search) design(t trial) Design {
	d := Design{
		Box: s.g.at(t.vb, t.fb, s.a), Vent: t.vent.vent, Volume: t.vb, Tuning: t.fb,
		Cutoff: t.cutoff, Peak: t.peak, Dip: t.dip, Delay: t.delay, Volts: t.volts, Level: t.level,
	}
	switch b := d.Box.(type) {
	case box.Closed:
		d.Tuning = 0
	case box.Vented:
		if s.g.Vent.given() {
			b.Area = t.vent.vent.Area()
			d.Box = b
		}
	}
	if s.g.Delay == 0 {
		d.Delay = s.delay(box.System{Driver: s.bare, Enclosure: d.Box, Air: s.a}, t.cutoff)
	}
	return d
}
