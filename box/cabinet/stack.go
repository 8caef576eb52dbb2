package cabinet

import (
	"cmp"
	"errors"
	"math"
	"strconv"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A Stack is a cabinet of equal ring layers between two end caps.
//
// Holes for drivers and vents are not cut out of its wood, and what is put inside is
// not taken from its air: see [Stack.Net]. All methods but Check, Inside, Net, Pieces
// and LayersFor expect a stack that passes Check, and return NaN where they need
// the inside of one that has none.
type Stack struct {
	Profile   outline.Outline // outer outline of a layer
	Wall      units.Length    // of the rings
	Layers    int
	Thickness units.Length  // of a layer, as measured: sheets are rarely as thick as they are called
	Cap       units.Length  // thickness of each end cap; zero means Thickness
	GlueLine  units.Length  // thickness of each joint between layers and to the caps; zero is usual
	Density   units.Density // of the sheet; weigh an offcut. Only Mass needs it
}

// Check returns an error, a *[units.RangeError], unless the profile is sound, the
// wall leaves an inside, there is at least one layer, and no thickness is negative.
func (s Stack) Check() error {
	_, err := s.Inside()
	return err
}

// Inside returns the inner outline of the layers: the profile less the wall. Its
// errors are those of Check.
func (s Stack) Inside() (outline.Outline, error) {
	if err := cmp.Or(
		units.Positive("cabinet: wall", s.Wall),
		units.Positive("cabinet: layer thickness", s.Thickness),
		units.NotNegative("cabinet: cap thickness", s.Cap),
		units.NotNegative("cabinet: glue line", s.GlueLine),
		units.NotNegative("cabinet: density", s.Density),
	); err != nil {
		return nil, err
	}
	if s.Layers < 1 {
		return nil, &units.RangeError{Field: "cabinet: layers", Value: strconv.Itoa(s.Layers), Want: "must be 1 or more"}
	}
	if err := s.Profile.Check(); err != nil {
		return nil, err
	}
	inside, err := s.Profile.Offset(s.Wall)
	if e := (*units.RangeError)(nil); errors.As(err, &e) {
		return nil, &units.RangeError{Field: "cabinet: wall", Value: e.Value, Want: e.Want}
	}
	return inside, err
}

// InsideWidth returns the length of the stack between the caps, joints included.
func (s Stack) InsideWidth() units.Length {
	return units.Length(s.Layers)*s.Thickness + units.Length(s.Layers+1)*s.GlueLine
}

// OutsideWidth returns the length of the stack with its caps.
func (s Stack) OutsideWidth() units.Length { return s.InsideWidth() + 2*s.capThickness() }

func (s Stack) capThickness() units.Length {
	if s.Cap == 0 {
		return s.Thickness
	}
	return s.Cap
}

// Gross returns the air inside before anything is put in.
func (s Stack) Gross() units.Volume {
	return units.Volume(float64(s.insideArea()) * float64(s.InsideWidth()))
}

func (s Stack) insideArea() units.Area {
	inside, err := s.Inside()
	if err != nil {
		return units.Area(math.NaN())
	}
	return inside.Area()
}

// RingArea returns the area of one layer's ring.
func (s Stack) RingArea() units.Area { return s.CapArea() - s.insideArea() }

// CapArea returns the area of one end cap, which is that of the profile.
func (s Stack) CapArea() units.Area { return s.Profile.Area() }

// SheetArea returns the area of all rings and both caps, without waste.
func (s Stack) SheetArea() units.Area {
	return units.Area(s.Layers)*s.RingArea() + 2*s.CapArea()
}

// Mass returns the mass of the rings and caps, without glue and before holes are cut.
func (s Stack) Mass() units.Mass {
	wood := float64(s.Layers)*float64(s.RingArea())*float64(s.Thickness) + 2*float64(s.CapArea())*float64(s.capThickness())
	return units.Mass(wood * float64(s.Density))
}
