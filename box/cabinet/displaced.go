package cabinet

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// A DriverBody is what of a driver stands in the air of the box: the frustum of the
// cone from the cutout to its throat, and the magnet, a cylinder.
type DriverBody struct {
	Cutout, Throat, Cone units.Length // diameters of the frustum and its height
	Magnet, Height       units.Length // diameter and height of the magnet
}

// Volume returns the air that the driver takes, and 10 % of it for the basket. It is
// a fair guess; the maker's figure is better.
func (d DriverBody) Volume() units.Volume {
	return 1.1 * (Frustum(d.Cutout, d.Throat, d.Cone) + Frustum(d.Magnet, d.Magnet, d.Height))
}

// Fibre returns the volume of the solid in a damping material, its mass over the
// density of its fibre. The rest of it is air, which the box keeps.
// (Polyester fibre 1380 kg/m³, glass 2500 kg/m³.)
func Fibre(mass units.Mass, fibre units.Density) units.Volume {
	return units.Volume(float64(mass) / float64(fibre))
}

// A Relief is the hole behind a driver in a thick wall, widened inwards at an angle
// so that the rear of the cone is not at the end of a tunnel.
type Relief struct {
	Hole   units.Length // diameter of the cutout
	Wall   units.Length
	Land   units.Length // depth from the front that stays as wide as the hole, for the flange and its screws
	Angle  units.Angle  // of the widening against the axis
	Basket units.Length // diameter of magnet and basket where they leave the wall
}

// Check returns an error unless the sizes are positive, the land lies within the
// wall, the basket within the hole, and the angle is from 0° to 75°.
func (r Relief) Check() error {
	if err := cmp.Or(
		units.Positive("cabinet: relief: hole", r.Hole),
		units.Positive("cabinet: relief: wall", r.Wall),
		units.Within("cabinet: relief: land", r.Land, 0, r.Wall),
		units.Within("cabinet: relief: angle", r.Angle, 0, 75*units.Degree),
		units.NotNegative("cabinet: relief: basket", r.Basket),
	); err != nil {
		return err
	}
	if !(r.Basket < r.Hole) {
		return &units.RangeError{Field: "cabinet: relief: basket", Value: r.Basket.String(), Want: fmt.Sprintf("must be below the hole, %v", r.Hole)}
	}
	return nil
}

// Opening returns the diameter of the hole on the inside of the wall.
func (r Relief) Opening() units.Length {
	return r.Hole + 2*units.Length(float64(r.Wall-r.Land)*math.Tan(float64(r.Angle)))
}

// Passage returns the free area between wall and basket on the inside. As a rule it
// should not be smaller than the area of the cone (common practice, no source).
func (r Relief) Passage() units.Area {
	return disc(r.Opening()) - disc(r.Basket)
}

// Gained returns the air that the hole adds to the box behind the land.
func (r Relief) Gained() units.Volume { return Frustum(r.Hole, r.Opening(), r.Wall-r.Land) }

// Needed returns the relief with the smallest angle whose passage is as large as the
// area of the cone, and an error if not even 75° are enough, or those of Check.
func (r Relief) Needed(cone units.Area) (Relief, error) {
	r.Angle = 0
	if err := cmp.Or(r.Check(), units.Positive("cabinet: relief: cone area", cone)); err != nil {
		return r, err
	}
	opening := 2 * math.Sqrt((float64(cone)+float64(disc(r.Basket)))/math.Pi)
	if widen := opening - float64(r.Hole); widen > 0 {
		r.Angle = units.Angle(math.Atan2(widen/2, float64(r.Wall-r.Land)))
	}
	if !(r.Angle <= 75*units.Degree) {
		return r, &units.RangeError{Field: "cabinet: relief: hole", Value: r.Hole.String(),
			Want: fmt.Sprintf("must be wider, or the wall thicker: the passage of %v would need %v inside", cone, units.Length(opening))}
	}
	return r, nil
}

func disc(d units.Length) units.Area { return units.Area(math.Pi / 4 * float64(d) * float64(d)) }
