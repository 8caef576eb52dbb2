package port

import "fmt"

// A Mouth says what one end of a vent opens into.
type Mouth uint8

const (
	// Free is the end of a tube that stands out into open space: a tube inside
	// a box, well away from its walls.
	Free Mouth = iota
	// Flanged is an end flush with a panel large against the vent.
	Flanged
	// AlongWall is a rectangular end flush with a panel, one long side lying on
	// a wall that goes on from there at a right angle.
	AlongWall
	// InCorner is a rectangular end flush with a panel, two adjoining sides
	// lying on two walls that go on from there.
	InCorner
	// AcrossBox is the end of a slot as wide as the box: it lies on one wall
	// and touches both side walls. Vent.Clear says how high the box is there.
	AcrossBox
)

func (m Mouth) String() string {
	switch m {
	case Free:
		return "free"
	case Flanged:
		return "flanged"
	case AlongWall:
		return "along a wall"
	case InCorner:
		return "in a corner"
	case AcrossBox:
		return "across the box"
	}
	return fmt.Sprintf("Mouth(%d)", uint8(m))
}
