package port

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func rowAir(t *testing.T, r golden.Row) air.Air {
	return air.Air{Density: 1.2, SpeedOfSound: units.Velocity(r.Num(t, "c", "m/s"))}
}

// withEnds returns v such that its effective length is length + ends radii,
// whatever v itself counts for its ends: sources differ in that.
func withEnds(v Vent, length units.Length, ends float64) Vent {
	v.Length = length + units.Length(ends)*v.Diameter/2 - v.ends()
	return v
}

func TestGoldenLengths(t *testing.T) {
	golden.Run(t, "testdata/lengths.csv", func(t *testing.T, r golden.Row) {
		size := func() (units.Length, units.Volume) {
			for name, u := range map[string]units.Length{"cm": units.Centimetre, "in": units.Inch} {
				for _, text := range []string{"1 " + name, "2 " + name} {
					if r.Word(t, "diameter") == text {
						volume := map[string]units.Volume{"1 L": units.Litre, "1 in3": units.CubicInch, "1 ft3": units.CubicFoot}[r.Word(t, "volume")]
						return units.Length(r.Num(t, "diameter", name)) * u, volume
					}
				}
			}
			t.Fatal("no such diameter")
			return 0, 0
		}
		switch r.Calculation {
		case "length":
			a := rowAir(t, r)
			vb := units.Volume(r.Num(t, "volume", "L")) * units.Litre
			fb := units.Frequency(r.Num(t, "frequency", "Hz"))
			v := Vent{Diameter: units.Length(r.Num(t, "diameter", "m")), Count: int(r.Num(t, "count", "1"))}
			v, err := v.Tuned(vb, fb, a)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(v.EffectiveLength()-units.Length(r.Num(t, "ends", "1"))*v.Diameter/2))
		case "tuning", "line tuning":
			var v Vent
			if r.Has("area") {
				v.Diameter = units.Length(2 * math.Sqrt(r.Num(t, "area", "cm2")*1e-4/math.Pi))
			} else {
				v.Diameter = units.Length(2 * r.Num(t, "radius", "m"))
			}
			v = withEnds(v, units.Length(r.Num(t, "length", "m")), r.Num(t, "ends", "1"))
			vb := units.Volume(r.Num(t, "volume", "L")) * units.Litre
			if r.Calculation == "tuning" {
				r.Check(t, float64(v.Tuning(vb, rowAir(t, r))))
			} else {
				r.Check(t, float64(v.LineTuning(vb, rowAir(t, r))))
			}
		case "pipe resonance":
			v := withEnds(Vent{Diameter: units.Length(2 * r.Num(t, "radius", "m"))}, units.Length(r.Num(t, "length", "m")), r.Num(t, "ends", "1"))
			r.Check(t, float64(v.PipeResonance(int(r.Num(t, "n", "1")), rowAir(t, r))))
		case "constant": // effective length for a tuning of 1 Hz
			d, vb := size()
			v, err := Vent{Diameter: d}.Tuned(vb, 1, rowAir(t, r))
			if err != nil {
				t.Fatal(err)
			}
			unit := map[string]units.Length{"cm": units.Centimetre, "in": units.Inch}[r.Unit]
			r.Check(t, v.EffectiveLength().In(unit))
		case "implied speed of sound": // the length goes with the square of the speed
			d, vb := size()
			v, err := Vent{Diameter: d}.Tuned(vb, 1, air.Standard())
			if err != nil {
				t.Fatal(err)
			}
			unit := units.Centimetre
			if d > 2*units.Centimetre {
				unit = units.Inch
			}
			r.Check(t, float64(air.Standard().SpeedOfSound)*math.Sqrt(r.Num(t, "constant", "1")/v.EffectiveLength().In(unit)))
		default:
			r.Unknown(t)
		}
	})
}

func mouth(t *testing.T, r golden.Row) Mouth {
	for m := Free; m <= InDuct; m++ {
		if m.String() == r.Word(t, "mouth") {
			return m
		}
	}
	t.Fatalf("no mouth %q", r.Word(t, "mouth"))
	return 0
}

func TestGoldenEnds(t *testing.T) {
	golden.Run(t, "testdata/ends.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "round end":
			v := Vent{Diameter: 2, Wall: units.Length(r.Num(t, "outer", "1") - 1)}
			r.Check(t, float64(v.EndCorrection(mouth(t, r))))
		case "piston":
			r.Check(t, Piston)
		case "rectangular piston":
			aspect := r.Num(t, "aspect", "1")
			equal := math.Sqrt(aspect / math.Pi)
			// Either side may be the longer one.
			for _, v := range []Vent{{Width: units.Length(aspect), Height: 1}, {Width: 1, Height: units.Length(aspect)}} {
				r.Check(t, float64(v.EndCorrection(mouth(t, r)))*Piston/FlangedExact/equal)
			}
		case "across the box":
			share := units.Length(r.Num(t, "share", "1"))
			v := Vent{Width: 0.3, Height: 0.02, Clear: 0.02 / share}
			r.Check(t, float64(v.EndCorrection(AcrossBox)/v.Height))
		case "handbook ends":
			sum := map[string]float64{
				"two free": 2 * FreePrinted, "flanged and free": Piston + FreePrinted, "two flanged": 2 * Piston,
			}[r.Word(t, "ends")]
			per := map[string]float64{"radius": 1, "diameter": 2, "root of area": math.Sqrt(math.Pi)}[r.Word(t, "per")]
			r.Check(t, sum/per)
		default:
			r.Unknown(t)
		}
	})
}

func TestGoldenRules(t *testing.T) {
	golden.Run(t, "testdata/rules.csv", func(t *testing.T, r golden.Row) {
		rule := func() float64 {
			return float64(MinimumArea(units.Frequency(r.Num(t, "tuning", "Hz")), units.Volume(r.Num(t, "displacement", "cm3"))*units.CubicCentimetre))
		}
		switch r.Calculation {
		case "minimum area":
			r.Check(t, rule())
		case "minimum diameter":
			r.Check(t, math.Sqrt(4/math.Pi*rule()))
		case "peak air speed of a level":
			p := 20e-6 * math.Pow(10, r.Num(t, "level", "dB")/20)
			flow := p / (r.Num(t, "rho", "kg/m3") * r.Num(t, "f", "Hz"))
			v := Vent{Diameter: units.Length(r.Num(t, "diameter", "mm")) * units.Millimetre}
			r.Check(t, math.Sqrt2*float64(v.Velocity(flow)))
		case "coefficient of the area rule":
			// Lossless Butterworth system, x = f/fB: cone displacement goes as
			// |x²−1|/√(1+x⁸), vent flow as x/√(1+x⁸).
			displacement, flow := 0., 0.
			for x := 0.5; x < 5; x += 1e-4 {
				d := math.Sqrt(1 + math.Pow(x, 8))
				flow = max(flow, x/d)
				if x > 1 {
					displacement = max(displacement, (x*x-1)/d)
				}
			}
			limit := math.Sqrt2 * r.Num(t, "share", "1") * r.Num(t, "c", "m/s") // peak
			r.Check(t, 2*math.Pi*flow/displacement/limit)
		default:
			r.Unknown(t)
		}
	})
}
