package filter

import (
	"cmp"
	"math"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// The second-order sections of active and digital equalisers, with their centre or
// corner at 1 rad/s. Low- and high-pass are SecondOrder and its HighPass.

// AllPass returns the all-pass with the poles of a prototype and its zeros mirrored
// about the imaginary axis: gain 1 at all frequencies, and twice the prototype's
// group delay. AllPass of [Butterworth] 1 is (1−s)/(1+s), and that of Butterworth
// 2 what a fourth-order [LinkwitzRiley] pair adds up to: in a three-way that splits
// twice, the way that the upper split leaves out needs it.
func AllPass(proto rational.Func) (rational.Func, error) {
	if err := checkPrototype(proto); err != nil {
		return rational.Func{}, err
	}
	f := rational.Func{Poles: proto.Poles, Zeros: make([]complex128, len(proto.Poles)), Gain: 1}
	for i, p := range proto.Poles {
		f.Zeros[i] = -p
		f.Gain = -f.Gain
	}
	return f, nil
}

// BandPass returns (s/Q)/(s² + s/Q + 1), with gain 1 at its centre. The half-power
// frequencies are 1/Q apart. Q is from 0.05 to 50 here and below.
func BandPass(q float64) (rational.Func, error) {
	return section(q, func(q float64) (num, den []float64) {
		return []float64{0, 1 / q}, []float64{1, 1 / q, 1}
	})
}

// BandStop returns (s² + 1)/(s² + s/Q + 1), with a null at its centre.
func BandStop(q float64) (rational.Func, error) {
	return section(q, func(q float64) (num, den []float64) {
		return []float64{1, 0, 1}, []float64{1, 1 / q, 1}
	})
}

// Peak returns the section that raises by db decibels at its centre, or lowers if db
// is negative, and leaves very low and very high frequencies as they are. With
// A = 10^(db/40) it is
//
//	(s² + sA/Q + 1) / (s² + s/(AQ) + 1)
//
// so that −db undoes db. Q is that of the two frequencies at which half of the
// decibels are reached, which are 1/Q apart; other definitions of Q give other
// curves. db is from −60 to 60 here and below.
func Peak(db, q float64) (rational.Func, error) {
	a, err := amplitude(db)
	if err != nil {
		return rational.Func{}, err
	}
	return section(q, func(q float64) (num, den []float64) {
		return []float64{1, a / q, 1}, []float64{1, 1 / (a * q), 1}
	})
}

// LowShelf returns the section that raises low frequencies by db decibels, or lowers
// them, and by half of that at 1 rad/s. Slope is above 0 and at most 1, the steepest
// shelf without a bump. With A = 10^(db/40) it is
//
//	A (s² + s√A/Q + A) / (As² + s√A/Q + 1), 1/Q² = (A + 1/A)(1/slope − 1) + 2
func LowShelf(db, slope float64) (rational.Func, error) {
	a, b, err := shelf(db, slope)
	if err != nil {
		return rational.Func{}, err
	}
	return rational.FromPolynomials([]float64{a * a, a * b, a}, []float64{1, b, a})
}

// HighShelf returns the mirror image of [LowShelf], which does the same to high
// frequencies.
func HighShelf(db, slope float64) (rational.Func, error) {
	f, err := LowShelf(db, slope)
	return f.HighPass(), err
}

func section(q float64, polynomials func(q float64) (num, den []float64)) (rational.Func, error) {
	if err := units.Within("filter: Q", q, 0.05, 50); err != nil {
		return rational.Func{}, err
	}
	return rational.FromPolynomials(polynomials(q))
}

// amplitude returns the square root of a gain in decibels.
func amplitude(db float64) (float64, error) {
	return math.Pow(10, db/40), units.Within("filter: gain in dB", db, -60, 60)
}

// shelf returns A and √A/Q.
func shelf(db, slope float64) (a, b float64, err error) {
	a, err = amplitude(db)
	if !(slope > 0 && slope <= 1) {
		err = cmp.Or(err, error(&units.RangeError{Field: "filter: slope", Value: units.Ratio(slope).String(), Want: "must be above 0 and at most 1"}))
	}
	return a, math.Sqrt(a * ((a+1/a)*(1/slope-1) + 2)), err
}
