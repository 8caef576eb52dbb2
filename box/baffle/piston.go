package baffle

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A RoundPiston is a flat round piston in an endless wall that moves as a whole.
type RoundPiston struct{ Radius units.Length }

// Check returns an error unless the radius is positive.
func (p RoundPiston) Check() error { return units.Positive("baffle: piston: radius", p.Radius) }

// Impedance returns the radiation impedance of the front side, over ρc times the area:
//
//	1 − J1(2ka)/ka + j H1(2ka)/ka
//
// with the Bessel and the Struve function of first order (Lord Rayleigh, The Theory of
// Sound, vol. 2, section 302; from memory). Far below ka = 1 it is (ka)²/2 + j 8ka/(3π),
// the load of a mass of air. p should pass Check, and f and c be positive.
func (p RoundPiston) Impedance(f units.Frequency, c units.Velocity) complex128 {
	ka := wavenumber(f, c) * float64(p.Radius)
	return complex(resistance(ka), struve1(2*ka)/ka)
}

// Directivity returns the far pressure in a direction over that on axis, 2 J1(x)/x for
// x = ka sin ψ: 1/√2 at x = 1.616, half at 2.215, the first zero at 3.832.
func (p RoundPiston) Directivity(f units.Frequency, c units.Velocity, toward r3.Vec) float64 {
	u := r3.Unit(toward)
	return disc(wavenumber(f, c) * float64(p.Radius) * math.Hypot(u.X, u.Y))
}

// DirectivityIndex returns by how many dB the intensity on axis is above that of a
// source that sends the same power into full space: 10 lg (ka)²/R for the resistance
// R of [RoundPiston.Impedance]. It is 3.01 dB at low frequencies, from the wall alone.
func (p RoundPiston) DirectivityIndex(f units.Frequency, c units.Velocity) float64 {
	ka := wavenumber(f, c) * float64(p.Radius)
	return 10 * math.Log10(ka*ka/resistance(ka))
}

// A RectangularPiston is a flat rectangular piston in an endless wall that moves as a
// whole.
type RectangularPiston struct{ Width, Height units.Length }

// Check returns an error unless both sides are positive.
func (p RectangularPiston) Check() error {
	return cmp.Or(units.Positive("baffle: piston: width", p.Width), units.Positive("baffle: piston: height", p.Height))
}

// Impedance returns the radiation impedance of the front side, over ρc times the area
// S: Rayleigh's integral jk/(2πS) ∫∫ e^{−jkr}/r dS dS' over pairs of points, which for
// a rectangle is one over their distances,
//
//	(2jk/πS) ∫∫ (W − r cos φ)(H − r sin φ) e^{−jkr} dr dφ
//
// summed after Gauss and Legendre, to 1e-10. p should pass Check, and f and c be positive.
func (p RectangularPiston) Impedance(f units.Frequency, c units.Velocity) complex128 {
	w, h, k := float64(p.Width), float64(p.Height), wavenumber(f, c)
	x, weight := gauss(24 + int(k*math.Hypot(w, h)/2))
	corner := math.Atan2(h, w)
	var re, im float64
	for i, u := range x {
		// To the right side first, then to the upper one.
		for part, phi := range [2]float64{corner * u, corner + (math.Pi/2-corner)*u} {
			sin, cos := math.Sincos(phi)
			far, share := w/cos, corner
			if part == 1 {
				far, share = h/sin, math.Pi/2-corner
			}
			for j, v := range x {
				r := far * v
				s, c := math.Sincos(k * r)
				g := weight[i] * weight[j] * share * far * (w - r*cos) * (h - r*sin)
				re += g * s
				im += g * c
			}
		}
	}
	scale := 2 * k / (math.Pi * w * h)
	return complex(re*scale, im*scale)
}

// Directivity returns the far pressure in a direction over that on axis: sin x/x for
// x = kW/2 times the share of the direction along the width, times the same for the
// height. One factor is 1/√2 at x = 1.392, half at 1.895, and 0 at π.
func (p RectangularPiston) Directivity(f units.Frequency, c units.Velocity, toward r3.Vec) float64 {
	k, u := wavenumber(f, c), r3.Unit(toward)
	return sinc(k*float64(p.Width)*u.X/2) * sinc(k*float64(p.Height)*u.Y/2)
}

// DirectivityIndex is that of [RoundPiston.DirectivityIndex]: 10 lg k²S/(πR).
func (p RectangularPiston) DirectivityIndex(f units.Frequency, c units.Velocity) float64 {
	k := wavenumber(f, c)
	return 10 * math.Log10(k*k*float64(p.Width)*float64(p.Height)/(math.Pi*real(p.Impedance(f, c))))
}

func wavenumber(f units.Frequency, c units.Velocity) float64 {
	return 2 * math.Pi * float64(f) / float64(c)
}

// resistance returns 1 − J1(2x)/x.
func resistance(x float64) float64 {
	if x > 0.5 {
		return 1 - math.J1(2*x)/x
	}
	// The series −Σ (−x²)^m/(m! (m+1)!) from m = 1 keeps the digits.
	sum, term := 0.0, 1.0
	for m := 1.0; m < 12; m++ {
		term *= -x * x / (m * (m + 1))
		sum -= term
	}
	return sum
}

func sinc(x float64) float64 {
	if math.Abs(x) < 1e-4 {
		return 1 - x*x/6
	}
	return math.Sin(x) / x
}

// gauss returns the places and weights of n points after Gauss and Legendre for the
// integral from 0 to 1.
func gauss(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	for i := range x {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var slope float64
		for range 8 { // Newton's method; four steps are enough
			p, before := z, 1.0
			for k := 2.0; k <= float64(n); k++ {
				p, before = ((2*k-1)*z*p-(k-1)*before)/k, p
			}
			slope = float64(n) * (z*p - before) / (z*z - 1)
			z -= p / slope
		}
		x[i], w[i] = (1-z)/2, 1/((1-z*z)*slope*slope)
	}
	return x, w
}
