package cabinet

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r3"
)

// A Load is something heavy at a place: x and y in the plane of the profile, z from
// the outside of the left cap.
type Load struct {
	Name string
	Mass units.Mass
	At   r3.Vec // metres
}

// A Balance says how a cabinet stands.
type Balance struct {
	Mass   units.Mass // wood and loads
	Centre r3.Vec     // of gravity, metres: x and y as the profile, z from the left

	// Least angles that bring the centre of gravity over an edge of what the
	// cabinet stands on.
	Low, High, Side units.Angle // towards small x, towards large x, sideways
}

// Balance returns the centre of gravity of the wood with its loads, and the angles at
// which the cabinet tips. It stands on the lowest points of the profile, with its
// whole width. The wood is counted before holes and without glue.
//
// Errors: those of Check, no density, a mass that is negative or not finite.
func (s Stack) Balance(loads ...Load) (Balance, error) {
	if err := cmp.Or(s.Check(), units.Positive("cabinet: density", s.Density)); err != nil {
		return Balance{}, err
	}
	inside, err := s.Inside()
	if err != nil {
		return Balance{}, err
	}
	// Rings are the profile less the inside; both end caps lie alike about the middle.
	full, hollow := s.Profile.Centroid(), inside.Centroid()
	rings := float64(s.Layers) * float64(s.Thickness) * float64(s.Density)
	solid := float64(s.CapArea()) * (rings + 2*float64(s.capThickness())*float64(s.Density))
	hole := -float64(inside.Area()) * rings
	middle := float64(s.OutsideWidth()) / 2
	mass, moment := 0.0, r3.Vec{}
	add := func(m float64, at r3.Vec) {
		mass += m
		moment = r3.Add(moment, r3.Scale(m, at))
	}
	add(solid, r3.Vec{X: float64(full.X), Y: float64(full.Y), Z: middle})
	add(hole, r3.Vec{X: float64(hollow.X), Y: float64(hollow.Y), Z: middle})
	for _, l := range loads {
		if err := units.NotNegative("cabinet: mass of "+l.Name, l.Mass); err != nil {
			return Balance{}, err
		}
		if n := r3.Norm(l.At); math.IsNaN(n) || math.IsInf(n, 0) {
			return Balance{}, &units.RangeError{Field: "cabinet: place of " + l.Name, Value: fmt.Sprint(l.At), Want: "must be finite"}
		}
		add(float64(l.Mass), l.At)
	}
	b := Balance{Mass: units.Mass(mass), Centre: r3.Scale(1/mass, moment)}
	lo, _ := s.Profile.Bounds()
	left, right := s.foot()
	up := b.Centre.Y - float64(lo.Y)
	b.Low = units.Angle(math.Atan2(b.Centre.X-left, up))
	b.High = units.Angle(math.Atan2(right-b.Centre.X, up))
	b.Side = units.Angle(math.Atan2(min(b.Centre.Z, 2*middle-b.Centre.Z), up))
	return b, nil
}

// foot returns where the profile touches the floor, from and to.
func (s Stack) foot() (left, right float64) {
	lo, hi := s.Profile.Bounds()
	hair := 1e-6 * (hi.Y - lo.Y)
	left, right = math.Inf(1), math.Inf(-1)
	for _, side := range s.Profile.Sides() {
		for _, t := range []float64{0, 0.5, 1} { // an arc that rests on its middle, too
			if p := side.At(t); p.Y <= lo.Y+hair {
				left, right = min(left, float64(p.X)), max(right, float64(p.X))
			}
		}
	}
	if left > right { // an arc that rests elsewhere: on a line
		for _, side := range s.Profile.Sides() {
			if low := side.Centre.Y - side.Radius; side.Radius > 0 && low <= lo.Y+hair {
				left, right = float64(side.Centre.X), float64(side.Centre.X)
			}
		}
	}
	return left, right
}
