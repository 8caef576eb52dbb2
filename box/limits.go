package box

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Limits says what must not be exceeded; zero is no limit.
type Limits struct {
	Travel   units.Length   // of the cone, peak, one way; normally the driver's Xmax
	AirSpeed units.Velocity // in each vent, peak
	Heat     units.Power    // in the coil's Re, for long
	Radiator units.Length   // travel of the passive radiator, peak, one way
}

// Check refuses limits that are negative or no numbers.
func (l Limits) Check() error {
	return cmp.Or(
		units.NotNegative("box: limit of travel", l.Travel),
		units.NotNegative("box: limit of air speed", l.AirSpeed),
		units.NotNegative("box: limit of heat", l.Heat),
		units.NotNegative("box: limit of the passive radiator", l.Radiator),
	)
}

// Limit names what gives first.
type Limit uint8

// The things that can give.
const (
	None Limit = iota
	Cone
	Vent
	Heat
	Radiator
)

func (l Limit) String() string {
	return [...]string{"nothing", "cone", "vent", "heat", "passive radiator"}[l]
}

// Voltages are those at which each thing that can give does, by [Limit]; +Inf where
// it is not limited or there is no such thing.
type Voltages [Radiator + 1]units.Voltage

// First returns the smallest and what it belongs to. A NaN is smaller than anything.
func (v Voltages) First() (units.Voltage, Limit) {
	first := None
	for i, x := range v {
		if cmp.Less(x, v[first]) {
			first = Limit(i)
		}
	}
	return v[first], first
}

// MaxVoltage returns the sine voltage (RMS) at the terminals at which something
// first reaches its limit at one frequency, and what; +Inf and [None] without
// limits, NaN for a system or limits that do not pass their checks. Heat is the power
// in Re, |I|² Re, with the resistance cold: a hot coil takes less current and plays
// quieter. [System.Loudest] does the same for other signals.
func (s System) MaxVoltage(f units.Frequency, l Limits) (units.Voltage, Limit) {
	var r response
	r.add(s.At(f), 1)
	return r.voltages(l, math.Sqrt2, s.Driver.Re).First()
}

// MaxVoltageAbove returns the smallest of [System.MaxVoltage] over the frequencies
// hz that are not below lowest: what a signal high-passed there may have, tone by
// tone. It also tells where. Without such a frequency, or limits, it is +Inf.
func (s System) MaxVoltageAbove(lowest units.Frequency, hz []float64, l Limits) (units.Voltage, units.Frequency, Limit) {
	v, at, what := units.Voltage(math.Inf(1)), units.Frequency(0), None
	for _, x := range hz {
		if x < float64(lowest) {
			continue
		}
		if u, w := s.MaxVoltage(units.Frequency(x), l); cmp.Less(u, v) {
			v, at, what = u, units.Frequency(x), w
		}
	}
	return v, at, what
}

// A response sums squares of what a signal of 1 V does. As in [Point], travel and
// speed are √2 of their RMS.
type response struct {
	travel, vent, rear, radiator, current, pressure float64
}

func (r *response) add(p Point, power float64) {
	r.travel += power * square(p.Travel)
	r.vent += power * square(p.AirSpeed)
	r.rear += power * square(p.RearSpeed)
	r.radiator += power * square(p.Radiator)
	r.current += power * square(p.Current)
	r.pressure += power * square(p.Pressure)
}

func square(z complex128) float64 { return float64(real(z)*real(z)) + float64(imag(z)*imag(z)) }

// together returns the response to the lines of a signal at once.
func (s *System) together(lines []Line, a air.Air) response {
	var r response
	sum := 0.0
	for _, l := range lines {
		r.add(s.at(l.Hz, a), l.Power)
		sum += l.Power
	}
	return response{r.travel / sum, r.vent / sum, r.rear / sum, r.radiator / sum, r.current / sum, r.pressure / sum}
}

// voltages returns the voltages that bring the squares to their limits.
func (r response) voltages(l Limits, crest float64, re units.Resistance) Voltages {
	peak := crest / math.Sqrt2 // over the √2 of RMS that a Point has
	return Voltages{
		None:     units.Voltage(math.Inf(1)),
		Cone:     reached(float64(l.Travel)/peak, r.travel),
		Vent:     reached(float64(l.AirSpeed)/peak, max(r.vent, r.rear)),
		Heat:     reached(math.Sqrt(float64(l.Heat/units.Power(re))), r.current),
		Radiator: reached(float64(l.Radiator)/peak, r.radiator),
	}
}

func reached(limit, square float64) units.Voltage {
	if limit == 0 || square == 0 {
		return units.Voltage(math.Inf(1))
	}
	return units.Voltage(limit / math.Sqrt(square))
}

// level returns the level of r at a voltage.
func (r response) level(v units.Voltage) units.PressureLevel {
	return Point{Pressure: complex(math.Sqrt(r.pressure)*float64(v), 0)}.Level()
}
