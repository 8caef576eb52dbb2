package air

import (
	"math"

	"example.com/halfspace/units"
)

// gas is moist air in the variables of the formulas below. Products that meet a
// sum are rounded first, so that no architecture fuses them.
type gas struct {
	kelvin, celsius, pascal float64
	vapour, co2             float64 // mole fractions
}

// saturation returns the mole fraction of water vapour in saturated air.
//
//	xsv = f psv/p,  psv = exp(A T² + B T + C + D/T),  f = α + β p + γ t²
//
// CIPM-2007: A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for
// the density of moist air (CIPM-2007)", Metrologia 45 (2008) 149, Appendix A.
func (g gas) saturation() float64 {
	psv := math.Exp(polynomial(g.kelvin, 33.93711047, -1.9121316e-2, 1.2378847e-5) - 6.3431645e3/g.kelvin)
	f := 1.00062 + float64(3.14e-8*g.pascal) + float64(5.6e-7*g.celsius*g.celsius)
	return f * psv / g.pascal
}

// density returns the density of moist air.
//
//	ρ = [3.483740 + 1.4446 (xc − 0.0004)]·10⁻³ p/(Z T) (1 − 0.3780 xv)
//	Z = 1 − p/T [a0 + a1 t + a2 t² + (b0 + b1 t) xv + (c0 + c1 t) xv²] + (p/T)² (d + e xv²)
//
// CIPM-2007, as for saturation, with its Appendix A for Z.
func (g gas) density() units.Density {
	t, x, pt := g.celsius, g.vapour, g.pascal/g.kelvin
	first := polynomial(x,
		polynomial(t, 1.58123e-6, -2.9331e-8, 1.1043e-10),
		polynomial(t, 5.707e-6, -2.051e-8),
		polynomial(t, 1.9898e-4, -2.376e-6))
	second := polynomial(x, 1.83e-11, 0, -0.765e-8)
	z := polynomial(pt, 1, -first, second)
	perMole := 3.483740 + float64(1.4446*(g.co2-meanCO2))
	return units.Density(perMole * 1e-3 * pt / z * (1 - float64(0.3780*x)))
}

// speedOfSound returns the speed of sound at zero frequency.
//
//	c = a0 + a1 t + a2 t² + (a3 + a4 t + a5 t²) xv + (a6 + a7 t + a8 t²) p
//	    + (a9 + a10 t + a11 t²) xc + a12 xv² + a13 p² + a14 xc² + a15 xv p xc
//
// O. Cramer, "The variation of the specific heat ratio and the speed of sound in
// air with temperature, pressure, humidity, and CO2 concentration", J. Acoust.
// Soc. Am. 93 (1993) 2510, eq. (15) with the coefficients of Table III.
func (g gas) speedOfSound() units.Velocity {
	t, x, p, xc := g.celsius, g.vapour, g.pascal, g.co2
	c := polynomial(t, 331.5024, 0.603055, -0.000528) +
		float64(polynomial(t, 51.471935, 0.1495874, -0.000782)*x) +
		float64(polynomial(t, -1.82e-7, 3.73e-8, -2.93e-10)*p) +
		float64(polynomial(t, -85.20931, -0.228525, 5.91e-5)*xc) +
		float64(-2.835149*x*x) + float64(-2.15e-13*p*p) + float64(29.179762*xc*xc) + float64(0.000486*x*p*xc)
	return units.Velocity(c)
}

// viscosity returns the dynamic viscosity, which pressure does not change.
//
//	μ = [84.986 + 7 T + (113.157 − T) xv − 3.7501·10⁻³ T² − 100.015 xv²]·10⁻⁸ Pa·s
//
// IEC 61094-2:2009, Annex F.
func (g gas) viscosity() units.Viscosity {
	dry := polynomial(g.kelvin, 84.986, 7, -3.7501e-3)
	return units.Viscosity(polynomial(g.vapour, dry, 113.157-g.kelvin, -100.015) * 1e-8)
}

// polynomial returns a[0] + a[1] x + a[2] x² + …
func polynomial(x float64, a ...float64) float64 {
	sum := 0.0
	for i := len(a) - 1; i >= 0; i-- {
		sum = float64(sum*x) + a[i]
	}
	return sum
}
