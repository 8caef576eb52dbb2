package align

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Alignment is a vented box with a leak, relative to its driver: what the
// tables of the literature list.
type Alignment struct {
	Family Family
	QL     float64 // of the box, see [box.Vented]; 0 is no leak
	Qts    float64 // of the driver, source resistance included
	Alpha  float64 // Vas/Vb
	H      float64 // fb/fs

	// Parameter is B of QB3 and k of C4 and SC4, see [QuasiButterworth] and
	// [Chebyshev]; 0 with the other families.
	Parameter float64
	Ripple    float64 // how far the response rises above the reference, dB
}

// coefficients returns those of s³, s² and s in
//
//	G = s⁴/(s⁴ + a1 s³ + a2 s² + a3 s + 1),  s in units of 2π√(fs fb)
//
// of the vented box with a leak (R. H. Small 1973, "Vented-Box Loudspeaker
// Systems, Part I", from memory; the order of indices is his). Some books number
// the other way round: exchanged, h would turn into 1/h.
func (v Alignment) coefficients() (a1, a2, a3 float64) {
	r, l := math.Sqrt(v.H), inverse(v.QL)
	return 1/(v.Qts*r) + r*l, (1+v.Alpha+v.H*v.H)/v.H + l/v.Qts, r/v.Qts + l/r
}

// inverse returns 1/q, and 0 for the q = 0 that means no leak.
func inverse(q float64) float64 {
	if q == 0 {
		return 0
	}
	return 1 / q
}

// Cutoff returns the highest frequency, over fs, at which the response is db below
// the reference: with x = f/√(fs fb) and the coefficients of G, the largest root of
//
//	1 = |G|⁻² 10^(−db/10),  |G|⁻² = 1 + A1 x⁻² + A2 x⁻⁴ + A3 x⁻⁶ + x⁻⁸
//	A1 = a1² − 2a2,  A2 = a2² + 2 − 2 a1 a3,  A3 = a3² − 2a2
//
// For 10 log 2 = 3.0103 dB that is f3/fs. It is NaN if db is not positive or not
// finite.
func (v Alignment) Cutoff(db float64) float64 {
	excess := math.Expm1(db / 10 * math.Ln10)
	if !(excess > 0) || math.IsInf(excess, 0) {
		return math.NaN()
	}
	a1, a2, a3 := v.coefficients()
	// In d = x², times d⁴. At 0 it is −1, far out positive, so there is a root.
	d := positiveRoots([]float64{-1, -(a3*a3 - 2*a2), -(a2*a2 + 2 - 2*a1*a3), -(a1*a1 - 2*a2), excess})
	if len(d) == 0 {
		return math.NaN()
	}
	return math.Sqrt(v.H * d[len(d)-1])
}

// F3 returns the half-power cut-off over fs.
func (v Alignment) F3() float64 { return v.Cutoff(10 * math.Log10(2)) }

// peak returns how far in dB the response rises above the reference: the largest
// |G|² over the roots of its derivative. In w = x⁻²,
//
//	d|G|⁻²/dw = A1 + 2 A2 w + 3 A3 w² + 4 w³ = 0
func (v Alignment) peak() float64 {
	a1, a2, a3 := v.coefficients()
	c1, c2, c3 := a1*a1-2*a2, a2*a2+2-2*a1*a3, a3*a3-2*a2
	least := 0.0
	for _, w := range positiveRoots([]float64{c1, 2 * c2, 3 * c3, 4}) {
		least = min(least, w*(c1+w*(c2+w*(c3+w))))
	}
	return -10 * math.Log1p(least) / math.Ln10
}

// realise returns the box and the driver whose response has the coefficients. With
// r = √h, eliminating Qts between a1 and a3 gives
//
//	r⁴ − a1 QL r³ + a3 QL r − 1 = 0
//
// All positive roots lie between 1/(a3 QL) and a1 QL. There are three or one; the
// outer ones make Qts of the order of QL, and the one in the middle, which tends
// to √(a3/a1) as the leak closes, is the box that is meant.
func realise(f Family, parameter, ql, a1, a2, a3 float64) (Alignment, error) {
	if err := units.NotNegative("align: QL", ql); err != nil {
		return Alignment{}, err
	}
	v := Alignment{Family: f, QL: ql, Parameter: parameter, H: a3 / a1}
	if ql == 0 {
		v.Qts = 1 / math.Sqrt(a1*a3)
		v.Alpha = a2*v.H - 1 - v.H*v.H
	} else {
		r := positiveRoots([]float64{-1, a3 * ql, 0, -a1 * ql, 1})
		if len(r) != 3 {
			return Alignment{}, tooLeaky(f, ql)
		}
		root := r[1]
		v.H = root * root
		v.Qts = ql / (root * (a1*ql - root))
		v.Alpha = v.H*(a2-1/(ql*v.Qts)) - 1 - v.H*v.H
	}
	if !(v.Alpha > 0) || math.IsInf(v.Alpha, 0) {
		return Alignment{}, tooLeaky(f, ql)
	}
	return v, nil
}

func tooLeaky(f Family, ql float64) error {
	return &units.RangeError{Field: "align: QL", Value: fmt.Sprintf("%.4g", ql), Want: fmt.Sprintf("is too low: no volume gives this member of the family %s", f)}
}

// A VentedDesign is a vented box for a driver.
type VentedDesign struct {
	Alignment
	Box    box.Vented      // lossless but for QL; its Area is left out
	Cutoff units.Frequency // half power
}

// Vented returns the member of the family for the driver: volume Vas/α and tuning
// h fs at the driver's Qts, with a leak of ql (7 is the usual guess, 0 is none).
// Zero air is standard air. Errors are those of [Family.For]; coil inductance is
// left out, as in all the literature.
func Vented(d ts.Driver, f Family, ql float64, a air.Air) (VentedDesign, error) {
	if err := cmp.Or(d.Check(), a.OrStandard().Check()); err != nil {
		return VentedDesign{}, err
	}
	v, err := f.For(d.Qts(), ql)
	if err != nil {
		return VentedDesign{}, err
	}
	fs := d.Fs()
	return VentedDesign{
		Alignment: v,
		Box:       box.Vented{Vb: d.Vas(a) / units.Volume(v.Alpha), Fb: fs * units.Frequency(v.H), QL: ql},
		Cutoff:    fs * units.Frequency(v.F3()),
	}, nil
}
