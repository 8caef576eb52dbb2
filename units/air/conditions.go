package air

import (
	"fmt"

	"example.com/halfspace/units"
)

// Conditions are what a thermometer, a barometer and a hygrometer show.
// Temperature, Pressure and Humidity have no defaults: 0 % humidity is dry air,
// and a temperature left out is 0 K, an error.
type Conditions struct {
	Temperature units.Temperature // from −20 °C to 50 °C
	Pressure    units.Pressure    // from 50 kPa to 110 kPa; the local pressure, not the one reduced to sea level
	Humidity    units.Ratio       // relative, from 0 to 1
	CO2         units.Ratio       // mole fraction, up to 0.01; 0 means 0.0004, as in CIPM-2007
}

// The range that is accepted. It is wider than the ranges over which the fits
// are stated, see [Conditions.Air]; the last two are Cramer's.
const (
	minCelsius  = -20
	maxCelsius  = 50
	minPressure = 50 * units.Kilopascal
	maxPressure = 110 * units.Kilopascal
	maxVapour   = 0.06
	maxCO2      = 0.01
)

// meanCO2 is the mole fraction that CIPM-2007 takes for air.
const meanCO2 = 0.0004

// Air returns density and speed of sound under conditions c.
//
// The fits are stated for 15 °C to 27 °C and 60 kPa to 110 kPa (density, error
// about 2e-5), and for 0 °C to 30 °C and 75 kPa to 102 kPa (speed of sound,
// 3e-4). Air accepts −20 °C to 50 °C and 50 kPa to 110 kPa, enough for a car in
// winter and a stage at 5000 m. Over all of that, both stay within 1e-3 of the
// laws of ideal gases.
// Beyond that, and above a mole fraction of water vapour of 0.06, it returns a
// *[units.RangeError].
func (c Conditions) Air() (Air, error) {
	g, err := c.gas()
	if err != nil {
		return Air{}, err
	}
	return Air{Density: g.density(), SpeedOfSound: g.speedOfSound()}, nil
}

// Viscosity returns the dynamic viscosity under conditions c. Errors are those
// of [Conditions.Air].
func (c Conditions) Viscosity() (units.Viscosity, error) {
	g, err := c.gas()
	if err != nil {
		return 0, err
	}
	return g.viscosity(), nil
}

// gas checks c and finds how much of it is water.
func (c Conditions) gas() (gas, error) {
	if err := units.Within("air: temperature", c.Temperature, units.Celsius(minCelsius), units.Celsius(maxCelsius)); err != nil {
		return gas{}, err
	}
	if err := units.Within("air: pressure", c.Pressure, minPressure, maxPressure); err != nil {
		return gas{}, err
	}
	if err := units.Within("air: humidity", c.Humidity, 0, 1); err != nil {
		return gas{}, err
	}
	if err := units.Within("air: CO2", c.CO2, 0, maxCO2); err != nil {
		return gas{}, err
	}
	g := gas{kelvin: float64(c.Temperature), celsius: c.Temperature.Celsius(), pascal: float64(c.Pressure), co2: float64(c.CO2)}
	if c.CO2 == 0 {
		g.co2 = meanCO2
	}
	g.vapour = float64(c.Humidity) * g.saturation()
	if !(g.vapour <= maxVapour) {
		return gas{}, &units.RangeError{
			Field: "air: humidity", Value: c.Humidity.String(),
			Want: fmt.Sprintf("must be at most %v at %v and %v, where the formulas end", units.Ratio(maxVapour/g.saturation()), c.Temperature, c.Pressure),
		}
	}
	return g, nil
}
