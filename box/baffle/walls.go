package baffle

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Wall is a large flat wall, floor or ceiling near a source.
type Wall struct {
	Toward     r3.Vec       // from the source square onto the wall, of any length but zero
	Distance   units.Length // of the source from it; zero: the source is in the wall
	Absorption float64      // share of the energy that it swallows, 0 to 1; zero: a rigid wall
}

// reflection is the factor on the pressure.
func (w Wall) reflection() float64 { return math.Sqrt(1 - w.Absorption) }

// Walls are up to three walls at right angles to each other. Sources are mirrored in
// each, and the mirror images again in the others, which is exact for rigid walls and
// an estimate for others: their absorption is taken to be the same at all angles and
// frequencies, without a shift of phase. Sources must be small and radiate alike in
// all directions, as woofers do below some hundred hertz.
type Walls []Wall

// Check returns an error unless there are three walls at most, at right angles within
// a thousandth, with finite distances that are not negative, and absorption from 0
// to 1.
func (w Walls) Check() error {
	if len(w) > 3 {
		return &units.RangeError{Field: "baffle: walls", Value: fmt.Sprint(len(w)), Want: "must be three at most"}
	}
	for i, a := range w {
		field := fmt.Sprintf("baffle: wall %d: ", i+1)
		if n := r3.Norm(a.Toward); !(n > 0) || math.IsInf(n, 0) {
			return &units.RangeError{Field: field + "direction", Value: fmt.Sprint(a.Toward), Want: "must be finite and not zero"}
		}
		if err := units.NotNegative(field+"distance", a.Distance); err != nil {
			return err
		}
		if err := units.Within(field+"absorption", a.Absorption, 0, 1); err != nil {
			return err
		}
		for j, b := range w[:i] {
			if cos := r3.Cos(a.Toward, b.Toward); !(math.Abs(cos) <= 1e-3) {
				return &units.RangeError{Field: field + "direction", Value: fmt.Sprintf("%.1f° from wall %d", math.Acos(cos)*180/math.Pi, j+1), Want: "must be at a right angle to it"}
			}
		}
	}
	return nil
}

// An image is a mirror image of the source, seen from it.
type image struct {
	at     r3.Vec // m
	factor float64
}

func (w Walls) images() []image {
	list := []image{{factor: 1}}
	for _, wall := range w {
		shift := r3.Scale(2*float64(wall.Distance/units.Metre), r3.Unit(wall.Toward))
		for _, x := range list {
			list = append(list, image{r3.Add(x.at, shift), x.factor * wall.reflection()})
		}
	}
	return list
}

// Effect writes to dst the pressure at a listener, in metres as seen from the source,
// over that without the walls, at the frequencies hz, for the speed of sound c:
//
//	Σ r₀/rᵢ Πα e^{−jk(rᵢ − r₀)}
//
// over the 2ⁿ images at the distances rᵢ. Far below, n rigid walls give 2ⁿ: half space
// +6.02 dB, quarter space +12.04 dB, eighth space +18.06 dB, for a source that moves as
// much air as before. The deepest notch behind one wall is where the detour is half a
// wavelength, f = c/(4d) for a far listener in front.
//
// It is an error if the walls fail [Walls.Check], the speed of sound or a frequency is
// not positive, or the listener is at the source or behind a wall. It panics if the
// slices differ in length.
func (w Walls) Effect(dst []complex128, hz []float64, c units.Velocity, listener r3.Vec) error {
	if len(dst) != len(hz) {
		panic(fmt.Sprintf("baffle: slices of different lengths: %d for %d frequencies", len(dst), len(hz)))
	}
	if err := w.Check(); err != nil {
		return err
	}
	if err := units.Positive("baffle: speed of sound", c); err != nil {
		return err
	}
	direct := r3.Norm(listener)
	if !(direct > 0) || math.IsInf(direct, 0) {
		return &units.RangeError{Field: "baffle: listener", Value: fmt.Sprint(listener), Want: "must be finite and away from the source"}
	}
	for i, wall := range w {
		if past := r3.Dot(listener, r3.Unit(wall.Toward)) - float64(wall.Distance/units.Metre); !(past <= 1e-9) {
			return &units.RangeError{Field: "baffle: listener", Value: fmt.Sprintf("%.3g m behind wall %d", past, i+1), Want: "must be in front of every wall"}
		}
	}
	images := w.images()
	for i, f := range hz {
		if err := units.Positive(fmt.Sprintf("baffle: frequency %d", i+1), units.Frequency(f)); err != nil {
			return err
		}
		k := 2 * math.Pi * f / float64(c)
		dst[i] = 0
		for _, x := range images {
			r := r3.Norm(r3.Sub(listener, x.at))
			dst[i] += cmplx.Rect(x.factor*direct/r, -k*(r-direct))
		}
	}
	return nil
}

// PowerGain returns the power that a source of given volume velocity radiates near the
// walls over that in free field,
//
//	Σ Πα sin(k rᵢ)/(k rᵢ)
//
// over the images at the distances rᵢ from the source (R. V. Waterhouse, "Output of a
// sound source in a reverberation chamber and other reflecting environments", Journal
// of the Acoustical Society of America 30, 1958, 4; abstract). Three rigid walls at one
// distance d take 11.4 dB away where d is 0.28 wavelengths: in a corner, keep the three
// distances apart. It is an error as for [Walls.Effect].
func (w Walls) PowerGain(f units.Frequency, c units.Velocity) (float64, error) {
	if err := w.Check(); err != nil {
		return 0, err
	}
	if err := units.Positive("baffle: frequency", f); err != nil {
		return 0, err
	}
	if err := units.Positive("baffle: speed of sound", c); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, x := range w.images() {
		kr := 2 * math.Pi * float64(f) / float64(c) * r3.Norm(x.at)
		s := 1.0
		if kr > 0 {
			s = math.Sin(kr) / kr
		}
		sum += x.factor * s
	}
	return sum, nil
}
