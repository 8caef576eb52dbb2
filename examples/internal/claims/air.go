package claims

import (
	"errors"
	"reflect"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

type conditions struct {
	Temperature units.Temperature `in:"temperature"`
	Pressure    units.Pressure    `in:"pressure" doc:"the local one, not reduced to sea level"`
	Humidity    units.Ratio       `in:"humidity" doc:"relative"`
	CO2         units.Ratio       `in:"co2,optional" doc:"mole fraction; zero is 0.0004"`
}

func (c conditions) conditions() air.Conditions {
	return air.Conditions{Temperature: c.Temperature, Pressure: c.Pressure, Humidity: c.Humidity, CO2: c.CO2}
}

type altitude struct {
	Altitude     units.Length `in:"altitude,optional" doc:"geometric; or geopotential"`
	Geopotential units.Length `in:"geopotential,optional"`
}

func (x altitude) conditions() (air.Conditions, error) {
	z := x.Altitude
	if x.Geopotential != 0 {
		if z != 0 {
			return air.Conditions{}, errors.New("want either altitude or geopotential")
		}
		const earth = 6356766 // m, of the standard
		z = earth * x.Geopotential / (earth - x.Geopotential)
	}
	return air.StandardAtmosphere(z)
}

type text struct {
	Text string `in:"text" doc:"a number with its unit, as people write it"`
}

// reading is an output of what a text says.
func reading[Q number](name string) Output {
	k := kinds[reflect.TypeFor[Q]()]
	return value(name, "", func(t text) (Q, error) {
		v, err := k.parse(t.Text)
		if err != nil {
			return 0, err
		}
		return Q(v), nil
	})
}

var airs = []Capability{
	define[conditions]("air", "Air from what thermometer, barometer and hygrometer show.",
		value("density", "", func(c conditions) (units.Density, error) {
			a, err := c.conditions().Air()
			return a.Density, err
		}),
		value("speed of sound", "", func(c conditions) (units.Velocity, error) {
			a, err := c.conditions().Air()
			return a.SpeedOfSound, err
		}),
		value("impedance", "specific, ρc", func(c conditions) (soundImpedance, error) {
			a, err := c.conditions().Air()
			if err != nil {
				return 0, err
			}
			return soundImpedance(a.Impedance()), nil
		}),
		value("viscosity", "dynamic", func(c conditions) (units.Viscosity, error) { return c.conditions().Viscosity() }),
	),
	define[altitude]("standard atmosphere", "The U.S. Standard Atmosphere 1976 up to 11 km.",
		value("temperature", "", func(x altitude) (units.Temperature, error) {
			c, err := x.conditions()
			return c.Temperature, err
		}),
		value("pressure", "", func(x altitude) (units.Pressure, error) {
			c, err := x.conditions()
			return c.Pressure, err
		}),
		value("density", "", func(x altitude) (units.Density, error) {
			c, err := x.conditions()
			if err != nil {
				return 0, err
			}
			a, err := c.Air()
			return a.Density, err
		}),
		value("speed of sound", "", func(x altitude) (units.Velocity, error) {
			c, err := x.conditions()
			if err != nil {
				return 0, err
			}
			a, err := c.Air()
			return a.SpeedOfSound, err
		}),
	),
	define[medium]("air of the file", "What the formulas use: the air of the case, of the file, or the standard air.",
		plain("density", "", func(m medium) units.Density { return m.air.Density }),
		plain("speed of sound", "", func(m medium) units.Velocity { return m.air.SpeedOfSound }),
		plain("bulk modulus", "ρc²", func(m medium) units.Pressure { return m.air.BulkModulus() }),
	),
	define[text]("quantity", "What a text with a unit means.",
		reading[units.Length]("length"), reading[units.Area]("area"), reading[units.Volume]("volume"), reading[units.Mass]("mass"),
		reading[units.Temperature]("temperature"), reading[units.Pressure]("pressure"), reading[units.Velocity]("velocity"),
		reading[units.Angle]("angle"), reading[units.Density]("density"), reading[units.Frequency]("frequency"),
		reading[units.Resistance]("resistance"), reading[units.Inductance]("inductance"), reading[units.Capacitance]("capacitance"),
	),
}
