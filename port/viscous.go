package port

import (
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// StandardViscosity is that of the standard air of package air (21.6 °C, 50 %
// humidity, 100.3 kPa). It stands in where a viscosity is zero.
const StandardViscosity units.Viscosity = 1.82e-5

// Ratio of specific heats and Prandtl number of air, for what it loses as heat.
const (
	heatRatio = 1.4
	prandtl   = 0.708
)

// BoundaryLayer returns what the air that sticks to the walls does to the mass of
// the vent at f: the Q of its friction, and by what the mass grows.
//
//	Z = jωρL/(S(1 − B)),  B = 2 J1(x)/(x J0(x)),  x = a √(−jωρ/μ)
//
// (C. Zwikker and C. W. Kosten, Sound Absorbing Materials, 1949). For a vent wide
// against the boundary layer δ = √(2μ/(ωρ)), 0.4 mm at 30 Hz, Q is a/δ. A rectangle
// counts as the round vent of the same section per perimeter, which is right to
// first order in δ. The ends are taken to rub as the tube does. Zero
// air is standard air, zero viscosity [StandardViscosity].
func (v Vent) BoundaryLayer(f units.Frequency, a air.Air, mu units.Viscosity) (q, mass float64) {
	z := 1i / (1 - layer(v.layers(f, a, mu)))
	return imag(z) / real(z), imag(z)
}

// Attenuation returns what friction and heat at the walls take from a plane wave of
// frequency f that runs along the vent, in nepers per metre: the real part of
//
//	jk √((1 + (γ−1) B(x√Pr))/(1 − B(x)))
//
// with B and x as for [Vent.BoundaryLayer], γ = 1.4 and Pr = 0.708. To first order it is
// Kirchhoff's (δ/2a) k (1 + (γ−1)/√Pr).
func (v Vent) Attenuation(f units.Frequency, a air.Air, mu units.Viscosity) float64 {
	s := v.layers(f, a, mu)
	ratio := (1 + complex(heatRatio-1, 0)*layer(s*math.Sqrt(prandtl))) / (1 - layer(s))
	k := 2 * math.Pi * float64(f) / float64(a.OrStandard().SpeedOfSound)
	return -k * imag(cmplx.Sqrt(ratio))
}

// layers is |x|: √2 times the number of boundary layers in the radius.
func (v Vent) layers(f units.Frequency, a air.Air, mu units.Viscosity) float64 {
	if mu == 0 {
		mu = StandardViscosity
	}
	radius := v.section(0) / float64(v.perimeter()) * 2
	return radius * math.Sqrt(2*math.Pi*float64(f)*float64(a.OrStandard().Density)/float64(mu))
}

func (v Vent) perimeter() units.Length {
	if v.round() {
		return math.Pi * v.Diameter
	}
	return 2 * (v.Width + v.Height)
}

// layer returns 2 J1(x)/(x J0(x)) for x = s√(−j), s > 0.
func layer(s float64) complex128 {
	x2 := complex(0, -s*s)
	if s < 30 {
		// x J0/J1 = 2 − x²/(4 − x²/(6 − ...)), from far enough inside.
		tail := complex128(0)
		for n := 2 * (30 + int(s)); n > 0; n -= 2 {
			tail = x2 / (complex(float64(n), 0) - tail)
		}
		return 2 * tail / x2
	}
	// Here J0 and J1 are single Hankel functions but for e^(-√2 s): the ratio of their
	// asymptotic series, of which 16 terms are good to the last digit.
	x := complex(s/math.Sqrt2, -s/math.Sqrt2)
	sum := func(order float64) complex128 {
		total, term := complex128(1), complex128(1)
		for k := 1.; k <= 16; k++ {
			odd := 2*k - 1
			term *= complex(0, (4*order*order-odd*odd)/(8*k)) / x
			total += term
		}
		return total
	}
	return 2 / x * -1i * sum(1) / sum(0)
}
