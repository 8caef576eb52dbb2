package box

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// span is the band searched for features, relative to fs: 1/50 to 50 times, in
// steps of a 48th octave.
const (
	span     = 50
	perOct   = 48
	stepLog2 = 1.0 / perOct
)

func (s System) grid() []float64 {
	fs := float64(s.Driver.Fs())
	n := int(math.Ceil(2 * math.Log2(span) * perOct))
	hz := make([]float64, n+1)
	for i := range hz {
		hz[i] = fs / span * math.Exp2(float64(i)*stepLog2)
	}
	return hz
}

// Peak returns the largest gain re [System.Reference] and where it is. Without
// a peak that is the far end of the band searched, 50 fs, and about 0 dB.
func (s System) Peak() (f units.Frequency, db float64) {
	hz := s.grid()
	best := 0
	db = math.Inf(-1)
	for i, x := range hz {
		if g := s.Gain(units.Frequency(x)); g > db {
			best, db = i, g
		}
	}
	if best == 0 || best == len(hz)-1 {
		return units.Frequency(hz[best]), db
	}
	x := golden(math.Log(hz[best-1]), math.Log(hz[best+1]), func(x float64) float64 {
		return -s.Gain(units.Frequency(math.Exp(x)))
	})
	f = units.Frequency(math.Exp(x))
	return f, s.Gain(f)
}

// golden returns where the unimodal g is smallest between a and b.
func golden(a, b float64, g func(float64) float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	gx, gy := g(x), g(y)
	for b-a > 1e-9 {
		if gx < gy {
			b, y, gy = y, x, gx
			x = b - ratio*(b-a)
			gx = g(x)
		} else {
			a, x, gx = x, y, gy
			y = a + ratio*(b-a)
			gy = g(y)
		}
	}
	return (a + b) / 2
}

// halfPower is the fall in dB at which the power is halved: the 3 dB of f3 in
// the literature.
var halfPower = 10 * math.Log10(2)

// F3 returns the lower half-power cut-off: [System.Cutoff] for 3.0103 dB.
func (s System) F3() (units.Frequency, error) { return s.Cutoff(halfPower) }

// Cutoff returns the frequency at which the response, followed downwards from
// where it is largest, first falls db below [System.Reference].
func (s System) Cutoff(db float64) (units.Frequency, error) {
	top, err := s.top(db)
	if err != nil {
		return 0, err
	}
	lowest := float64(s.Driver.Fs()) / span
	hi := float64(top)
	for {
		lo := hi * math.Exp2(-stepLog2)
		if lo < lowest {
			return 0, fmt.Errorf("box: no cut-off above %.3g Hz: the response stays above −%.3g dB", lowest, db)
		}
		if s.Gain(units.Frequency(lo)) < -db {
			return s.crossing(lo, hi, -db), nil
		}
		hi = lo
	}
}

// UpperCutoff returns the frequency at which the response, followed upwards from
// where it is largest, first falls db below [System.Reference]: the upper edge of a
// band-pass box, or of what the coil's inductance leaves.
func (s System) UpperCutoff(db float64) (units.Frequency, error) {
	top, err := s.top(db)
	if err != nil {
		return 0, err
	}
	highest := float64(s.Driver.Fs()) * span
	for lo := float64(top); lo < highest; {
		hi := lo * math.Exp2(stepLog2)
		if s.Gain(units.Frequency(hi)) < -db {
			return s.crossing(hi, lo, -db), nil
		}
		lo = hi
	}
	return 0, fmt.Errorf("box: no upper cut-off below %.3g Hz: the response stays above −%.3g dB", highest, db)
}

// top checks what a cut-off needs, and returns where the response is largest.
func (s System) top(db float64) (units.Frequency, error) {
	if !(db > 0) || math.IsInf(db, 0) {
		return 0, &units.RangeError{Field: "box: cut-off", Value: fmt.Sprintf("%g dB", db), Want: "must be positive: dB below the reference"}
	}
	if err := s.Check(); err != nil {
		return 0, err
	}
	top, peak := s.Peak()
	if peak < -db {
		return 0, fmt.Errorf("box: no cut-off: the response stays %.1f dB or more below the reference", -peak)
	}
	return top, nil
}

// crossing bisects for the gain db between lo, where it is less, and hi, where it is
// more.
func (s System) crossing(lo, hi, db float64) units.Frequency {
	for range 60 {
		mid := math.Sqrt(lo * hi)
		if s.Gain(units.Frequency(mid)) < db {
			lo = mid
		} else {
			hi = mid
		}
	}
	return units.Frequency(math.Sqrt(lo * hi))
}
