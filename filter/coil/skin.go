package coil

import (
	"math"

	"example.com/halfspace/units"
)

// SkinDepth returns the depth in copper at which an alternating current has fallen
// to 1/e, √(ρ/(π f µ0)): 0.467 mm at 20 kHz and 20 °C.
//
// It is a *[units.RangeError] if f is not positive, or if copper has no positive
// resistivity at t by [CopperResistivity].
func SkinDepth(f units.Frequency, t units.Temperature) (units.Length, error) {
	if err := units.Positive("coil: frequency", f); err != nil {
		return 0, err
	}
	rho := CopperResistivity(t)
	if !(rho > 0) || math.IsInf(rho, 0) {
		return 0, &units.RangeError{Field: "coil: temperature", Value: t.String(), Want: "must be one at which copper conducts by its straight line"}
	}
	return units.Length(math.Sqrt(rho / (math.Pi * float64(f) * mu0))), nil
}

// SkinEffect returns the resistance of the wire alone, straight and far from
// others, at f, over that for direct current. With the skin depth δ and the radius
// a it is the real part of
//
//	(ka/2) J0(ka)/J1(ka),  k = (1-j)/δ
//
// which is Kelvin's solution, exact for every frequency. In a coil the field of the
// other turns adds to it, often many times more: see [Coil.Proximity]. The errors
// are those of [Wire.Check] and [SkinDepth].
func (w Wire) SkinEffect(f units.Frequency, t units.Temperature) (float64, error) {
	if err := w.Check(); err != nil {
		return 0, err
	}
	delta, err := SkinDepth(f, t)
	if err != nil {
		return 0, err
	}
	return real(kelvin(float64(w.Diameter / (2 * delta)))), nil
}

// kelvin returns (z/2) J0(z)/J1(z) at z = (1-j)x, the impedance of a round wire of
// x skin depths radius over its direct-current resistance, by the continued
// fraction of Gauss,
//
//	1 - q/(1·2 - q/(2·3 - ...) ...),  q = (z/2)²
//
// here each step divided by n(n+1). It converges for every x, in a few steps more
// than |z|.
func kelvin(x float64) complex128 {
	if x > 1e4 {
		return complex(x/2+0.25, x/2) // the first terms for a large argument
	}
	q := complex(0, -x*x/2)
	f := complex(1, 0)
	for n := 40 + int(3*x); n > 0; n-- {
		f = 1 - q/complex(float64(n)*float64(n+1), 0)/f
	}
	return f
}
