package port

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Losses are what the vent loses at one frequency, each as the Q it would leave to
// the mass of the vent alone: reactance over resistance. Zero means no such loss.
type Losses struct {
	Viscous   float64 // friction at the walls: see [Vent.BoundaryLayer]
	Thermal   float64 // heat that goes into the walls and back, late
	Radiation float64 // sound into the half space
	Jet       float64 // what blows off as a jet at each end of the stroke
}

// Total returns the Q of all losses together, 1/Q = Σ 1/Qi: at the tuning it is
// the QP of a vented box, Q = ωb Map/Rap.
func (l Losses) Total() float64 {
	sum := 0.
	for _, q := range []float64{l.Viscous, l.Thermal, l.Radiation, l.Jet} {
		if q != 0 {
			sum += 1 / q
		}
	}
	if sum == 0 {
		return 0
	}
	return 1 / sum
}

// Losses returns what the vents lose at f while the air in them moves with a peak speed,
// averaged over the section; speed 0 leaves the jet out.
//
//	Viscous    Im Z/Re Z of the exact boundary layer, a/δ for wide vents
//	Thermal    1/Q = (γ−1) (δ/(a√Pr)) k² ((L + d)³ − d³)/(3 Leff), d the outer end:
//	           the pressure in the vent falls from that of the box to nothing
//	Radiation  c Leff/(S f), S of all vents together, which are small and near
//	           each other against the wave; the double in full space
//	Jet        3π ω Leff/(4 K v), K = 1: the energy of the flow is lost, quasi-steady,
//	           averaged over the stroke
//
// K lies between 1 and 1.5 for sharp edges and falls with rounding: the jet is good to
// its order of magnitude, and it makes Q depend on level. It is an error unless the vent
// passes its check, f is positive, speed and mu are not negative. Zero air is
// standard air, zero mu [StandardViscosity].
func (v Vent) Losses(f units.Frequency, speed units.Velocity, a air.Air, mu units.Viscosity) (Losses, error) {
	a = a.OrStandard()
	if err := cmp.Or(v.Check(), units.Positive("port: frequency", f), units.NotNegative("port: air speed", speed),
		a.Check(), units.NotNegative("port: viscosity", mu)); err != nil {
		return Losses{}, err
	}
	omega, c := 2*math.Pi*float64(f), float64(a.SpeedOfSound)
	k := omega / c
	all := float64(v.EffectiveLength())
	outer := float64(v.end(v.Outer, v.OuterRound))
	tube := float64(v.Length)
	var l Losses
	l.Viscous, _ = v.BoundaryLayer(f, a, mu)
	cubes := tube * (float64(tube*tube) + float64(3*tube*outer) + float64(3*outer*outer))
	layers := v.layers(f, a, mu) / math.Sqrt2 * math.Sqrt(prandtl)
	l.Thermal = layers * 3 * all / ((heatRatio - 1) * k * k * cubes)
	l.Radiation = c * all / (float64(v.Area()) * float64(f))
	if speed > 0 {
		l.Jet = 3 * math.Pi * omega * all / (4 * float64(speed))
	}
	return l, nil
}
