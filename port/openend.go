package port

import "math"

// OpenEnd returns the end correction of a thin round tube in radii, and the modulus of
// the pressure that it reflects back into the tube, at ka = 2πf a/c: what a mouth
// becomes as waves shorten. Its impedance is
//
//	Z = j ρc tan(k d + (j/2) ln |R|)
//
// per area. Free is a tube in open space; every other mouth counts as flanged.
// Fits of Dalmont, Nederveen and Joly (Journal of Sound and Vibration 244, 2001, 505) and of
// Norris and Sheng (the same, 135, 1989, 85), as read in a collection of models
// for wind instruments, with the exact limits put in for ka → 0.
//
//	free     d/a = 0.6127 [(1 + 0.044x²)/(1 + 0.19x²) − 0.02 sin² 2x]
//	         |R| = (1 + 0.2x − 0.084x²)/(1 + 0.2x + 0.416x²)
//	flanged  d/a = 0.8217/(1 + (0.77x)²/(1 + 0.77x))
//	         |R| = (1 + 0.323x − 0.077x²)/(1 + 0.323x + 0.923x²),  x = ka
//
// Free, both are within 0.8 % of the integrals of Levine and Schwinger up to ka = 1.5,
// within 3.5 % up to 3. Above ka = 1.84 the tube carries more than the plane wave. ka must not be negative.
func (m Mouth) OpenEnd(ka float64) (correction, reflection float64) {
	x, x2 := ka, float64(ka*ka)
	if m == Free {
		s := math.Sin(2 * x)
		correction = FreeExact * ((1+float64(0.044*x2))/(1+float64(0.19*x2)) - float64(0.02*s*s))
		return correction, (1 + float64(0.2*x) - float64(0.084*x2)) / (1 + float64(0.2*x) + float64(0.416*x2))
	}
	y := 0.77 * x
	correction = FlangedExact / (1 + float64(y*y)/(1+y))
	return correction, (1 + float64(0.323*x) - float64(0.077*x2)) / (1 + float64(0.323*x) + float64(0.923*x2))
}
