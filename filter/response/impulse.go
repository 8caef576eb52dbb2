package response

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"

	"example.com/halfspace/units"
)

// An Impulse is an impulse response, sampled evenly in time.
type Impulse struct {
	Samples []float64
	Rate    units.Frequency // samples per second
	Start   units.Time      // of the first sample
	Taken   Taken           // as in [Curve]
}

// Check returns an error unless r has at least two samples, all finite, a positive
// rate, a finite start, and says without contradiction how it was taken.
func (r Impulse) Check() error {
	if err := units.Positive("response: sampling rate", r.Rate); err != nil {
		return err
	}
	if math.IsNaN(float64(r.Start)) || math.IsInf(float64(r.Start), 0) {
		return &units.RangeError{Field: "response: start of impulse response", Value: r.Start.String(), Want: "must be finite"}
	}
	if len(r.Samples) < 2 {
		return fmt.Errorf("response: an impulse response of %s: must have at least two", plural(len(r.Samples), "sample"))
	}
	for i, v := range r.Samples {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("response: sample %d: value %v: must be finite", i+1, v)
		}
	}
	return r.Taken.Check()
}

// Impulse makes an impulse response of two columns of t: times in seconds and
// samples. Times must be evenly spaced: each within a tenth of a step of where the
// first and the last put it, which leaves room for printed decimals and none for a
// missing line; the error says in which line the step is most unlike the others.
// If there is no column of times, take the samples by [Table.Column].
func (t *Table) Impulse(time, sample string) (Impulse, error) {
	at, err := t.Column(time)
	if err != nil {
		return Impulse{}, err
	}
	samples, err := t.Column(sample)
	if err != nil {
		return Impulse{}, err
	}
	last := len(at) - 1
	if last < 1 {
		return Impulse{}, fmt.Errorf("response: an impulse response of %s: must have at least two", plural(len(at), "sample"))
	}
	step := (at[last] - at[0]) / float64(last)
	even, odd, most := step > 0 && !math.IsInf(1/step, 0), 1, -1.
	for i := 1; i <= last; i++ {
		even = even && math.Abs(at[i]-at[0]-float64(i)*step) <= 0.1*step
		if d := math.Abs(at[i] - at[i-1] - step); !(d <= most) {
			odd, most = i, d
		}
	}
	if !even {
		return Impulse{}, fmt.Errorf("response: %s: time %v s in column %q after %v s: must ascend in even steps, here of %.6g s",
			t.place(odd), at[odd], time, at[odd-1], step)
	}
	r := Impulse{
		Samples: append([]float64(nil), samples...),
		Rate:    units.Frequency(1 / step),
		Start:   units.Time(at[0]),
	}
	return r, r.Check()
}

// Arrival returns when the direct sound arrives: the time of the largest sample by
// magnitude, the first of equals, moved by less than a sample to the vertex of the
// parabola through it and its neighbours. For a pulse whose spectrum ends at three
// quarters of half the rate the vertex is within a twentieth of a sample of the
// peak between samples. The peak of a driver comes later than its first motion by
// something like a quarter of a period of the highest frequency it radiates, a
// woofer's by much more; how late a driver really is, [Curve.ExcessDelay] tells.
// It is an error if r fails [Impulse.Check] or is all zeros.
func (r Impulse) Arrival() (units.Time, error) {
	if err := r.Check(); err != nil {
		return 0, err
	}
	peak := 0
	for i, v := range r.Samples {
		if math.Abs(v) > math.Abs(r.Samples[peak]) {
			peak = i
		}
	}
	if r.Samples[peak] == 0 {
		return 0, errSilence
	}
	at := float64(peak)
	if peak > 0 && peak < len(r.Samples)-1 {
		// In units of the peak, so that nothing overflows.
		before, after := r.Samples[peak-1]/r.Samples[peak], r.Samples[peak+1]/r.Samples[peak]
		if bend := before - 2 + after; bend < 0 {
			at += (before - after) / (2 * bend)
		}
	}
	return r.Start + units.Time(at/float64(r.Rate)), nil
}

var errSilence = errors.New("response: an impulse response of zeros: must hold something")

// A Gate says which part of an impulse response is used.
type Gate struct {
	Start  units.Time  // of the first sample used; before the direct sound
	Length units.Time  // up to the first reflection
	Fade   units.Ratio // share of Length, at its end, over which a half cosine fades out; zero cuts off
	Zero   units.Time  // time that phase refers to, as that of arrival, so that flight time is left out
}

// Gate returns the frequency response of the part of r from g.Start on, g.Length
// long, by discrete Fourier transform: the sum of sample times e^(−jω(t − g.Zero)),
// so that a single sample of 1 is a flat response of 1. The curve runs from the
// first frequency above zero to the last below half the rate, in steps of a quarter
// of 1/Length or finer: zeros are appended up to a power of two of at least four
// times the gate, which adds no detail but leaves less to interpolate.
//
// A gate sees nothing of what happens below 1/Length, whatever the steps, so that
// is From of the curve: the values below stay in H, and [Curve.Covers] refuses
// them. A fade makes the gate shorter still: its own resolution is coarser than
// 1/Length by up to twice.
//
// It is an error if r fails [Impulse.Check], if the gate reaches out of the samples
// or is shorter than eight of them, if Fade is not from 0 to 1, or if the response
// vanishes at one of the frequencies.
func (r Impulse) Gate(g Gate) (Curve, error) {
	if err := r.Check(); err != nil {
		return Curve{}, err
	}
	if err := units.Within("response: gate: fade", g.Fade, 0, 1); err != nil {
		return Curve{}, err
	}
	if math.IsNaN(float64(g.Zero)) || math.IsInf(float64(g.Zero), 0) {
		return Curve{}, &units.RangeError{Field: "response: gate: zero", Value: g.Zero.String(), Want: "must be finite"}
	}
	rate := float64(r.Rate)
	end := r.Start + units.Time(float64(len(r.Samples))/rate)
	slack := units.Time(1e-6 / rate) // of grids computed in two ways
	if err := units.Within("response: gate: start", g.Start, r.Start-slack, end); err != nil {
		return Curve{}, err
	}
	if err := units.Within("response: gate: length", g.Length, units.Time(8/rate)-slack, end-g.Start+slack); err != nil {
		return Curve{}, err
	}

	first := sampleAt(g.Start-r.Start, rate)
	n := min(sampleAt(g.Start+g.Length-r.Start, rate), len(r.Samples)) - first
	size := 1
	for size < 4*n {
		size *= 2
	}
	gated := make([]float64, size)
	fade := float64(g.Fade) * float64(g.Length)
	silent := true
	for i := range n {
		at := float64(r.Start-g.Start) + float64(first+i)/rate // since the gate opened
		v := r.Samples[first+i]
		if into := at - (float64(g.Length) - fade); into > 0 && fade > 0 {
			v *= (1 + math.Cos(math.Pi*min(into/fade, 1))) / 2
		}
		gated[i] = v
		silent = silent && v == 0
	}
	if silent {
		return Curve{}, errSilence
	}
	spectrum := fourier.NewFFT(size).Coefficients(nil, gated)

	// At half the rate only one of two quadratures is seen: that bin is left out.
	bins := size/2 - 1
	c := Curve{Hz: make([]float64, bins), H: make([]complex128, bins), HasPhase: true, Taken: r.Taken, From: units.Frequency(1 / g.Length)}
	late := float64(r.Start-g.Zero) + float64(first)/rate
	for i := range bins {
		f := float64(i+1) * rate / float64(size)
		c.Hz[i] = f
		c.H[i] = spectrum[i+1] * cmplx.Rect(1, -2*math.Pi*f*late)
	}
	return c, c.Check()
}

// sampleAt returns the number of the first sample not before a time since the start.
func sampleAt(t units.Time, rate float64) int {
	return max(0, int(math.Ceil(float64(t)*rate-1e-6)))
}
