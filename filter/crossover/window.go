package crossover

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Window is a set of directions that count together, each with a weight.
type Window []Angle

// An Angle is one direction of a window, seen from the speaker.
type Angle struct {
	Horizontal units.Angle // above zero to the right, as the listener sees it
	Vertical   units.Angle // above zero upward
	Weight     float64     // its share, against those of the others
}

// Toward returns the direction as a vector of length 1.
func (a Angle) Toward() r3.Vec {
	h, v := float64(a.Horizontal), float64(a.Vertical)
	return r3.Vec{X: math.Sin(h) * math.Cos(v), Y: math.Sin(v), Z: math.Cos(h) * math.Cos(v)}
}

// ListeningWindow returns the directions in which people sit: on axis, 10° up and
// down, 15° and 30° to either side. The axis has a weight of 4, those 15° aside 2
// each, the others 1 each: a third, a sixth and a twelfth of the whole.
//
// The angles are fewer than those of the listening window of CTA-2034-A (from
// memory: on axis, ±10° vertical, ±10°, ±20° and ±30° horizontal, all of one
// weight), since people at home measure every 15°. The weights are a choice.
func ListeningWindow() Window {
	const deg = units.Degree
	return Window{
		{0, 0, 4},
		{0, 10 * deg, 1}, {0, -10 * deg, 1},
		{15 * deg, 0, 2}, {-15 * deg, 0, 2},
		{30 * deg, 0, 1}, {-30 * deg, 0, 1},
	}
}

// Check returns an error unless there are directions, horizontal from -180° to
// 180° and vertical from -90° to 90°, with finite weights of which none is negative
// and one is not zero.
func (w Window) Check() error {
	sum := 0.0
	for i, a := range w {
		field := fmt.Sprintf("crossover: window: direction %d", i+1)
		if err := units.Within(field+": horizontal angle", a.Horizontal, -180*units.Degree, 180*units.Degree); err != nil {
			return err
		}
		if err := units.Within(field+": vertical angle", a.Vertical, -90*units.Degree, 90*units.Degree); err != nil {
			return err
		}
		if err := units.NotNegative(field+": weight", a.Weight); err != nil {
			return err
		}
		sum += a.Weight
	}
	if !(sum > 0) || math.IsInf(sum, 0) {
		return &units.RangeError{Field: "crossover: window: sum of the weights", Value: fmt.Sprint(sum), Want: "must be positive and finite"}
	}
	return nil
}

// Covered returns those directions of w that all drivers can give, at a distance
// from the origin. A [Radiator] with a method Covers, as [Curves] has, is asked, as
// seen from its place; others give all directions.
func (w Window) Covered(ways []Way, distance units.Length) Window {
	covers := func(r Radiator, at, point r3.Vec) bool {
		limited, ok := r.(interface{ Covers(toward r3.Vec) bool })
		return !ok || limited.Covers(r3.Sub(point, at))
	}
	var kept Window
next:
	for _, a := range w {
		point := r3.Scale(float64(distance), a.Toward())
		for _, way := range ways {
			if !covers(way.Radiator, way.Position, point) {
				continue next
			}
			for _, d := range way.More {
				if !covers(d.Radiator, d.Position, point) {
					continue next
				}
			}
		}
		kept = append(kept, a)
	}
	return kept
}

// Points returns the points of the window at a distance from the origin, for
// [Sample], and the weights in the same order.
func (w Window) Points(distance units.Length) (points []r3.Vec, weights []float64) {
	for _, a := range w {
		points = append(points, r3.Scale(float64(distance), a.Toward()))
		weights = append(weights, a.Weight)
	}
	return points, weights
}

// PowerAverage writes to dst the mean square of the pressures sum at some points,
// by point and frequency, with weights that need not add up to 1: in Pa² if sum is
// in Pa. Its level is 10 lg of it. Nothing is allocated.
//
// It panics unless there is a weight for each point and all slices are as long as
// dst. The weights should not be negative, and one of them positive.
func PowerAverage(dst []float64, sum [][]complex128, weights []float64) {
	if len(sum) != len(weights) {
		panic(fmt.Sprintf("crossover: %d weights for %d points", len(weights), len(sum)))
	}
	clear(dst)
	all := 0.0
	for _, weight := range weights {
		all += weight
	}
	for j, p := range sum {
		if len(p) != len(dst) {
			panic(fmt.Sprintf("crossover: point %d: %d pressures, room for %d", j+1, len(p), len(dst)))
		}
		share := weights[j] / all
		for i, p := range p {
			dst[i] += share * (float64(real(p)*real(p)) + float64(imag(p)*imag(p)))
		}
	}
}
