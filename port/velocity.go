package port

import "example.com/halfspace/units"

// Velocity returns the air speed in the vents, averaged over their area, for
// the volume velocity flow in m³/s through all vents together. It is RMS or
// peak as the flow is: say which when you print it.
func (v Vent) Velocity(flow float64) units.Velocity {
	return units.Velocity(flow / float64(v.Area()))
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
