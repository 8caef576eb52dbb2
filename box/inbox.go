package box

import (
	"math"

	"example.com/halfspace/units"
)

// InBox takes a measurement of the free driver into the enclosure: from the
// impedance free at f, measured with an unloaded rear, it returns the impedance in
// the box, and the factor by which the box changes the pressure measured in half
// space. With the blocked impedance Ze of the model, the motional part
// Zmot = free − Ze and the load ΔZ = Sd² Za of the enclosure,
//
//	Z      = free − Zmot² ΔZ/(Bl² + Zmot ΔZ)
//	effect = Net/(1 + ΔZ Ze Zmot/(Bl² free))
//
// (derived here from the circuit of [System.At]). Creep, cone resonances and what
// else the model lacks stay as measured, since only the air's load is added. When
// free is the model's own impedance in an [InfiniteBaffle], the result is that of
// [System.At]. Its errors are those of Ze and Bl; where the motional part is small,
// far above resonance, they do not matter.
func (s System) InBox(f units.Frequency, free complex128) (z, effect complex128) {
	d := &s.Driver
	jw := complex(0, 2*math.Pi*float64(f))
	flow := s.Enclosure.Flow(jw, s.Air.OrStandard())
	ze := complex(float64(d.Re), 0) + d.Coil.Impedance(jw)
	bl2 := complex(float64(d.Bl*d.Bl), 0)
	load := complex(float64(d.Sd*d.Sd), 0) * flow.Za
	mot := free - ze
	z = free - mot*mot*load/(bl2+mot*load)
	effect = flow.Net / (1 + load*ze*mot/(bl2*free))
	return z, effect
}
