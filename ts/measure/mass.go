package measure

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// MassByAdded returns the moving mass of a driver whose resonance an added mass
// lowers from fs to loaded: Mms = added/((fs/loaded)² − 1). The compliance must be
// the same in both readings. Relative errors of the frequencies come in [MassGain]
// times as large.
func MassByAdded(fs, loaded units.Frequency, added units.Mass) (units.Mass, error) {
	if err := cmp.Or(
		units.Positive("measure: fs", fs),
		units.Positive("measure: fs with the added mass", loaded),
		units.Positive("measure: added mass", added),
	); err != nil {
		return 0, err
	}
	if !(loaded < fs) {
		return 0, &units.RangeError{Field: "measure: fs with the added mass", Value: loaded.String(),
			Want: fmt.Sprintf("must be below that without, %v", fs)}
	}
	u := float64(fs / loaded)
	return added / units.Mass(u*u-1), nil
}

// MassGain returns how many times a relative error of one of the frequencies of
// [MassByAdded] comes back in the mass, 2u²/(u² − 1) with u = fs/loaded: 11.5 at u = 1.1,
// 4 at √2. It panics unless loaded is positive and below fs.
func MassGain(fs, loaded units.Frequency) float64 {
	if !(loaded > 0 && loaded < fs) {
		panic(fmt.Sprintf("measure: gain of %v against %v", loaded, fs))
	}
	u := float64(fs / loaded)
	return 2 * u * u / (u*u - 1)
}

// A Loaded is a resonance with a mass on the cone; the mass may be zero.
type Loaded struct {
	Added units.Mass
	Fs    units.Frequency
}

// MassLine returns moving mass and compliance by the line through several masses,
//
//	1/(2π f)² = Cms (Mms + added)
//
// fitted so that all frequencies have the same relative error. The deviations follow
// from how far the readings lie off the line; they are zero for two readings, which
// always fit. The error says that fewer than two masses differ, or that the line has
// no positive slope or mass.
func MassLine(readings ...Loaded) (mms Estimate[units.Mass], cms Estimate[units.Compliance], err error) {
	var sw, sx, sy, sxx, sxy float64
	for i, r := range readings {
		if err := cmp.Or(
			units.NotNegative(fmt.Sprintf("measure: reading %d: added mass", i+1), r.Added),
			units.Positive(fmt.Sprintf("measure: reading %d: fs", i+1), r.Fs),
		); err != nil {
			return mms, cms, err
		}
		x, y := float64(r.Added), period(r.Fs)
		w := 1 / (y * y) // y has twice the relative error of f
		sw, sx, sy, sxx, sxy = sw+w, sx+w*x, sy+w*y, sxx+w*x*x, sxy+w*x*y
	}
	d := sw*sxx - sx*sx
	if !(d > 1e-9*sw*sxx) {
		return mms, cms, fmt.Errorf("measure: %d readings: must have two different masses at least", len(readings))
	}
	slope, offset := (sw*sxy-sx*sy)/d, (sxx*sy-sx*sxy)/d
	if !(slope > 0 && offset > 0) {
		return mms, cms, fmt.Errorf("measure: the line through the readings gives a compliance of %v and a mass of %v: must be positive; is each frequency beside its own mass?",
			units.Compliance(slope), units.Mass(offset/slope))
	}
	m := offset / slope
	mms.Value, cms.Value = units.Mass(m), units.Compliance(slope)
	if n := len(readings); n > 2 {
		chi := 0.0
		for _, r := range readings {
			e := (period(r.Fs) - offset - slope*float64(r.Added)) / period(r.Fs)
			chi += e * e
		}
		s := chi / float64(n-2)
		// Variances of slope and offset, and of their quotient.
		vs, vo, cov := s*sw/d, s*sxx/d, -s*sx/d
		cms.Scatter = units.Compliance(math.Sqrt(vs))
		mms.Scatter = units.Mass(math.Sqrt(vo-2*m*cov+m*m*vs) / slope)
	}
	return mms, cms, nil
}

// period returns 1/ω².
func period(f units.Frequency) float64 {
	w := 2 * math.Pi * float64(f)
	return 1 / (w * w)
}
