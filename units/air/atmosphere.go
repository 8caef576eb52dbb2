package air

import (
	"math"

	"example.com/halfspace/units"
)

// StandardAtmosphere returns temperature and pressure of the U.S. Standard
// Atmosphere 1976 at a geometric altitude from 0 to 11 km (the troposphere):
// dry, 288.15 K and 101.325 kPa at the sea, 6.5 K colder per kilometre. Beyond
// that it returns a *[units.RangeError]. It is a mean over a year at middle
// latitudes; a room at that altitude has this pressure but its own temperature.
//
//	H = E Z/(E + Z),  T = T0 − L H,  p = p0 (T/T0)^(g0 M/(R* L))
//
// NOAA, NASA, USAF, U.S. Standard Atmosphere, 1976, eqs. (18), (23), (33a). The
// density that its tables print is that of an ideal gas, up to 5e-4 below
// [Conditions.Air], which follows to 5.3 km.
func StandardAtmosphere(altitude units.Length) (Conditions, error) {
	if err := units.Within("air: altitude", altitude, 0, 11000*units.Metre); err != nil {
		return Conditions{}, err
	}
	const (
		earth    = 6356766 // E, radius of the earth in m
		t0       = 288.15  // K
		p0       = 101325  // Pa
		lapse    = 0.0065  // L, K/m
		exponent = 9.80665 * 0.0289644 / (8.31432 * lapse)
	)
	z := float64(altitude)
	h := earth * z / (earth + z)
	t := t0 - float64(lapse*h)
	return Conditions{
		Temperature: units.Temperature(t),
		Pressure:    units.Pressure(p0 * math.Pow(t/t0, exponent)),
		CO2:         0.000314, // its composition of dry air, Table 3
	}, nil
}
