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

// A BandPassAlignment is the lossless symmetric band-pass box of fourth order,
// relative to its driver: a closed rear chamber whose resonance with the driver,
// fc, is also the tuning fb of the vented front chamber. With z = s/ωb + ωb/s,
//
//	G = 1/(z² + z/Qbp + a2),  a2 = (Vas/Vf)/(1 + Vas/Vr)
//
// is a low-pass of second order in z with the damping S = 1/(2 Qbp √a2).
type BandPassAlignment struct {
	S     float64 // damping
	Qts   float64 // of the driver, source resistance included
	Qbp   float64 // with the rear chamber
	Front float64 // Vf/Vas
	Rear  float64 // Vr/Vas
	H     float64 // fb/fs
}

// SymmetricBandPass returns the alignment with the damping S and the gain in dB at
// the middle of the band, relative to the driver's own pass band:
//
//	Qbp = 10^(gain/40)/(2S),  Vf = (2 S Qts)² Vas
//	Vr = Vas/((Qbp/Qts)² − 1),  fb = (Qbp/Qts) fs
//
// S is that of the tables which go back to L. R. Fincham 1979, "A Bandpass
// Loudspeaker Enclosure" (reprints, from memory); the formulas were derived here.
// S = 1/√2 is flattest, below it the edges rise, see [BandPassAlignment.Ripple].
// The gain must be high enough to leave Qbp above Qts.
func SymmetricBandPass(s, gain, qts float64) (BandPassAlignment, error) {
	if err := cmp.Or(units.Positive("align: S", s), units.Positive("align: Qts", qts)); err != nil {
		return BandPassAlignment{}, err
	}
	qbp := math.Pow(10, gain/40) / (2 * s)
	ratio := qbp / qts
	if !(ratio > 1) || math.IsInf(ratio, 0) {
		return BandPassAlignment{}, &units.RangeError{Field: "align: gain", Value: fmt.Sprintf("%.4g dB", gain),
			Want: fmt.Sprintf("must be above %.4g dB with this S and Qts", 40*math.Log10(2*s*qts))}
	}
	return BandPassAlignment{
		S: s, Qts: qts, Qbp: qbp, H: ratio,
		Front: 4 * s * s * qts * qts,
		Rear:  1 / ((ratio - 1) * (ratio + 1)),
	}, nil
}

// Gain returns the level at the middle of the band, fb, relative to the driver's
// pass band in dB, 40 log(2 S Qbp).
func (b BandPassAlignment) Gain() float64 { return 40 * math.Log10(2*b.S*b.Qbp) }

// Ripple returns in dB how far the response rises towards the edges above the level
// at fb, −20 log(2S√(1 − S²)); 0 from S = 1/√2 upwards.
func (b BandPassAlignment) Ripple() float64 {
	if b.S >= math.Sqrt2/2 {
		return 0
	}
	return -20 * math.Log10(2*b.S*math.Sqrt((1-b.S)*(1+b.S)))
}

// Edges returns the frequencies, over fs, at which the response is db below the
// level at fb (not below the ripple). They lie at the ratio fb² = fl fh, apart by
//
//	fh − fl = b fs/Qts,  b = √(1 − 2S² + √((1 − 2S²)² + L − 1))/(2S)
//
// with L = 10^(db/10). For db = 10 log 2 they are those of half power; the printed
// tables of b (1.2712 for S = 0.5) are for exactly 3 dB and 0.07 to 0.12 % narrower.
// They are NaN if db is not positive or not finite.
func (b BandPassAlignment) Edges(db float64) (lo, hi float64) {
	half := b.Width(db) / (2 * b.Qts)
	mid := math.Hypot(half, b.H)
	return b.H * b.H / (mid + half), mid + half
}

// Width returns b of [BandPassAlignment.Edges]: the width of the band in units of
// fs/Qts, NaN if db is not positive or not finite.
func (b BandPassAlignment) Width(db float64) float64 {
	excess := math.Expm1(db / 10 * math.Ln10) // L − 1
	if !(excess > 0) || math.IsInf(excess, 0) {
		return math.NaN()
	}
	flat := 1 - 2*b.S*b.S
	return math.Sqrt(flat+math.Sqrt(flat*flat+excess)) / (2 * b.S)
}

// A BandPassDesign is a band-pass box for a driver.
type BandPassDesign struct {
	BandPassAlignment
	Box          box.Bandpass4   // lossless; the vent's area is left out
	Lower, Upper units.Frequency // edges, half power re the level at the tuning
}

// BandPass returns the symmetric band-pass box of damping s and gain in dB for the
// driver. Zero air is standard air. Errors are those of [SymmetricBandPass]; coil
// inductance is left out.
func BandPass(d ts.Driver, s, gain float64, a air.Air) (BandPassDesign, error) {
	if err := cmp.Or(d.Check(), a.OrStandard().Check()); err != nil {
		return BandPassDesign{}, err
	}
	b, err := SymmetricBandPass(s, gain, d.Qts())
	if err != nil {
		return BandPassDesign{}, err
	}
	lo, hi := b.Edges(10 * math.Log10(2))
	fs, vas := d.Fs(), d.Vas(a)
	return BandPassDesign{
		BandPassAlignment: b,
		Box: box.Bandpass4{
			Rear:  box.Closed{Vb: vas * units.Volume(b.Rear)},
			Front: box.Vented{Vb: vas * units.Volume(b.Front), Fb: fs * units.Frequency(b.H)},
		},
		Lower: fs * units.Frequency(lo), Upper: fs * units.Frequency(hi),
	}, nil
}
