package cabinet

import (
	"cmp"
	"fmt"

	"example.com/halfspace/units"
)

// PlywoodThickness returns the thinnest and the thickest that a sanded sheet of
// plywood of a nominal thickness may be:
//
//	t − (0.4 mm + 0.03 t)   to   t + (0.2 mm + 0.03 t)
//
// (EN 315, from memory; makers print these limits cut to tenths of a millimetre). A
// stack multiplies the difference by its layers, so measure the sheets. Nominal
// thickness from 3 mm to 50 mm.
func PlywoodThickness(nominal units.Length) (thinnest, thickest units.Length, err error) {
	const mm = units.Millimetre
	if err := units.Within("cabinet: nominal thickness", nominal, 3*mm, 50*mm); err != nil {
		return 0, 0, err
	}
	return nominal - (0.4*mm + 0.03*nominal), nominal + (0.2*mm + 0.03*nominal), nil
}

// GrossBetween returns the air inside if every layer is as thin or as thick as
// given. Layers of one delivery are off the same way, so their errors add up; a
// spread within the delivery averages out and is far smaller. It returns the errors
// of Check and refuses thicknesses in the wrong order.
func (s Stack) GrossBetween(thinnest, thickest units.Length) (least, most units.Volume, err error) {
	if err := cmp.Or(s.Check(), units.Positive("cabinet: thinnest layer", thinnest), units.Positive("cabinet: thickest layer", thickest)); err != nil {
		return 0, 0, err
	}
	if !(thinnest <= thickest) {
		return 0, 0, &units.RangeError{Field: "cabinet: thinnest layer", Value: thinnest.String(), Want: fmt.Sprintf("must not exceed the thickest, %v", thickest)}
	}
	thin, thick := s, s
	thin.Thickness, thick.Thickness = thinnest, thickest
	return thin.Gross(), thick.Gross(), nil
}
