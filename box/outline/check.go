package outline

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r2"
)

// Check returns an error unless o is a closed line that neither touches nor crosses
// itself and encloses an area: at least three corners (two with an arc), all finite
// and no two neighbours in one place, each rounding between straight sides and small
// enough for them, no corner that folds back on itself. Lengths below a thousand
// millionth of the outline's size count as nothing. The error is a *[units.RangeError].
func (o Outline) Check() error {
	if len(o) < 2 || len(o) == 2 && o[0].Rise == 0 && o[1].Rise == 0 {
		return refuse("corners", fmt.Sprint(len(o)), "must be at least 3, or 2 with an arc between them")
	}
	if err := o.checkNumbers(); err != nil {
		return err
	}
	slack := o.slack()
	whole := o.whole()
	for i, s := range whole {
		next := (i + 1) % len(o)
		if !(r2.Norm(r2.Sub(s.To.vec(), s.From.vec())) > slack) {
			return refuse(corner(next), place(o[next]), fmt.Sprintf("must differ from corner %d", i+1))
		}
	}
	for i, s := range whole {
		before := whole[(i+len(o)-1)%len(o)]
		if math.Abs(turn(before.direction(1), s.direction(0))) > math.Pi-1e-6 {
			return refuse(corner(i), place(o[i]), "must not fold back on the side before")
		}
		if o[i].Round != 0 && (before.Radius != 0 || s.Radius != 0) {
			return refuse(corner(i)+": rounding radius", o[i].Round.String(), "must be zero beside an arc")
		}
	}
	if err := o.checkRoom(whole, slack); err != nil {
		return err
	}
	if err := o.checkCrossings(slack); err != nil {
		return err
	}
	if a, _ := o.moments(); !(a*o.sense() > slack*slack) {
		return refuse("area", units.Area(a*o.sense()).String(), "must be positive: the arcs turn the outline inside out")
	}
	return nil
}

func (o Outline) checkNumbers() error {
	const huge = 1e6 // metres; far beyond, squares of lengths lose their meaning
	for i, c := range o {
		for _, v := range []struct {
			name   string
			length units.Length
		}{{"x", c.X}, {"y", c.Y}, {"rise", c.Rise}} {
			if err := units.Within("outline: "+corner(i)+": "+v.name, v.length, -huge, huge); err != nil {
				return err
			}
		}
		if err := units.Within("outline: "+corner(i)+": rounding radius", c.Round, 0, huge); err != nil {
			return err
		}
	}
	return nil
}

// checkRoom refuses roundings that overlap on a side.
func (o Outline) checkRoom(whole []Side, slack float64) error {
	reach := make([]float64, len(o))
	for i := range o {
		if o[i].Round != 0 {
			f := o.fillet(whole, i)
			reach[i] = r2.Norm(r2.Sub(f.From.vec(), o[i].vec()))
		}
	}
	for i, s := range whole {
		next := (i + 1) % len(o)
		if room := float64(s.Length()); !(reach[i]+reach[next] <= room+slack) {
			return refuse(fmt.Sprintf("side %d", i+1), s.Length().String(),
				fmt.Sprintf("must be at least %v to take the rounded corners at its ends", units.Length(reach[i]+reach[next])))
		}
	}
	return nil
}

func (o Outline) checkCrossings(slack float64) error {
	sides := o.Sides()
	names := o.sideNames()
	// A side without length would seem to touch the one after the next.
	kept := 0
	for i, s := range sides {
		if float64(s.Length()) > 2*slack {
			sides[kept], names[kept] = s, names[i]
			kept++
		}
	}
	sides = sides[:kept]
	for j := range sides {
		for i := range j {
			for _, p := range common(sides[i], sides[j], slack) {
				// Neighbours meet where one ends and the other begins.
				joint := j == i+1 && near(p, sides[j].From, slack) || i == 0 && j == kept-1 && near(p, sides[i].From, slack)
				if !joint {
					return refuse(names[j], place(Corner{X: units.Length(p.X), Y: units.Length(p.Y)}), "must not touch or cross "+names[i])
				}
			}
		}
	}
	return nil
}

// sideNames names what Sides returns.
func (o Outline) sideNames() []string {
	var names []string
	for i, c := range o {
		if c.Round != 0 {
			names = append(names, "the rounding of "+corner(i))
		}
		names = append(names, fmt.Sprintf("side %d", i+1))
	}
	return names
}

// near allows for the digits that a crossing at a flat angle loses.
func near(p r2.Vec, q Point, slack float64) bool { return r2.Norm(r2.Sub(p, q.vec())) <= 100*slack }

// slack is the length that counts as nothing.
func (o Outline) slack() float64 {
	var size float64
	for _, c := range o {
		d := r2.Sub(c.vec(), o[0].vec())
		// An arc may be far larger than its chord.
		size = max(size, math.Abs(d.X), math.Abs(d.Y), math.Abs(float64(c.Rise)))
	}
	return 1e-9 * size
}

func corner(i int) string { return fmt.Sprintf("corner %d", i+1) }

func place(c Corner) string { return fmt.Sprintf("(%v, %v)", c.X, c.Y) }

func refuse(field, value, want string) error {
	return &units.RangeError{Field: "outline: " + field, Value: value, Want: want}
}
