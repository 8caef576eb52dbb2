package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/units"
)

// Nagaoka returns the factor by which the inductance of a current sheet of finite
// length falls short of µ0 π a² N²/length, for its diameter over its length:
//
//	(4/(3π k')) ((k'²/k²) (K - E) + E - k),  k² = x²/(1+x²), k'² = 1 - k²
//
// with complete elliptic integrals. It is 1 for a long coil and falls to 0.688 at
// x = 1. Found by Lorenz, 1879; named for the tables of H. Nagaoka, The inductance
// coefficients of solenoids, Journal of the College of Science, Tokyo, volume 27, 1909.
//
// It panics if x is not zero or positive, and finite.
func Nagaoka(x float64) float64 {
	if !(x >= 0) || math.IsInf(x, 0) {
		panic(fmt.Sprintf("coil: diameter over length %v: must be zero or positive, and finite", x))
	}
	k1 := 1 / math.Hypot(1, x)
	k := x * k1
	m := k * k
	// (K - E)/k² is the integral D, also where k is zero.
	return 4 / (3 * math.Pi * k1) * (k1*k1*mathext.CompleteD(m) + mathext.CompleteE(m) - k)
}

// Solenoid is a winding of a single thin layer.
type Solenoid struct {
	Radius units.Length // to the middle of the wire
	Length units.Length // turns times pitch
}

// Check returns a *[units.RangeError] unless radius and length are positive.
func (s Solenoid) Check() error {
	if err := units.Positive("coil: radius", s.Radius); err != nil {
		return err
	}
	return units.Positive("coil: length", s.Length)
}

// Inductance returns the inductance as a cylindrical current sheet, exactly: the
// [Nagaoka] factor times µ0 π a² N²/length. It is an error if the solenoid does not
// pass [Solenoid.Check] or turns is not positive.
func (s Solenoid) Inductance(turns float64) (units.Inductance, error) {
	if err := s.check(turns); err != nil {
		return 0, err
	}
	a, l := float64(s.Radius), float64(s.Length)
	return units.Inductance(Nagaoka(2*a/l) * mu0 * math.Pi * a * a * turns * turns / l), nil
}

// Wheeler returns the inductance by the classical short formula, in µH with the
// radius a and the length b in inches,
//
//	L = a² N²/(9a + 10b)
//
// of H. A. Wheeler, Simple inductance formulas for radio coils, Proceedings of the
// Institute of Radio Engineers, volume 16, 1928. Against the current sheet it is
// off by +0.06 % to -0.6 % where b is at least 0.8 a, and by -4 % at 0.4 a. The
// errors are those of [Solenoid.Inductance].
func (s Solenoid) Wheeler(turns float64) (units.Inductance, error) {
	if err := s.check(turns); err != nil {
		return 0, err
	}
	a, b := s.Radius.In(units.Inch), s.Length.In(units.Inch)
	return units.Microhenry * units.Inductance(a*a*turns*turns/(9*a+10*b)), nil
}

func (s Solenoid) check(turns float64) error {
	if err := s.Check(); err != nil {
		return err
	}
	return units.Positive("coil: turns", turns)
}
