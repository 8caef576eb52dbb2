package air

import "example.com/halfspace/units"

// Air is what the formulas of acoustics need to know about the medium. It is
// comparable, and its zero value stands for [Standard] wherever a package says
// so (see [Air.OrStandard]).
type Air struct {
	Density      units.Density
	SpeedOfSound units.Velocity
}

// Standard returns the air of the loudspeaker literature: 1.18 kg/m³ and
// 345 m/s (R. H. Small, "Closed-Box Loudspeaker Systems, Part I: Analysis", J.
// Audio Eng. Soc. 20 (1972) 798, glossary).
//
// The pair is real air at 21.6 °C, 50 % humidity and 100.3 kPa, the pressure some
// 85 m above the sea. At 101.325 kPa the air of that speed weighs 1.192 kg/m³, 1 % more.
func Standard() Air {
	return Air{Density: 1.18 * units.KilogramPerCubicMetre, SpeedOfSound: 345 * units.MetrePerSecond}
}

// OrStandard returns [Standard] for the zero Air, and a itself otherwise.
func (a Air) OrStandard() Air {
	if a == (Air{}) {
		return Standard()
	}
	return a
}

// Check returns a *[units.RangeError] unless density and speed of sound are
// both positive and finite. The zero Air fails: apply [Air.OrStandard] first
// where it is welcome.
func (a Air) Check() error {
	if err := units.Positive("air: density", a.Density); err != nil {
		return err
	}
	return units.Positive("air: speed of sound", a.SpeedOfSound)
}

// BulkModulus returns ρc², the adiabatic bulk modulus: pressure per relative
// change of volume. Vas is ρc²·Sd²·Cms.
func (a Air) BulkModulus() units.Pressure {
	return units.Pressure(float64(a.Density) * float64(a.SpeedOfSound) * float64(a.SpeedOfSound))
}

// Impedance returns ρc, the specific acoustic impedance of a plane wave, in
// Pa·s/m.
func (a Air) Impedance() float64 { return float64(a.Density) * float64(a.SpeedOfSound) }
