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
		case "long box tuning":
			v := withEnds(Vent{Diameter: units.Length(2 * r.Num(t, "radius", "m"))}, units.Length(r.Num(t, "length", "m")), r.Num(t, "ends", "1"))
			vb := units.Volume(r.Num(t, "volume", "L")) * units.Litre
			r.Check(t, float64(v.LongBoxTuning(vb, units.Length(r.Num(t, "depth", "m")), rowAir(t, r))))
		case "tuning with a neighbour over tuning without":
			v := Vent{Diameter: units.Length(2 * r.Num(t, "radius", "m")), Length: units.Length(r.Num(t, "length", "m")),
				Count: int(r.Num(t, "count", "1")), Outer: Flanged, Inner: Flanged}
			alone := v.Tuning(0.1, air.Air{})
			v.Spacing = units.Length(r.Num(t, "distance", "m"))
			r.Check(t, float64(v.Tuning(0.1, air.Air{})/alone))
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
			v := Vent{Diameter: 2}
			if r.Has("outer") {
				v.Wall = units.Length(r.Num(t, "outer", "1") - 1)
			}
			if r.Has("share") {
				v.Section = units.Area(math.Pi / math.Pow(r.Num(t, "share", "1"), 2))
			}
			r.Check(t, float64(v.EndCorrection(mouth(t, r))))
		case "mutual end":
			d := r.Num(t, "distance", "1")
			r.Check(t, MutualEnd(d))
			// As neighbour and as image in a wall.
			two := Vent{Diameter: 2, Count: 2, Spacing: units.Length(d), Outer: Flanged}
			r.Check(t, float64(two.neighbours(Flanged)))
			wall := Vent{Diameter: 2, ToWall: units.Length(d / 2)}
			r.Check(t, float64(wall.EndCorrection(AlongWall)-wall.EndCorrection(Flanged)))
		case "rounded end":
			v := Vent{Diameter: 2, Length: 10, Outer: Flanged}
			sharp := v.EffectiveLength()
			v.OuterRound = units.Length(r.Num(t, "rounding", "1"))
			r.Check(t, float64(v.EffectiveLength()-sharp))
		case "mitred corner":
			r.Check(t, float64(MitreLength(3)/3))
		case "round bend":
			l, err := BendLength(2*units.Length(r.Num(t, "ratio", "1")), 1, 0.7)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(l)/0.7)
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
		case "diameter of the other rule":
			s := GenerousArea(units.Frequency(r.Num(t, "tuning", "Hz")), units.Volume(r.Num(t, "displacement", "cm3"))*units.CubicCentimetre)
			r.Check(t, math.Sqrt(4/math.Pi*float64(s)))
		case "onset of turbulence":
			mu := units.Viscosity(r.Num(t, "kinematic viscosity", "m2/s"))
			r.Check(t, criterion(t, "turbulent boundary layer", units.Frequency(r.Num(t, "f", "Hz")), air.Air{Density: 1, SpeedOfSound: 344}, mu))
		case "5 % of the speed of sound as peak":
			r.Check(t, criterion(t, "5 % of the speed of sound", 30, air.Air{Density: 1.2, SpeedOfSound: units.Velocity(r.Num(t, "c", "m/s"))}, 0))
		case "Reynolds number":
			v := Vent{Diameter: units.Length(r.Num(t, "diameter", "mm")) * units.Millimetre}
			mu := units.Viscosity(r.Num(t, "kinematic viscosity", "m2/s"))
			r.Check(t, v.Reynolds(units.Velocity(r.Num(t, "speed", "m/s")), air.Air{Density: 1, SpeedOfSound: 344}, mu))
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

// criterion returns the peak speed of the limit of that name.
func criterion(t *testing.T, name string, f units.Frequency, a air.Air, mu units.Viscosity) float64 {
	list, err := Vent{Diameter: 0.1}.Criteria(f, a, mu)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range list {
		if c.Name == name {
			return float64(c.Peak())
		}
	}
	t.Fatalf("no criterion %q", name)
	return 0
}

func TestGoldenOpenEnds(t *testing.T) {
	golden.Run(t, "testdata/openends.csv", func(t *testing.T, r golden.Row) {
		correction, reflection := mouth(t, r).OpenEnd(r.Num(t, "ka", "1"))
		switch r.Calculation {
		case "open end":
			r.Check(t, correction)
		case "reflection of an open end":
			r.Check(t, reflection)
		default:
			r.Unknown(t)
		}
	})
}

func TestGoldenLosses(t *testing.T) {
	golden.Run(t, "testdata/losses.csv", func(t *testing.T, r golden.Row) {
		a := air.Air{Density: 1.2, SpeedOfSound: 344}
		var mu units.Viscosity
		if r.Has("c") {
			a.SpeedOfSound = units.Velocity(r.Num(t, "c", "m/s"))
		}
		if r.Has("viscosity") {
			a.Density = units.Density(r.Num(t, "density", "kg/m3"))
			mu = units.Viscosity(r.Num(t, "viscosity", "Pa.s"))
		}
		v := Vent{Diameter: 0.1, Length: 0.1}
		if r.Has("radius") {
			v.Diameter = units.Length(2 * r.Num(t, "radius", "m"))
		}
		if r.Has("effective length") {
			v.Length = units.Length(r.Num(t, "effective length", "m")) - v.ends()
		}
		if r.Has("ends") {
			v.Outer = Flanged
			v = withEnds(v, units.Length(r.Num(t, "length", "m")), r.Num(t, "ends", "1"))
		}
		losses := func(speed units.Velocity) Losses {
			l, err := v.Losses(units.Frequency(r.Num(t, "f", "Hz")), speed, a, mu)
			if err != nil {
				t.Fatal(err)
			}
			return l
		}
		switch r.Calculation {
		case "viscous Q":
			q, _ := v.BoundaryLayer(units.Frequency(r.Num(t, "f", "Hz")), a, mu)
			r.Check(t, q)
			r.Check(t, losses(0).Viscous)
		case "viscous mass":
			_, mass := v.BoundaryLayer(units.Frequency(r.Num(t, "f", "Hz")), a, mu)
			r.Check(t, mass)
		case "jet Q":
			r.Check(t, losses(units.Velocity(r.Num(t, "speed", "m/s"))).Jet)
		case "radiation Q":
			r.Check(t, losses(0).Radiation)
		case "attenuation":
			r.Check(t, v.Attenuation(units.Frequency(r.Num(t, "f", "Hz")), a, mu))
		case "Q of a pipe resonance":
			n := int(r.Num(t, "n", "1"))
			list, err := v.Resonances(v.PipeResonance(n, a)*1.001, a, mu)
			if err != nil || len(list) != n {
				t.Fatal(list, err)
			}
			r.Check(t, list[n-1].Q)
		default:
			r.Unknown(t)
		}
	})
}
