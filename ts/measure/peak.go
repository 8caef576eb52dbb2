package measure

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// What makes a curve useless for finding a driver; match with [errors.Is].
var (
	ErrNoResonance   = errors.New("no resonance")
	ErrAtEdge        = errors.New("resonance at the edge")
	ErrTwoResonances = errors.New("two resonances")
	ErrPhase         = errors.New("phase of no driver")
)

// A Reading holds what one reads off an impedance curve for the classic method of
// three frequencies: the peak, and where the modulus has fallen to a level on either
// side of it.
type Reading struct {
	Re     units.Resistance // of the coil to direct current
	Fs     units.Frequency  // of the peak
	Zmax   units.Resistance // height of the peak
	F1, F2 units.Frequency  // where the modulus is Level; a zero F1, below the table, is taken as fs²/F2
	Level  units.Resistance // zero: √(Re Zmax), the classic choice
}

// Check refuses figures that no peak can have.
func (r Reading) Check() error {
	if err := cmp.Or(
		units.Positive("measure: Re", r.Re),
		units.Positive("measure: fs", r.Fs),
		units.Positive("measure: Zmax", r.Zmax),
		units.NotNegative("measure: f1", r.F1),
		units.Positive("measure: f2", r.F2),
		units.NotNegative("measure: level", r.Level),
	); err != nil {
		return err
	}
	refuse := func(field string, v fmt.Stringer, format string, args ...any) error {
		return &units.RangeError{Field: field, Value: v.String(), Want: fmt.Sprintf(format, args...)}
	}
	switch {
	case !(r.Zmax > r.Re):
		return refuse("measure: Zmax", r.Zmax, "must be above Re, %v", r.Re)
	case !(r.F1 < r.Fs):
		return refuse("measure: f1", r.F1, "must be below fs, %v", r.Fs)
	case !(r.F2 > r.Fs):
		return refuse("measure: f2", r.F2, "must be above fs, %v", r.Fs)
	case r.Level != 0 && !(r.Level > r.Re && r.Level < r.Zmax):
		return refuse("measure: level", r.Level, "must be between Re, %v, and Zmax, %v", r.Re, r.Zmax)
	}
	return nil
}

// ClassicLevel returns √(Re Zmax), at which the frequencies stand as far apart as
// the peak is wide.
func (r Reading) ClassicLevel() units.Resistance {
	return units.Resistance(math.Sqrt(float64(r.Re) * float64(r.Zmax)))
}

// Q returns the three Q of the driver,
//
//	Qms = fs/(f2 − f1) √((r0² − r1²)/(r1² − 1)),  r0 = Zmax/Re,  r1 = Level/Re
//	Qes = Qms/(r0 − 1),  Qts = Qms/r0
//
// where the root is √r0 at the classic level (R. H. Small, "Direct-Radiator
// Loudspeaker System Analysis", J. Audio Eng. Soc. 20(5), 1972, from memory). It is
// exact for a coil without inductance. Inductance makes every Q too large: by 0.26,
// 0.52, 0.86 and 1.7 per cent for 0.3, 0.6, 1 and 2 mH in a woofer of 5.8 Ω, 38 Hz,
// Qms 4.5 and Qes 0.42 (first principles). One per cent more in Re is 1.2 per cent
// more in Qes.
func (r Reading) Q() (qms, qes, qts float64, err error) {
	if err := r.Check(); err != nil {
		return 0, 0, 0, err
	}
	r0 := float64(r.Zmax / r.Re)
	root := math.Sqrt(r0)
	if r.Level != 0 {
		r1 := float64(r.Level / r.Re)
		root = math.Sqrt((r0*r0 - r1*r1) / (r1*r1 - 1))
	}
	f1 := r.F1
	if f1 == 0 {
		f1 = r.Fs * r.Fs / r.F2
	}
	qms = float64(r.Fs/(r.F2-f1)) * root
	return qms, qms / (r0 - 1), qms / r0, nil
}

// Symmetry returns √(f1 f2)/fs, which is 1 without inductance. A deviation of 0.3 per
// cent is usual inductance, of 2 per cent a bad reading; 1 without F1.
func (r Reading) Symmetry() float64 {
	if r.F1 == 0 {
		return 1
	}
	return math.Sqrt(float64(r.F1)*float64(r.F2)) / float64(r.Fs)
}

// ReadPeak reads peak and frequencies at the classic level off a curve: the peak by
// a parabola through the highest points over the logarithm of frequency, the others
// by straight lines. Points must be so dense that nothing stands out between them; a
// single bad point near the peak spoils the reading, which [Fit.Curves] would leave
// out.
//
// The error wraps [ErrNoResonance], [ErrAtEdge] or [ErrTwoResonances]. If only f1 lies
// below the curve, F1 is zero.
func ReadPeak(c response.Curve, re units.Resistance) (Reading, error) {
	if err := cmp.Or(units.Positive("measure: Re", re), c.Check()); err != nil {
		return Reading{}, err
	}
	magnitude := make([]float64, len(c.H))
	for i, h := range c.H {
		magnitude[i] = cmplx.Abs(h)
	}
	first, _ := slices.BinarySearch(c.Hz, float64(c.From))
	r, second, err := readPeak(c.Hz[first:], magnitude[first:], float64(re))
	if err = cmp.Or(err, second); err != nil {
		return Reading{}, err
	}
	return r, nil
}

const (
	leastRise = 1.15 // of the peak above Re that counts as a resonance
	prominent = 1.3  // rise of a second peak above the valleys beside it that counts
)

// readPeak is [ReadPeak] for magnitudes; re of zero is estimated. second is not nil if
// another peak shows, which a few bad points together can look like.
func readPeak(hz, z []float64, re float64) (r Reading, second, err error) {
	none := func(err error, format string, args ...any) (Reading, error, error) {
		return Reading{}, nil, fmt.Errorf("measure: %w: %s", err, fmt.Sprintf(format, args...))
	}
	if len(hz) < 8 {
		return none(ErrNoResonance, "%d points are too few to tell", len(hz))
	}
	// Coarse search on what single bad points cannot disturb.
	coarse := medians(z, thirdOctave(hz))
	if re == 0 {
		re = 0.98 * slices.Min(coarse)
	}
	peaks := prominences(coarse)
	var top []int
	for _, p := range peaks {
		if p.rise >= leastRise && coarse[p.at] >= leastRise*re {
			top = append(top, p.at)
		}
	}
	last := len(hz) - 1
	if len(top) == 0 {
		falls := coarse[0] >= leastRise*slices.Min(coarse)
		switch {
		case falls && coarse[0] == slices.Max(coarse[:1+last/2]):
			return none(ErrAtEdge, "the modulus falls from the first point, %.4g Hz, on: measure lower", hz[0])
		case !falls && coarse[last] == slices.Max(coarse) && coarse[last] >= leastRise*re && steep(hz, coarse):
			return none(ErrAtEdge, "the modulus still rises at the last point, %.4g Hz: measure higher", hz[last])
		}
		return none(ErrNoResonance, "no peak stands %.0f %% above the rest", 100*(leastRise-1))
	}
	slices.SortFunc(top, func(a, b int) int { return cmp.Compare(coarse[b], coarse[a]) })
	for _, at := range top[1:] {
		i := slices.IndexFunc(peaks, func(p prominence) bool { return p.at == at })
		if peaks[i].rise >= prominent {
			f := []float64{hz[top[0]], hz[at]}
			slices.Sort(f)
			second = fmt.Errorf("measure: %w: peaks near %.3g and %.3g Hz: a vented box, or not one driver", ErrTwoResonances, f[0], f[1])
			break
		}
	}

	// The highest point near the coarse peak, then a parabola.
	w := thirdOctave(hz)
	lo, hi := max(0, top[0]-w), min(last, top[0]+w)
	at := lo
	for i := lo; i <= hi; i++ {
		if z[i] > z[at] {
			at = i
		}
	}
	if at == 0 || at == last {
		return none(ErrAtEdge, "the highest point is at %.4g Hz, at the end of the table", hz[at])
	}
	fs, zmax := parabola(hz[at-1:at+2], z[at-1:at+2])
	r = Reading{Re: units.Resistance(re), Fs: units.Frequency(fs), Zmax: units.Resistance(zmax)}
	if !(r.Zmax > r.Re) {
		return none(ErrNoResonance, "the highest point, %v, is not above Re, %v", r.Zmax, r.Re)
	}
	level := float64(r.ClassicLevel())
	for i := at; i < last; i++ {
		if z[i] >= level && z[i+1] < level {
			r.F2 = units.Frequency(crossing(hz[i:i+2], z[i:i+2], level))
			break
		}
	}
	for i := at; i > 0; i-- {
		if z[i] >= level && z[i-1] < level {
			r.F1 = units.Frequency(crossing(hz[i-1:i+1], z[i-1:i+1], level))
			break
		}
	}
	if r.F2 == 0 {
		return none(ErrAtEdge, "above the peak at %.4g Hz the modulus does not fall to √(Re Zmax), %.4g Ω", fs, level)
	}
	return r, second, nil
}

// steep says whether the modulus rises toward the end as below a resonance, with
// falling phase to come, rather than by inductance, at most in proportion to f.
func steep(hz, z []float64) bool {
	n := len(hz) - 1
	i := max(0, n-thirdOctave(hz))
	return math.Log(z[n]/z[i]) > 1.05*math.Log(hz[n]/hz[i])
}

// thirdOctave returns how many points span a third of an octave, odd, at least 3.
func thirdOctave(hz []float64) int {
	n := float64(len(hz)-1) / math.Log2(hz[len(hz)-1]/hz[0]) / 3
	return max(3, 2*int(math.Round(n/2))+1)
}

// medians returns the running medians of w points, at the ends of the first and last.
func medians(z []float64, w int) []float64 {
	out := make([]float64, len(z))
	window := make([]float64, 0, w)
	for i := range z {
		first := max(0, min(i-w/2, len(z)-w))
		window = append(window[:0], z[first:min(first+w, len(z))]...)
		slices.Sort(window)
		out[i] = window[len(window)/2]
	}
	return out
}

// A prominence is a peak that is not at the end, with its height over the higher of
// the valleys that part it from higher ground, or from the ends.
type prominence struct {
	at   int
	rise float64
}

func prominences(z []float64) []prominence {
	var out []prominence
	for i := 1; i < len(z)-1; i++ {
		if !(z[i] > z[i-1]) {
			continue
		}
		j := i // end of a plateau
		for j < len(z)-1 && z[j+1] == z[i] {
			j++
		}
		if j == len(z)-1 || z[j+1] > z[i] {
			continue
		}
		left, right := z[i], z[i]
		for k := i - 1; k >= 0 && z[k] <= z[i]; k-- {
			left = min(left, z[k])
		}
		for k := j + 1; k < len(z) && z[k] <= z[i]; k++ {
			right = min(right, z[k])
		}
		out = append(out, prominence{(i + j) / 2, z[i] / max(left, right)})
	}
	return out
}

// parabola returns the top of the parabola through three points in logarithms.
func parabola(hz, z []float64) (f, top float64) {
	x0, x1, x2 := math.Log(hz[0]), math.Log(hz[1]), math.Log(hz[2])
	y0, y1, y2 := math.Log(z[0]), math.Log(z[1]), math.Log(z[2])
	d1, d2 := (y1-y0)/(x1-x0), (y2-y1)/(x2-x1)
	bend := (d2 - d1) / (x2 - x0)
	if !(bend < 0) {
		return hz[1], z[1]
	}
	x := (x0+x1)/2 - d1/(2*bend)
	return math.Exp(x), math.Exp(y0 + d1*(x-x0) + bend*(x-x0)*(x-x1))
}

// crossing returns where the line between two points in logarithms has a level.
func crossing(hz, z []float64, level float64) float64 {
	t := math.Log(level/z[0]) / math.Log(z[1]/z[0])
	return hz[0] * math.Pow(hz[1]/hz[0], t)
}
