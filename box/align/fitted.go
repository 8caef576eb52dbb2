package align

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
)

// Fitted is what a formula fitted to alignment tables says of a vented box,
// relative to the driver. The formulas were made for calculators; the families
// of this package are exact and cost nothing.
type Fitted struct {
	Volume float64 // Vb/Vas
	Tuning float64 // fb/fs
	Cutoff float64 // half power, f3/fs
}

// Fitted15 evaluates
//
//	Vb/Vas = 15 Qts^2.87,  fb/fs = 0.42 Qts^−0.9,  f3/fs = 0.26 Qts^−1.4
//
// attributed to D. B. Keele Jr.; read in a digest of a course, the original was not
// found. It is often called "the QB3 alignment", but against QB3 and C4 at QL = 7,
// for Qts from 0.25 to 0.5, the volume is 5 % small to 35 % large, the tuning 2 to
// 6 % low and f3 4 to 11 % low.
func Fitted15(qts float64) (Fitted, error) {
	return fitted(qts, 15, 2.87, 0.9, 0.26)
}

// Fitted20 evaluates
//
//	Vb/Vas = 20 Qts^3.3,  fb/fs = 0.42 Qts^−0.96,  f3/fs = 0.28 Qts^−1.4
//
// attributed to G. Margolis and R. H. Small 1981, Journal of the Audio Engineering
// Society 29, 421; read in forum threads. Against QB3 and C4 at QL = 7, for Qts from
// 0.25 to 0.5, the volume is 6 % small to 12 % large, the tuning within 1.8 % and f3
// within 4.2 %.
func Fitted20(qts float64) (Fitted, error) {
	return fitted(qts, 20, 3.3, 0.96, 0.28)
}

func fitted(qts, volume, volumePower, tuningPower, cutoff float64) (Fitted, error) {
	if err := units.Positive("align: Qts", qts); err != nil {
		return Fitted{}, err
	}
	return Fitted{
		Volume: volume * math.Pow(qts, volumePower),
		Tuning: 0.42 * math.Pow(qts, -tuningPower),
		Cutoff: cutoff * math.Pow(qts, -1.4),
	}, nil
}

// FittedOffSize evaluates, for a box of a volume that is given rather than chosen
// (volume: Vb/Vas),
//
//	fb/fs = (Vas/Vb)^0.32,  f3/fs = (Vas/Vb)^0.5
//	peak or dip in dB = 20 log(2.6 Qts (Vas/Vb)^0.35)
//
// of the same origin as [Fitted20], from memory. The peak is good to about 1 dB: it
// is 1.0 dB for the flat box of Qts 0.30 at QL = 7.
func FittedOffSize(qts, volume float64) (Fitted, float64, error) {
	if err := cmp.Or(units.Positive("align: Qts", qts), units.Positive("align: Vb/Vas", volume)); err != nil {
		return Fitted{}, 0, err
	}
	return Fitted{
		Volume: volume,
		Tuning: math.Pow(volume, -0.32),
		Cutoff: math.Pow(volume, -0.5),
	}, 20 * math.Log10(2.6*qts*math.Pow(volume, -0.35)), nil
}
