package coil

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func TestWireGolden(t *testing.T) {
	golden.Run(t, "testdata/wire.csv", func(t *testing.T, r golden.Row) {
		celsius := func() units.Temperature { return units.Celsius(r.Num(t, "t", "degC")) }
		switch r.Calculation {
		case "resistance over that at 20 °C":
			r.Check(t, CopperResistivity(celsius())/CopperResistivity(units.Celsius(20)))
		case "AWG diameter", "AWG diameter in inches", "AWG resistance":
			d, err := AWG(int(r.Num(t, "gauge", "1")))
			if err != nil {
				t.Fatal(err)
			}
			switch r.Unit {
			case "mm":
				r.Check(t, d.In(units.Millimetre))
			case "in":
				r.Check(t, d.In(units.Inch))
			default:
				r.Check(t, 1000*Wire{Diameter: d}.ResistancePerMetre(celsius()))
			}
		case "metric diameter":
			r.Check(t, Metric()[int(r.Num(t, "i", "1"))].In(units.Millimetre))
		case "metric resistance":
			r.Check(t, wire(t, r).ResistancePerMetre(celsius()))
		case "skin depth":
			d, err := SkinDepth(units.Frequency(r.Num(t, "f", "Hz")), celsius())
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, d.In(units.Millimetre))
		case "resistance of the wire alone":
			got, err := wire(t, r).SkinEffect(units.Frequency(r.Num(t, "f", "Hz")), celsius())
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, got)
		default:
			r.Unknown(t)
		}
	})
}

func TestInductanceGolden(t *testing.T) {
	golden.Run(t, "testdata/inductance.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "Nagaoka factor", "Nagaoka factor in print":
			x := r.Num(t, "x", "1")
			r.Check(t, Nagaoka(x))
			if x > 0 {
				l, err := Solenoid{Radius: units.Length(x / 2), Length: 1}.Inductance(1)
				if err != nil {
					t.Fatal(err)
				}
				r.Check(t, float64(l)/(mu0*math.Pi*x*x/4))
			}
		case "inductance of a section", "Wheeler inductance of a section":
			unit, turns := "cm", 1.0
			scale := units.Centimetre
			if r.Has("turns") {
				unit, turns, scale = "in", r.Num(t, "turns", "1"), units.Inch
			}
			in := func(key string) units.Length { return units.Length(r.Num(t, key, unit)) * scale }
			s := Section{Inner: in("inner"), Length: in("length"), Depth: in("outer") - in("inner")}
			l, err := s.Inductance(turns)
			if r.Calculation != "inductance of a section" {
				l, err = s.Wheeler(turns)
			}
			check(t, r, l, err)
		case "Wheeler inductance of a layer":
			s := Solenoid{units.Length(r.Num(t, "radius", "in")) * units.Inch, units.Length(r.Num(t, "length", "in")) * units.Inch}
			l, err := s.Wheeler(r.Num(t, "turns", "1"))
			check(t, r, l, err)
		case "Brooks side", "Brooks turns", "Brooks wire", "Brooks resistance":
			w := wire(t, r)
			w.Pitch = units.Length(r.Num(t, "pitch", "mm")) * units.Millimetre
			c, err := Brooks(units.Inductance(r.Num(t, "L", "mH"))*units.Millihenry, w)
			if err != nil {
				t.Fatal(err)
			}
			switch r.Calculation {
			case "Brooks side":
				r.Check(t, c.Section.Depth.In(units.Centimetre))
			case "Brooks turns":
				r.Check(t, c.Turns)
			case "Brooks wire":
				r.Check(t, float64(c.WireLength()))
			default:
				r.Check(t, float64(c.Resistance(units.Celsius(r.Num(t, "t", "degC")))))
			}
		default:
			r.Unknown(t)
		}
	})
}

func check(t *testing.T, r golden.Row, l units.Inductance, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	r.Check(t, l.In(units.Microhenry))
}

func wire(t *testing.T, r golden.Row) Wire {
	t.Helper()
	return Wire{Diameter: units.Length(r.Num(t, "d", "mm")) * units.Millimetre}
}
