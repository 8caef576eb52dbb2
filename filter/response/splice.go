package response

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/units"
)

// A Seam says what was done to the near part of a splice, and how well the parts
// agreed after that.
type Seam struct {
	Frequency units.Frequency // where the parts meet

	Shift    float64    // dB given to the near part
	Delay    units.Time // given to the near part; negative if it came late. Zero without phase
	Inverted bool       // whether the near part was turned over

	// Near over far at the seam, in dB and degrees, which the blend takes up.
	Level, Phase float64
	// The same, root mean square over the band. If these are large for the
	// microphones at hand, one of the parts is not what it says.
	LevelRMS, PhaseRMS float64
}

const (
	blend      = 1. / 6 // octaves over which a splice goes from one part to the other
	narrowest  = 1. / 3 // octaves that the band of a splice must have
	seamPoints = 145    // in the band, for the fit
	// indifferent is the difference between two mismatches, as shares, that says
	// nothing: parts that agree this well meet in the middle of the band.
	indifferent = 1e-6
)

// Splice joins a curve that is right at low frequencies, as from [NearField], to one
// that is right at high ones, as from a gated impulse response. Both must be valid
// throughout the band from lo to hi, a third of an octave at least, where they are
// compared:
//
//   - The near part is given the shift for which the level differences, evenly spaced
//     in the logarithm of frequency, have the least squares; it has the voltage,
//     distance and calibration of the far part after that.
//   - If both have phase, the near part is given the delay and polarity for which the
//     differences of phase have the least squares.
//   - They meet where they differ least, by the mean over the blend of |near/far − 1|²,
//     or of the level difference without phase. If they differ by less than 1e-6
//     anywhere, it is the middle of the band that counts.
//   - Over a sixth of an octave around that, logarithms of magnitude and phase go from
//     one part to the other in a straight line over the logarithm of frequency, so that
//     no step is left.
//
// The result has the frequencies of the near part below the seam and those of the
// far part from there on. Below the blend it is the near part as shifted and
// delayed, above it the far part to the last bit. It is taken as the far part was,
// valid from where the near part is, and has a phase if both have.
//
// Both must have been taken in the same way, on the same panel, in the same box. It
// is an error to splice a near field, which is in the half space, to a far part on a
// panel: multiply it by the panel's effect first ([Curve.Times]), or the step of the
// baffle, up to 6 dB, is missing below the seam. A curve that does not say how it was
// taken is refused too.
func Splice(near, far Curve, lo, hi units.Frequency) (Curve, Seam, error) {
	if err := spliceable(near, far, lo, hi); err != nil {
		return Curve{}, Seam{}, err
	}
	phased := near.HasPhase && far.HasPhase
	if !phased {
		near, far = near.magnitude(), far.magnitude()
	}
	hz := between(float64(lo), float64(hi), seamPoints)
	ratio, at := make([]complex128, len(hz)), make([]complex128, len(hz))
	if err := cmp.Or(near.Resample(ratio, hz), far.Resample(at, hz)); err != nil {
		return Curve{}, Seam{}, err
	}
	for i, v := range at {
		ratio[i] /= v
	}
	seam := align(ratio, hz, phased)
	for i, f := range hz {
		ratio[i] *= seam.effect(f)
	}
	seam.meet(ratio, hz)

	out := Curve{HasPhase: phased, Taken: far.Taken, From: near.From}
	s := float64(seam.Frequency)
	for i, f := range near.Hz {
		if f < s*(1-rounding) {
			out.Hz, out.H = append(out.Hz, f), append(out.H, near.H[i]*seam.effect(f))
		}
	}
	for i, f := range far.Hz {
		if f >= s*(1-rounding) {
			out.Hz, out.H = append(out.Hz, f), append(out.H, far.H[i])
		}
	}
	if err := out.blend(near, far, seam); err != nil {
		return Curve{}, Seam{}, err
	}
	return out, seam, nil
}

func spliceable(near, far Curve, lo, hi units.Frequency) error {
	if err := near.Check(); err != nil {
		return fmt.Errorf("response: splice: near part: %w", err)
	}
	if err := far.Check(); err != nil {
		return fmt.Errorf("response: splice: far part: %w", err)
	}
	n, f := near.Taken, far.Taken
	mounting := func(want string) error {
		return &units.RangeError{Field: "response: splice: near part taken", Value: n.Mounting.String(), Want: want}
	}
	onPanel := f.Mounting == OnPanel || f.Mounting == OnFloor
	switch {
	case n.Mounting == Unsaid || f.Mounting == Unsaid:
		return errors.New("response: splice: a part does not say how it was taken: must say, so that no panel is missing")
	case n.Mounting == NearCone || n.Mounting == NearVent:
		return mounting("must be brought to the half space first, as NearField does")
	case f.Mounting == NearCone || f.Mounting == NearVent:
		return &units.RangeError{Field: "response: splice: far part taken", Value: f.Mounting.String(),
			Want: "must be a far field"}
	case n.Mounting == HalfSpace && onPanel:
		return mounting(fmt.Sprintf("must be multiplied by the panel's effect first, since the far part was taken %v", f.Mounting))
	case n.Mounting != f.Mounting:
		return mounting(fmt.Sprintf("must be as the far part was, %v", f.Mounting))
	case n.Panel != f.Panel:
		return &units.RangeError{Field: "response: splice: near part: panel", Value: fmt.Sprintf("%q", n.Panel),
			Want: fmt.Sprintf("must be that of the far part, %q", f.Panel)}
	case n.Box != f.Box:
		return &units.RangeError{Field: "response: splice: near part: box", Value: fmt.Sprintf("%q", n.Box),
			Want: fmt.Sprintf("must be that of the far part, %q", f.Box)}
	}
	if !(lo > 0) || !(float64(hi) >= float64(lo)*math.Exp2(narrowest)*(1-rounding)) || math.IsInf(float64(hi), 0) {
		return &units.RangeError{Field: "response: splice: band", Value: fmt.Sprintf("%v to %v", lo, hi),
			Want: "must run upward and be a third of an octave wide at least"}
	}
	return cmp.Or(near.holds("response: splice: band", "near part", lo, hi),
		far.holds("response: splice: band", "far part", lo, hi))
}

// holds says in words of its own what Covers says of a table.
func (c Curve) holds(field, name string, lo, hi units.Frequency) error {
	if c.Covers(lo, hi) == nil {
		return nil
	}
	first, last := c.span()
	return &units.RangeError{Field: field, Value: fmt.Sprintf("%v Hz to %v Hz", float64(lo), float64(hi)),
		Want: fmt.Sprintf("must lie within the %v Hz to %v Hz in which the %s is valid", first, last, name)}
}

// magnitude returns c without its phase.
func (c Curve) magnitude() Curve {
	h := make([]complex128, len(c.H))
	for i, v := range c.H {
		h[i] = complex(cmplx.Abs(v), 0)
	}
	c.H, c.HasPhase = h, false
	return c
}

// between returns n frequencies evenly spaced in their logarithm, both ends included.
func between(lo, hi float64, n int) []float64 {
	hz := make([]float64, n)
	for i := range hz {
		hz[i] = lo * math.Pow(hi/lo, float64(i)/float64(n-1))
	}
	hz[n-1] = hi
	return hz
}

// align finds shift, delay and polarity of the near part from near over far.
func align(ratio []complex128, hz []float64, phased bool) Seam {
	var seam Seam
	phase := make([]float64, len(ratio))
	for i, r := range ratio {
		seam.Shift -= DB(r) / float64(len(ratio))
		phase[i] = cmplx.Phase(r)
	}
	if !phased {
		return seam
	}
	unwrap(phase, phase, 2*math.Pi)
	omega := make([]float64, len(hz))
	for i, f := range hz {
		omega[i] = 2 * math.Pi * f
	}
	// The phase is a line in frequency that starts from a whole number of half turns,
	// odd ones for a part turned over. The sum of squares is a parabola in the start,
	// so the whole number nearest to the free line's start is the best.
	start, _ := stat.LinearRegression(omega, phase, nil, false)
	half := math.Round(start / math.Pi)
	for i := range phase {
		phase[i] -= half * math.Pi
	}
	_, slope := stat.LinearRegression(omega, phase, nil, true)
	seam.Delay, seam.Inverted = units.Time(slope), math.Mod(half, 2) != 0
	return seam
}

// effect returns what the near part is multiplied by at f.
func (s Seam) effect(f float64) complex128 {
	magnitude := FromDB(s.Shift)
	if s.Inverted {
		magnitude = -magnitude
	}
	if s.Delay == 0 {
		return complex(magnitude, 0)
	}
	return complex(magnitude, 0) * cmplx.Exp(complex(0, -2*math.Pi*f*float64(s.Delay)))
}

// meet chooses where aligned parts meet, and says how far they are apart.
func (s *Seam) meet(ratio []complex128, hz []float64) {
	n := len(hz)
	apart := make([]float64, n)
	for i, r := range ratio {
		level, turn := DB(r), Phase(r)
		s.LevelRMS += level * level / float64(n)
		s.PhaseRMS += turn * turn / float64(n)
		d := cmplx.Abs(r - 1)
		apart[i] = d * d
	}
	s.LevelRMS, s.PhaseRMS = math.Sqrt(s.LevelRMS), math.Sqrt(s.PhaseRMS)

	// The blend keeps within the band; half of it is so many steps.
	step := math.Log2(hz[n-1]/hz[0]) / float64(n-1)
	half := min(int(math.Ceil(blend/2/step-rounding)), (n-1)/2)
	best, at := math.Inf(1), 0
	for i := half; i < n-half; i++ {
		off := 2*float64(i)/float64(n-1) - 1
		sum := indifferent * indifferent * off * off
		for _, d := range apart[i-half : i+half+1] {
			sum += d / float64(2*half+1)
		}
		if sum < best {
			best, at = sum, i
		}
	}
	s.Frequency = units.Frequency(hz[at])
	s.Level, s.Phase = DB(ratio[at]), Phase(ratio[at])
}

// blend goes from one part to the other around the seam.
func (c Curve) blend(near, far Curve, seam Seam) error {
	reach := math.Exp2(blend / 2)
	first, _ := slices.BinarySearch(c.Hz, float64(seam.Frequency)/reach)
	end, _ := slices.BinarySearch(c.Hz, float64(seam.Frequency)*reach)
	hz := c.Hz[first:end]
	n, f := make([]complex128, len(hz)), make([]complex128, len(hz))
	if err := cmp.Or(near.Resample(n, hz), far.Resample(f, hz)); err != nil {
		return err
	}
	for i, at := range hz {
		share := 0.5 + math.Log2(at/float64(seam.Frequency))/blend // of the far part
		n[i] *= seam.effect(at)
		c.H[first+i] = n[i] * cmplx.Exp(complex(share, 0)*cmplx.Log(f[i]/n[i]))
	}
	return nil
}
