package cabinet

import (
	"fmt"
	"math"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// Panels is a cabinet of flat panels: a band of them around the side view, mitred
// where they meet, and two side panels that cover its edges. A rectangle as the
// profile is the plain box; a front that leans back, or a keel, is a profile with a
// slanted side.
type Panels struct {
	Profile outline.Outline // outer side view, of straight sides
	Width   units.Length    // outside, side panels included
	Wall    units.Length    // thickness of the panels of the band
	Side    units.Length    // thickness of each side panel; zero means Wall
	Density units.Density   // only Mass needs it
}

// Stack returns the same cabinet as one thick layer between two caps, which are the
// side panels: its volumes, its mass, its centre of gravity and all else but the cut
// list are those of the panels.
func (p Panels) Stack() Stack {
	side := p.Side
	if side == 0 {
		side = p.Wall
	}
	return Stack{Profile: p.Profile, Wall: p.Wall, Layers: 1, Thickness: p.Width - 2*side, Cap: side, Density: p.Density}
}

// Check returns an error, a *[units.RangeError], unless the panels close around air:
// the errors of [Stack.Check], a width that the side panels use up, a side of the
// profile that is not straight.
func (p Panels) Check() error {
	if err := units.Positive("cabinet: panel thickness", p.Wall); err != nil {
		return err
	}
	if err := units.NotNegative("cabinet: side panel thickness", p.Side); err != nil {
		return err
	}
	s := p.Stack()
	if !(p.Width > 2*s.Cap) || math.IsInf(float64(p.Width), 0) {
		return &units.RangeError{Field: "cabinet: width", Value: p.Width.String(), Want: fmt.Sprintf("must be above %v, the two side panels", 2*s.Cap)}
	}
	if err := s.Check(); err != nil {
		return err
	}
	for i, c := range p.Profile {
		if c.Round != 0 || c.Rise != 0 {
			return &units.RangeError{Field: fmt.Sprintf("cabinet: profile corner %d", i+1), Value: fmt.Sprintf("rounded by %v, rise %v", c.Round, c.Rise),
				Want: "must be sharp between straight sides: flat panels do not bend"}
		}
	}
	return nil
}

// Pieces returns the cut list: the panels of the band in the order of the profile,
// then the side panels. Length is along the profile, Start and End the bevels that
// mitre a panel to its neighbours, half of the turn at the corner each; Width is the
// distance between the side panels. The errors are those of Check.
func (p Panels) Pieces() ([]Piece, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	s := p.Stack()
	list, err := s.Pieces()
	if err != nil {
		return nil, err
	}
	for i := range list[:len(list)-1] {
		list[i].Name = fmt.Sprintf("panel of side %d", i+1)
		list[i].Width, list[i].Thickness = s.Thickness, p.Wall
	}
	list[len(list)-1].Name = "side panel"
	return list, nil
}
