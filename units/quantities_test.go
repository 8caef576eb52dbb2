package units

import (
	"encoding"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"math/big"
	"reflect"
	"testing"
)

// A quantity gives tests every type through one set of functions.
type quantity struct {
	typ     string
	spec    *spec
	parse   func(text string) (float64, error)
	marshal func(v float64) ([]byte, error)
	format  func(v float64) string
	keeps   func(v float64, text string) (float64, error) // unmarshals over v, returns what is left
}

func of[Q interface {
	~float64
	encoding.TextMarshaler
	String() string
}, P interface {
	*Q
	encoding.TextUnmarshaler
}](s *spec) quantity {
	return quantity{
		typ:  reflect.TypeFor[Q]().Name(),
		spec: s,
		parse: func(text string) (float64, error) {
			q, err := Parse[Q, P](text)
			return float64(q), err
		},
		marshal: func(v float64) ([]byte, error) { return Q(v).MarshalText() },
		format:  func(v float64) string { return Q(v).String() },
		keeps: func(v float64, text string) (float64, error) {
			q := Q(v)
			err := P(&q).UnmarshalText([]byte(text))
			return float64(q), err
		},
	}
}

var quantities = []quantity{
	of[Frequency](&frequencies),
	of[Length](&lengths),
	of[Area](&areas),
	of[Volume](&volumes),
	of[Mass](&masses),
	of[Density](&densities),
	of[Compliance](&compliances),
	of[MechanicalResistance](&mechanicalResistances),
	of[ForceFactor](&forceFactors),
	of[Resistance](&resistances),
	of[Inductance](&inductances),
	of[Capacitance](&capacitances),
	of[Voltage](&voltages),
	of[Current](&currents),
	of[Power](&powers),
	of[PressureLevel](&pressureLevels),
	of[Pressure](&pressures),
	of[Velocity](&velocities),
	of[Viscosity](&viscosities),
	of[Temperature](&temperatures),
	of[Angle](&angles),
	of[Time](&times),
	of[Ratio](&ratios),
}

// Every float64 type of quantities.go must be in the list above, with its own
// table, and every constant of it must be a unit that is read.
func TestEveryQuantityIsTested(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "quantities.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	tested, names := map[string]bool{}, map[string]bool{}
	for _, q := range quantities {
		if names[q.spec.name] {
			t.Errorf("%s: table %q serves two types", q.typ, q.spec.name)
		}
		tested[q.typ], names[q.spec.name] = true, true
	}
	declared := 0
	ast.Inspect(file, func(n ast.Node) bool {
		if d, ok := n.(*ast.TypeSpec); ok {
			declared++
			if !tested[d.Name.Name] {
				t.Errorf("%s is not in the list of quantities under test", d.Name.Name)
			}
		}
		return true
	})
	if declared != len(quantities) {
		t.Errorf("%d types declared, %d under test", declared, len(quantities))
	}
}

// constants are written as products and quotients, tables as decimals.
var constants = map[string]map[string]float64{
	"Frequency":            {"Hz": float64(Hertz), "kHz": float64(Kilohertz)},
	"Length":               {"m": float64(Metre), "cm": float64(Centimetre), "mm": float64(Millimetre), "µm": float64(Micrometre), "in": float64(Inch), "ft": float64(Foot)},
	"Area":                 {"m²": float64(SquareMetre), "cm²": float64(SquareCentimetre), "mm²": float64(SquareMillimetre), "sq in": float64(SquareInch), "sq ft": float64(SquareFoot)},
	"Volume":               {"m³": float64(CubicMetre), "L": float64(Litre), "cm³": float64(CubicCentimetre), "cu in": float64(CubicInch), "cu ft": float64(CubicFoot)},
	"Mass":                 {"kg": float64(Kilogram), "g": float64(Gram), "mg": float64(Milligram), "lb": float64(Pound), "oz": float64(Ounce)},
	"Density":              {"kg/m³": float64(KilogramPerCubicMetre)},
	"Compliance":           {"m/N": float64(MetrePerNewton), "mm/N": float64(MillimetrePerNewton), "µm/N": float64(MicrometrePerNewton)},
	"MechanicalResistance": {"kg/s": float64(KilogramPerSecond)},
	"ForceFactor":          {"T·m": float64(TeslaMetre)},
	"Resistance":           {"Ω": float64(Ohm), "mΩ": float64(Milliohm), "kΩ": float64(Kiloohm)},
	"Inductance":           {"H": float64(Henry), "mH": float64(Millihenry), "µH": float64(Microhenry)},
	"Capacitance":          {"F": float64(Farad), "µF": float64(Microfarad), "nF": float64(Nanofarad), "pF": float64(Picofarad)},
	"Voltage":              {"V": float64(Volt), "mV": float64(Millivolt)},
	"Current":              {"A": float64(Ampere), "mA": float64(Milliampere)},
	"Power":                {"W": float64(Watt), "mW": float64(Milliwatt)},
	"PressureLevel":        {"dB": float64(Decibel)},
	"Pressure":             {"Pa": float64(Pascal), "hPa": float64(Hectopascal), "kPa": float64(Kilopascal)},
	"Velocity":             {"m/s": float64(MetrePerSecond)},
	"Viscosity":            {"Pa·s": float64(PascalSecond)},
	"Temperature":          {"K": float64(Kelvin)},
	"Angle":                {"rad": float64(Radian), "°": float64(Degree)},
	"Time":                 {"s": float64(Second), "ms": float64(Millisecond), "µs": float64(Microsecond)},
	"Ratio":                {"no unit": float64(One), "%": float64(Percent)},
}

func TestTablesAgreeWithConstants(t *testing.T) {
	for _, q := range quantities {
		if len(constants[q.typ]) == 0 {
			t.Errorf("%s: no constant", q.typ)
		}
		scales := map[string]float64{}
		for _, u := range q.spec.units {
			scale, ok := new(big.Rat).SetString(u.scale)
			if !ok {
				t.Fatalf("%s: %s: scale %q", q.typ, u.symbol, u.scale)
			}
			scales[u.symbol], _ = scale.Float64()
		}
		for symbol, want := range constants[q.typ] {
			if got, ok := scales[symbol]; !ok || got != want {
				t.Errorf("%s: %s is %v in the table (listed: %v), %v as a constant", q.typ, symbol, got, ok, want)
			}
		}
	}
}

func TestTablesAreSound(t *testing.T) {
	for _, q := range quantities {
		seen := map[string]bool{}
		for _, u := range q.spec.units {
			own := false
			for k := range splitKeys(u) {
				if k != key(k) {
					t.Errorf("%s: %s: spelling %q can never match, key makes it %q", q.typ, u.symbol, k, key(k))
				}
				if seen[k] {
					t.Errorf("%s: spelling %q is listed twice", q.typ, k)
				}
				seen[k] = true
				own = own || k == key(u.symbol) || k == ""
			}
			if !own {
				t.Errorf("%s: the symbol %q itself is not read", q.typ, u.symbol)
			}
			if u.offset != "" {
				if _, ok := new(big.Rat).SetString(u.offset); !ok {
					t.Errorf("%s: %s: offset %q", q.typ, u.symbol, u.offset)
				}
			}
		}
		lowest := math.Inf(1)
		for _, w := range q.spec.views {
			lowest = min(lowest, w.from)
			got, err := q.parse("1 " + w.symbol)
			if err != nil || got != math.Pow10(w.exponent) {
				t.Errorf("%s: 1 %s is written for 1e%d but read as %v, %v", q.typ, w.symbol, w.exponent, got, err)
			}
		}
		if lowest != 0 {
			t.Errorf("%s: nothing to write values below %v", q.typ, lowest)
		}
	}
}
