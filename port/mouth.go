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
	// AlongWall is an end flush with a panel near a wall that goes on from there
	// at a right angle: the long side of a rectangle lies on it, the centre of a
	// round end stands Vent.ToWall away.
	AlongWall
	// InCorner is an end flush with a panel near two walls that go on from there:
	// two adjoining sides of a rectangle lie on them, the centre of a round end
	// stands Vent.ToWall away from both.
	InCorner
	// AcrossBox is the end of a slot as wide as the box: it lies on one wall
	// and touches both side walls. Vent.Clear says how high the box is there.
	AcrossBox
	// InDuct is the inner end flush with the middle of a wall of a box that is not
	// large against the vent and runs on as a duct: it is narrower than a panel
	// without end, and the air has less to turn. Vent.Section says how large the
	// box is across the vents, each of which has its share.
	InDuct
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
	case InDuct:
		return "in a duct"
	}
	return fmt.Sprintf("Mouth(%d)", uint8(m))
}
