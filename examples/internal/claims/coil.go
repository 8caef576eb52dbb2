package claims

import (
	"cmp"
	"fmt"

	"example.com/halfspace/filter/coil"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

type wire struct {
	Diameter units.Length      `in:"d,optional" doc:"of the bare copper; or gauge"`
	Gauge    *int              `in:"gauge,optional" doc:"American Wire Gauge, 0 to 40"`
	T        units.Temperature `in:"t,optional" doc:"left out: 20 °C"`
}

func (x wire) at() units.Temperature {
	if x.T == 0 {
		return units.Celsius(20)
	}
	return x.T
}

func (x wire) wire() (coil.Wire, error) {
	d := x.Diameter
	if x.Gauge != nil {
		var err error
		if d, err = coil.AWG(*x.Gauge); err != nil {
			return coil.Wire{}, err
		}
	}
	w := coil.Wire{Diameter: d}
	return w, w.Check()
}

// The section of a winding that stands.
type winding struct {
	Inner  units.Length `in:"inner" doc:"radius"`
	Outer  units.Length `in:"outer" doc:"radius"`
	Length units.Length `in:"length"`
	Turns  float64      `in:"turns,optional" doc:"left out: 1"`
}

func (x winding) turns() float64 {
	if x.Turns == 0 {
		return 1
	}
	return x.Turns
}

func (x winding) section() coil.Section {
	return coil.Section{Inner: x.Inner, Length: x.Length, Depth: x.Outer - x.Inner}
}

type layer struct {
	Radius units.Length `in:"radius" doc:"to the middle of the wire"`
	Length units.Length `in:"length"`
	Turns  float64      `in:"turns,optional" doc:"left out: 1"`
}

func (x layer) turns() float64 { return winding{Turns: x.Turns}.turns() }

type designed struct {
	L     units.Inductance  `in:"L"`
	D     units.Length      `in:"d" doc:"of the bare copper"`
	Pitch units.Length      `in:"pitch,optional" doc:"left out: 1.1 d"`
	Whole bool              `in:"whole turns,optional" doc:"as one can wind it; left out: the ideal proportions"`
	T     units.Temperature `in:"t,optional" doc:"left out: 20 °C"`
}

func (x designed) coil() (coil.Coil, error) {
	w := coil.Wire{Diameter: x.D, Pitch: x.Pitch}
	if x.Whole {
		return coil.Design(x.L, w)
	}
	return coil.Brooks(x.L, w)
}

func wound[Q number](name, doc string, f func(x designed, c coil.Coil) Q) Output {
	return value(name, doc, func(x designed) (Q, error) {
		c, err := x.coil()
		if err != nil {
			return 0, err
		}
		return f(x, c), nil
	})
}

type ratioX struct {
	X float64 `in:"x" doc:"diameter over length"`
}

var coils = []Capability{
	define[wire]("wire", "A round copper wire.",
		value("diameter", "", func(x wire) (units.Length, error) {
			w, err := x.wire()
			return w.Diameter, err
		}),
		value("resistance", "of a metre, for direct current", func(x wire) (perMetre, error) {
			w, err := x.wire()
			if err := cmp.Or(err, units.Within("t", x.at(), 50, 1300)); err != nil {
				return 0, err
			}
			return perMetre(w.ResistancePerMetre(x.at())), nil
		}),
		plain("resistance over that at 20 °C", "", func(x wire) float64 {
			return coil.CopperResistivity(x.at()) / coil.CopperResistivity(units.Celsius(20))
		}),
		along("skin depth", "", func(x wire, f units.Frequency) (units.Length, error) { return coil.SkinDepth(f, x.at()) }),
		along("skin effect", "resistance of the wire alone over that for direct current", func(x wire, f units.Frequency) (float64, error) {
			w, err := x.wire()
			if err != nil {
				return 0, err
			}
			return w.SkinEffect(f, x.at())
		}),
	),
	define[winding]("winding", "A coil whose rectangular section carries its current evenly.",
		value("inductance", "", func(x winding) (units.Inductance, error) { return x.section().Inductance(x.turns()) }),
		value("Wheeler inductance", "by the short formula", func(x winding) (units.Inductance, error) { return x.section().Wheeler(x.turns()) }),
	),
	define[layer]("single layer", "A coil of one thin layer.",
		value("inductance", "as a current sheet", func(x layer) (units.Inductance, error) {
			return coil.Solenoid{Radius: x.Radius, Length: x.Length}.Inductance(x.turns())
		}),
		value("Wheeler inductance", "by the short formula", func(x layer) (units.Inductance, error) {
			return coil.Solenoid{Radius: x.Radius, Length: x.Length}.Wheeler(x.turns())
		}),
	),
	define[ratioX]("Nagaoka factor", "By what a current sheet of finite length falls short of a long one.",
		value("factor", "", func(x ratioX) (float64, error) {
			if err := units.NotNegative("x", x.X); err != nil {
				return 0, err
			}
			return coil.Nagaoka(x.X), nil
		}),
	),
	define[designed]("coil design", "The coil of least wire for an inductance.",
		wound("side", "of the section", func(_ designed, c coil.Coil) units.Length { return c.Section.Depth }),
		wound("turns", "", func(_ designed, c coil.Coil) float64 { return c.Turns }),
		wound("wire length", "", func(_ designed, c coil.Coil) units.Length { return c.WireLength() }),
		wound("outer diameter", "", func(_ designed, c coil.Coil) units.Length { return c.OuterDiameter() }),
		wound("inductance", "of the turns it has", func(_ designed, c coil.Coil) units.Inductance { return c.Inductance }),
		wound("mass", "of the copper", func(_ designed, c coil.Coil) units.Mass { return c.Mass() }),
		wound("resistance", "for direct current", func(x designed, c coil.Coil) units.Resistance { return c.Resistance(wire{T: x.T}.at()) }),
	),
}

type preferred struct {
	Series int     `in:"series" doc:"3, 6, 12, 24, 48, 96 or 192"`
	V      float64 `in:"v,optional" doc:"what one would like, without its unit"`
	I      int     `in:"i,optional" doc:"which value of a decade, from 0"`
}

func (x preferred) series() (parts.Series, error) {
	switch s := parts.Series(x.Series); s {
	case parts.E3, parts.E6, parts.E12, parts.E24, parts.E48, parts.E96, parts.E192:
		return s, nil
	}
	return 0, fmt.Errorf("series %d: want 3, 6, 12, 24, 48, 96 or 192", x.Series)
}

func picked(name, doc string, f func(s parts.Series, v float64) float64) Output {
	return value(name, doc, func(x preferred) (float64, error) {
		s, err := x.series()
		if err == nil {
			err = units.Within("v", x.V, 1e-290, 1e290)
		}
		if err != nil {
			return 0, err
		}
		return f(s, x.V), nil
	})
}

type derated struct {
	P         units.Power       `in:"P" doc:"rated"`
	T         units.Temperature `in:"t" doc:"of the surroundings"`
	Reference units.Temperature `in:"reference" doc:"up to which all of it is borne"`
	Limit     units.Temperature `in:"limit" doc:"at which nothing is"`
}

type twoParts struct {
	A        partText `in:"a"`
	B        partText `in:"b"`
	Parallel bool     `in:"parallel,optional"`
}

func (x twoParts) join(k ladder.Kind) (float64, error) {
	a, b := x.A.part, x.B.part
	if a.Kind != k || b.Kind != k {
		return 0, fmt.Errorf("want two parts of the kind %v", k)
	}
	kind := map[ladder.Kind]parts.Kind{ladder.Resistor: parts.Resistor, ladder.Inductor: parts.AirCoil, ladder.Capacitor: parts.FilmCapacitor}[k]
	return parts.Join(parts.Item{ID: "a", Kind: kind, Part: a}, parts.Item{ID: "b", Kind: kind, Part: b}, x.Parallel).Part.Value, nil
}

var shelves = []Capability{
	define[preferred]("preferred values", "The series of IEC 60063.",
		value("value", "number i of a decade", func(x preferred) (float64, error) {
			s, err := x.series()
			if err == nil && (x.I < 0 || x.I >= int(s)) {
				err = fmt.Errorf("i %d: want 0 to %d", x.I, int(s)-1)
			}
			if err != nil {
				return 0, err
			}
			return s.Values()[x.I], nil
		}),
		picked("nearest", "by ratio", func(s parts.Series, v float64) float64 { return s.Nearest(v) }),
		picked("below", "the largest not above v", func(s parts.Series, v float64) float64 {
			below, _ := s.Bracket(v)
			return below
		}),
		picked("above", "the smallest not below v", func(s parts.Series, v float64) float64 {
			_, above := s.Bracket(v)
			return above
		}),
		picked("of two", "what the best pair of values makes", func(s parts.Series, v float64) float64 {
			return s.Combinations(v, 1)[0].Value
		}),
	),
	define[derated]("derated resistor", "What a resistor bears in warm surroundings.",
		value("power", "", func(x derated) (units.Power, error) { return parts.Derate(x.P, x.T, x.Reference, x.Limit) }),
	),
	define[twoParts]("two parts", "Two parts of one kind as one.",
		value("resistor", "", func(x twoParts) (units.Resistance, error) {
			v, err := x.join(ladder.Resistor)
			if err != nil {
				return 0, err
			}
			return units.Resistance(v), nil
		}),
		value("coil", "", func(x twoParts) (units.Inductance, error) {
			v, err := x.join(ladder.Inductor)
			if err != nil {
				return 0, err
			}
			return units.Inductance(v), nil
		}),
		value("capacitor", "", func(x twoParts) (units.Capacitance, error) {
			v, err := x.join(ladder.Capacitor)
			if err != nil {
				return 0, err
			}
			return units.Capacitance(v), nil
		}),
	),
}
