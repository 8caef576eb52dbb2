package main

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/units"
)

const mm = units.Millimetre

// A fit is something in the front with what is free around it.
type fit struct {
	cabinet.Mounted
	cabinet.Clearance
	chords []cabinet.Chord
	joint  units.Length // from the edge of the hole to the nearest joint of layers
}

// wood is all there is to say about the wood of a design.
type wood struct {
	*design.Design
	plan    cabinet.Plan
	fits    []fit
	placed  bool // the vent was given no place and has one now
	savings []cabinet.Saving
	spares  int // of each ring piece for nothing
	balance *cabinet.Balance
	modes   []cabinet.Mode // nil: the inside is no rectangle
	relief  *cabinet.Relief
	reason  error // why there is no relief
}

// look works out what the design leaves open.
func look(d *design.Design) (*wood, error) {
	c, p := d.Cabinet, d.Project
	w := &wood{Design: d, plan: c.Plan}
	side, err := front(c.Stack)
	if err != nil {
		return nil, err
	}
	place := func(m cabinet.Mounted, x, y units.Length) (fit, error) {
		m.Side, m.Across, m.Along = side.number, x, y-side.foot
		if side.down {
			m.Along = side.length - m.Along
		}
		f := fit{Mounted: m}
		var err error
		if f.Clearance, err = c.Stack.Clearance(m); err != nil {
			return f, err
		}
		f.chords, f.joint, err = c.Stack.Holes(m)
		return f, err
	}
	woofer := cabinet.Mounted{Name: "woofer", Flange: p.Woofer.Outer, Hole: p.Woofer.Cutout, Body: p.Woofer.Body, Depth: p.Woofer.Depth}
	tweeter := cabinet.Mounted{Name: "tweeter", Flange: p.Tweeter.Outer, Hole: p.Tweeter.Cutout, Body: p.Tweeter.Body, Depth: p.Tweeter.Depth}
	for _, x := range []struct {
		m    cabinet.Mounted
		x, y units.Length
	}{{woofer, p.Woofer.X, p.Woofer.Y}, {tweeter, p.Tweeter.X, p.Tweeter.Y}} {
		f, err := place(x.m, x.x, x.y)
		if err != nil {
			return nil, err
		}
		w.fits = append(w.fits, f)
	}
	if v := d.Bass.Vent; p.Box.Tuning > 0 && v.Diameter > 0 {
		m := cabinet.Mounted{Name: "vent", Hole: v.Diameter + 2*v.Wall, Depth: v.Length, Room: p.Vent.Room}
		if p.Vent.InWall == 0 {
			m.Depth += p.Cabinet.Wall // all of it stands inside
		}
		var f fit
		var err error
		if p.Vent.X > 0 || p.Vent.Y > 0 {
			f, err = place(m, p.Vent.X, p.Vent.Y)
		} else {
			w.placed = true
			f, err = w.findPlace(m, place)
		}
		if err != nil {
			return nil, err
		}
		w.fits = append(w.fits, f)
	}
	if w.savings, err = c.Job.Savings(); err != nil {
		return nil, err
	}
	if w.spares, err = c.Job.FreeSpares(); err != nil {
		return nil, err
	}
	if p.Sheet.Density > 0 {
		var loads []cabinet.Load
		for i, x := range []units.Mass{p.Woofer.Mass, p.Tweeter.Mass} {
			if x > 0 {
				loads = append(loads, cabinet.Load{Name: w.fits[i].Name, Mass: x, At: w.centre(w.fits[i])})
			}
		}
		b, err := c.Stack.Balance(loads...)
		if err != nil {
			return nil, err
		}
		w.balance = &b
	}
	inside, err := c.Stack.Inside()
	if err != nil {
		return nil, err
	}
	lo, hi := inside.Bounds()
	if a := float64(hi.X-lo.X) * float64(hi.Y-lo.Y); math.Abs(float64(inside.Area())/a-1) < 0.02 {
		if w.modes, err = cabinet.Modes([3]units.Length{hi.X - lo.X, hi.Y - lo.Y, c.Stack.InsideWidth()}, units.Velocity(d.Air.SpeedOfSound), 1000); err != nil {
			return nil, err
		}
	}
	if p.Woofer.Body > 0 {
		r := cabinet.Relief{Hole: p.Woofer.Cutout, Wall: p.Cabinet.Wall, Land: min(p.Cabinet.Wall/2, 12*mm), Basket: p.Woofer.Body}
		if r, w.reason = r.Needed(p.Woofer.Sheet.Sd); w.reason == nil {
			w.relief = &r
		}
	}
	return w, nil
}

// centre is where a driver pulls: half its depth behind the front.
func (w *wood) centre(f fit) r3.Vec {
	sides := w.Cabinet.Stack.Profile
	a, b := sides[f.Side-1], sides[f.Side%len(sides)]
	n := math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))
	t := float64(f.Along) / n
	return r3.Vec{
		X: float64(a.X) + t*float64(b.X-a.X) - float64(f.Depth)/2,
		Y: float64(a.Y) + t*float64(b.Y-a.Y), Z: float64(f.Across),
	}
}

// A panel is the side of the profile that the drivers are in.
type panel struct {
	number       int
	foot, length units.Length // height of its lower end, its length
	down         bool         // it runs downwards
}

// front returns the straight side of the profile farthest to the right.
func front(s cabinet.Stack) (panel, error) {
	lo, _ := s.Profile.Bounds()
	best, found := units.Length(math.Inf(-1)), panel{}
	for i, a := range s.Profile {
		b := s.Profile[(i+1)%len(s.Profile)]
		if x := (a.X + b.X) / 2; a.Rise == 0 && x > best && math.Abs(float64(b.Y-a.Y)) > math.Abs(float64(b.X-a.X)) {
			best = x
			found = panel{i + 1, min(a.Y, b.Y) - lo.Y, units.Length(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))), b.Y < a.Y}
		}
	}
	if found.number == 0 {
		return found, &units.RangeError{Field: "cabinet.profile", Value: fmt.Sprintf("%d corners", len(s.Profile)), Want: "must have a straight, upright side to put the drivers in"}
	}
	return found, nil
}

// findPlace looks for the lowest place near the middle of the panel, in steps of 5 mm,
// where the vent clears walls and drivers by its radius, or else at least clears them,
// and its edge keeps 3 mm from the joints between layers, if it can.
func (w *wood) findPlace(m cabinet.Mounted, place func(cabinet.Mounted, units.Length, units.Length) (fit, error)) (fit, error) {
	var first error
	middle := units.Length(math.Round(float64(w.Cabinet.Width) * 500))
	for _, keep := range []struct{ clear, joint units.Length }{{m.Hole / 2, 3 * mm}, {5 * mm, 3 * mm}, {5 * mm, 0}} {
		for y := units.Length(5); y*mm < w.Cabinet.Height; y += 5 {
			for _, aside := range []units.Length{0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5} {
				f, err := place(m, (middle+aside)/1000, y/1000)
				if err != nil {
					if first == nil || f.Edge >= 0 && f.Around >= 0 {
						first = err // the one that says most
					}
					continue
				}
				clear := min(f.Around, f.Edge)
				for _, o := range w.fits {
					apart := math.Hypot(float64(f.Across-o.Across), float64(f.Along-o.Along))
					clear = min(clear, units.Length(apart)-m.Hole/2-max(o.Flange, o.Hole)/2)
				}
				if clear >= keep.clear && f.joint >= keep.joint {
					return f, nil
				}
			}
		}
	}
	return fit{}, cmp.Or(first, error(&units.RangeError{Field: "vent", Value: m.Hole.String() + " wide outside", Want: "must find a place on the panel beside the drivers; take a narrower one or say where with vent.x and vent.y"}))
}
