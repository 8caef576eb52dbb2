package align

import (
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/units"
)

// hopeless is how far a box without a cut-off is taken to miss it.
const hopeless = 10

var halfPower = 10 * math.Log10(2)

// neper is 1 dB as a logarithm of amplitude, so that dB compare with the other misses.
const neper = math.Ln10 / 20

// judge computes what the goal asks of one box.
func (s *search) judge(vb, fb float64) trial {
	t := trial{vb: units.Volume(vb), fb: units.Frequency(fb)}
	for b := range t.over {
		t.over[b] = math.Inf(-1)
	}
	t.over[LeastVolume] = math.Log(float64(s.g.Volume.Least) / vb)
	t.over[MostVolume] = math.Log(vb / float64(s.g.Volume.Most))
	if _, closed := s.g.Box.(box.Closed); !closed {
		_, hi := s.g.tunings(t.vb, s.a)
		t.over[LeastTuning] = math.Log(float64(s.g.Tuning.Least) / fb)
		t.over[MostTuning] = math.Log(fb) - hi
	}
	e := s.g.at(t.vb, t.fb, s.a)
	s.shape(&t, box.System{Driver: s.bare, Enclosure: e, Air: s.a})
	// Once a box is known that keeps all limits, how far others miss them is all one.
	if t.kept() || !s.found {
		s.output(&t, box.System{Driver: s.d, Enclosure: e, Air: s.a})
	}
	s.found = s.found || t.kept()
	return t
}

// shape computes the figures of the response.
func (s *search) shape(t *trial, sys box.System) {
	sys.Sweep(s.points, s.hz)
	top := 0
	for i, p := range s.points {
		s.power[i] = (real(p.Pressure)*real(p.Pressure) + imag(p.Pressure)*imag(p.Pressure)) / (s.ref * s.ref)
		if s.power[i] > s.power[top] {
			top = i
		}
	}
	last := len(s.hz) - 1
	_, t.peak = s.extreme(sys, top)
	t.peak = max(0, t.peak)
	limit(t, PeakBound, s.g.Peak, neper*(t.peak-s.g.Peak))
	below := top
	for below >= 0 && s.power[below] >= 0.5 {
		below--
	}
	if below < 0 || below == last {
		t.cutoff = units.Frequency(math.Inf(1))
		t.over[CutoffBound] = hopeless
		return
	}
	t.cutoff = s.crossing(sys, below)
	limit(t, CutoffBound, float64(s.g.Cutoff), math.Log(float64(t.cutoff/s.g.Cutoff)))

	from := 2 * t.cutoff
	t.dip = max(0, -sys.Gain(from))
	least := -1
	for i := last; i >= 0 && s.hz[i] > float64(from); i-- {
		if least < 0 || s.power[i] < s.power[least] {
			least = i
		}
	}
	if least > 0 {
		if f, g := s.extreme(sys, least); f > from {
			t.dip = max(t.dip, -g)
		}
	}
	limit(t, DipBound, s.g.Dip, neper*(t.dip-s.g.Dip))
	if s.g.Delay > 0 {
		t.delay = s.delay(sys, t.cutoff)
		t.over[DelayBound] = math.Log(float64(t.delay / s.g.Delay))
	}
}

// limit enters a miss, unless the limit is none.
func limit(t *trial, b Bound, is, over float64) {
	if is > 0 {
		t.over[b] = over
	}
}

// extreme returns the largest or smallest gain around the grid's, by parabolas of
// shrinking width.
func (s *search) extreme(sys box.System, i int) (units.Frequency, float64) {
	level := func(k int) float64 { return 10 * math.Log10(s.power[k]) }
	if i == 0 || i == len(s.hz)-1 {
		return units.Frequency(s.hz[i]), level(i)
	}
	at := func(x float64) float64 { return sys.Gain(units.Frequency(math.Exp(x))) }
	x, h := math.Log(s.hz[i]), math.Ln2/gridPer
	a, b, c := level(i-1), level(i), level(i+1)
	for range 3 {
		bend := a + c - 2*b
		if bend == 0 {
			break
		}
		x += min(max((a-c)/(2*bend), -1), 1) * h
		h /= 8
		a, b, c = at(x-h), at(x), at(x+h)
	}
	return units.Frequency(math.Exp(x)), b
}

// section returns where g is largest between a and b, by golden section.
func section(a, b, width float64, g func(float64) float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	gx, gy := g(x), g(y)
	for b-a > width {
		if gx > gy {
			b, y, gy = y, x, gx
			x = b - ratio*(b-a)
			gx = g(x)
		} else {
			a, x, gx = x, y, gy
			y = a + ratio*(b-a)
			gy = g(y)
		}
	}
	return (a + b) / 2
}

// crossing returns where the gain passes half power above the grid point i, by false
// position with the weight of the end that stays halved.
func (s *search) crossing(sys box.System, i int) units.Frequency {
	a, b := math.Log(s.hz[i]), math.Log(s.hz[i+1])
	fa, fb := 10*math.Log10(2*s.power[i]), 10*math.Log10(2*s.power[i+1])
	x := a
	for range 60 {
		x = b - fb*(b-a)/(fb-fa)
		f := sys.Gain(units.Frequency(math.Exp(x))) + halfPower
		switch {
		case math.Abs(f) < 1e-8:
			return units.Frequency(math.Exp(x))
		case f < 0:
			a, fa = x, f
			fb /= 2
		default:
			b, fb = x, f
			fa /= 2
		}
	}
	return units.Frequency(math.Exp(x))
}

// delay returns the largest group delay from f to three octaves above it; further up it
// only falls.
func (s *search) delay(sys box.System, f units.Frequency) units.Time {
	const per, octaves = 12, 3
	at := func(x float64) float64 { return float64(sys.GroupDelay(f * units.Frequency(math.Exp2(x)))) }
	best, most := 0, at(0)
	for i := 1; i <= per*octaves; i++ {
		if v := at(float64(i) / per); v > most {
			best, most = i, v
		}
	}
	x := section(max(0, float64(best-1)/per), float64(best+1)/per, 1e-5, at)
	return units.Time(max(most, at(x)))
}

// output computes what the signal does.
func (s *search) output(t *trial, sys box.System) {
	t.volts = units.Voltage(math.Inf(1))
	if len(s.g.Signal.Lines) == 0 {
		return
	}
	limits := s.g.Limits
	sized := s.g.Vent.given()
	if sized { // at 1 m/s through 1 m²
		v := sys.Enclosure.(box.Vented)
		v.Area = 1
		sys.Enclosure = v
		limits.AirSpeed = 1
	}
	unlimited := limits == (box.Limits{})
	if unlimited {
		limits.Travel = 1 // for the level
	}
	verdict, err := sys.Loudest(s.g.Signal, limits)
	if err != nil {
		t.over[ConeBound] = hopeless
		return
	}
	each := verdict.Each
	if unlimited {
		each[box.Cone] = t.volts
	}
	if sized {
		s.fit(t, &each)
	}
	t.volts, _ = each.First()
	volts := s.g.Volts
	if s.g.Objective == MostOutput {
		volts = t.volts
	}
	for _, l := range [...]struct {
		of    box.Limit
		bound Bound
	}{{box.Cone, ConeBound}, {box.Vent, AirBound}, {box.Heat, HeatBound}, {box.Radiator, RadiatorBound}} {
		t.over[l.bound] = math.Log(float64(volts / each[l.of]))
	}
	if sized && len(s.g.Vent.Diameters) == 0 && s.g.Objective != MostOutput {
		t.over[AirBound] = math.Inf(-1) // the vent is as wide as that takes
	}
	if s.g.Signal.Apart {
		t.level = box.Point{Pressure: complex(s.ref*float64(volts), 0)}.Level()
	} else {
		t.level = verdict.Level + units.PressureLevel(20*math.Log10(float64(volts/verdict.Volts)))
	}
}

// fit chooses the vent; each comes with the volts that move 1 m³/s through it.
func (s *search) fit(t *trial, each *box.Voltages) {
	perFlow := each[box.Vent]
	wide := s.g.Objective == MostOutput
	area := units.Area(float64(s.g.Volts/perFlow) / float64(s.g.Limits.AirSpeed))
	t.vent = s.g.Vent.fit(area, wide, s.widest, t.vb, t.fb, s.a)
	t.over[RoomBound] = t.vent.over
	each[box.Vent] = perFlow * units.Voltage(float64(s.g.Limits.AirSpeed)*float64(t.vent.vent.Area()))
}
