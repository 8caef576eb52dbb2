package response

import (
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// Limits is a mask: levels between which a curve must stay. Between its frequencies
// limits are straight over the logarithm of frequency. A frequency that stands there
// twice is a step; at the step itself the tighter of its two limits holds.
type Limits struct {
	Hz        []float64 // ascending
	Lo, Hi    []float64 // dB, one for each frequency, or nil for no limit on that side; -Inf in Lo, +Inf in Hi: none from neighbour to neighbour
	Reference float64   // magnitude at 0 dB; 0 means 1. For sound pressure levels 20e-6 Pa
}

// A Verdict says where a curve lies between limits at one frequency.
type Verdict struct {
	Hz            float64
	Level, Lo, Hi float64 // dB
}

// Margin returns how far the level is from the nearer limit in dB, negative outside,
// +Inf if there is no limit.
func (v Verdict) Margin() float64 { return min(v.Hi-v.Level, v.Level-v.Lo) }

// Pass says whether the level is within the limits or, by a billionth of a decibel of
// rounding, on one.
func (v Verdict) Pass() bool { return v.Margin() >= -1e-9 }

// Check returns an error unless l has a frequency, frequencies are positive, finite
// and ascend, at most two at a time being equal, limits are as many as frequencies, no
// limit is NaN, a lower one is not +Inf, an upper one not -Inf, and none is above its
// opposite.
func (l Limits) Check() error {
	if l.Reference != 0 {
		if err := units.Positive("response: limits: reference", l.Reference); err != nil {
			return err
		}
	}
	if len(l.Hz) == 0 {
		return &units.RangeError{Field: "response: limits", Value: "without frequency", Want: "must have at least one"}
	}
	if l.Lo != nil && len(l.Lo) != len(l.Hz) || l.Hi != nil && len(l.Hi) != len(l.Hz) {
		return fmt.Errorf("response: limits: %d lower and %d upper ones for %d frequencies: must be as many, or none", len(l.Lo), len(l.Hi), len(l.Hz))
	}
	refuse := func(i int, what, value, want string) error {
		return &units.RangeError{Field: fmt.Sprintf("response: limits: point %d: %s", i+1, what), Value: value, Want: want}
	}
	for i, f := range l.Hz {
		if !(f > 0) || math.IsInf(f, 0) {
			return refuse(i, "frequency", hertz(f), "must be positive and finite")
		}
		if i > 0 && !(f >= l.Hz[i-1]) {
			return refuse(i, "frequency", hertz(f), "must not be below the "+hertz(l.Hz[i-1])+" before it")
		}
		if i > 1 && f == l.Hz[i-2] {
			return refuse(i, "frequency", hertz(f), "must not stand there three times")
		}
		lo, hi := math.Inf(-1), math.Inf(1)
		if l.Lo != nil {
			lo = l.Lo[i]
		}
		if l.Hi != nil {
			hi = l.Hi[i]
		}
		if math.IsNaN(lo) || math.IsInf(lo, 1) {
			return refuse(i, "lower limit", decibels(lo), "must be a number, or -Inf for none")
		}
		if math.IsNaN(hi) || math.IsInf(hi, -1) {
			return refuse(i, "upper limit", decibels(hi), "must be a number, or +Inf for none")
		}
		if !(lo <= hi) {
			return refuse(i, "lower limit", decibels(lo), "must not be above the upper one, "+decibels(hi))
		}
	}
	return nil
}

func decibels(level float64) string { return fmt.Sprint(level, " dB") }

// Judge compares the level of c with the limits at every frequency of c within them,
// and at the frequencies of the limits too, so that no corner slips between two points
// of a coarse curve. It returns the verdict with the least margin beside all, in order
// of frequency. Between these frequencies nothing is looked at.
//
// It is an error if l or c fails its Check, or if c does not cover the limits: what was
// not measured has not passed.
func (l Limits) Judge(c Curve) (worst Verdict, all []Verdict, err error) {
	if err := l.Check(); err != nil {
		return Verdict{}, nil, err
	}
	if err := c.Check(); err != nil {
		return Verdict{}, nil, err
	}
	first, last := l.Hz[0], l.Hz[len(l.Hz)-1]
	if err := c.Covers(units.Frequency(first), units.Frequency(last)); err != nil {
		return Verdict{}, nil, fmt.Errorf("response: limits: %w", err)
	}
	hz := slices.Clone(l.Hz)
	for _, f := range c.Hz {
		if f > first && f < last {
			hz = append(hz, f)
		}
	}
	slices.Sort(hz)
	hz = slices.Compact(hz)
	h := make([]complex128, len(hz))
	if err := c.Resample(h, hz); err != nil {
		return Verdict{}, nil, err
	}
	reference := 1.
	if l.Reference != 0 {
		reference = l.Reference
	}
	for i, f := range hz {
		v := Verdict{Hz: f, Level: DB(h[i] / complex(reference, 0)),
			Lo: l.side(l.Lo, f, math.Inf(-1), math.Max), Hi: l.side(l.Hi, f, math.Inf(1), math.Min)}
		if i == 0 || v.Margin() < worst.Margin() {
			worst = v
		}
		all = append(all, v)
	}
	return worst, all, nil
}

// Centre returns the shift in dB that gives c the largest margin on both sides alike:
// for limits of the shape of a curve rather than of its height. If c shifted by that
// ([Curve.Shift]) does not pass, no shift makes it. It is an error if [Limits.Judge] is,
// or if there is nothing on one side.
func (l Limits) Centre(c Curve) (float64, error) {
	_, all, err := l.Judge(c)
	if err != nil {
		return 0, err
	}
	up, down := math.Inf(1), math.Inf(1)
	for _, v := range all {
		up, down = min(up, v.Hi-v.Level), min(down, v.Level-v.Lo)
	}
	if math.IsInf(up, 0) || math.IsInf(down, 0) {
		return 0, &units.RangeError{Field: "response: limits", Value: "on one side", Want: "must limit both sides to have a centre"}
	}
	return (up - down) / 2, nil
}

// side returns the limit at f, which lies within l.Hz.
func (l Limits) side(limits []float64, f, none float64, tighter func(a, b float64) float64) float64 {
	if limits == nil {
		return none
	}
	i, found := slices.BinarySearch(l.Hz, f)
	if found {
		if i+1 < len(l.Hz) && l.Hz[i+1] == f {
			return tighter(limits[i], limits[i+1])
		}
		return limits[i]
	}
	a, b := limits[i-1], limits[i]
	if math.IsInf(a, 0) || math.IsInf(b, 0) {
		return none
	}
	share := math.Log(f/l.Hz[i-1]) / math.Log(l.Hz[i]/l.Hz[i-1])
	return a + float64(share*(b-a))
}
