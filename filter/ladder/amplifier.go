package ladder

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// LoadPoint is what a load asks of an amplifier at one frequency.
type LoadPoint struct {
	Frequency units.Frequency
	Modulus   units.Resistance
	Phase     units.Angle      // of the impedance: above zero where it is inductive
	EPDR      units.Resistance // see [EPDR]: of class-B stages only
}

// AmplifierLoad is what a load asks of an amplifier over a range of frequencies. It
// is a report: what is too low depends on the amplifier.
type AmplifierLoad struct {
	Minimum LoadPoint        // where the modulus is least
	Hardest LoadPoint        // where the EPDR is least, which is mostly beside the minimum, at some phase
	Rated   units.Resistance // the largest rated impedance that Minimum allows, see [RatedImpedance]
}

// AssessLoad reports the least modulus and the least EPDR of an impedance zin in
// ohms at the frequencies hz in hertz, both at points of the grid; the first of equal
// ones counts. Pass the part of the grid that is the rated frequency range, and see
// [RefineMinimum] for what lies between the points. Infinite impedances, where nothing
// is connected, never count.
//
// It is an error if hz does not ascend or is not positive and finite, if zin is NaN, or
// if it is finite nowhere. It panics if the lengths differ.
func AssessLoad(hz []float64, zin []complex128) (AmplifierLoad, error) {
	if len(hz) != len(zin) {
		panic(fmt.Sprintf("ladder: slices of different lengths: hz %d, zin %d", len(hz), len(zin)))
	}
	inf := units.Resistance(math.Inf(1))
	a := AmplifierLoad{Minimum: LoadPoint{Modulus: inf}, Hardest: LoadPoint{EPDR: inf}}
	for k, z := range zin {
		f := units.Frequency(hz[k])
		if err := units.Positive("ladder: frequency", f); err != nil {
			return AmplifierLoad{}, err
		}
		if k > 0 && !(hz[k] > hz[k-1]) {
			return AmplifierLoad{}, &units.RangeError{Field: "ladder: frequency", Value: f.String(),
				Want: fmt.Sprintf("must be above %v, the one before", units.Frequency(hz[k-1]))}
		}
		if cmplx.IsInf(z) {
			continue
		}
		p := LoadPoint{f, units.Resistance(cmplx.Abs(z)), units.Angle(cmplx.Phase(z)), EPDR(z)}
		if math.IsNaN(float64(p.Modulus)) {
			return AmplifierLoad{}, &units.RangeError{Field: fmt.Sprintf("ladder: impedance at %v", f), Value: fmt.Sprint(z) + " Ω", Want: "must be a number"}
		}
		if p.Modulus < a.Minimum.Modulus {
			a.Minimum = p
		}
		if p.EPDR < a.Hardest.EPDR {
			a.Hardest = p
		}
	}
	if math.IsInf(float64(a.Minimum.Modulus), 1) {
		return AmplifierLoad{}, &units.RangeError{Field: "ladder: impedance:", Value: fmt.Sprintf("%d points, none finite", len(hz)), Want: "must have a finite one"}
	}
	a.Rated = RatedImpedance(a.Minimum.Modulus)
	return a, nil
}

// RefineMinimum estimates the least modulus between the points of a grid: that of
// the parabola through the lowest point and its neighbours, of ln |Z| over ln f. It
// is never above the lowest point, and is that point at an end of the grid or beside
// an impedance of zero or infinity. At 24 points per octave it finds the minimum of a
// trap with a Q of 5 to 0.1 %, where the grid itself may be off by 1 %.
//
// It panics as [MinimumImpedance] does, and returns a NaN as that does. hz must ascend.
func RefineMinimum(hz []float64, zin []complex128) (units.Frequency, units.Resistance) {
	f, z := MinimumImpedance(hz, zin)
	k := 0
	for units.Frequency(hz[k]) != f {
		k++
	}
	if k == 0 || k == len(hz)-1 {
		return f, z
	}
	var x, y [3]float64
	for j := range x {
		x[j] = math.Log(hz[k-1+j] / hz[k])
		y[j] = math.Log(cmplx.Abs(zin[k-1+j]) / float64(z))
	}
	// y = b x + c x², through (0, 0).
	b := (y[0]*x[2]/x[0] - y[2]*x[0]/x[2]) / (x[2] - x[0])
	c := (y[2]/x[2] - y[0]/x[0]) / (x[2] - x[0])
	at := -b / (2 * c)
	if !(c > 0) || !(x[0] <= at && at <= x[2]) {
		return f, z
	}
	return f * units.Frequency(math.Exp(at)), z * units.Resistance(math.Exp(b*at/2))
}
