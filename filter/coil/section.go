package coil

import (
	"math"

	"example.com/halfspace/units"
)

// Section is the rectangular section of a winding, turned about the axis of the coil.
type Section struct {
	Inner  units.Length // radius of the former; zero if the winding reaches the axis
	Length units.Length // along the axis
	Depth  units.Length // along the radius
}

// Check returns a *[units.RangeError] unless length and depth are positive, the
// inner radius zero or positive, and none of the three more than 1000 times another
// (but the inner radius may be as small as it likes).
func (s Section) Check() error {
	if err := units.NotNegative("coil: inner radius", s.Inner); err != nil {
		return err
	}
	if err := units.Positive("coil: length", s.Length); err != nil {
		return err
	}
	if err := units.Positive("coil: depth", s.Depth); err != nil {
		return err
	}
	lo, hi := min(s.Length, s.Depth), max(s.Length, s.Depth, s.Inner)
	if hi > 1000*lo {
		return &units.RangeError{Field: "coil: smaller side of the winding", Value: lo.String(), Want: "must be at least a thousandth of the largest size, " + hi.String()}
	}
	return nil
}

// Mean returns the mean radius.
func (s Section) Mean() units.Length { return s.Inner + s.Depth/2 }

// Inductance returns the inductance of so many turns whose current fills the
// section evenly:
//
//	L = (π µ0 N²/(b² c²)) ∫ P(k)² (2 (kb - 1 + e^(-kb))/k²) dk,  P(k) = ∫ r J1(kr) dr
//
// with k from zero to infinity, b the length, c the depth and r over the depth. The
// sum below is within 1e-10 of the integral, or 5e-9 where the inner radius is a
// tenth of the depth or less. Turns need not be whole. It is an error
// if the section does not pass [Section.Check] or turns is not positive.
//
// The formula follows from the field of a ring as an integral over the wave number
// k, integrated over the section twice. Tables of the same quantity: F. W. Grover,
// National Bureau of Standards, Scientific Paper 455, 1922.
func (s Section) Inductance(turns float64) (units.Inductance, error) {
	if err := s.check(turns); err != nil {
		return 0, err
	}
	// Lengths in units of the outer radius.
	outer := float64(s.Inner + s.Depth)
	inner, b, c := float64(s.Inner)/outer, float64(s.Length)/outer, float64(s.Depth)/outer

	// The trapezoidal rule out to an edge that is a zero of sin(kc), where the
	// slowest ripple of what is left out integrates to nearly nothing.
	edge := math.Pi / c * math.Ceil(64*max(1, c/b))
	n := math.Ceil(edge / (0.25 / max(1, b)))
	h := edge / n
	integrand := func(k float64) float64 {
		p := (moment(k) - moment(k*inner)) / (k * k)
		return p * p * 2 * (k*b - 1 + math.Exp(-k*b)) / (k * k)
	}
	sum := integrand(edge) / 2
	for i := 1.0; i < n; i++ {
		sum += integrand(i * h)
	}
	sum *= h

	// Euler and Maclaurin at zero, from the odd powers q3 k³ + q5 k⁵ of the
	// integrand, of P = p1 k + p3 k³ + ...
	inner3 := inner * inner * inner
	p1, p3 := (1-inner3)/6, -(1-inner3*inner*inner)/80
	b3 := b * b * b
	q3 := -p1 * p1 * b3 / 3
	q5 := -p1*p1*b3*b*b/60 - 2*p1*p3*b3/3
	h4 := h * h * h * h
	sum += -h4*q3/120 + h4*h*h*q5/252

	// Beyond the edge P² is (1 + inner)/(π k³) in the mean.
	sum += (1 + inner) / math.Pi * (2*b/3/(edge*edge*edge) - 1/(2*edge*edge*edge*edge))

	return units.Inductance(math.Pi * mu0 * outer * turns * turns * sum / (b * b * c * c)), nil
}

// Wheeler returns the inductance of so many turns by the classical short formula,
// in µH with the mean radius a, the length b and the depth c in inches,
//
//	L = 0.8 a² N²/(6a + 9b + 10c)
//
// of H. A. Wheeler, Simple inductance formulas for radio coils, Proceedings of the
// Institute of Radio Engineers, volume 16, 1928. It is meant for the three terms
// about equal; against [Section.Inductance] it is off by -0.7 % for the shape of
// Brooks, by +2.3 % for a thin ring and by -2.7 % for a winding that nearly fills
// its bore. The errors are those of [Section.Inductance].
func (s Section) Wheeler(turns float64) (units.Inductance, error) {
	if err := s.check(turns); err != nil {
		return 0, err
	}
	a, b, c := s.Mean().In(units.Inch), s.Length.In(units.Inch), s.Depth.In(units.Inch)
	return units.Microhenry * units.Inductance(0.8*a*a*turns*turns/(6*a+9*b+10*c)), nil
}

func (s Section) check(turns float64) error {
	if err := s.Check(); err != nil {
		return err
	}
	return units.Positive("coil: turns", turns)
}
