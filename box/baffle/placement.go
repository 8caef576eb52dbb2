package baffle

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A Placement asks where on a panel a driver sees the smoothest edge.
type Placement struct {
	Panel    Panel
	Driver   Driver        // its At does not matter
	Others   []Driver      // stay where they are
	From, To outline.Point // opposite corners of the rectangle in which its centre may be
	Step     units.Length  // of the grid of places in it
	Clear    units.Length  // least distance of its frame from the edge and from other frames
	Lo, Hi   units.Frequency
	Toward   []r3.Vec // directions that count alike; none: the axis alone
}

// A Spot is a place with the ripple of its diffraction.
type Spot struct {
	At     outline.Point
	Ripple float64 // RMS deviation from the mean over the band and the directions, dB
	Range  float64 // between the highest and the lowest level in one direction, at most, dB
}

// Spots returns all places of the grid where the driver fits, the smoothest first, those
// alike to a millionth of a dB in the order of the grid, row by row from below. The
// ripple is that of the level of [Diffraction.Toward] at 24 frequencies an octave from
// Lo to Hi, about its mean in each direction. Choose Lo where the driver takes over: a
// band that begins in the bass counts the step of the panel as ripple.
//
// Errors are those of [Panel.Fits] for the others, of [Diffraction.Toward] for the
// directions, and for a step or band that is not positive, or no place that fits.
func (p Placement) Spots(c units.Velocity) ([]Spot, error) {
	err := cmp.Or(p.Panel.Fits(p.Others...), p.check(c))
	if err != nil {
		return nil, err
	}
	octaves := math.Log2(float64(p.Hi / p.Lo))
	hz := make([]float64, 2+int(24*octaves))
	for i := range hz {
		hz[i] = float64(p.Lo) * math.Exp2(octaves*float64(i)/float64(len(hz)-1))
	}
	toward := p.Toward
	if len(toward) == 0 {
		toward = []r3.Vec{{Z: 1}}
	}
	wide := p.Driver
	wide.Outer = 2 * (wide.frame() + p.Clear)
	h := make([]complex128, len(hz))
	var spots []Spot
	for _, y := range steps(p.From.Y, p.To.Y, p.Step) {
		for _, x := range steps(p.From.X, p.To.X, p.Step) {
			wide.At = outline.Point{X: x, Y: y}
			if !p.free(wide) {
				continue
			}
			d, err := p.Panel.Diffraction(wide, c)
			if err != nil {
				return nil, err
			}
			spot := Spot{At: wide.At}
			for _, u := range toward {
				if err := d.Toward(h, hz, u); err != nil {
					return nil, err
				}
				square, span := spread(h)
				spot.Ripple += square / float64(len(toward))
				spot.Range = max(spot.Range, span)
			}
			spot.Ripple = math.Sqrt(spot.Ripple)
			spots = append(spots, spot)
		}
	}
	if len(spots) == 0 {
		return nil, &units.RangeError{Field: "baffle: placement: driver", Value: "of " + (2 * p.Driver.frame()).String(),
			Want: "must fit somewhere in the rectangle, clear of the edge and the other drivers"}
	}
	// Rounded, so that mirror images stay in the order of the grid on every machine.
	key := func(s Spot) float64 { return math.Round(s.Ripple * 1e6) }
	slices.SortStableFunc(spots, func(a, b Spot) int { return cmp.Compare(key(a), key(b)) })
	return spots, nil
}

func (p Placement) check(c units.Velocity) error {
	err := cmp.Or(
		units.Positive("baffle: speed of sound", c),
		units.Positive("baffle: placement: step", p.Step),
		units.NotNegative("baffle: placement: clearance", p.Clear),
		units.NotNegative("baffle: placement: driver: radius", p.Driver.Radius),
		units.NotNegative("baffle: placement: driver: outer diameter", p.Driver.Outer),
		units.Positive("baffle: placement: lower frequency", p.Lo),
		units.Positive("baffle: placement: upper frequency", p.Hi))
	if err != nil {
		return err
	}
	if !(p.Hi > p.Lo) {
		return &units.RangeError{Field: "baffle: placement: upper frequency", Value: p.Hi.String(), Want: "must be above the lower one, " + p.Lo.String()}
	}
	across, up := math.Abs(float64((p.To.X-p.From.X)/p.Step)), math.Abs(float64((p.To.Y-p.From.Y)/p.Step))
	const most = 100_000
	if places := (across + 1) * (up + 1); !(places <= most) {
		return &units.RangeError{Field: "baffle: placement: places", Value: fmt.Sprintf("%.0f", places), Want: fmt.Sprintf("must be at most %d: take a larger step", most)}
	}
	return nil
}

// free says whether a driver fits on the panel and beside the others.
func (p Placement) free(d Driver) bool {
	if p.Panel.fits("", d) != nil {
		return false
	}
	for _, o := range p.Others {
		if distance(d.At, o.At) < d.frame()+o.frame()-touch {
			return false
		}
	}
	return true
}

// steps returns the places from one to another, the last one included if the step
// leads to it.
func steps(a, b, step units.Length) []units.Length {
	if b < a {
		a, b = b, a
	}
	var list []units.Length
	for i := 0.0; i <= float64((b-a)/step)+1e-9; i++ {
		list = append(list, a+units.Length(i)*step)
	}
	return list
}

// spread returns the mean square of the levels of h about their mean, in dB², and the
// distance between the highest and the lowest, in dB.
func spread(h []complex128) (square, span float64) {
	lo, hi, mean := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range h {
		l := 20 * math.Log10(cmplx.Abs(v))
		lo, hi, mean = min(lo, l), max(hi, l), mean+l/float64(len(h))
	}
	for _, v := range h {
		l := 20*math.Log10(cmplx.Abs(v)) - mean
		square += l * l / float64(len(h))
	}
	return square, hi - lo
}
