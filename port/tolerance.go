package port

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Sensitivity is by how much the tuning changes, per unit of what is changed: in
// hertz per metre (a thousandth of it is per millimetre), per m³ (a thousandth: per litre) and per kelvin.
type Sensitivity struct {
	Length        float64 // Hz/m
	Diameter      float64 // Hz/m, of a round vent
	Width, Height float64 // Hz/m, of a rectangular one
	Volume        float64 // Hz/m³
	Temperature   float64 // Hz/K
}

// Sensitivity returns the derivatives of [Vent.Tuning]. Those by length, volume and
// temperature are exact: −fB/(2 Leff), −fB/(2 V), fB/(2 T), T being the temperature at
// which dry air has the speed of sound of a. Those by section take the end corrections
// along, by differences of fourth order, to 1e-9. Zero air is standard air. A section that
// stands at its limit (as wide as its spacing) has no derivative: they are then NaN or meaningless.
func (v Vent) Sensitivity(vb units.Volume, a air.Air) Sensitivity {
	f := float64(v.Tuning(vb, a))
	s := Sensitivity{
		Length:      -f / (2 * float64(v.EffectiveLength())),
		Volume:      -f / (2 * float64(vb)),
		Temperature: f / (2 * kelvins(a)),
	}
	slope := func(side func(*Vent) *units.Length) float64 {
		at := func(steps float64) float64 {
			w := v
			*side(&w) *= units.Length(1 + steps/1024)
			return float64(w.Tuning(vb, a))
		}
		return (8*(at(1)-at(-1)) - (at(2) - at(-2))) / 12 * 1024 / float64(*side(&v))
	}
	if v.round() {
		s.Diameter = slope(func(v *Vent) *units.Length { return &v.Diameter })
	} else {
		s.Width = slope(func(v *Vent) *units.Length { return &v.Width })
		s.Height = slope(func(v *Vent) *units.Length { return &v.Height })
	}
	return s
}

// kelvins is the temperature of dry air with the speed of sound of a,
// 343.2 m/s at 293.15 K (ISO 9613-1).
func kelvins(a air.Air) float64 {
	ratio := float64(a.OrStandard().SpeedOfSound) / 343.2
	return 293.15 * ratio * ratio
}

// A Tolerance is how far a vent and its box may be from what was meant, either way.
type Tolerance struct {
	Length      units.Length
	Section     units.Length // of diameter, or of width and height together
	Volume      units.Ratio  // of the net volume
	Temperature float64      // in kelvins
}

// TuningRange returns the lowest and the highest tuning within a tolerance: everything at
// its worst at once, computed anew rather than from derivatives. It is an error unless
// vent and box are sound at both ends. Zero air is standard air.
func (v Vent) TuningRange(vb units.Volume, a air.Air, t Tolerance) (low, high units.Frequency, err error) {
	a = a.OrStandard()
	if err := cmp.Or(v.Check(), units.Positive("port: box volume", vb), a.Check(),
		units.NotNegative("port: tolerance of the length", t.Length),
		units.NotNegative("port: tolerance of the section", t.Section),
		units.Within("port: tolerance of the volume", t.Volume, 0, 0.5),
		units.Within("port: tolerance of the temperature", units.Temperature(t.Temperature), 0, 100)); err != nil {
		return 0, 0, err
	}
	at := func(sign float64) (units.Frequency, error) {
		w, b := v, a
		up := units.Length(sign)
		w.Length -= up * t.Length
		if w.round() {
			w.Diameter += up * t.Section
		} else {
			w.Width += up * t.Section
			w.Height += up * t.Section
		}
		b.SpeedOfSound *= units.Velocity(math.Sqrt(1 + sign*t.Temperature/kelvins(a)))
		return w.Tuning(vb*units.Volume(1-sign*float64(t.Volume)), b), w.Check()
	}
	low, errLow := at(-1)
	high, errHigh := at(1)
	if err := cmp.Or(errLow, errHigh); err != nil {
		return 0, 0, err
	}
	return low, high, nil
}
