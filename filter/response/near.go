package response

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/units"
)

// A Source is one cone or one mouth of a vent that was measured close by.
type Source struct {
	Curve Curve      // taken NearCone or NearVent, all of a speaker on one scale of pressure
	Area  units.Area // of the piston: Sd of the cone, cross-section of the vent's mouth
}

// NearField returns the far pressure of a speaker in the half space, at 1 m and
// with the flight time left out, from readings close to its cones and vents.
//
// Close to the centre of a flush round piston of radius a that moves with the
// velocity u, the pressure at low ka is jωρ a u; at the distance r in the half
// space it is jωρ π a² u/(2π r). So the far pressure is the near one times
// a/(2r), and several sources add with weights as the roots of their areas
// (D. B. Keele Jr., "Low-frequency loudspeaker assessment by nearfield
// sound-pressure measurement", Journal of the Audio Engineering Society 22(3),
// 1974, 154-162). Two equal vents are two sources, each with its own area: as
// one source of their common area they would come out 3 dB too weak. If only one
// of two that work alike was measured, name its reading twice.
//
// The result holds up to about [NearLimit] of the largest source, where a rigid
// piston reads 0.36 dB too little; [NearPiston] has the exact figure to divide a
// reading by, as far as the cone is flat and rigid. A reading is late by ka/2 as
// well, so that sources of unlike size add with a small error of phase. A mouth
// that is not round reads less than a round one of its area: a square 0.05 dB, a
// slot of 1 to 4 1.21 dB, one of 1 to 8 2.47 dB. What the microphone at one source
// hears of another is left in: near the tuning of a vented box the cone's reading
// is mostly the vent, which matters little, since the vent's own is far larger.
//
// The sum stands on the frequencies of the first curve, within the band where all
// are valid, and keeps voltage and box. It is an error if a curve was not taken
// near cone or vent, if voltages or boxes differ, if one of several has no phase,
// or if an area is not positive.
func NearField(sources ...Source) (Curve, error) {
	if len(sources) == 0 {
		return Curve{}, errors.New("response: near field: no source")
	}
	first := sources[0].Curve
	curves := make([]Curve, len(sources))
	for i, s := range sources {
		if err := s.check(i, sources); err != nil {
			return Curve{}, err
		}
		curves[i] = s.Curve
	}
	sum, err := common(curves...)
	if err != nil {
		return Curve{}, fmt.Errorf("response: near field: %w", err)
	}
	sum.HasPhase = first.HasPhase
	sum.Taken = Taken{Mounting: HalfSpace, Box: first.Taken.Box, Voltage: first.Taken.Voltage}
	h := make([]complex128, len(sum.Hz))
	for _, s := range sources {
		if err := s.Curve.Resample(h, sum.Hz); err != nil {
			return Curve{}, err
		}
		weight := complex(radius(s.Area)/2, 0) // a/(2r), r = 1 m
		for i, v := range h {
			sum.H[i] += weight * v
		}
	}
	// Sources may cancel or grow beyond all numbers.
	if err := sum.Check(); err != nil {
		return Curve{}, fmt.Errorf("response: near field, sum: %w", err)
	}
	return sum, nil
}

func (s Source) check(i int, all []Source) error {
	field := fmt.Sprintf("response: near field: source %d: ", i+1)
	if err := units.Positive(field+"area", s.Area); err != nil {
		return err
	}
	if err := s.Curve.Check(); err != nil {
		return fmt.Errorf("response: near field: source %d: %w", i+1, err)
	}
	t, first := s.Curve.Taken, all[0].Curve.Taken
	switch {
	case t.Mounting != NearCone && t.Mounting != NearVent:
		return &units.RangeError{Field: field + "taken", Value: t.Mounting.String(),
			Want: fmt.Sprintf("must be %v or %v", NearCone, NearVent)}
	case !s.Curve.HasPhase && len(all) > 1:
		return errors.New(field + "has no phase: must have one to be added to others")
	case t.full().Voltage != first.full().Voltage:
		return &units.RangeError{Field: field + "voltage", Value: t.Voltage.String(),
			Want: "must be that of source 1, " + first.Voltage.String()}
	case t.Box != first.Box:
		return &units.RangeError{Field: field + "box", Value: fmt.Sprintf("%q", t.Box),
			Want: fmt.Sprintf("must be that of source 1, %q", first.Box)}
	}
	return nil
}

func radius(area units.Area) float64 { return math.Sqrt(float64(area) / math.Pi) }

// NearLimit returns the frequency c/(2πa) at which ka = 1 for a round piston of
// that area, the customary upper limit of a reading close to its centre: a rigid
// piston reads 0.365 dB too little there, 0.09 dB an octave below, and 1 dB at
// 1.64 times the limit. As 10 950 over the diameter in centimetres it goes back to
// Keele's paper of 1974 (see [NearField]), which that number takes for 344 m/s.
//
// It is an error if area or speed of sound is not positive.
func NearLimit(area units.Area, c units.Velocity) (units.Frequency, error) {
	if err := checkPiston(area, c); err != nil {
		return 0, err
	}
	return units.Frequency(float64(c) / (2 * math.Pi * radius(area))), nil
}

// NearPiston returns the pressure at the centre of a rigid flush piston over jωρ a u,
// what [NearField] takes it to be:
//
//	(1 − e^{−jka}) / (jka) = sin(ka/2)/(ka/2) · e^{−jka/2}
//
// It is exact, from the pressure ρcu(1 − e^{−jka}) on the axis of a piston at no
// distance (L. E. Kinsler, A. R. Frey, A. B. Coppens, J. V. Sanders, "Fundamentals of
// Acoustics", 4th edition, 2000, section 7.4). Divide a reading by it to take the
// limit higher, but not far: cones are neither flat nor rigid, and at ka = 2π nothing
// is left to divide by. It is an error if area, frequency or speed of sound is not
// positive.
func NearPiston(area units.Area, f units.Frequency, c units.Velocity) (complex128, error) {
	if err := cmp.Or(checkPiston(area, c), units.Positive("response: near field: frequency", f)); err != nil {
		return 0, err
	}
	x := math.Pi * float64(f) * radius(area) / float64(c) // ka/2
	return cmplx.Rect(1, -x) * complex(math.Sin(x)/x, 0), nil
}

func checkPiston(area units.Area, c units.Velocity) error {
	return cmp.Or(units.Positive("response: near field: area", area),
		units.Positive("response: near field: speed of sound", c))
}

// Times returns the product of c and d, as of a curve and an effect on it. It
// stands on the frequencies of c, within the band where both are valid, and keeps
// what c says of how it was taken; if the effect changes that, say so in Taken. It
// has a phase if both have one. It is an error if either fails [Curve.Check] or if
// fewer than two frequencies are left.
func (c Curve) Times(d Curve) (Curve, error) {
	product, err := common(c, d)
	if err != nil {
		return Curve{}, fmt.Errorf("response: product: %w", err)
	}
	product.Taken = c.Taken
	if product.HasPhase = c.HasPhase && d.HasPhase; !product.HasPhase {
		c, d = c.magnitude(), d.magnitude()
	}
	h := make([]complex128, len(product.Hz))
	if err := cmp.Or(c.Resample(product.H, product.Hz), d.Resample(h, product.Hz)); err != nil {
		return Curve{}, err
	}
	for i, v := range h {
		product.H[i] *= v
	}
	if err := product.Check(); err != nil { // it may be too large or too small for a number
		return Curve{}, fmt.Errorf("response: product: %w", err)
	}
	return product, nil
}

// common returns a curve of zeros on those frequencies of the first curve at which
// all are valid.
func common(curves ...Curve) (Curve, error) {
	lo, hi := 0., math.Inf(1)
	for _, c := range curves {
		if err := c.Check(); err != nil {
			return Curve{}, err
		}
		first, last := c.span()
		lo, hi = max(lo, first), min(hi, last)
	}
	var out Curve
	for _, f := range curves[0].Hz {
		if f >= lo*(1-rounding) && f <= hi*(1+rounding) {
			out.Hz = append(out.Hz, f)
		}
	}
	if len(out.Hz) < 2 {
		return Curve{}, &units.RangeError{Field: "common band", Value: fmt.Sprintf("%v Hz to %v Hz", lo, hi),
			Want: "must hold at least two frequencies of the first curve"}
	}
	out.H = make([]complex128, len(out.Hz))
	out.From = slices.MaxFunc(curves, func(a, b Curve) int { return cmp.Compare(a.From, b.From) }).From
	return out, nil
}

// span returns the ends of the band in which c is valid.
func (c Curve) span() (lo, hi float64) {
	return max(c.Hz[0], float64(c.From)), c.Hz[len(c.Hz)-1]
}
