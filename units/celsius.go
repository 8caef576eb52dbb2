package units

// zeroCelsius is 0 °C in kelvins, exact by definition of the Celsius scale.
const zeroCelsius = 273.15

// Celsius returns the temperature of the given degrees Celsius.
func Celsius(degrees float64) Temperature { return Temperature(degrees + zeroCelsius) }

// Celsius returns t in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) - zeroCelsius }
