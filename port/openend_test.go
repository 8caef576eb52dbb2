package port

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// The integrals of Levine and Schwinger for a free end,
//
//	ln |R| = −(2x/π) ∫ atan(−J1/Y1) dt/(t √(x²−t²))
//	d/a = (1/π) ∫ ln(π J1 √(J1²+Y1²)) dt/(t √(x²−t²)) + (1/π) ∫ ln(1/(2 I1 K1)) dt/(t √(x²+t²))
//
// from 0 to x = ka and from 0 to ∞. The fit is off by what its comment says.
func TestOpenEndByLevineSchwinger(t *testing.T) {
	for ka, off := range map[float64]float64{0.05: 8e-3, 0.3: 8e-3, 0.7: 8e-3, 1.1: 8e-3, 1.5: 8e-3, 2: 0.035, 3: 0.035} {
		over := func(f func(t float64) float64) float64 { // t = x sin u
			return quad.Fixed(func(u float64) float64 { x := ka * math.Sin(u); return f(x) / x }, 0, math.Pi/2, 200, quad.Legendre{}, 0)
		}
		reflection := math.Exp(-2 * ka / math.Pi * over(func(x float64) float64 {
			a := math.Atan(-math.J1(x) / math.Y1(x))
			if a < 0 {
				a += math.Pi
			}
			return a
		}))
		nearby := over(func(x float64) float64 {
			return math.Log(math.Pi * math.J1(x) * math.Hypot(math.J1(x), math.Y1(x)))
		})
		far := 0.
		const h = 0.125
		for u := -20.; u <= 20; u += h { // t = e^u
			x := math.Exp(u)
			f := 0.
			switch {
			case x < 1e-4:
				f = -x * x / 2 * (math.Log(x/2) + 0.57721566490153286 - 0.25)
			case x > 2000:
				f = u + 3/(8*x*x)
			default:
				f = -math.Log(2 * i1k1(x))
			}
			far += f / math.Hypot(x, ka) * h
		}
		d, r := Free.OpenEnd(ka)
		near(t, fmt.Sprintf("correction at ka %v", ka), d, (nearby+far)/math.Pi, off)
		near(t, fmt.Sprintf("reflection at ka %v", ka), r, reflection, off)
	}
}

// Power that goes out of a small mouth is that of a point source: (ka)²/4 of ρc in
// all of space, (ka)²/2 in half of it. And low frequency is the static correction.
func TestOpenEndIsSmallSource(t *testing.T) {
	for m, share := range map[Mouth]float64{Free: 4, Flanged: 2, AlongWall: 2} {
		const ka = 1e-3
		d, r := m.OpenEnd(ka)
		z := 1i * cmplx.Tan(complex(ka*d, math.Log(r)/2))
		near(t, m.String()+": resistance", real(z), ka*ka/share, 2e-3)
		near(t, m.String()+": reactance", imag(z)/ka, map[Mouth]float64{Free: FreeExact, Flanged: FlangedExact, AlongWall: FlangedExact}[m], 1e-5)
	}
}

// Another fit, causal: Z = ((d1−n1)s + d2 s²)/(2 + (d1+n1)s + d2 s²), s = jka, of Silva and
// others (Journal of Sound and Vibration 322, 2009, 255), as read in notes on wind instruments;
// above ka = 1 its free end leaves the integrals of Levine and Schwinger.
func TestOpenEndByCausalFit(t *testing.T) {
	for m, c := range map[Mouth][3]float64{Free: {0.167, 1.393, 0.457}, Flanged: {0.182, 1.825, 0.649}} {
		for ka := 0.05; ka < 0.9; ka += 0.05 {
			s := complex(0, ka)
			n1, d1, d2 := complex(c[0], 0), complex(c[1], 0), complex(c[2], 0)
			z := ((d1-n1)*s + d2*s*s) / (2 + (d1+n1)*s + d2*s*s)
			reflected := (z - 1) / (z + 1)
			d, r := m.OpenEnd(ka)
			near(t, fmt.Sprintf("%v: reflection at %.2f", m, ka), r, cmplx.Abs(reflected), 0.025)
			near(t, fmt.Sprintf("%v: correction at %.2f", m, ka), d, -cmplx.Phase(-reflected)/(2*ka), 0.025)
		}
	}
}
