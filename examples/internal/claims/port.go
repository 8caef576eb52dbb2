package claims

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/port"
	"example.com/halfspace/units"
)

type vented struct {
	medium
	Diameter units.Length    `in:"diameter,optional" doc:"round: inside; or area, or width and height"`
	Radius   units.Length    `in:"radius,optional" doc:"instead of diameter"`
	Area     units.Area      `in:"area,optional" doc:"of each, as a round one"`
	Width    units.Length    `in:"width,optional"`
	Height   units.Length    `in:"height,optional"`
	Count    int             `in:"count,optional" doc:"left out: one"`
	Length   units.Length    `in:"length,optional" doc:"mouth to mouth; or frequency"`
	Wall     units.Length    `in:"wall,optional" doc:"thickness of the material"`
	Outer    port.Mouth      `in:"outer,optional" doc:"what it opens into: free, flanged, along a wall, in a corner, across the box, in a duct; left out: free"`
	Inner    port.Mouth      `in:"inner,optional" doc:"likewise"`
	Clear    units.Length    `in:"clear,optional" doc:"across the box: its inside height"`
	ToWall   units.Length    `in:"to wall,optional" doc:"round, along a wall or in a corner: from its centre"`
	Section  units.Area      `in:"section,optional" doc:"in a duct: of the box"`
	Spacing  units.Length    `in:"spacing,optional" doc:"of several, centre to centre"`
	Round    units.Length    `in:"rounding,optional" doc:"radius of both ends"`
	Ends     *float64        `in:"ends,optional" doc:"end correction of both ends together in radii, instead of what follows from the mouths"`
	Volume   units.Volume    `in:"volume,optional" doc:"of the box, net"`
	Tuning   units.Frequency `in:"frequency,optional" doc:"tuning; or length"`
	Depth    units.Length    `in:"depth,optional" doc:"of the box, for the tuning of a long box"`
	Speed    units.Velocity  `in:"speed,optional" doc:"peak, of the air; left out: 0"`
	Flow     flow            `in:"flow,optional" doc:"through all vents together"`
	Mu       units.Viscosity `in:"viscosity,optional" doc:"left out: that of the standard air"`
	N        int             `in:"n,optional" doc:"which resonance of the tube; left out: the first"`
}

// vent returns the vent; of the right length if a tuning is given, else of that given.
func (x vented) vent() (port.Vent, error) {
	v := port.Vent{
		Diameter: x.Diameter, Width: x.Width, Height: x.Height, Count: x.Count, Length: x.Length, Wall: x.Wall, Outer: x.Outer, Inner: x.Inner,
		Clear: x.Clear, ToWall: x.ToWall, Section: x.Section, Spacing: x.Spacing, OuterRound: x.Round, InnerRound: x.Round,
	}
	switch {
	case x.Radius != 0 && x.Diameter == 0 && x.Area == 0:
		v.Diameter = 2 * x.Radius
	case x.Area != 0 && x.Diameter == 0 && x.Radius == 0:
		v.Diameter = units.Length(2 * math.Sqrt(float64(x.Area)/math.Pi))
	case x.Radius != 0 || x.Area != 0:
		return v, errors.New("want one of diameter, radius, area, or width and height")
	}
	if x.N < 0 || x.Count < 0 || x.Count > 1000 {
		return v, errors.New("count must be from 1 to 1000, n positive")
	}
	for _, err := range []error{units.NotNegative("speed", x.Speed), units.NotNegative("viscosity", x.Mu), units.NotNegative("depth", x.Depth)} {
		if err != nil {
			return v, err
		}
	}
	if x.Tuning != 0 {
		if x.Length != 0 {
			return v, errors.New("want either length or frequency")
		}
		if err := units.Positive("volume", x.Volume); err != nil {
			return v, err
		}
		v.Length = 0
		tuned, err := v.Tuned(x.Volume, x.Tuning, x.air)
		if err != nil && x.Ends == nil {
			return v, err
		}
		if x.Ends != nil { // the effective length is what the tuning says
			if v.Diameter == 0 {
				return v, errors.New("ends belong to a round vent")
			}
			w := port.Vent{Diameter: v.Diameter, Count: v.Count}
			if tuned, err = w.Tuned(x.Volume, x.Tuning, x.air); err != nil {
				return v, err
			}
		}
		return tuned, nil
	}
	if err := units.Positive("length", x.Length); err != nil {
		return v, err
	}
	if x.Ends != nil {
		if v.Diameter == 0 {
			return v, errors.New("ends belong to a round vent")
		}
		if err := v.Check(); err != nil {
			return v, err
		}
		v.Length += units.Length(*x.Ends)*v.Diameter/2 - (v.EffectiveLength() - v.Length)
	}
	return v, v.Check()
}

// length is that of the vent itself.
func (x vented) length() (units.Length, error) {
	v, err := x.vent()
	if x.Ends != nil {
		return v.EffectiveLength() - units.Length(*x.Ends)*v.Diameter/2, err
	}
	return v.Length, err
}

func (x vented) nth() int {
	if x.N == 0 {
		return 1
	}
	return x.N
}

func built[Q number](name, doc string, f func(x vented, v port.Vent) (Q, error)) Output {
	return value(name, doc, func(x vented) (Q, error) {
		v, err := x.vent()
		if err != nil {
			return 0, err
		}
		return f(x, v)
	})
}

func inBox[Q number](name, doc string, f func(x vented, v port.Vent) (Q, error)) Output {
	return built(name, doc, func(x vented, v port.Vent) (Q, error) {
		if err := units.Positive("volume", x.Volume); err != nil {
			return 0, err
		}
		return f(x, v)
	})
}

func at[Q number](name, doc string, f func(x vented, v port.Vent, f units.Frequency) (Q, error)) Output {
	return along(name, doc, func(x vented, hz units.Frequency) (Q, error) {
		v, err := x.vent()
		if err != nil {
			return 0, err
		}
		return f(x, v, hz)
	})
}

type ventEnd struct {
	Mouth  port.Mouth `in:"mouth"`
	Outer  float64    `in:"outer,optional" doc:"round: outer over inner radius; left out: a thin tube"`
	Aspect float64    `in:"aspect,optional" doc:"rectangle: one side over the other"`
	Share  float64    `in:"share,optional" doc:"in a duct: radius over that of the duct; across the box: height over that of the box"`
	Ka     float64    `in:"ka,optional" doc:"wave number times radius, for the open end"`
}

type rules struct {
	Tuning       units.Frequency `in:"tuning"`
	Displacement units.Volume    `in:"displacement" doc:"peak, Sd xmax"`
}

var vents = []Capability{
	define[vented]("vent", "A vent: its length or tuning, and what the air does in it.",
		built("length", "that tunes the box, mouth to mouth", func(x vented, _ port.Vent) (units.Length, error) { return x.length() }),
		inBox("tuning", "air in the vent as a mass on the air in the box", func(x vented, v port.Vent) (units.Frequency, error) { return v.Tuning(x.Volume, x.air), nil }),
		inBox("line tuning", "the vent as a transmission line", func(x vented, v port.Vent) (units.Frequency, error) { return v.LineTuning(x.Volume, x.air), nil }),
		inBox("long box tuning", "vent and box as transmission lines", func(x vented, v port.Vent) (units.Frequency, error) {
			return v.LongBoxTuning(x.Volume, x.Depth, x.air), nil
		}),
		built("effective length", "with both ends", func(_ vented, v port.Vent) (units.Length, error) { return v.EffectiveLength(), nil }),
		built("open area", "of all together", func(_ vented, v port.Vent) (units.Area, error) { return v.Area(), nil }),
		built("resonance", "of the tube itself", func(x vented, v port.Vent) (units.Frequency, error) { return v.PipeResonance(x.nth(), x.air), nil }),
		built("Q of the resonance", "", func(x vented, v port.Vent) (float64, error) {
			if x.nth() > 100 {
				return 0, errors.New("n must be 100 at most")
			}
			list, err := v.Resonances(v.PipeResonance(x.nth(), x.air)*1.001, x.air, x.Mu)
			if err == nil && len(list) < x.nth() {
				err = fmt.Errorf("there are %d resonances of a tube", len(list))
			}
			if err != nil {
				return 0, err
			}
			return list[x.nth()-1].Q, nil
		}),
		built("air speed", "of the flow given, RMS or peak as that is", func(x vented, v port.Vent) (units.Velocity, error) { return v.Velocity(float64(x.Flow)), nil }),
		built("Reynolds number", "at the speed given", func(x vented, v port.Vent) (float64, error) { return v.Reynolds(x.Speed, x.air, x.Mu), nil }),
		at("viscous Q", "of friction at the walls", func(x vented, v port.Vent, f units.Frequency) (float64, error) {
			q, _ := v.BoundaryLayer(f, x.air, x.Mu)
			return q, nil
		}),
		at("viscous mass", "by what friction makes the air heavier", func(x vented, v port.Vent, f units.Frequency) (float64, error) {
			_, m := v.BoundaryLayer(f, x.air, x.Mu)
			return m, nil
		}),
		at("jet Q", "of what blows off at the speed given", func(x vented, v port.Vent, f units.Frequency) (float64, error) {
			l, err := v.Losses(f, x.Speed, x.air, x.Mu)
			return l.Jet, err
		}),
		at("radiation Q", "", func(x vented, v port.Vent, f units.Frequency) (float64, error) {
			l, err := v.Losses(f, x.Speed, x.air, x.Mu)
			return l.Radiation, err
		}),
		at("QP", "of all losses", func(x vented, v port.Vent, f units.Frequency) (float64, error) {
			l, err := v.Losses(f, x.Speed, x.air, x.Mu)
			if err != nil {
				return 0, err
			}
			return l.Total(), nil
		}),
		at("attenuation", "of a wave along the vent", func(x vented, v port.Vent, f units.Frequency) (nepers, error) {
			return nepers(v.Attenuation(f, x.air, x.Mu)), nil
		}),
	),
	define[ventEnd]("vent end", "What one end of a vent adds to its length, in radii of a round vent of the area.",
		value("correction", "", func(x ventEnd) (float64, error) {
			v := port.Vent{Diameter: 2, Length: 1, Outer: x.Mouth}
			switch {
			case x.Aspect != 0:
				v = port.Vent{Width: units.Length(x.Aspect), Height: 1, Length: 1, Outer: x.Mouth}
			case x.Mouth == port.AcrossBox:
				return 0, errors.New("the end of a slot across the box is a matter of across the box, in heights")
			case x.Mouth == port.InDuct:
				if err := units.Positive("share", x.Share); err != nil {
					return 0, err
				}
				v.Section = units.Area(math.Pi / (x.Share * x.Share))
			}
			if x.Outer != 0 {
				v.Wall = units.Length(x.Outer - 1)
			}
			if err := v.Check(); err != nil {
				return 0, err
			}
			return float64(v.EndCorrection(x.Mouth)) / math.Sqrt(float64(v.Area())/math.Pi), nil
		}),
		value("slot across the box", "in heights of the slot", func(x ventEnd) (float64, error) {
			if err := units.Within("share", x.Share, 1e-6, 1); err != nil {
				return 0, err
			}
			v := port.Vent{Width: 0.3, Height: 0.02, Length: 1, Outer: port.AcrossBox, Clear: units.Length(0.02 / x.Share)}
			if err := v.Check(); err != nil {
				return 0, err
			}
			return float64(v.EndCorrection(port.AcrossBox) / v.Height), nil
		}),
		value("open end", "at ka", func(x ventEnd) (float64, error) {
			c, _ := x.Mouth.OpenEnd(x.Ka)
			return c, units.NotNegative("ka", x.Ka)
		}),
		value("reflection", "of an open end at ka, of the pressure", func(x ventEnd) (float64, error) {
			_, r := x.Mouth.OpenEnd(x.Ka)
			return r, units.NotNegative("ka", x.Ka)
		}),
	),
	define[rules]("vent rules", "Rules of handbooks for the area of a vent.",
		value("minimum area", "0.8 fB VD in SI", func(x rules) (units.Area, error) {
			if err := x.check(); err != nil {
				return 0, err
			}
			return port.MinimumArea(x.Tuning, x.Displacement), nil
		}),
		value("minimum diameter", "of a round vent of that area", func(x rules) (units.Length, error) {
			if err := x.check(); err != nil {
				return 0, err
			}
			return diameterOf(port.MinimumArea(x.Tuning, x.Displacement)), nil
		}),
		value("generous diameter", "20.3 (VD²/fB)^(1/4) in SI", func(x rules) (units.Length, error) {
			if err := x.check(); err != nil {
				return 0, err
			}
			return diameterOf(port.GenerousArea(x.Tuning, x.Displacement)), nil
		}),
	),
	define[neighbour]("vent neighbour", "What a second mouth at a distance in radii adds to the end of the first, in radii.",
		value("correction", "", func(x neighbour) (float64, error) {
			if err := units.Within("distance", x.Distance, 2, 1e6); err != nil {
				return 0, err
			}
			return port.MutualEnd(x.Distance), nil
		}),
	),
	define[bent]("vent bend", "What a bend counts for in the length of a vent.",
		value("length", "", func(x bent) (units.Length, error) { return port.BendLength(x.Diameter, x.Radius, x.Angle) }),
		value("mitred corner", "square corner of a slot, of the width diameter", func(x bent) (units.Length, error) {
			if err := units.Positive("diameter", x.Diameter); err != nil {
				return 0, err
			}
			return port.MitreLength(x.Diameter), nil
		}),
	),
	define[limitOf]("vent limits", "Limits that are in use for the speed of the air in a vent.",
		each("peak speed", "", "limit", func(x limitOf, of string) (units.Velocity, error) {
			a := x.air
			list, err := port.Vent{Diameter: 0.1, Length: 0.1}.Criteria(x.F, a, x.Mu)
			if err != nil {
				return 0, err
			}
			var names []string
			for _, c := range list {
				names = append(names, c.Name)
				if c.Name == of {
					return c.Peak(), nil
				}
			}
			return 0, errors.New(unknown("limit", of, names))
		}),
	),
}

type neighbour struct {
	Distance float64 `in:"distance"`
}

type bent struct {
	Diameter units.Length `in:"diameter"`
	Radius   units.Length `in:"radius,optional" doc:"of the centre line"`
	Angle    units.Angle  `in:"angle,optional"`
}

type limitOf struct {
	medium
	F  units.Frequency `in:"f"`
	Mu units.Viscosity `in:"viscosity,optional"`
}

func (x rules) check() error {
	return cmp.Or(units.Positive("tuning", x.Tuning), units.Positive("displacement", x.Displacement))
}

func diameterOf(s units.Area) units.Length { return units.Length(2 * math.Sqrt(float64(s)/math.Pi)) }
