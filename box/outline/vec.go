package outline

import (
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

func (c Corner) vec() r2.Vec { return r2.Vec{X: float64(c.X), Y: float64(c.Y)} }

func (p Point) vec() r2.Vec { return r2.Vec{X: float64(p.X), Y: float64(p.Y)} }

func point(v r2.Vec) Point { return Point{units.Length(v.X), units.Length(v.Y)} }

// cross and dot round each product, unlike those of r2: the sign of their results
// decides branches, which must go the same way on machines that fuse products and sums.
func cross(a, b r2.Vec) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

func dot(a, b r2.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

// left turns a vector by a quarter turn anticlockwise.
func left(a r2.Vec) r2.Vec { return r2.Vec{X: -a.Y, Y: a.X} }

// turn is the angle from direction a to direction b, in (-π, π], positive anticlockwise.
func turn(a, b r2.Vec) float64 { return math.Atan2(cross(a, b), dot(a, b)) }
