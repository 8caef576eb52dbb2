package units

import "math"

// The tables by which quantities are read and written. Scales are definitions,
// exact; those of inch, foot, pound and ounce are the international ones of 1959.
// A test holds them equal to the constants.

var frequencies = spec{
	name: "frequency",
	units: []unit{
		{symbol: "Hz", keys: "hz|hertz", scale: "1"},
		{symbol: "kHz", keys: "khz", scale: "1e3"},
		{symbol: "MHz", keys: "Mhz", scale: "1e6"},
	},
	views: []view{{"Hz", 0, 0}, {"kHz", 3, 1e3}, {"MHz", 6, 1e6}},
}

var lengths = spec{
	name: "length",
	units: []unit{
		{symbol: "mm", keys: "mm|millimetre|millimetres|millimeter|millimeters", scale: "1e-3"},
		{symbol: "cm", keys: "cm|centimetre|centimetres|centimeter|centimeters", scale: "1e-2"},
		{symbol: "m", keys: "m|metre|metres|meter|meters", scale: "1"},
		{symbol: "µm", keys: "µm", scale: "1e-6"},
		{symbol: "in", keys: `in|inch|inches|"`, scale: "0.0254"},
		{symbol: "ft", keys: "ft|foot|feet|'", scale: "0.3048"},
	},
	views: []view{{"mm", -3, 1e-4}, {"µm", -6, 0}, {"m", 0, 1}},
	feet:  true,
}

var areas = spec{
	name: "area",
	units: []unit{
		{symbol: "cm²", keys: "cm2|sq cm|sqcm", scale: "1e-4"},
		{symbol: "mm²", keys: "mm2|sq mm|sqmm", scale: "1e-6"},
		{symbol: "m²", keys: "m2|sq m|sqm", scale: "1"},
		{symbol: "sq in", keys: "sq in|sqin|in2|square inch|square inches", scale: "645.16e-6"},
		{symbol: "sq ft", keys: "sq ft|sqft|ft2|square foot|square feet", scale: "0.09290304"},
	},
	views: []view{{"cm²", -4, 1e-4}, {"mm²", -6, 0}, {"m²", 0, 1}},
}

var volumes = spec{
	name: "volume",
	units: []unit{
		{symbol: "L", keys: "l|litre|litres|liter|liters|dm3", scale: "1e-3"},
		{symbol: "cm³", keys: "cm3|cc|ccm|ml|cu cm", scale: "1e-6"},
		{symbol: "m³", keys: "m3|cu m", scale: "1"},
		{symbol: "cu in", keys: "cu in|cuin|in3|cubic inch|cubic inches", scale: "16.387064e-6"},
		{symbol: "cu ft", keys: "cu ft|cuft|ft3|cubic foot|cubic feet", scale: "0.028316846592"},
	},
	views: []view{{"L", -3, 1e-3}, {"cm³", -6, 0}, {"m³", 0, 10}},
}

var masses = spec{
	name: "mass",
	units: []unit{
		{symbol: "g", keys: "g|gram|grams|gramme|grammes", scale: "1e-3"},
		{symbol: "mg", keys: "mg", scale: "1e-6"},
		{symbol: "kg", keys: "kg", scale: "1"},
		{symbol: "oz", keys: "oz|ounce|ounces", scale: "0.028349523125"},
		{symbol: "lb", keys: "lb|lbs|pound|pounds", scale: "0.45359237"},
	},
	views: []view{{"g", -3, 1e-4}, {"mg", -6, 0}, {"kg", 0, 1}},
}

var densities = spec{
	name: "density",
	units: []unit{
		{symbol: "kg/m³", keys: "kg/m3", scale: "1"},
		{symbol: "g/cm³", keys: "g/cm3|g/cc|kg/l|kg/dm3", scale: "1e3"},
	},
	views: []view{{"kg/m³", 0, 0}},
}

var compliances = spec{
	name: "compliance",
	units: []unit{
		{symbol: "mm/N", keys: "mm/n", scale: "1e-3"},
		{symbol: "µm/N", keys: "µm/n", scale: "1e-6"},
		{symbol: "m/N", keys: "m/n", scale: "1"},
	},
	views: []view{{"mm/N", -3, 1e-4}, {"µm/N", -6, 0}, {"m/N", 0, 1}},
}

var mechanicalResistances = spec{
	name: "mechanical resistance",
	units: []unit{
		{symbol: "kg/s", keys: "kg/s", scale: "1"},
		{symbol: "N·s/m", keys: "n s/m|ns/m", scale: "1"},
	},
	views: []view{{"kg/s", 0, 0}},
}

var forceFactors = spec{
	name: "force factor",
	units: []unit{
		{symbol: "T·m", keys: "t m|tm", scale: "1"},
		{symbol: "N/A", keys: "n/a", scale: "1"},
	},
	views: []view{{"T·m", 0, 0}},
}

var resistances = spec{
	name: "resistance",
	units: []unit{
		{symbol: "Ω", keys: "ω|ohm|ohms|r", scale: "1"},
		{symbol: "mΩ", keys: "mω|mohm|mohms|milliohm|milliohms", scale: "1e-3"},
		{symbol: "kΩ", keys: "kω|kohm|kohms|k", scale: "1e3"},
		{symbol: "MΩ", keys: "Mω|Mohm|Mohms|M", scale: "1e6"},
	},
	views:    []view{{"Ω", 0, 0.1}, {"mΩ", -3, 0}, {"kΩ", 3, 1e3}, {"MΩ", 6, 1e6}},
	lettered: true,
}

var inductances = spec{
	name: "inductance",
	units: []unit{
		{symbol: "mH", keys: "mh|m", scale: "1e-3"},
		{symbol: "µH", keys: "µh|µ", scale: "1e-6"},
		{symbol: "nH", keys: "nh|n", scale: "1e-9"},
		{symbol: "H", keys: "h|henry|henries", scale: "1"},
	},
	views:    []view{{"mH", -3, 1e-4}, {"µH", -6, 0}, {"H", 0, 1}},
	lettered: true,
}

var capacitances = spec{
	name: "capacitance",
	units: []unit{
		{symbol: "µF", keys: "µf|µ", scale: "1e-6"},
		{symbol: "nF", keys: "nf|n", scale: "1e-9"},
		{symbol: "pF", keys: "pf|p", scale: "1e-12"},
		{symbol: "F", keys: "f|farad|farads", scale: "1"},
	},
	views:    []view{{"µF", -6, 1e-7}, {"nF", -9, 1e-9}, {"pF", -12, 0}, {"F", 0, 1}},
	lettered: true,
}

var voltages = spec{
	name: "voltage",
	units: []unit{
		{symbol: "V", keys: "v|volt|volts", scale: "1"},
		{symbol: "mV", keys: "mv", scale: "1e-3"},
	},
	views: []view{{"V", 0, 0.1}, {"mV", -3, 0}},
}

var currents = spec{
	name: "current",
	units: []unit{
		{symbol: "A", keys: "a|amp|amps|ampere|amperes", scale: "1"},
		{symbol: "mA", keys: "ma", scale: "1e-3"},
	},
	views: []view{{"A", 0, 0.1}, {"mA", -3, 0}},
}

var powers = spec{
	name: "power",
	units: []unit{
		{symbol: "W", keys: "w|watt|watts", scale: "1"},
		{symbol: "mW", keys: "mw", scale: "1e-3"},
		{symbol: "kW", keys: "kw", scale: "1e3"},
	},
	views: []view{{"W", 0, 0.1}, {"mW", -3, 0}, {"kW", 3, 1e3}},
}

var pressureLevels = spec{
	name:  "pressure level",
	units: []unit{{symbol: "dB", keys: "db|db spl|dbspl", scale: "1"}},
	views: []view{{"dB", 0, 0}},
}

var pressures = spec{
	name: "pressure",
	units: []unit{
		{symbol: "Pa", keys: "pa|pascal|pascals", scale: "1"},
		{symbol: "hPa", keys: "hpa", scale: "1e2"},
		{symbol: "kPa", keys: "kpa", scale: "1e3"},
		{symbol: "mbar", keys: "mbar", scale: "1e2"},
		{symbol: "bar", keys: "bar", scale: "1e5"},
		{symbol: "mPa", keys: "mpa", scale: "1e-3"},
		{symbol: "µPa", keys: "µpa", scale: "1e-6"},
	},
	views: []view{{"Pa", 0, 0.1}, {"mPa", -3, 1e-3}, {"µPa", -6, 0}, {"kPa", 3, 1e3}},
}

var velocities = spec{
	name: "velocity",
	units: []unit{
		{symbol: "m/s", keys: "m/s", scale: "1"},
		{symbol: "ft/s", keys: "ft/s|fps", scale: "0.3048"},
	},
	views: []view{{"m/s", 0, 0}},
}

var viscosities = spec{
	name: "viscosity",
	units: []unit{
		{symbol: "Pa·s", keys: "pa s|pas", scale: "1"},
		{symbol: "µPa·s", keys: "µpa s|µpas", scale: "1e-6"},
	},
	views: []view{{"µPa·s", -6, 0}, {"Pa·s", 0, 1e-2}},
}

var temperatures = spec{
	name: "temperature",
	units: []unit{
		{symbol: "°C", keys: "°c|c|degc|deg c", scale: "1", offset: "273.15"},
		{symbol: "°F", keys: "°f|f|degf|deg f", scale: "5/9", offset: "459.67"},
		{symbol: "K", keys: "k|kelvin", scale: "1"},
	},
	views: []view{{"K", 0, 0}},
	people: func(v float64) string {
		c := Temperature(v).Celsius()
		if math.Abs(c) < 1 {
			c = math.Round(c*1e9)/1e9 + 0 // near 0 °C the subtraction leaves noise, and a minus
		}
		return shifted(c, 4, 0) + " °C"
	},
}

var angles = spec{
	name: "angle",
	units: []unit{
		// π/180 to many more digits than a float64 holds.
		{symbol: "°", keys: "°|deg|degs|degree|degrees", scale: "0.017453292519943295769236907684886127134428718885417254560971914401710091146034494436822415696345"},
		{symbol: "rad", keys: "rad|radian|radians", scale: "1"},
	},
	views:  []view{{"rad", 0, 0}},
	people: func(v float64) string { return shifted(v*(180/math.Pi), 4, 0) + "°" },
}

var times = spec{
	name: "time",
	units: []unit{
		{symbol: "ms", keys: "ms", scale: "1e-3"},
		{symbol: "µs", keys: "µs", scale: "1e-6"},
		{symbol: "s", keys: "s|sec|second|seconds", scale: "1"},
	},
	views: []view{{"ms", -3, 1e-3}, {"µs", -6, 0}, {"s", 0, 1}},
}

var ratios = spec{
	name: "ratio",
	units: []unit{
		{symbol: "no unit", keys: "", scale: "1"},
		{symbol: "%", keys: "%|percent|per cent", scale: "1/100"},
	},
	views: []view{{"", 0, 0}},
	bare:  true,
}
