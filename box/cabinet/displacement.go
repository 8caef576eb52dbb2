package cabinet

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// A Displacement is something put inside that takes up air: a driver, a vent, a brace.
type Displacement struct {
	Name   string
	Volume units.Volume
}

// Frustum returns the volume of a frustum of a cone, from one diameter to another
// over a height:
//
//	V = π h (R² + R r + r²) / 3
//
// With equal diameters it is a cylinder, with one of them zero a cone. A driver is
// roughly a frustum for its cone and a cylinder for its magnet; a vent is a
// cylinder of its outer diameter.
func Frustum(d1, d2, height units.Length) units.Volume {
	a, b, h := float64(d1)/2, float64(d2)/2, float64(height)
	return units.Volume(math.Pi * h / 3 * (a*a + a*b + b*b))
}

// Net returns the air left when the displacements are inside. It returns an error
// for a stack that fails Check, a displacement that is negative or not finite, and
// when nothing is left.
func (s Stack) Net(ds ...Displacement) (units.Volume, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	taken, err := sum(ds)
	if err != nil {
		return 0, err
	}
	gross := s.Gross()
	if !(gross > taken) {
		return 0, &units.RangeError{Field: "cabinet: displacement", Value: taken.String(),
			Want: fmt.Sprintf("must be below the %v inside the empty cabinet", gross)}
	}
	return gross - taken, nil
}

func sum(ds []Displacement) (units.Volume, error) {
	var taken units.Volume
	for _, d := range ds {
		if err := units.NotNegative("cabinet: displacement of "+d.Name, d.Volume); err != nil {
			return 0, err
		}
		taken += d.Volume
	}
	return taken, nil
}

// LayersFor returns the stacks of the two whole numbers of layers around a wanted
// net volume: the one with the most layers whose net volume does not exceed it, and
// the one with the fewest whose net volume reaches it. If a number of layers gives
// exactly the wanted volume (to 1e-9), both are that stack; if even the smallest
// stack that leaves any air exceeds it, both are that one. The Layers of s itself
// are ignored.
func (s Stack) LayersFor(net units.Volume, ds ...Displacement) (fewer, more Stack, err error) {
	if err := units.Positive("cabinet: wanted net volume", net); err != nil {
		return s, s, err
	}
	s.Layers = 1
	if err := s.Check(); err != nil {
		return s, s, err
	}
	taken, err := sum(ds)
	if err != nil {
		return s, s, err
	}
	n := s.layersHolding(net + taken)
	const most = 1e6
	if !(n <= most) {
		return s, s, &units.RangeError{Field: "cabinet: wanted net volume", Value: net.String(),
			Want: fmt.Sprintf("must not need more than %.0f layers", most)}
	}
	hair := 1e-9 * max(1, n)
	least := math.Floor(s.layersHolding(taken)+hair) + 1
	fewer, more = s, s
	fewer.Layers = int(max(least, math.Floor(n+hair)))
	more.Layers = int(max(least, math.Ceil(n-hair)))
	return fewer, more, nil
}

// layersHolding returns the number of layers, not a whole one, with the given gross volume.
func (s Stack) layersHolding(gross units.Volume) float64 {
	// The width is that of n layers and n+1 joints.
	width := float64(gross) / float64(s.insideArea())
	return (width - float64(s.GlueLine)) / float64(s.Thickness+s.GlueLine)
}
