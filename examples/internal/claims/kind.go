package claims

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"example.com/halfspace/units"
)

// A kind is what sort of quantity a number is, with the unit that results have where
// the claim's own does not serve.
type kind struct {
	name  string
	unit  string  // empty for none
	scale float64 // SI of one unit
	parse func(text string) (float64, error)
}

// of returns the kind of a quantity of package units.
func of[Q ~float64, P interface {
	*Q
	encoding.TextUnmarshaler
}](name, unit string, scale float64) kind {
	return kind{name, unit, scale, func(text string) (float64, error) {
		v, err := units.Parse[Q, P](text)
		var e *units.ParseError
		if errors.As(err, &e) {
			err = errors.New(e.Problem)
		}
		return float64(v), err
	}}
}

// own returns a kind that package units does not have, with its spellings.
func own(name, unit string, spellings map[string]float64) kind {
	return kind{name, unit, spellings[unit], func(text string) (float64, error) {
		number, rest := split(text)
		scale, ok := spellings[strings.TrimSpace(rest)]
		if number == "" || !ok {
			return 0, fmt.Errorf("want a number with its unit, as %s", strings.TrimSpace("1.5 "+unit))
		}
		v, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return 0, errors.New("too large")
		}
		return v * scale, nil
	}}
}

// Types of inputs and outputs that package units has no type for.
type (
	decibels       float64 // ratio of levels
	perMetre       float64 // Ω/m
	nepers         float64 // Np/m
	thermal        float64 // K/W
	heatCapacity   float64 // J/K
	specificHeat   float64 // J/(kg K)
	perKelvin      float64
	rise           float64 // K
	flow           float64 // m³/s
	soundImpedance float64 // Pa·s/m
)

// kinds are those of all types that inputs and outputs have.
var kinds = map[reflect.Type]kind{
	reflect.TypeFor[units.Frequency]():            of[units.Frequency]("frequency", "Hz", 1),
	reflect.TypeFor[units.Length]():               of[units.Length]("length", "mm", 1e-3),
	reflect.TypeFor[units.Area]():                 of[units.Area]("area", "cm²", 1e-4),
	reflect.TypeFor[units.Volume]():               of[units.Volume]("volume", "L", 1e-3),
	reflect.TypeFor[units.Mass]():                 of[units.Mass]("mass", "g", 1e-3),
	reflect.TypeFor[units.Density]():              of[units.Density]("density", "kg/m³", 1),
	reflect.TypeFor[units.Compliance]():           of[units.Compliance]("compliance", "mm/N", 1e-3),
	reflect.TypeFor[units.MechanicalResistance](): of[units.MechanicalResistance]("mechanical resistance", "kg/s", 1),
	reflect.TypeFor[units.ForceFactor]():          of[units.ForceFactor]("force factor", "T·m", 1),
	reflect.TypeFor[units.Resistance]():           of[units.Resistance]("resistance", "Ω", 1),
	reflect.TypeFor[units.Inductance]():           of[units.Inductance]("inductance", "mH", 1e-3),
	reflect.TypeFor[units.Capacitance]():          of[units.Capacitance]("capacitance", "µF", 1e-6),
	reflect.TypeFor[units.Voltage]():              of[units.Voltage]("voltage", "V", 1),
	reflect.TypeFor[units.Current]():              of[units.Current]("current", "A", 1),
	reflect.TypeFor[units.Power]():                of[units.Power]("power", "W", 1),
	reflect.TypeFor[units.Pressure]():             of[units.Pressure]("pressure", "Pa", 1),
	reflect.TypeFor[units.PressureLevel]():        of[units.PressureLevel]("level", "dB", 1),
	reflect.TypeFor[decibels]():                   of[units.PressureLevel]("level", "dB", 1),
	reflect.TypeFor[units.Velocity]():             of[units.Velocity]("velocity", "m/s", 1),
	reflect.TypeFor[units.Viscosity]():            of[units.Viscosity]("viscosity", "Pa·s", 1),
	reflect.TypeFor[units.Temperature]():          of[units.Temperature]("temperature", "K", 1),
	reflect.TypeFor[units.Angle]():                of[units.Angle]("angle", "°", math.Pi/180),
	reflect.TypeFor[units.Time]():                 of[units.Time]("time", "ms", 1e-3),
	reflect.TypeFor[units.Ratio]():                of[units.Ratio]("number", "", 1),
	reflect.TypeFor[float64]():                    of[units.Ratio]("number", "", 1),
	reflect.TypeFor[int]():                        of[units.Ratio]("number", "", 1),
	reflect.TypeFor[perMetre]():                   own("resistance per length", "Ω/m", map[string]float64{"Ω/m": 1, "ohm/m": 1, "Ω/km": 1e-3, "ohm/km": 1e-3}),
	reflect.TypeFor[nepers]():                     own("attenuation per length", "Np/m", map[string]float64{"Np/m": 1, "dB/m": math.Ln10 / 20}),
	reflect.TypeFor[thermal]():                    own("thermal resistance", "K/W", map[string]float64{"K/W": 1}),
	reflect.TypeFor[heatCapacity]():               own("heat capacity", "J/K", map[string]float64{"J/K": 1}),
	reflect.TypeFor[specificHeat]():               own("specific heat", "J/(kg·K)", map[string]float64{"J/(kg·K)": 1, "J/(kg K)": 1}),
	reflect.TypeFor[perKelvin]():                  own("temperature coefficient", "1/K", map[string]float64{"1/K": 1, "/K": 1}),
	reflect.TypeFor[rise]():                       own("rise of temperature", "K", map[string]float64{"K": 1}),
	reflect.TypeFor[flow]():                       own("volume velocity", "m³/s", map[string]float64{"m³/s": 1, "m3/s": 1, "L/s": 1e-3}),
	reflect.TypeFor[soundImpedance]():             own("specific acoustic impedance", "Pa·s/m", map[string]float64{"Pa·s/m": 1}),
}

// numeral matches the plain decimal number a text begins with.
var numeral = regexp.MustCompile(`^[-+−]?[0-9]+([.,][0-9]+)?([eE][-+]?[0-9]+)?`)

// split cuts the number off its unit; number is empty if the text does not begin with
// a plain decimal one.
func split(text string) (number, rest string) {
	text = strings.TrimSpace(text)
	number = numeral.FindString(text)
	rest = text[len(number):]
	number = strings.NewReplacer(",", ".", "−", "-").Replace(number)
	if rest != "" && strings.Contains("0123456789/.,-'", rest[:1]) { // 3/4 in, 1-1/8 in, 3' 4"
		return "", text
	}
	return number, rest
}

// half returns half a unit of the last digit of the number that a text begins with, as
// a text with the same unit.
func half(text string) (string, bool) {
	number, rest := split(text)
	if number == "" {
		return "", false
	}
	mantissa, exponent := number, "0"
	if i := strings.IndexAny(number, "eE"); i >= 0 {
		mantissa, exponent = number[:i], number[i+1:]
	}
	digits := 0
	if _, fraction, ok := strings.Cut(mantissa, "."); ok {
		digits = len(fraction)
	}
	e, err := strconv.Atoi(exponent)
	if err != nil || e > 400 || e < -400 {
		return "", false
	}
	return fmt.Sprintf("5e%d%s", e-digits-1, rest), true
}

// shown is a kind as one claim writes it: the unit of its value.
type shown struct {
	unit  string // with the blank before it, if it has one
	scale float64
	zero  float64 // what is smaller is shown as 0, for below it machines differ
}

// zero is a thousand millionth of the usual unit.
func (k kind) zero() float64 { return 1e-9 * k.scale }

func (k kind) shownAs(text string) shown {
	if number, rest := split(text); number != "" && k.name != "temperature" {
		if one, err := k.parse("1" + rest); err == nil && one > 0 {
			return shown{rest, one, k.zero()}
		}
	}
	if k.unit == "" || k.unit == "°" {
		return shown{k.unit, k.scale, k.zero()}
	}
	return shown{" " + k.unit, k.scale, k.zero()}
}
