package ts

import (
	"cmp"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// A Coil is the impedance of a voice coil beyond Re,
//
//	Z(s) = s Leb + 1/(1/(s Le) + 1/(Ke √s) + 1/Rss) + K s^N
//
// where a part that is zero is left out. The models of the literature are all
// among its settings:
//
//   - plain inductance: Leb alone
//   - inductance and damped inductance: Leb, Le, Rss
//   - power law, W. M. Leach 2002, J. Audio Eng. Soc. 50(6): K (ohm·s^N) and
//     0 < N < 1
//   - semi-inductance, K. Thorborg and C. Futtrup 2011, J. Audio Eng. Soc. 59(9)
//     (from memory): Leb, Le, Ke (ohm·√s), Rss
type Coil struct {
	Leb, Le units.Inductance
	Ke      float64 // semi-inductance, Ω·√s
	Rss     units.Resistance
	K       float64 // power law, Ω·s^N
	N       float64 // exponent of the power law
}

// Check refuses negative parts and a power law whose exponent is not in (0, 1].
func (c Coil) Check() error {
	if err := cmp.Or(
		units.NotNegative("ts: coil Leb", c.Leb),
		units.NotNegative("ts: coil Le", c.Le),
		units.NotNegative("ts: coil Ke", c.Ke),
		units.NotNegative("ts: coil Rss", c.Rss),
		units.NotNegative("ts: coil K", c.K),
		units.Within("ts: coil N", c.N, 0, 1),
	); err != nil {
		return err
	}
	if c.Rss > 0 && c.Le == 0 && c.Ke == 0 {
		return &units.RangeError{Field: "ts: coil Rss", Value: c.Rss.String(), Want: "needs Le or Ke beside it"}
	}
	if c.K > 0 {
		return units.Positive("ts: coil N", c.N)
	}
	return nil
}

// Impedance returns Z(s) in ohms; s is in rad/s and not zero.
func (c Coil) Impedance(s complex128) complex128 {
	z := s * complex(float64(c.Leb), 0)
	var y complex128
	if c.Le > 0 {
		y += 1 / (s * complex(float64(c.Le), 0))
	}
	if c.Ke > 0 {
		y += 1 / (cmplx.Sqrt(s) * complex(c.Ke, 0))
	}
	if c.Rss > 0 && y != 0 {
		y += complex(1/float64(c.Rss), 0)
	}
	if y != 0 {
		z += 1 / y
	}
	if c.K > 0 {
		z += complex(c.K, 0) * cmplx.Pow(s, complex(c.N, 0))
	}
	return z
}

// Inductance returns what a sheet calls the inductance at f: the imaginary part
// of the impedance over ω.
func (c Coil) Inductance(f units.Frequency) units.Inductance {
	w := 2 * math.Pi * float64(f)
	return units.Inductance(imag(c.Impedance(complex(0, w))) / w)
}

// powerLaw returns the coil whose inductance is l1 at 1 kHz and l10 at 10 kHz:
// the imaginary part of K (jω)^N is K ω^N sin(Nπ/2). It holds for l10 from above
// l1/10 to l1.
func powerLaw(l1, l10 units.Inductance) Coil {
	if l10 >= l1 {
		return Coil{Leb: l1}
	}
	n := 1 + math.Log10(float64(l10/l1))
	w := 2 * math.Pi * 1000
	return Coil{N: n, K: float64(l1) * math.Pow(w, 1-n) / math.Sin(n*math.Pi/2)}
}
