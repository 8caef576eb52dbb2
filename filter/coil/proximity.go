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
// and B² is the mean square over the section of the field of a current that fills
// it evenly, good to about 2 %. The field of a turn's neighbours is not even across
// it, and the eddies act back on the field, so take the result as an estimate, to a
// few tenths below the frequency where it reaches ten times the direct-current
// resistance, and as an order of magnitude above. In the limit of a long coil it is
// 3/π of the sum of P. L. Dowell, Effects of eddy currents in transformer windings,
// Proceedings of the Institution of Electrical Engineers, volume 113, 1966, whose
// field runs along the layers everywhere and is too large for a short coil.
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
	square := c.Section.meanSquareField(c.Turns)
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

// meanSquareField returns the mean of B² over the section for 1 A, along the wire,
// so that larger turns count more, in T²/A².
func (s Section) meanSquareField(turns float64) float64 {
	const across = 12
	nb, nc := across, across
	// Cells about square, at most four times as many one way as the other.
	switch q := float64(s.Length / s.Depth); {
	case q > 1:
		nb = int(across * min(4, q))
	default:
		nc = int(across * min(4, 1/q))
	}
	b, c := float64(s.Length)/float64(nb), float64(s.Depth)/float64(nc)
	weights, sum := 0.0, 0.0
	// Rings in the middles of the cells, the field at the corners between.
	for i := range nc + 1 {
		r := float64(s.Inner) + float64(i)*c
		for j := 0; j <= nb; j++ {
			z := float64(j) * b
			var axial, radial float64
			for k := range nc {
				a := float64(s.Inner) + (float64(k)+0.5)*c
				for l := range nb {
					bz, br := ring(a, r, z-(float64(l)+0.5)*b)
					axial += bz
					radial += br
				}
			}
			w := r
			if i == 0 || i == nc {
				w /= 2
			}
			if j == 0 || j == nb {
				w /= 2
			}
			weights += w
			sum += w * (axial*axial + radial*radial)
		}
	}
	each := turns / float64(nb*nc)
	return each * each * sum / weights
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
