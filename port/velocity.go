package port

import (
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Velocity returns the air speed in the vents, averaged over their area, for
// the volume velocity flow in m³/s through all vents together. It is RMS or
// peak as the flow is: say which when you print it.
func (v Vent) Velocity(flow float64) units.Velocity {
	return units.Velocity(flow / float64(v.Area()))
}

// Reynolds returns the Reynolds number ρ v D/μ of air that moves with a speed in the
// vent, RMS or peak as the speed is. D is the diameter, or 4 S/perimeter of a rectangle.
// Zero air is standard air, zero mu [StandardViscosity].
func (v Vent) Reynolds(speed units.Velocity, a air.Air, mu units.Viscosity) float64 {
	if mu == 0 {
		mu = StandardViscosity
	}
	d := 4 * v.section(0) / float64(v.perimeter())
	return float64(a.OrStandard().Density) * float64(speed) * d / float64(mu)
}

// MinimumArea returns the smallest total vent area for a tuning fb and a peak
// displacement volume vd of the driver (area of the cone times one-way xmax):
//
//	S ≥ 0.8 fB VD  (SI numbers)
//
// the rule of Small, Vented-Box Loudspeaker Systems Part II, Journal of the
// Audio Engineering Society 21 (1973) 438. It keeps the air below 5 % of the
// speed of sound, about 17 m/s, as an RMS value (24 m/s peak) for a lossless
// fourth-order Butterworth system driven to vd above its tuning: comparing it
// with a limit for peak speed is wrong by √2.
func MinimumArea(fb units.Frequency, vd units.Volume) units.Area {
	return units.Area(0.8 * float64(fb) * float64(vd))
}

// GenerousArea returns the total vent area of the other rule in handbooks, for a round
// vent of diameter
//
//	d ≥ 20.3 (VD²/fB)^(1/4)  (SI numbers)
//
// which is an area of 324 VD/√fB (from memory; the handbook is not named). At 30 Hz it asks for
// 2.5 times [MinimumArea], at 15 Hz for 7 times, at 55 Hz for the same and above for less: it
// says nothing of an air speed. vd is as for MinimumArea.
func GenerousArea(fb units.Frequency, vd units.Volume) units.Area {
	return units.Area(math.Pi / 4 * 20.3 * 20.3 * float64(vd) / math.Sqrt(float64(fb)))
}
