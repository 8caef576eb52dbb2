package air

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func TestGolden(t *testing.T) {
	golden.Run(t, "testdata/air.csv", func(t *testing.T, r golden.Row) {
		if r.Has("altitude") || r.Has("geopotential") {
			checkAtmosphere(t, r)
			return
		}
		switch r.Calculation {
		case "standard air density":
			r.Check(t, float64(Standard().Density))
			return
		case "bulk modulus of standard air":
			r.Check(t, float64(Standard().BulkModulus()))
			return
		case "standard air speed of sound":
			r.Check(t, float64(Standard().SpeedOfSound))
			return
		}
		c := Conditions{
			Temperature: units.Celsius(r.Num(t, "temperature", "°C")),
			Pressure:    units.Pressure(r.Num(t, "pressure", "Pa")),
			Humidity:    units.Ratio(r.Num(t, "humidity", "1")),
			CO2:         units.Ratio(r.Num(t, "co2", "1")),
		}
		a, err := c.Air()
		if err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "density":
			r.Check(t, float64(a.Density))
		case "speed of sound":
			r.Check(t, float64(a.SpeedOfSound))
		case "impedance":
			r.Check(t, a.Impedance())
		case "viscosity":
			v, err := c.Viscosity()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(v))
		case "water vapour mole fraction":
			g, err := c.gas()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, g.vapour)
		default:
			r.Unknown(t)
		}
	})
}

func checkAtmosphere(t *testing.T, r golden.Row) {
	var z float64
	if r.Has("geopotential") {
		const earth = 6356766
		h := r.Num(t, "geopotential", "m")
		z = earth * h / (earth - h)
	} else {
		z = r.Num(t, "altitude", "m")
	}
	c, err := StandardAtmosphere(units.Length(z))
	if err != nil {
		t.Fatal(err)
	}
	a, err := c.Air()
	if err != nil {
		t.Fatal(err)
	}
	switch r.Calculation {
	case "standard atmosphere temperature":
		r.Check(t, float64(c.Temperature))
	case "standard atmosphere pressure":
		r.Check(t, float64(c.Pressure))
	case "standard atmosphere density":
		r.Check(t, float64(a.Density))
	case "standard atmosphere speed of sound":
		r.Check(t, float64(a.SpeedOfSound))
	default:
		r.Unknown(t)
	}
}

// every runs f over the whole domain that is accepted.
func every(f func(c Conditions)) {
	for t := -20.0; t <= 50; t += 5 {
		for p := 50e3; p <= 110e3; p += 5e3 {
			for h := 0.0; h <= 1; h += 0.125 {
				f(Conditions{Temperature: units.Celsius(t), Pressure: units.Pressure(p), Humidity: units.Ratio(h)})
			}
		}
	}
}

// A second road: a mixture of ideal gases. Diatomic air has 7/2 R of heat
// capacity, water vapour 4.04 R. The water comes from another vapour formula.
func TestAgainstIdealGas(t *testing.T) {
	const (
		molarAir, molarWater = 0.02896546, 0.01801528 // kg/mol
		gasConstant          = 8.314472               // J/(mol K)
	)
	worstDensity, worstSpeed, n := 0.0, 0.0, 0
	every(func(c Conditions) {
		a, err := c.Air()
		if err != nil {
			return // too much water, see TestRefuses
		}
		n++
		tc, kelvin, p := c.Temperature.Celsius(), float64(c.Temperature), float64(c.Pressure)
		// Magnus formula, D. Sonntag, Z. Meteorol. 70 (1990) 340, over water.
		x := float64(c.Humidity) * 611.2 * math.Exp(17.62*tc/(243.12+tc)) / p
		m := (1-x)*molarAir + x*molarWater
		cp := (1-x)*3.5 + x*4.04
		rho := p * m / (gasConstant * kelvin)
		speed := math.Sqrt(cp / (cp - 1) * gasConstant * kelvin / m)
		worstDensity = max(worstDensity, math.Abs(float64(a.Density)/rho-1))
		worstSpeed = max(worstSpeed, math.Abs(float64(a.SpeedOfSound)/speed-1))
	})
	if n < 1200 || !(worstDensity < 1e-3) || !(worstSpeed < 1e-3) {
		t.Errorf("%d conditions: density within %.2g, speed of sound within %.2g of the ideal gas, want 1e-3", n, worstDensity, worstSpeed)
	}
}

// The usual short formula for dry air. Cramer lies up to 5e-4 above it.
func TestAgainstShortFormula(t *testing.T) {
	for tc := -20.0; tc <= 50; tc++ {
		a, err := Conditions{Temperature: units.Celsius(tc), Pressure: 101325}.Air()
		if err != nil {
			t.Fatal(err)
		}
		short := 331.3 * math.Sqrt(1+tc/273.15)
		if d := float64(a.SpeedOfSound)/short - 1; !(-1e-4 < d && d < 5.5e-4) {
			t.Errorf("%v °C: %v, 331.3 √(1 + t/273.15) gives %v m/s (%.2g)", tc, a.SpeedOfSound, short, d)
		}
	}
}

// Sutherland's formula for dry air, with the constants of the U.S. Standard
// Atmosphere 1976: a second road to the viscosity. Moist air is a little thinner.
func TestViscosityAgainstSutherland(t *testing.T) {
	for tc := -20.0; tc <= 50; tc++ {
		c := Conditions{Temperature: units.Celsius(tc), Pressure: 101325}
		dry, err := c.Viscosity()
		if err != nil {
			t.Fatal(err)
		}
		k := float64(c.Temperature)
		want := 1.458e-6 * k * math.Sqrt(k) / (k + 110.4)
		if d := float64(dry)/want - 1; !(math.Abs(d) < 0.01) {
			t.Errorf("%v °C: %v Pa·s, Sutherland gives %v (%.2g)", tc, float64(dry), want, d)
		}
		c.Humidity = 0.4
		if moist, err := c.Viscosity(); err != nil || !(moist < dry) {
			t.Errorf("%v °C: moist %v, dry %v, %v", tc, float64(moist), float64(dry), err)
		}
	}
}

// Warmer, moister, or under less pressure: lighter. Warmer or moister: faster.
func TestTrends(t *testing.T) {
	every(func(c Conditions) {
		a, err := c.Air()
		if err != nil {
			return
		}
		warm, moist, high := c, c, c
		warm.Temperature++
		moist.Humidity += 0.01
		high.Pressure -= 100
		if b, err := warm.Air(); err == nil && !(b.Density < a.Density && b.SpeedOfSound > a.SpeedOfSound) {
			t.Errorf("%+v: warmer air %+v, before %+v", c, b, a)
		}
		if b, err := moist.Air(); err == nil && !(b.Density < a.Density && b.SpeedOfSound > a.SpeedOfSound) {
			t.Errorf("%+v: moister air %+v, before %+v", c, b, a)
		}
		if b, err := high.Air(); err == nil && !(b.Density < a.Density) {
			t.Errorf("%+v: thinner air %+v, before %+v", c, b, a)
		}
	})
}

// The barometric equation by small steps: dp = −ρ g dH with the ideal gas.
func TestAtmosphereIsInBalance(t *testing.T) {
	const (
		g, m, r = 9.80665, 0.0289644, 8.31432
		earth   = 6356766.0
		steps   = 20000
		top     = 11000.0
	)
	z := top
	h := earth * z / (earth + z)
	dh := h / steps
	logp := math.Log(101325)
	for i := range steps {
		logp -= g * m / (r * (288.15 - 0.0065*(float64(i)+0.5)*dh)) * dh
	}
	c, err := StandardAtmosphere(units.Length(z))
	if err != nil {
		t.Fatal(err)
	}
	if d := float64(c.Pressure)/math.Exp(logp) - 1; !(math.Abs(d) < 1e-9) {
		t.Errorf("pressure at 11 km: %v, by integration %v Pa (%.2g)", float64(c.Pressure), math.Exp(logp), d)
	}
}

func TestCarbonDioxideDefault(t *testing.T) {
	c := Conditions{Temperature: units.Celsius(20), Pressure: 101325, Humidity: 0.5}
	given := c
	given.CO2 = 0.0004
	a, err := c.Air()
	b, err2 := given.Air()
	if a != b || err != nil || err2 != nil {
		t.Errorf("without CO2 %+v, %v; with 0.0004 %+v, %v", a, err, b, err2)
	}
	given.CO2 = 0.004 // a closed room full of people: heavier, slower
	if b, err = given.Air(); err != nil || !(b.Density > a.Density && b.SpeedOfSound < a.SpeedOfSound) {
		t.Errorf("with 0.4 %% CO2 %+v, %v, with 0.04 %% %+v", b, err, a)
	}
}

// CO2 stands in for oxygen: the molar mass grows by that of carbon, and the
// density of dry air with it (Picard and others 2008, molar mass of dry air).
func TestCarbonDioxideWeighsAsCarbon(t *testing.T) {
	lean := Conditions{Temperature: units.Celsius(20), Pressure: 101325, CO2: 0.0004}
	rich := lean
	rich.CO2 = 0.01
	a, err := lean.Air()
	b, err2 := rich.Air()
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	got := float64(b.Density/a.Density-1) / float64(rich.CO2-lean.CO2)
	if want := 12.011 / 28.96546; !(math.Abs(got-want) < 2e-5) {
		t.Errorf("relative growth of density per mole fraction: %v, want %v", got, want)
	}
}

func TestStandard(t *testing.T) {
	s := Standard()
	if s.Density != 1.18 || s.SpeedOfSound != 345 {
		t.Errorf("standard air %+v", s)
	}
	if err := s.Check(); err != nil {
		t.Error(err)
	}
	// The real air that the doc comment names.
	a, err := Conditions{Temperature: units.Celsius(21.6), Pressure: 100.3 * units.Kilopascal, Humidity: 0.5}.Air()
	if err != nil || math.Abs(float64(a.Density-s.Density)) > 5e-4 || math.Abs(float64(a.SpeedOfSound-s.SpeedOfSound)) > 0.05 {
		t.Errorf("real air %+v, %v", a, err)
	}
	if got := (Air{}).OrStandard(); got != s {
		t.Errorf("zero air stands for %+v", got)
	}
	if got := a.OrStandard(); got != a {
		t.Errorf("given air %+v became %+v", a, got)
	}
	if half := (Air{SpeedOfSound: 345}); half.OrStandard() != half || half.Check() == nil {
		t.Error("air with only a speed of sound must stay as it is, and fail the check")
	}
	if half := (Air{Density: 1.2}); half.OrStandard() != half || half.Check() == nil {
		t.Error("air with only a density must stay as it is, and fail the check")
	}
	if got := float64(s.BulkModulus()); math.Abs(got-140449.5) > 1e-9*got {
		t.Errorf("bulk modulus %v Pa, want 1.18·345²", got)
	}
	if got := s.Impedance(); math.Abs(got-407.1) > 1e-9 {
		t.Errorf("impedance %v Pa·s/m, want 1.18·345", got)
	}
}

func TestRefuses(t *testing.T) {
	good := Conditions{Temperature: units.Celsius(20), Pressure: 101325, Humidity: 0.5}
	with := func(change func(c *Conditions)) Conditions {
		c := good
		change(&c)
		return c
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		c    Conditions
		want string
	}{
		{Conditions{}, "air: temperature -273.1 °C: must be from -20 °C to 50 °C"},
		{with(func(c *Conditions) { c.Temperature = units.Celsius(-20.01) }), "air: temperature -20.01 °C: must be from -20 °C to 50 °C"},
		{with(func(c *Conditions) { c.Temperature = units.Celsius(50.01) }), "air: temperature 50.01 °C: must be from -20 °C to 50 °C"},
		{with(func(c *Conditions) { c.Temperature = units.Temperature(nan) }), "air: temperature NaN °C: must be from -20 °C to 50 °C"},
		{with(func(c *Conditions) { c.Pressure = 0 }), "air: pressure 0 Pa: must be from 50 kPa to 110 kPa"},
		{with(func(c *Conditions) { c.Pressure = 1013 }), "air: pressure 1.013 kPa: must be from 50 kPa to 110 kPa"},
		{with(func(c *Conditions) { c.Pressure = units.Pressure(inf) }), "air: pressure +Inf Pa: must be from 50 kPa to 110 kPa"},
		{with(func(c *Conditions) { c.Humidity = -0.01 }), "air: humidity -0.01: must be from 0 to 1"},
		{with(func(c *Conditions) { c.Humidity = 50 }), "air: humidity 50: must be from 0 to 1"},
		{with(func(c *Conditions) { c.Humidity = units.Ratio(nan) }), "air: humidity NaN: must be from 0 to 1"},
		{with(func(c *Conditions) { c.CO2 = -1e-9 }), "air: CO2 -1e-9: must be from 0 to 0.01"},
		{with(func(c *Conditions) { c.CO2 = 400 }), "air: CO2 400: must be from 0 to 0.01"},
		{with(func(c *Conditions) { c.Temperature = units.Celsius(50) }), "air: humidity 0.5: must be at most 0.4896 at 50 °C and 101.3 kPa, where the formulas end"},
	} {
		a, err := c.c.Air()
		v, err2 := c.c.Viscosity()
		var r *units.RangeError
		if !errors.As(err, &r) || err.Error() != c.want || a != (Air{}) || fmt.Sprint(err2) != c.want || v != 0 {
			t.Errorf("%+v: got %+v, %v, %v, %v, want %s", c.c, a, err, v, err2, c.want)
		}
	}
	for _, c := range []struct {
		z    units.Length
		want string
	}{
		{-1, "air: altitude -1 m: must be from 0 mm to 11000 m"},
		{11001, "air: altitude 11001 m: must be from 0 mm to 11000 m"},
		{units.Length(nan), "air: altitude NaN mm: must be from 0 mm to 11000 m"},
	} {
		if got, err := StandardAtmosphere(c.z); fmt.Sprint(err) != c.want || got != (Conditions{}) {
			t.Errorf("%v: got %+v, %v, want %s", c.z, got, err, c.want)
		}
	}
	for _, a := range []Air{{}, {1.18, 0}, {0, 345}, {-1.18, 345}, {1.18, -345}, {units.Density(nan), 345}, {1.18, units.Velocity(inf)}} {
		var r *units.RangeError
		if err := a.Check(); !errors.As(err, &r) {
			t.Errorf("%+v: check gives %v", a, err)
		}
	}
	for _, c := range []Conditions{
		with(func(c *Conditions) { c.Temperature = units.Celsius(-20) }),
		with(func(c *Conditions) { c.Temperature, c.Humidity = units.Celsius(50), 0.4 }),
		with(func(c *Conditions) { c.Pressure = 50 * units.Kilopascal }),
		with(func(c *Conditions) { c.Pressure = 110 * units.Kilopascal }),
		with(func(c *Conditions) { c.Humidity = 0 }),
		with(func(c *Conditions) { c.Humidity = 1 }),
		with(func(c *Conditions) { c.CO2 = 0.01 }),
	} {
		if _, err := c.Air(); err != nil {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

func BenchmarkAir(b *testing.B) {
	c := Conditions{Temperature: units.Celsius(20), Pressure: 101325, Humidity: 0.5}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Air(); err != nil {
			b.Fatal(err)
		}
	}
}
