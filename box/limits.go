package box

import (
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// Limits says what must not be exceeded; zero is no limit.
type Limits struct {
	Travel   units.Length   // of the cone, peak, one way; normally the driver's Xmax
	AirSpeed units.Velocity // in each vent, peak
	Heat     units.Power    // in the coil's Re, for long tones
	Radiator units.Length   // travel of the passive radiator, peak, one way
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

// MaxVoltage returns the sine voltage (RMS) at the terminals at which something
// first reaches its limit at one frequency, and what; +Inf and [None] without
// limits. Heat is the power in Re, |I|² Re, with the resistance cold: a hot coil
// takes less current and plays quieter.
func (s System) MaxVoltage(f units.Frequency, l Limits) (units.Voltage, Limit) {
	p := s.At(f)
	v, what := math.Inf(1), None
	if l.Travel > 0 {
		if x := float64(l.Travel) / cmplx.Abs(p.Travel); x < v {
			v, what = x, Cone
		}
	}
	if l.AirSpeed > 0 {
		if x := float64(l.AirSpeed) / max(cmplx.Abs(p.AirSpeed), cmplx.Abs(p.RearSpeed)); x < v {
			v, what = x, Vent
		}
	}
	if l.Heat > 0 {
		if x := math.Sqrt(float64(l.Heat)/float64(s.Driver.Re)) / cmplx.Abs(p.Current); x < v {
			v, what = x, Heat
		}
	}
	if l.Radiator > 0 {
		if x := float64(l.Radiator) / cmplx.Abs(p.Radiator); x < v {
			v, what = x, Radiator
		}
	}
	return units.Voltage(v), what
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
		if u, w := s.MaxVoltage(units.Frequency(x), l); u < v {
			v, at, what = u, units.Frequency(x), w
		}
	}
	return v, at, what
}
