package crossover

import (
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Duty is what one driver has to bear from a programme.
type Duty struct {
	ladder.Duty
	Travel units.Length // peak, one way: RMS times the crest factor of the programme
}

// Duty returns what a driver of a way, counted from 0, has to bear from a programme
// at the input of the speaker that r is the result of. Given travel, in metres of
// peak travel, one way, per volt RMS of a sine at the driver's terminals, at the
// frequencies of the field, it also says how far the cone or dome moves; nil leaves
// that out. Different frequencies add up by mean squares, and the programme is taken
// to keep its crest factor on the way, as in [ladder.Duty].
//
// What the amplifier has to give is ladder.Network(nil).Duty(p, r.Load).
//
// It is an error if the programme fails its check, if the driver is shorted at a
// frequency with a weight, or if a travel is negative or not finite. Duty panics if
// the programme is not on the grid of the field, if travel is not as long, or if r
// is not a result of this field.
func (f *Field) Duty(r *Result, p ladder.Programme, way, driver int, travel []float64) (Duty, error) {
	if !slices.Equal(p.Hz, f.Hz) {
		panic("crossover: programme on another grid than that of the field")
	}
	if len(r.Transfer) != len(f.p) || len(r.Transfer[way]) != len(f.Hz) || travel != nil && len(travel) != len(f.Hz) {
		panic(fmt.Sprintf("crossover: result of %d ways, travel at %d frequencies: want %d and %d", len(r.Transfer), len(travel), len(f.p), len(f.Hz)))
	}
	one := f.drivers[way][driver]
	// On wires the driver would bear this; it is asked for its errors only.
	if _, err := ladder.Network(nil).Duty(p, one.z); err != nil {
		return Duty{}, fmt.Errorf("crossover: way %d, driver %d: %w", way+1, driver+1, err)
	}
	var volts, amperes, watts, metres float64 // mean squares, and power, per volt
	for i, weight := range p.Weight {
		if weight == 0 {
			continue
		}
		h := r.Transfer[way][i]
		if one.share != nil {
			h *= one.share[i]
		}
		square := weight * (real(h)*real(h) + imag(h)*imag(h))
		y := reciprocal(one.z[i])
		volts += square
		amperes += square * (real(y)*real(y) + imag(y)*imag(y))
		watts += square * real(y)
		if travel != nil {
			x := units.Length(travel[i])
			if err := units.NotNegative(fmt.Sprintf("crossover: way %d, driver %d: travel per volt at %v", way+1, driver+1, units.Frequency(f.Hz[i])), x); err != nil {
				return Duty{}, err
			}
			metres += square * travel[i] * travel[i]
		}
	}
	var d Duty
	d.Voltage = p.Volts * units.Voltage(math.Sqrt(volts))
	d.Current = units.Current(float64(p.Volts) * math.Sqrt(amperes))
	d.Power = units.Power(float64(p.Volts*p.Volts) * watts)
	d.PeakVoltage, d.PeakCurrent = d.Voltage*units.Voltage(p.Crest), d.Current*units.Current(p.Crest)
	// The travel of a sine is √2 times its RMS.
	d.Travel = units.Length(float64(p.Volts) * math.Sqrt(metres/2) * p.Crest)
	return d, nil
}
