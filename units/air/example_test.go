package air_test

import (
	"fmt"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// IEC 61094-2:2009, Annex F, Table F.1.
func ExampleConditions_Air() {
	for _, c := range []air.Conditions{
		{Temperature: units.Celsius(23), Pressure: 101325 * units.Pascal, Humidity: 50 * units.Percent},
		{Temperature: units.Celsius(20), Pressure: 80 * units.Kilopascal, Humidity: 65 * units.Percent},
	} {
		a, err := c.Air()
		if err != nil {
			fmt.Println(err)
			return
		}
		v, err := c.Viscosity()
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.7f kg/m³ %.5f m/s %.6e Pa·s\n", float64(a.Density), float64(a.SpeedOfSound), float64(v))
	}
	// Output:
	// 1.1860848 kg/m³ 345.86652 m/s 1.826566e-05 Pa·s
	// 0.9441589 kg/m³ 344.38267 m/s 1.811295e-05 Pa·s
}

// U.S. Standard Atmosphere 1976 at 1000 m: 281.65 K, 89876 Pa.
func ExampleStandardAtmosphere() {
	c, err := air.StandardAtmosphere(1000 * units.Metre)
	fmt.Printf("%.2f K %.0f Pa %v\n", float64(c.Temperature), float64(c.Pressure), err)
	// Output: 281.65 K 89876 Pa <nil>
}

func ExampleStandard() {
	a := air.Standard()
	fmt.Println(a.Density, a.SpeedOfSound)
	fmt.Printf("%.1f Pa %.1f Pa·s/m\n", float64(a.BulkModulus()), a.Impedance())
	// Output:
	// 1.18 kg/m³ 345 m/s
	// 140449.5 Pa 407.1 Pa·s/m
}
