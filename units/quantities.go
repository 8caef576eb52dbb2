package units

import "math"

// Constants are products of plain numbers with one typed constant at the end:
// a typed constant is rounded, and 12 * Inch would be rounded twice.

// The quantities. Each is a float64 in its coherent SI unit, so the zero value
// is a usable zero, and arithmetic within one quantity needs no conversion.
type (
	// Frequency is a frequency in hertz.
	Frequency float64
	// Length is a length in metres.
	Length float64
	// Area is an area in square metres.
	Area float64
	// Volume is a volume in cubic metres.
	Volume float64
	// Mass is a mass in kilograms.
	Mass float64
	// Density is a mass per volume in kilograms per cubic metre.
	Density float64
	// Compliance is a mechanical compliance in metres per newton.
	Compliance float64
	// MechanicalResistance is a mechanical resistance in kilograms per second, which is newton seconds per metre.
	MechanicalResistance float64
	// ForceFactor is a force per current in newtons per ampere, which is tesla metres.
	ForceFactor float64
	// Resistance is an electrical resistance or the modulus of an impedance in ohms.
	Resistance float64
	// Inductance is an inductance in henries.
	Inductance float64
	// Capacitance is a capacitance in farads.
	Capacitance float64
	// Voltage is a voltage in volts, RMS unless said otherwise.
	Voltage float64
	// Current is a current in amperes, RMS unless said otherwise.
	Current float64
	// Power is a power in watts.
	Power float64
	// PressureLevel is a sound pressure level in decibels re 20 µPa.
	PressureLevel float64
	// Pressure is a pressure in pascals.
	Pressure float64
	// Velocity is a velocity in metres per second.
	Velocity float64
	// Viscosity is a dynamic viscosity in pascal seconds.
	Viscosity float64
	// Temperature is an absolute temperature in kelvins. Degrees Celsius have another zero:
	// see [Celsius] and [Temperature.Celsius].
	Temperature float64
	// Angle is an angle in radians.
	Angle float64
	// Time is a time in seconds, for delays; a time.Duration is too coarse for them.
	Time float64
	// Ratio is a number without a unit, also written in per cent.
	Ratio float64
)

// Units of [Frequency].
const (
	Hertz     Frequency = 1
	Kilohertz           = 1000 * Hertz
)

// Units of [Length].
const (
	Metre      Length = 1
	Centimetre        = Metre / 100
	Millimetre        = Metre / 1000
	Micrometre        = Metre / 1e6
	Inch              = 0.0254 * Metre // exact since 1959
	Foot              = 12 * 0.0254 * Metre
)

// Units of [Area].
const (
	SquareMetre      Area = 1
	SquareCentimetre      = SquareMetre / 1e4
	SquareMillimetre      = SquareMetre / 1e6
	SquareInch            = 0.0254 * 0.0254 * SquareMetre
	SquareFoot            = 144 * 0.0254 * 0.0254 * SquareMetre
)

// Units of [Volume].
const (
	CubicMetre      Volume = 1
	Litre                  = CubicMetre / 1000
	CubicCentimetre        = CubicMetre / 1e6
	CubicInch              = 0.0254 * 0.0254 * 0.0254 * CubicMetre
	CubicFoot              = 1728 * 0.0254 * 0.0254 * 0.0254 * CubicMetre
)

// Units of [Mass].
const (
	Kilogram  Mass = 1
	Gram           = Kilogram / 1000
	Milligram      = Kilogram / 1e6
	Pound          = 0.45359237 * Kilogram // exact since 1959
	Ounce          = Pound / 16
)

// Units of [Density].
const (
	KilogramPerCubicMetre Density = 1
)

// Units of [Compliance].
const (
	MetrePerNewton      Compliance = 1
	MillimetrePerNewton            = MetrePerNewton / 1000
	MicrometrePerNewton            = MetrePerNewton / 1e6
)

// Units of [MechanicalResistance].
const (
	KilogramPerSecond MechanicalResistance = 1
)

// Units of [ForceFactor].
const (
	TeslaMetre ForceFactor = 1
)

// Units of [Resistance].
const (
	Ohm      Resistance = 1
	Milliohm            = Ohm / 1000
	Kiloohm             = 1000 * Ohm
)

// Units of [Inductance].
const (
	Henry      Inductance = 1
	Millihenry            = Henry / 1000
	Microhenry            = Henry / 1e6
)

// Units of [Capacitance].
const (
	Farad      Capacitance = 1
	Microfarad             = Farad / 1e6
	Nanofarad              = Farad / 1e9
	Picofarad              = Farad / 1e12
)

// Units of [Voltage].
const (
	Volt      Voltage = 1
	Millivolt         = Volt / 1000
)

// Units of [Current].
const (
	Ampere      Current = 1
	Milliampere         = Ampere / 1000
)

// Units of [Power].
const (
	Watt      Power = 1
	Milliwatt       = Watt / 1000
)

// Units of [PressureLevel].
const (
	Decibel PressureLevel = 1
)

// Units of [Pressure].
const (
	Pascal      Pressure = 1
	Hectopascal          = 100 * Pascal
	Kilopascal           = 1000 * Pascal
)

// Units of [Velocity].
const (
	MetrePerSecond Velocity = 1
)

// Units of [Viscosity].
const (
	PascalSecond Viscosity = 1
)

// Units of [Temperature].
const (
	Kelvin Temperature = 1
)

// Units of [Angle].
const (
	Radian Angle = 1
	Degree       = math.Pi / 180 * Radian
)

// Units of [Time].
const (
	Second      Time = 1
	Millisecond      = Second / 1000
	Microsecond      = Second / 1e6
)

// Units of [Ratio].
const (
	One     Ratio = 1
	Percent       = One / 100
)
