package filter

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Pad returns an L-pad that attenuates by db decibels into the resistance r and
// shows the source the same r. With k = 10^(−db/20) it is
//
//	series r(1−k), shunt rk/(1−k)
//
// The values hold for a resistance; into a driver the level follows |Z|, and
// the shunt damps what stands before it. Attenuations are above 0 and at most
// 60 dB here and in the other pads.
func Pad(db float64, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	return ladder.Network{
		ladder.Series(resistor(r, 1-k)),
		ladder.Shunt(resistor(r, k/(1-k))),
	}, nil
}

// SeriesPad returns a single resistor that attenuates by db decibels into r:
// r(1/k − 1) with k = 10^(−db/20). The source sees r/k.
func SeriesPad(db float64, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	return ladder.Network{ladder.Series(resistor(r, (1-k)/k))}, nil
}

// TPad returns a symmetric T-pad: both ends see r through it if the other end
// is closed with r. With k = 10^(−db/20) it is
//
//	series r(1−k)/(1+k), shunt 2rk/(1−k²), series r(1−k)/(1+k)
func TPad(db float64, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	return ladder.Network{
		ladder.Series(resistor(r, (1-k)/(1+k))),
		ladder.Shunt(resistor(r, 2*k/((1-k)*(1+k)))),
		ladder.Series(resistor(r, (1-k)/(1+k))),
	}, nil
}

// PiPad returns a symmetric π-pad, the dual of [TPad]. With k = 10^(−db/20) it is
//
//	shunt r(1+k)/(1−k), series r(1−k²)/(2k), shunt r(1+k)/(1−k)
func PiPad(db float64, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	return ladder.Network{
		ladder.Shunt(resistor(r, (1+k)/(1-k))),
		ladder.Series(resistor(r, (1-k)*(1+k)/(2*k))),
		ladder.Shunt(resistor(r, (1+k)/(1-k))),
	}, nil
}

func resistor(r units.Resistance, times float64) ladder.Part {
	return ladder.R(units.Resistance(float64(r) * times))
}

// attenuation returns the voltage ratio of an attenuation into r.
func attenuation(db float64, r units.Resistance) (float64, error) {
	if !(db > 0 && db <= 60) {
		return 0, &units.RangeError{
			Field: "filter: attenuation", Value: fmt.Sprintf("%v dB", db), Want: "must be above 0 dB and at most 60 dB",
		}
	}
	if err := units.Positive("filter: load", r); err != nil {
		return 0, err
	}
	return math.Pow(10, -db/20), nil
}
