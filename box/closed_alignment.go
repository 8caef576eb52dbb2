package box

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A ClosedAlignment is a closed box without leak or coil inductance, as the
// second-order high-pass that it is (R. H. Small 1972, from memory):
//
//	G(s) = s²Tc²/(s²Tc² + sTc/Qtc + 1),  Tc = 1/(2π Fc)
type ClosedAlignment struct {
	Fc  units.Frequency // resonance in the box
	Qtc float64         // total Q there
}

// Alignment returns the resonance and Q of d in the box: fc = fs √(1+α),
// α = Vas/Vb, Qec = Qes √(1+α), and 1/Qmc = 1/(Qms √(1+α)) + ωc Cab Rab α/(1+α)
// with the absorption. A leak makes the system third-order, so it is an error here.
func (c Closed) Alignment(d ts.Driver, a air.Air) (ClosedAlignment, error) {
	if err := (System{d, c, a}).Check(); err != nil {
		return ClosedAlignment{}, err
	}
	if c.QL > 0 {
		return ClosedAlignment{}, &units.RangeError{Field: "box: QL", Value: fmt.Sprint(c.QL), Want: "must be zero: with a leak the box is of third order"}
	}
	alpha := float64(d.Vas(a) / c.Vb)
	root := math.Sqrt(1 + alpha)
	fc := float64(d.Fs()) * root
	_, ta := c.times()
	return ClosedAlignment{
		Fc:  units.Frequency(fc),
		Qtc: 1 / (1/(d.Qts()*root) + 2*math.Pi*fc*ta*alpha/(1+alpha)),
	}, nil
}

// ClosedFor returns the lossless box that gives d the total Q qtc, which must be
// above Qts: Vb = Vas/((qtc/Qts)² − 1).
func ClosedFor(d ts.Driver, qtc float64, a air.Air) (Closed, error) {
	if err := d.Check(); err != nil {
		return Closed{}, err
	}
	ratio := qtc / d.Qts()
	if !(ratio > 1) || math.IsInf(ratio, 0) {
		return Closed{}, &units.RangeError{Field: "box: Qtc", Value: fmt.Sprintf("%.4g", qtc), Want: fmt.Sprintf("must be above the driver's Qts, %.4g", d.Qts())}
	}
	return Closed{Vb: d.Vas(a) / units.Volume(ratio*ratio-1)}, nil
}

// Func returns G.
func (c ClosedAlignment) Func() (rational.Func, error) {
	t := 1 / (2 * math.Pi * float64(c.Fc))
	return rational.FromPolynomials([]float64{0, 0, t * t}, []float64{1, t / c.Qtc, t * t})
}

// F3 returns the half-power frequency, fc √(A + √(A²+1)) with A = 1/(2Qtc²) − 1
// (Leach, Introduction to Electroacoustics and Audio Amplifier Design, ch. 7, as
// cited in course notes).
func (c ClosedAlignment) F3() units.Frequency {
	a := 1/(2*c.Qtc*c.Qtc) - 1
	return c.Fc * units.Frequency(math.Sqrt(a+math.Hypot(a, 1)))
}

// Peak returns where the response peaks and by how many dB, Qtc²/√(Qtc² − 1/4)
// at fc/√(1 − 1/(2Qtc²)). Up to Qtc = 1/√2 there is no peak: 0 Hz and 0 dB.
func (c ClosedAlignment) Peak() (units.Frequency, float64) {
	q2 := c.Qtc * c.Qtc
	if q2 <= 0.5 {
		return 0, 0
	}
	return c.Fc / units.Frequency(math.Sqrt(1-1/(2*q2))), 20 * math.Log10(q2/math.Sqrt(q2-0.25))
}
