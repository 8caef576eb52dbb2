package outside

import (
	"fmt"
	"testing"

	"example.com/halfspace/port"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

type vents struct {
	Air struct {
		Density      float64 `json:"density"`
		SpeedOfSound float64 `json:"speed_of_sound"`
	} `json:"air"`
	PerRadius  map[string]float64 `json:"per_radius"` // of round ends; checked by "ends" of the recording
	Rectangles [][2]float64       `json:"rectangles"`
	Channels   []float64          `json:"channels"`
	Distances  []float64          `json:"distances"` // of round mouths, in radii
	OpenEnds   []float64          `json:"open_ends"` // ka
	Viscosity  float64            `json:"viscosity"`
	Tubes      []struct {
		Radius float64 `json:"radius"`
		Hz     float64 `json:"hz"`
	} `json:"tubes"`
	Depth float64 `json:"depth"` // of the boxes
	Vents []struct {
		ID       string  `json:"id"`
		Diameter float64 `json:"diameter"`
		Width    float64 `json:"width"`
		Height   float64 `json:"height"`
		Count    int     `json:"count"`
		Length   float64 `json:"length"`
		Inner    string  `json:"inner"`
		Outer    string  `json:"outer"`
		Vb       float64 `json:"vb"`
		Fb       float64 `json:"fb"`
	} `json:"vents"`
}

func TestVents(t *testing.T) {
	c := cases[vents](t, "vents")
	r := recording(t, "vents")

	r.within("ends", "free", 1e-9, 0, port.FreeExact)
	r.within("ends", "flanged", 1e-9, 0, port.FlangedExact)
	if c.PerRadius["free"] != port.FreeExact || c.PerRadius["flanged"] != port.FlangedExact {
		t.Error("the cases have other constants for round ends than package port")
	}
	var pistons, slots []float64
	for _, s := range c.Rectangles {
		d := port.Vent{Width: units.Length(s[0]), Height: units.Length(s[1])}.EndCorrection(port.Flanged)
		pistons = append(pistons, float64(d)*port.Piston/port.FlangedExact)
	}
	for _, q := range c.Channels {
		d := port.Vent{Width: 1, Height: units.Length(q), Clear: 1}.EndCorrection(port.AcrossBox)
		slots = append(slots, float64(d)/q)
	}
	r.equal("ends", "rectangles", pistons...)
	r.equal("ends", "channels", slots...)
	var neighbours, openEnds, reflections []float64
	for _, d := range c.Distances {
		neighbours = append(neighbours, port.MutualEnd(d))
	}
	for _, ka := range c.OpenEnds {
		d, reflection := port.Free.OpenEnd(ka)
		openEnds, reflections = append(openEnds, d), append(reflections, reflection)
	}
	r.equal("ends", "neighbours", neighbours...)
	r.within("ends", "open ends", 8e-3, 0, openEnds...) // a fit, as its comment says
	r.within("ends", "reflections", 8e-3, 0, reflections...)

	mouths := map[string]port.Mouth{}
	for m := port.Free; m <= port.AcrossBox; m++ {
		mouths[m.String()] = m
	}
	medium := air.Air{Density: units.Density(c.Air.Density), SpeedOfSound: units.Velocity(c.Air.SpeedOfSound)}
	var friction, mass, attenuation []float64
	for _, x := range c.Tubes {
		v := port.Vent{Diameter: units.Length(2 * x.Radius)}
		q, m := v.BoundaryLayer(units.Frequency(x.Hz), medium, units.Viscosity(c.Viscosity))
		friction, mass = append(friction, q), append(mass, m)
		attenuation = append(attenuation, v.Attenuation(units.Frequency(x.Hz), medium, units.Viscosity(c.Viscosity)))
	}
	r.equal("tubes", "friction", friction...)
	r.equal("tubes", "mass", mass...)
	r.equal("tubes", "attenuation", attenuation...)
	for _, x := range c.Vents {
		v := port.Vent{
			Diameter: units.Length(x.Diameter), Width: units.Length(x.Width), Height: units.Length(x.Height),
			Count: x.Count, Length: units.Length(x.Length), Inner: mouths[x.Inner], Outer: mouths[x.Outer],
		}
		if err := v.Check(); err != nil {
			t.Fatal(err)
		}
		vb := units.Volume(x.Vb)
		tuned, err := v.Tuned(vb, units.Frequency(x.Fb), medium)
		if err != nil {
			t.Fatal(err)
		}
		r.equal(x.ID, "ends", float64(v.EffectiveLength()-v.Length))
		r.equal(x.ID, "tuning", float64(v.Tuning(vb, medium)))
		r.equal(x.ID, "line tuning", float64(v.LineTuning(vb, medium)))
		r.equal(x.ID, "long box tuning", float64(v.LongBoxTuning(vb, units.Length(c.Depth), medium)))
		r.equal(x.ID, "tuned length", float64(tuned.Length))
	}
}

type medium struct {
	Conditions []struct {
		ID       string  `json:"id"`
		Celsius  float64 `json:"celsius"`
		Pascal   float64 `json:"pascal"`
		Humidity float64 `json:"humidity"`
		CO2      float64 `json:"co2"`
	} `json:"conditions"`
	Altitudes []float64 `json:"altitudes"`
}

func TestAir(t *testing.T) {
	c := cases[medium](t, "air")
	r := recording(t, "air")
	for _, x := range c.Conditions {
		conditions := air.Conditions{
			Temperature: units.Celsius(x.Celsius), Pressure: units.Pressure(x.Pascal),
			Humidity: units.Ratio(x.Humidity), CO2: units.Ratio(x.CO2),
		}
		a, err := conditions.Air()
		if err != nil {
			t.Fatal(err)
		}
		mu, err := conditions.Viscosity()
		if err != nil {
			t.Fatal(err)
		}
		r.equal(x.ID, "density", float64(a.Density))
		r.equal(x.ID, "speed of sound", float64(a.SpeedOfSound))
		r.equal(x.ID, "viscosity", float64(mu))
	}
	for _, z := range c.Altitudes {
		conditions, err := air.StandardAtmosphere(units.Length(z))
		if err != nil {
			t.Fatal(err)
		}
		id := fmt.Sprintf("%v m", z)
		r.equal(id, "temperature", float64(conditions.Temperature))
		r.equal(id, "pressure", float64(conditions.Pressure))
	}
}
