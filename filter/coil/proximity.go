package coil

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/units"
)

// ResistanceAt estimates the resistance of the coil in ohms at the frequencies hz
// in hertz: that for direct current, the skin effect of each turn by itself, and
// the eddies that the field of the other turns drives in it, which are most of it
// in a coil of many layers.
//
// Each turn is taken as a round wire in an even field across it, for which the
// eddies are exact at every frequency,
//
//	heat per length = ω (2πa²/µ0) |Im(J2(ka)/J0(ka))| B²,  k = (1-j)/δ,
//
// and B² is the mean square of the field that all other turns make in the middle of
// each, thin rings in layers of even pitch. It is an estimate: the field of the
// nearest turns is not even across a wire, the eddies act back on the field, and no
// measured coil was compared. The time goes with the square of the turns.
//
// For a long coil of many layers it tends to 3/π of the proximity term of P. L.
// Dowell, Effects of eddy currents in transformer windings, Proceedings of the
// Institution of Electrical Engineers, volume 113, 1966, who takes square wire in a
// field along the layers. For the shape of Brooks, whose field passes through zero
// within the winding and leaves it on all sides, that term is about seven times the
// one here.
//
// It is a *[units.RangeError] if wire or section do not pass their checks, the
// turns are not positive, or a frequency or the temperature is refused by [SkinDepth].
func (c Coil) ResistanceAt(hz []float64, t units.Temperature) ([]float64, error) {
	if err := c.Wire.Check(); err != nil {
		return nil, err
	}
	if err := c.Section.check(c.Turns); err != nil {
		return nil, err
	}
	square := c.meanSquareField()
	dc := float64(c.Resistance(t))
	area := float64(c.Wire.Area())
	ohms := make([]float64, len(hz))
	for i, f := range hz {
		delta, err := SkinDepth(units.Frequency(f), t)
		if err != nil {
			return nil, err
		}
		own := kelvin(float64(c.Wire.Diameter / (2 * delta)))
		// J2/J0 = 2 J1/(z J0) - 1.
		eddy := imag(-1/own) * 2 * math.Pi * f * 2 * area / mu0 * square
		ohms[i] = dc*real(own) + eddy*float64(c.WireLength())
	}
	return ohms, nil
}

// meanSquareField returns the mean along the wire of B² for 1 A, in T²/A²: the field
// of all other turns in the middle of each.
func (c Coil) meanSquareField() float64 {
	p := float64(c.Wire.pitch())
	turns := max(1, int(math.Round(c.Turns)))
	perLayer := min(turns, max(1, int(math.Round(float64(c.Section.Length)/p))))
	layers := (turns + perLayer - 1) / perLayer
	in := func(layer int) int { return min(perLayer, turns-layer*perLayer) }
	radius := func(layer int) float64 { return float64(c.Section.Inner) + (float64(layer)+0.5)*p }

	axial, radial := make([]float64, perLayer), make([]float64, perLayer)
	away, across := make([]float64, perLayer), make([]float64, perLayer)
	length, sum := 0.0, 0.0
	for i := range layers {
		clear(axial)
		clear(radial)
		for k := range layers {
			// The field a whole number of turns further on.
			for d := range perLayer {
				away[d], across[d] = 0, 0
				if d > 0 || k != i {
					away[d], across[d] = ring(radius(k), radius(i), float64(d)*p)
				}
			}
			for j := range in(i) {
				for l := range in(k) {
					if j >= l {
						axial[j] += away[j-l]
						radial[j] += across[j-l]
					} else {
						axial[j] += away[l-j]
						radial[j] -= across[l-j]
					}
				}
			}
		}
		for j := range in(i) {
			length += radius(i)
			sum += radius(i) * (axial[j]*axial[j] + radial[j]*radial[j])
		}
	}
	scale := c.Turns / float64(turns)
	return scale * scale * sum / length
}

// ring returns the field of a ring of radius a that carries 1 A, at the radius r
// and the height z above its plane, along the axis and away from it, in tesla.
func ring(a, r, z float64) (axial, radial float64) {
	far, near := (a+r)*(a+r)+z*z, (a-r)*(a-r)+z*z
	m := 4 * a * r / far
	k, e := mathext.CompleteK(m), mathext.CompleteE(m)
	scale := mu0 / (2 * math.Pi * math.Sqrt(far))
	axial = scale * (k + (a*a-r*r-z*z)/near*e)
	if r > 0 {
		radial = scale * z / r * ((a*a+r*r+z*z)/near*e - k)
	}
	return axial, radial
}
