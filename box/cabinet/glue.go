package cabinet

import "example.com/halfspace/units"

// Spread is how much wood glue a square metre of joint takes, spread on one face, in
// kg/m²: 150 to 200 g (common practice, no source).
const Spread = 0.2

// GlueArea returns the area of the joints between the layers and to the caps.
func (s Stack) GlueArea() units.Area { return units.Area(s.Layers+1) * s.RingArea() }

// Glue returns the mass of glue for those joints at a [Spread]. The ends of the
// pieces within a layer add little.
func (s Stack) Glue() units.Mass { return units.Mass(Spread * float64(s.GlueArea())) }
