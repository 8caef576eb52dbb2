package port

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Alternative is one way to build a vent for a tuning, and what it costs.
type Alternative struct {
	Name         string          // "straight", "bent", "narrower", "twice as many", "slot" or "flared"
	Vent         Vent            // its Length, where it is bent, that of the straight vent of the same mass
	Legs         [2]units.Length // bent: the straight pieces before and after the bend, inside the bend for a slot; else zero
	Spare        units.Length    // room beyond what is wanted behind the inner end; negative: what is missing
	Velocity     units.Velocity  // of the air at the flow asked for, RMS or peak as that is
	Displacement units.Volume    // what it takes from the box
	Tuning       units.Frequency // as a line, see [Vent.LineTuning]
	Resonance    units.Frequency // first of the tube itself
	Price        string          // what gets worse against the straight vent, in words; empty if nothing does
}

// Fits says whether it goes into the space.
func (x Alternative) Fits() bool { return x.Spare >= 0 }

// Alternatives returns ways to tune a box of net volume vb to fb in the space given: v itself,
// and what one does if that is too long. The Length of v is not looked at. Flow is
// the volume velocity in m³/s that the vents have to pass together, RMS or peak, for the air speed.
//
//	straight       v, as long as it takes
//	bent           one bend of 90° up the height: a round vent about a centre line of
//	               one diameter, a slot by a square corner in its short side; for a
//	               single vent with sharp ends. The first leg takes what depth there is.
//	narrower       the same shape, the widest that fits in tenths of a millimetre:
//	               shorter, faster air
//	twice as many  twice the number, well apart, of the widest size that fits, but no
//	               more area than v; not for a slot across the box
//	slot           of the same area along a wall, as wide as the box, its material as thick as the panel
//	flared         round, both ends widened by half the radius, the widest that fits
//	               but no more area than v
//
// Those that fit come first, then those with slower air, then those that take
// less volume. All keep vb, the net volume: the box must grow by what an
// alternative takes more. An alternative that cannot exist (a flared slot, a width
// that cannot be tuned) is left out. It is an error unless everything given is sound and v can
// be tuned to fb at all and goes into the box across. Zero air is standard air.
func (v Vent) Alternatives(vb units.Volume, fb units.Frequency, flow float64, s Space, a air.Air) ([]Alternative, error) {
	if err := cmp.Or(s.Check(), units.NotNegative("port: flow", flow)); err != nil {
		return nil, err
	}
	straight, err := v.Tuned(vb, fb, a)
	if err != nil {
		return nil, err
	}
	if err := s.Holds(straight); err != nil {
		return nil, err
	}
	list := []Alternative{{Name: "straight", Vent: straight, Spare: s.Spare(straight)}}
	if x, ok := s.bend(straight); ok {
		list = append(list, x)
	}
	add := func(name string, w Vent, err error) {
		if err == nil && w.Length >= s.Panel && s.Holds(w) == nil {
			list = append(list, Alternative{Name: name, Vent: w, Spare: s.Spare(w)})
		}
	}
	if list[0].Spare < 0 {
		w, err := s.widest(v, vb, fb, a)
		add("narrower", w, err)
	}
	if !v.acrossBox() { // which has no room for another
		twice := v.scaled(math.Sqrt2 / 2)
		twice.Count, twice.Spacing = 2*max(v.Count, 1), 0
		w, err := s.widest(twice, vb, fb, a)
		add("twice as many", w, err)
		w, err = s.slot(v).Tuned(vb, fb, a)
		add("slot", w, err)
	}
	if v.round() && v.Outer <= Flanged && v.Inner <= Flanged && v.OuterRound == 0 && v.InnerRound == 0 {
		f := v
		f.OuterRound, f.InnerRound = v.Diameter/4, v.Diameter/4
		w, err := s.widest(f, vb, fb, a)
		add("flared", w, err)
	}
	for i := range list {
		x := &list[i]
		x.Velocity = x.Vent.Velocity(flow)
		if x.Legs == [2]units.Length{} {
			x.Displacement = x.Vent.Displacement(max(0, x.Vent.Length-s.Panel))
		}
		x.Tuning = x.Vent.LineTuning(vb, a)
		x.Resonance = x.Vent.PipeResonance(1, a)
		x.Price = x.price(list[0])
	}
	rank := func(x Alternative) [3]float64 {
		misfit := 0.
		if !x.Fits() {
			misfit = 1
		}
		// Equal sections may differ in their last bit.
		return [3]float64{misfit, sixDigits(float64(x.Velocity)), sixDigits(float64(x.Displacement))}
	}
	slices.SortStableFunc(list, func(x, y Alternative) int {
		p, q := rank(x), rank(y)
		return slices.Compare(p[:], q[:])
	})
	return list, nil
}

func sixDigits(x float64) float64 {
	if x == 0 {
		return 0
	}
	unit := math.Pow10(5 - int(math.Floor(math.Log10(x))))
	return math.Round(x*unit) / unit
}

// price says what is worse than in the wanted vent, by more than 1 %.
func (x Alternative) price(wanted Alternative) string {
	var worse []string
	say := func(format string, args ...any) { worse = append(worse, fmt.Sprintf(format, args...)) }
	if !x.Fits() {
		say("%v too long", -x.Spare)
	}
	if r := wanted.Vent.Area() / x.Vent.Area(); r > 1.01 {
		say("air %.2f times as fast", float64(r))
	}
	if more := x.Displacement - wanted.Displacement; more > wanted.Displacement/100 {
		say("takes %v more", more)
	}
	if r := wanted.Resonance / x.Resonance; r > 1.01 {
		say("first pipe resonance %.2f times as high", float64(1/r))
	}
	if x.Legs != [2]units.Length{} {
		say("a bend, which blows sooner")
	}
	return strings.Join(worse, "; ")
}

// bend lays a vent round one corner: along the depth, then up the height.
func (s Space) bend(v Vent) (Alternative, bool) {
	known := v.Inner <= Flanged || !v.round() && (v.Inner == AlongWall || v.Inner == InCorner)
	if v.Count > 1 || v.OuterRound != 0 || v.InnerRound != 0 || !known {
		return Alternative{}, false
	}
	// turn is what the bend counts for in the length; it reaches as far along
	// each leg as near says to the inside of the bend, and far to the outside.
	side := min(v.Width, v.Height)
	turn, near, far := MitreLength(side), units.Length(0), side+v.Wall
	lower := v.Wall // material below the first leg
	if v.round() {
		d := v.Diameter
		turn, _ = BendLength(d, d, math.Pi/2*units.Radian)
		near, far = d, d+d/2+v.Wall
		lower += d / 2
	}
	legs := v.Length - turn
	first := min(s.Depth+s.Panel-far, legs)
	second := legs - first
	if !(first >= s.Panel && second >= 0) {
		return Alternative{}, false
	}
	x := Alternative{Name: "bent", Vent: v, Legs: [2]units.Length{first, second}}
	up := near + second // of the inner mouth above the axis, or above the slot's lower side
	if !v.round() {
		up = side + second
	}
	x.Spare = s.Height - lower - up - s.behind(v)
	inside := first - s.Panel + second + side
	if v.round() {
		inside += v.Diameter * math.Pi / 2 // along the centre line
	}
	x.Displacement = v.Displacement(inside)
	return x, true
}

func (v Vent) acrossBox() bool { return v.Outer == AcrossBox || v.Inner == AcrossBox }

// scaled returns the vent with its section scaled. What lies across the box stays so.
func (v Vent) scaled(by float64) Vent {
	k := units.Length(by)
	if v.acrossBox() {
		v.Height *= k
		return v
	}
	for _, l := range []*units.Length{&v.Diameter, &v.Width, &v.Height, &v.OuterRound, &v.InnerRound} {
		*l *= k
	}
	return v
}

// widest returns the vent with its section scaled down, if need be, until it fits, to
// whole tenths of a millimetre.
func (s Space) widest(v Vent, vb units.Volume, fb units.Frequency, a air.Air) (Vent, error) {
	// Narrower is shorter, and the wider vent wants more room: bisect on what is spare,
	// where a vent that would need no length at all has plenty.
	spare := func(scale float64) units.Length {
		w, err := v.scaled(scale).Tuned(vb, fb, a)
		if err != nil {
			return s.Depth
		}
		return s.Spare(w)
	}
	lo, hi := 0., 1.
	if spare(1) >= 0 {
		return v.Tuned(vb, fb, a)
	}
	for range 60 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if spare(mid) >= 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	v = v.scaled(lo)
	// Nobody cuts finer than this.
	tenth := func(l units.Length) units.Length { return units.Length(math.Floor(float64(l)*1e4) / 1e4) }
	v.Diameter, v.Height = tenth(v.Diameter), tenth(v.Height)
	if !v.acrossBox() {
		v.Width = tenth(v.Width)
	}
	return v.Tuned(vb, fb, a)
}

// slot is one of the same area, along a wall over the width of the box.
func (s Space) slot(v Vent) Vent {
	return Vent{
		Width:  s.Width,
		Height: units.Length(float64(v.Area()) / float64(s.Width)),
		Wall:   s.Panel, Outer: Flanged, Inner: AcrossBox, Clear: s.Height,
	}
}
