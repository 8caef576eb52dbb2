package baffle

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A Panel is the flat front of a closed cabinet with square edges. The walls behind
// it stand at right angles to it.
type Panel struct {
	Edge  outline.Outline // as the listener sees it: x to the right, y upward
	Depth units.Length    // of the cabinet, panel and back included
}

// A Driver is a flat round piston that sits flush in a panel.
type Driver struct {
	At     outline.Point // its centre
	Radius units.Length  // effective, √(Sd/π); zero: small against every wavelength
	Outer  units.Length  // diameter of its frame; zero: twice Radius
}

// frame is the radius of the circle that the driver takes on the panel.
func (d Driver) frame() units.Length { return max(d.Radius, d.Outer/2) }

// Check returns an error unless the outline passes [outline.Outline.Check] and the
// depth is positive.
func (p Panel) Check() error {
	if err := p.Edge.Check(); err != nil {
		return fmt.Errorf("baffle: panel: %w", err)
	}
	return units.Positive("baffle: panel: depth", p.Depth)
}

// Fits returns an error that names the driver, counted from 1, unless every driver
// lies on the panel with all of its frame and none overlaps another. The panel is
// checked too.
func (p Panel) Fits(drivers ...Driver) error {
	if err := p.Check(); err != nil {
		return err
	}
	for i, d := range drivers {
		field := fmt.Sprintf("baffle: driver %d: ", i+1)
		if err := p.fits(field, d); err != nil {
			return err
		}
		for j, other := range drivers[:i] {
			apart, least := distance(d.At, other.At), d.frame()+other.frame()
			if !(apart >= least-touch) {
				return &units.RangeError{Field: field + "distance from driver " + fmt.Sprint(j+1), Value: apart.String(),
					Want: "must be at least " + least.String() + ", or they overlap"}
			}
		}
	}
	return nil
}

// touch is the length by which frames may seem to overlap from rounding.
const touch = 1e-9 * units.Metre

// fits checks one driver against the edge of a panel that passes Check.
func (p Panel) fits(field string, d Driver) error {
	err := cmp.Or(
		units.NotNegative(field+"radius", d.Radius),
		units.NotNegative(field+"outer diameter", d.Outer),
		units.Within(field+"x", d.At.X, -1e6, 1e6),
		units.Within(field+"y", d.At.Y, -1e6, 1e6))
	if err != nil {
		return err
	}
	if !p.Edge.Contains(d.At) {
		return &units.RangeError{Field: field + "place", Value: fmt.Sprintf("(%v, %v)", d.At.X, d.At.Y), Want: "must be on the panel"}
	}
	if room := p.room(d.At); !(d.frame() <= room+touch) || !(room > 0) {
		return &units.RangeError{Field: field + "outer diameter", Value: (2 * d.frame()).String(),
			Want: "must be at most " + (2 * room).String() + " to stay on the panel"}
	}
	return nil
}

// room is how far a point is from the edge.
func (p Panel) room(at outline.Point) units.Length {
	least := units.Length(math.Inf(1))
	for _, s := range p.Edge.Sides() {
		least = min(least, distance(at, s.From), distance(at, s.To))
		x, y := float64(s.To.X-s.From.X), float64(s.To.Y-s.From.Y)
		if s.Radius == 0 {
			u, v := float64(at.X-s.From.X), float64(at.Y-s.From.Y)
			// The foot of the perpendicular lies between the ends.
			if along, square := u*x+v*y, x*x+y*y; along > 0 && along < square {
				least = min(least, units.Length(math.Abs(u*y-v*x)/math.Sqrt(square)))
			}
			continue
		}
		if from := distance(at, s.Centre); sweeps(s, float64(at.X-s.Centre.X), float64(at.Y-s.Centre.Y)) {
			least = min(least, units.Length(math.Abs(float64(from-s.Radius))))
		}
	}
	return least
}

func distance(a, b outline.Point) units.Length {
	return units.Length(math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)))
}

// sweeps says whether the arc s covers the direction (x, y) seen from its centre.
func sweeps(s outline.Side, x, y float64) bool {
	turn := math.Atan2(y, x) - math.Atan2(float64(s.From.Y-s.Centre.Y), float64(s.From.X-s.Centre.X))
	turn = math.Mod(turn*math.Copysign(1, float64(s.Sweep))+4*math.Pi, 2*math.Pi)
	const hair = 1e-12 // so that no ray slips through between two sides
	return turn <= math.Abs(float64(s.Sweep))+hair || turn >= 2*math.Pi-hair
}
