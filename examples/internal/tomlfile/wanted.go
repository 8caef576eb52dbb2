package tomlfile

import (
	"encoding"
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"example.com/halfspace/units"
)

var (
	plainNumber  = regexp.MustCompile(`^[+-]?\d+(\.\d+)?$`)
	decimalComma = regexp.MustCompile(`^([+-]?\d+),(\d+)$`)
	numberFirst  = regexp.MustCompile(`^([+-]?\d+(?:[.,]\d+)?)\s*(.*)$`)
	currency     = regexp.MustCompile(`^(\p{Sc}|[A-Z]{3}|Fr\.?|kr\.?)$`)
)

// wanted says what a key of a type takes, with an example that fits the value refused.
func wanted(t, root reflect.Type, value string) string {
	inside := strings.TrimSpace(strings.Trim(value, `"'`))
	quoted := inside != value
	bare := ""
	if !quoted && inside != "" && strings.IndexByte("[{", inside[0]) < 0 && numberFirst.FindString(inside) == "" {
		bare = fmt.Sprintf(", as %q", inside)
	}
	switch {
	case isQuantity(t):
		return "text with a unit, as " + amounts(t, inside)
	case IsText(t):
		return "a word in quotes" + bare
	case t.Kind() == reflect.Int:
		return "a whole number"
	case t.Kind() == reflect.Float64:
		return number(root, inside, quoted)
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.String:
		return "text in quotes" + bare
	case t.Kind() == reflect.Slice:
		return "a list in brackets"
	default:
		return "a table"
	}
}

// number says how a plain number is written.
func number(root reflect.Type, given string, quoted bool) string {
	if strings.HasPrefix(given, ".") {
		given = "0" + given
	}
	m := numberFirst.FindStringSubmatch(given)
	if m == nil {
		return "a number"
	}
	point, unit := strings.Replace(m[1], ",", ".", 1), m[2]
	for len(point) > 1 && point[0] == '0' && point[1] >= '0' && point[1] <= '9' {
		point = point[1:] // TOML allows no zeros before a number
	}
	switch {
	case unit == "" && quoted && point == given:
		return "a number without quotes, as " + point
	case unit == "":
		return "a number with a decimal point, as " + point
	case currency.MatchString(unit):
		said := "a number alone, as " + point
		if root.Kind() == reflect.Struct {
			if _, ok := root.FieldByName("Currency"); ok {
				said += "; the currency stands in the key currency"
			}
		}
		return said
	}
	return "a number alone, with a decimal point"
}

// handy is an amount of each quantity as it occurs in a speaker.
var handy = map[reflect.Type]string{
	reflect.TypeFor[units.Length](): "70 mm", reflect.TypeFor[units.Area](): "136 cm²", reflect.TypeFor[units.Volume](): "25 L",
	reflect.TypeFor[units.Frequency](): "40 Hz", reflect.TypeFor[units.Mass](): "14 g", reflect.TypeFor[units.Density](): "680 kg/m³",
	reflect.TypeFor[units.Compliance](): "1.2 mm/N", reflect.TypeFor[units.MechanicalResistance](): "0.7 kg/s",
	reflect.TypeFor[units.ForceFactor](): "6.7 T·m", reflect.TypeFor[units.Resistance](): "8 ohm",
	reflect.TypeFor[units.Inductance](): "0.5 mH", reflect.TypeFor[units.Capacitance](): "6.8 uF",
	reflect.TypeFor[units.Voltage](): "2.83 V", reflect.TypeFor[units.Current](): "2 A", reflect.TypeFor[units.Power](): "50 W",
	reflect.TypeFor[units.PressureLevel](): "88 dB", reflect.TypeFor[units.Velocity](): "17 m/s", reflect.TypeFor[units.Pressure](): "1013 hPa",
	reflect.TypeFor[units.Temperature](): "20 °C", reflect.TypeFor[units.Angle](): "15°", reflect.TypeFor[units.Time](): "2 ms",
	reflect.TypeFor[units.Ratio](): "0.4 %",
}

// amounts writes a handy amount of a quantity, that given if it is a bare number.
func amounts(t reflect.Type, given string) string {
	sample, ok := handy[t]
	if !ok {
		sample = fmt.Sprint(reflect.New(t).Elem().Interface())
	}
	unit := strings.TrimLeft(sample, "0123456789.")
	if m := decimalComma.FindStringSubmatch(given); m != nil {
		given = m[1] + "." + m[2]
	}
	if !plainNumber.MatchString(given) || t == reflect.TypeFor[units.Ratio]() {
		if m := numberFirst.FindStringSubmatch(given); m != nil && m[2] != "" {
			if u, ok := reflect.New(t).Interface().(encoding.TextUnmarshaler); ok && u.UnmarshalText([]byte(given)) == nil {
				return strconv.Quote(given) // only the quotes are missing
			}
		}
		return strconv.Quote(sample)
	}
	if v, err := strconv.ParseFloat(given, 64); t == reflect.TypeFor[units.Length]() && err == nil && v < 10 {
		// A small number may be meant in metres.
		return fmt.Sprintf("%q or %q", given+" mm", given+" m")
	}
	return strconv.Quote(given + unit)
}
