package units

import (
	"errors"
	"fmt"
	"iter"
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
)

func splitKeys(u unit) iter.Seq[string] { return strings.SplitSeq(u.keys, "|") }

func quantityOf(t testing.TB, typ string) quantity {
	t.Helper()
	for _, q := range quantities {
		if q.typ == typ {
			return q
		}
	}
	t.Fatalf("no quantity %q", typ)
	return quantity{}
}

// Rows: one unit of the calculation's quantity, read from text.
func TestGolden(t *testing.T) {
	golden.Run(t, "testdata/units.csv", func(t *testing.T, r golden.Row) {
		q := quantityOf(t, r.Calculation)
		v, err := q.parse(r.Word(t, "text"))
		if err != nil {
			t.Fatal(err)
		}
		one, err := q.parse("1 " + r.Unit)
		if err != nil {
			t.Fatal(err)
		}
		r.Check(t, v/one)
	})
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		typ, text string
		want      float64 // the float64 nearest to the exact value in SI
	}{
		{"Volume", "24 L", 0.024},
		{"Volume", "24L", 0.024},
		{"Volume", "  24\u00a0l ", 0.024},
		{"Volume", "24 litres", 0.024},
		{"Volume", "24\u202fdm³", 0.024},
		{"Volume", "850 cm³", 850e-6},
		{"Volume", "850cm3", 850e-6},
		{"Volume", "850 cm^3", 850e-6},
		{"Volume", "850 cc", 850e-6},
		{"Volume", "850 ml", 850e-6},
		{"Volume", "0.85 cu ft", 0.0240693196032},
		{"Volume", "0.85 cu. ft.", 0.0240693196032},
		{"Volume", "0.85 ft³", 0.0240693196032},
		{"Volume", "1 1/2 cu ft", 0.042475269888},
		{"Volume", "100 in³", 1638.7064e-6},
		{"Volume", "60 m³", 60},
		{"Volume", "-3 L", -0.003},
		{"Volume", "−3 L", -0.003},
		{"Volume", "+3 L", 0.003},
		{"Volume", "3,5 L", 0.0035},
		{"Volume", "0,470 L", 0.00047},
		{"Volume", "1234,567 cm³", 1234.567e-6},
		{"Volume", "2.4e1 L", 0.024},
		{"Volume", "2.4E-5m³", 2.4e-5},
		{"Length", `3/4"`, 0.01905},
		{"Length", `3/4″`, 0.01905},
		{"Length", "¾ in", 0.01905},
		{"Length", "1-1/8 in", 0.028575},
		{"Length", "1–1/8 in", 0.028575},
		{"Length", "1 1/8 in", 0.028575},
		{"Length", "1⅛ inch", 0.028575},
		{"Length", "-1 1/8 in", -0.028575},
		{"Length", "1/3 in", 0.0254 / 3},
		{"Length", "3'", 0.9144},
		{"Length", "3 feet", 0.9144},
		{"Length", "3/4 ft", 0.2286},
		{"Length", `3' 4"`, 1.016},
		{"Length", `3'4"`, 1.016},
		{"Length", `3'-4"`, 1.016},
		{"Length", `3′ 4″`, 1.016},
		{"Length", `3’ 4”`, 1.016},
		{"Length", "3 ft 4 in", 1.016},
		{"Length", `3' 4-1/8"`, 1.019175},
		{"Length", `-3' 4"`, -1.016},
		{"Length", "14.6mm", 0.0146},
		{"Length", "25 µm", 25e-6},
		{"Length", "25 μm", 25e-6},
		{"Length", "25 um", 25e-6},
		{"Length", "22 cm", 0.22},
		{"Length", "1.2 m", 1.2},
		{"Length", "5''", 0.127},
		{"Area", "136 cm²", 0.0136},
		{"Area", "136 sq cm", 0.0136},
		{"Area", "1 sq in", 0.00064516},
		{"Area", "1 ft2", 0.09290304},
		{"Area", "500 mm2", 5e-4},
		{"Area", "0.0136 m2", 0.0136},
		{"Mass", "14.2 g", 0.0142},
		{"Mass", "1.15 KG", 1.15},
		{"Mass", "350 mg", 350e-6},
		{"Mass", "2 lbs", 0.90718474},
		{"Mass", "1 oz.", 0.028349523125},
		{"Density", "680 kg/m³", 680},
		{"Density", "680 kg / m3", 680},
		{"Density", "0.68 g/cm³", 680},
		{"Compliance", "1.25 mm/N", 0.00125},
		{"Compliance", "850 µm/N", 850e-6},
		{"Compliance", "1.25e-3 m/N", 0.00125},
		{"MechanicalResistance", "1.2 kg/s", 1.2},
		{"MechanicalResistance", "1.2 N·s/m", 1.2},
		{"MechanicalResistance", "1.2 N s/m", 1.2},
		{"MechanicalResistance", "1.2 Ns/m", 1.2},
		{"ForceFactor", "7.2 T·m", 7.2},
		{"ForceFactor", "7.2 T m", 7.2},
		{"ForceFactor", "7.2 Tm", 7.2},
		{"ForceFactor", "7.2 N/A", 7.2},
		{"Resistance", "5.8 Ω", 5.8},
		{"Resistance", "5.8 \u2126", 5.8},
		{"Resistance", "5.8 ohm", 5.8},
		{"Resistance", "5.8 Ohms", 5.8},
		{"Resistance", "35 mΩ", 0.035},
		{"Resistance", "35 mohm", 0.035},
		{"Resistance", "1 MΩ", 1e6},
		{"Resistance", "4R7", 4.7},
		{"Resistance", "R47", 0.47},
		{"Resistance", "470R", 470},
		{"Resistance", "2k2", 2200},
		{"Resistance", "2K2", 2200},
		{"Resistance", "47k", 47000},
		{"Resistance", "M47", 470000},
		{"Resistance", "4.7 R", 4.7},
		{"Inductance", "0.47 mH", 0.00047},
		{"Inductance", "47 µH", 47e-6},
		{"Inductance", "0.001 H", 0.001},
		{"Inductance", "330u", 330e-6},
		{"Inductance", "1m2", 0.0012},
		{"Inductance", "m82", 0.00082},
		{"Inductance", "0m82", 0.00082},
		{"Inductance", "0.33m", 0.00033},
		{"Capacitance", "6.8 µF", 6.8e-6},
		{"Capacitance", "4,7 µF", 4.7e-6},
		{"Capacitance", "6.8 UF", 6.8e-6},
		{"Capacitance", "470 nF", 470e-9},
		{"Capacitance", "10u", 10e-6},
		{"Capacitance", "4u7", 4.7e-6},
		{"Capacitance", "4µ7", 4.7e-6},
		{"Capacitance", "100n", 100e-9},
		{"Capacitance", "p68", 0.68e-12},
		{"Voltage", "2.83 V", 2.83},
		{"Voltage", "775 mV", 0.775},
		{"Current", "250 mA", 0.25},
		{"Power", "1/4 W", 0.25},
		{"Power", "1.2 kw", 1200},
		{"Power", "5 mW", 0.005},
		{"PressureLevel", "89.4 dB", 89.4},
		{"PressureLevel", "89,4 dB SPL", 89.4},
		{"Pressure", "101325 Pa", 101325},
		{"Pressure", "1013.25 hPa", 101325},
		{"Pressure", "1013.25 mbar", 101325},
		{"Pressure", "101.325 kPa", 101325},
		{"Pressure", "1 bar", 1e5},
		{"Pressure", "20 µPa", 20e-6},
		{"Velocity", "345 m/s", 345},
		{"Velocity", "10 ft/s", 3.048},
		{"Viscosity", "18.2 µPa·s", 18.2e-6},
		{"Temperature", "20 °C", 293.15},
		{"Temperature", "20 C", 293.15},
		{"Temperature", "20 ℃", 293.15},
		{"Temperature", "20 º C", 293.15},
		{"Temperature", "-40 °C", 233.15},
		{"Temperature", "-40 °F", 233.15},
		{"Temperature", "68 F", 293.15},
		{"Temperature", "0 °F", 459.67 * 5 / 9},
		{"Temperature", "293.15 K", 293.15},
		{"Angle", "180°", math.Pi},
		{"Angle", "90 deg", math.Pi / 2},
		{"Angle", "-45 °", -math.Pi / 4},
		{"Angle", "1 rad", 1},
		{"Time", "1.2 ms", 0.0012},
		{"Time", "147 us", 147e-6},
		{"Time", "2 s", 2},
		{"Ratio", "0.435", 0.435},
		{"Ratio", "43.5 %", 0.435},
		{"Ratio", "43,5%", 0.435},
		{"Ratio", "1/3", 1.0 / 3},
		{"Ratio", "1e-3", 0.001},
		{"Frequency", "37.8 Hz", 37.8},
		{"Frequency", "37,8hz", 37.8},
		{"Frequency", "2.5 KHZ", 2500},
	} {
		if got, err := quantityOf(t, c.typ).parse(c.text); err != nil || got != c.want {
			t.Errorf("%s %q: got %v, %v, want %v", c.typ, c.text, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ typ, text, problem string }{
		{"Volume", "", "empty"},
		{"Volume", " \u00a0", "empty"},
		{"Volume", "24", "no unit; write L, cm³, m³, cu in or cu ft"},
		{"Volume", "24 gal", `unknown unit "gal"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "2³ m", `unknown unit "³ m"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "24 L L", `unknown unit "L L"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "L", "does not begin with a number"},
		{"Volume", "- L", "does not begin with a number"},
		{"Volume", "--2 L", "does not begin with a number"},
		{"Volume", ". L", "does not begin with a number"},
		{"Volume", "NaN L", "does not begin with a number"},
		{"Volume", "Inf L", "does not begin with a number"},
		{"Volume", "-Infinity", "does not begin with a number"},
		{"Volume", "1,000.5 L", "1,000.5 has a comma and a point; do not separate thousands"},
		{"Volume", "1.000,5 L", "1.000,5 has a comma and a point; do not separate thousands"},
		{"Volume", "1,000 L", "1,000 could mean 1000 or 1.000; write one of these"},
		{"Volume", "12,345 L", "12,345 could mean 12345 or 12.345; write one of these"},
		{"Volume", "123,456 L", "123,456 could mean 123456 or 123.456; write one of these"},
		{"Volume", "1,000,000 L", "1,000,000 has more than one decimal mark"},
		{"Volume", "1.2.3 L", "1.2.3 has more than one decimal mark"},
		{"Volume", "10 000 L", "a space stands within the number"},
		{"Volume", "1e400 L", "too large"},
		{"Volume", "-1e999 L", "too large"},
		{"Volume", "1e999999999 L", "exponent must be from -1000 to 1000"},
		{"Volume", "1e-99999999999999999999 L", "exponent must be from -1000 to 1000"},
		{"Volume", "1e L", `unknown unit "e L"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "0x10 L", `unknown unit "x10 L"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "1_0 L", `unknown unit "_0 L"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", "1/0 L", "division by zero"},
		{"Volume", "12 ML", `unknown unit "ML"; write L, cm³, m³, cu in or cu ft`},
		{"Volume", strings.Repeat("1", 1001), "longer than 1000 bytes"},
		{"Length", `3' 4`, "no unit; write mm, cm, m, µm, in or ft"},
		{"Length", `3' 14"`, "feet must be followed by less than 12 inches"},
		{"Length", `3' 12"`, "feet must be followed by less than 12 inches"},
		{"Length", "3 ft 4 mm", "feet must be followed by less than 12 inches"},
		{"Length", `3' -4"`, `unknown unit "' -4\""; write mm, cm, m, µm, in or ft`},
		{"Length", "22 MM", `unknown unit "MM"; write mm, cm, m, µm, in or ft`},
		{"Length", "2 M", `unknown unit "M"; write mm, cm, m, µm, in or ft`},
		{"Length", "4R7", `unknown unit "R7"; write mm, cm, m, µm, in or ft`},
		{"Inductance", "3 MH", `unknown unit "MH"; write mH, µH, nH or H`},
		{"Inductance", "4.7", "no unit; write mH, µH, nH or H"},
		{"Capacitance", "10 mF", `unknown unit "mF"; write µF, nF, pF or F`},
		{"Capacitance", "0m1", `unknown unit "m"; write µF, nF, pF or F`},
		{"Capacitance", "10 MFD", `unknown unit "MFD"; write µF, nF, pF or F`},
		{"Resistance", "4e7", "no unit; write Ω, mΩ, kΩ or MΩ"},
		{"Resistance", "1m", `unknown unit "m"; write Ω, mΩ, kΩ or MΩ`},
		{"Resistance", "4R7R", `unknown unit "R7R"; write Ω, mΩ, kΩ or MΩ`},
		{"Resistance", "4x7", `unknown unit "x"; write Ω, mΩ, kΩ or MΩ`},
		{"PressureLevel", "89.4", "no unit; write dB"},
		{"Temperature", "20", "no unit; write °C, °F or K"},
		{"Temperature", "20°", `unknown unit "°"; write °C, °F or K`},
		{"Ratio", "1 x", `unknown unit "x"; write no unit or %`},
		{"Ratio", "5 no unit", `unknown unit "no unit"; write no unit or %`},
	} {
		q := quantityOf(t, c.typ)
		const before = 1.25
		left, err := q.keeps(before, c.text)
		if left != before {
			t.Errorf("%s %q: the receiver changed to %v", c.typ, c.text, left)
		}
		var p *ParseError
		if !errors.As(err, &p) {
			t.Errorf("%s %q: error is %T %v", c.typ, c.text, err, err)
			continue
		}
		if want := (ParseError{Quantity: q.spec.name, Text: c.text, Problem: c.problem}); *p != want {
			t.Errorf("%s %q: got %+v, want %+v", c.typ, c.text, *p, want)
		}
	}
	_, err := Parse[Volume]("24")
	if got, want := fmt.Sprint(err), `volume "24": no unit; write L, cm³, m³, cu in or cu ft`; got != want {
		t.Errorf("message %s, want %s", got, want)
	}
	_, err = Parse[Volume](strings.Repeat("9", 5000))
	if n := len(fmt.Sprint(err)); n > 120 {
		t.Errorf("message of %d bytes for a long text", n)
	}
}

func TestString(t *testing.T) {
	for _, c := range []struct {
		typ  string
		v    float64
		want string
	}{
		{"Volume", 0.024, "24 L"},
		{"Volume", float64(22 * Litre), "22 L"},
		{"Volume", 850e-6, "850 cm³"},
		{"Volume", 62.5, "62.5 m³"},
		{"Volume", -0.003, "-3 L"},
		{"Volume", 0, "0 L"},
		{"Volume", math.Copysign(0, -1), "-0 L"},
		{"Volume", math.NaN(), "NaN L"},
		{"Volume", math.Inf(1), "+Inf L"},
		{"Volume", math.Inf(-1), "-Inf L"},
		{"Volume", 1e300, "1e300 m³"},
		{"Volume", 5e-324, "4.941e-318 cm³"},
		{"Volume", 0.02833000, "28.33 L"},
		{"Volume", 0.02833499, "28.33 L"},
		{"Inductance", 0.47e-3, "0.47 mH"},
		{"Inductance", 47e-6, "47 µH"},
		{"Inductance", 0, "0 mH"},
		{"Capacitance", 6.8e-6, "6.8 µF"},
		{"Capacitance", 1200e-6, "1200 µF"},
		{"Capacitance", 22e-9, "22 nF"},
		{"Capacitance", 470e-12, "470 pF"},
		{"Compliance", 1.25e-3, "1.25 mm/N"},
		{"Compliance", 45e-6, "45 µm/N"},
		{"Area", 0.0136, "136 cm²"},
		{"Mass", 0.0142, "14.2 g"},
		{"Mass", 1.15, "1.15 kg"},
		{"Mass", 0.35e-3, "0.35 g"},
		{"Frequency", 2500, "2.5 kHz"},
		{"Frequency", 37.8, "37.8 Hz"},
		{"Frequency", 999.96, "1000 Hz"},
		{"Frequency", 12345, "12.34 kHz"}, // a tie goes to the even digit
		{"Length", 0.0146, "14.6 mm"},
		{"Length", 1.2, "1.2 m"},
		{"Length", 50e-6, "50 µm"},
		{"Density", 1.18, "1.18 kg/m³"},
		{"MechanicalResistance", 1.2, "1.2 kg/s"},
		{"ForceFactor", 7.2, "7.2 T·m"},
		{"Temperature", 293.15, "20 °C"},
		{"Temperature", 273.15, "0 °C"},
		{"Temperature", 273.15 - 1e-13, "0 °C"},
		{"Temperature", 255.65, "-17.5 °C"},
		{"Temperature", math.NaN(), "NaN °C"},
		{"Temperature", math.Inf(1), "+Inf °C"},
		{"Voltage", 12.65, "12.65 V"},
		{"Voltage", 0.045, "45 mV"},
		{"Current", 2.5, "2.5 A"},
		{"Power", 100, "100 W"},
		{"PressureLevel", 89.4, "89.4 dB"},
		{"Pressure", 101325, "101.3 kPa"},
		{"Pressure", 20e-6, "20 µPa"},
		{"Velocity", 345, "345 m/s"},
		{"Viscosity", 1.826566e-5, "18.27 µPa·s"},
		{"Resistance", 5.8, "5.8 Ω"},
		{"Resistance", 0.035, "35 mΩ"},
		{"Resistance", 47e3, "47 kΩ"},
		{"Angle", math.Pi / 4, "45°"},
		{"Time", 1.2e-3, "1.2 ms"},
		{"Time", 147e-6, "147 µs"},
		{"Ratio", 0.435, "0.435"},
		{"Ratio", 1.0 / 3, "0.3333"},
		{"Ratio", math.NaN(), "NaN"},
	} {
		if got := quantityOf(t, c.typ).format(c.v); got != c.want {
			t.Errorf("%s %v: got %q, want %q", c.typ, c.v, got, c.want)
		}
	}
}

// bits are float64 values that are hard to write.
func bits(n int) []float64 {
	values := []float64{
		0, math.Copysign(0, -1), 1, -1, 0.1, 1.0 / 3, 22 * float64(Litre),
		math.SmallestNonzeroFloat64, 0x1p-1022, 0x1.fffffffffffffp-1023, math.MaxFloat64, -math.MaxFloat64,
	}
	random := rand.New(rand.NewPCG(1, 2))
	for len(values) < n {
		if v := math.Float64frombits(random.Uint64()); !math.IsNaN(v) && !math.IsInf(v, 0) {
			values = append(values, v)
		}
		values = append(values, math.Ldexp(random.Float64(), random.IntN(40)-30)) // the sizes that occur
	}
	return values
}

func TestRoundTripKeepsEveryBit(t *testing.T) {
	values := bits(1000)
	for _, q := range quantities {
		for _, v := range values {
			text, err := q.marshal(v)
			if err != nil {
				t.Fatalf("%s %v: %v", q.typ, v, err)
			}
			back, err := q.parse(string(text))
			if err != nil || math.Float64bits(back) != math.Float64bits(v) {
				t.Fatalf("%s %b: written %s, read %b, %v", q.typ, v, text, back, err)
			}
		}
	}
}

// What String writes is read again, within the half unit of the fourth digit.
func TestStringIsRead(t *testing.T) {
	for _, q := range quantities {
		for _, v := range bits(200) {
			back, err := q.parse(q.format(v))
			if math.Abs(v) > 1e300 || q.typ == "Temperature" && math.Abs(v) < 1e3 {
				continue // rounding up may leave the range; degrees Celsius round otherwise
			}
			if d := math.Abs(back - v); err != nil || !(d <= 0.5001e-3*math.Abs(v) || d <= 1e-323) {
				t.Fatalf("%s %v: written %s, read %v, %v", q.typ, v, q.format(v), back, err)
			}
		}
	}
}

func TestMarshalRefusesNotFinite(t *testing.T) {
	for _, q := range quantities {
		for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			text, err := q.marshal(v)
			var r *RangeError
			if !errors.As(err, &r) || text != nil {
				t.Errorf("%s %v: got %q, %v", q.typ, v, text, err)
			}
		}
	}
}

// The nearest float64, by a second road: strconv for powers of ten, and
// thousand-bit floats for everything.
func TestParseIsNearest(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	precise := func(text string) *big.Float {
		a, b, quotient := strings.Cut(text, "/")
		x, _, err := big.ParseFloat(a, 10, 1000, big.ToNearestEven)
		if err != nil {
			t.Fatal(err)
		}
		if quotient {
			y, _, _ := big.ParseFloat(b, 10, 1000, big.ToNearestEven)
			x.Quo(x, y)
		}
		return x
	}
	for _, q := range quantities {
		for _, u := range q.spec.units {
			symbol := u.symbol
			if symbol == "no unit" {
				symbol = ""
			}
			for range 100 {
				digits := strconv.FormatUint(random.Uint64()>>random.IntN(60), 10)
				number := digits + "e" + strconv.Itoa(random.IntN(30)-30)
				got, err := q.parse(number + " " + symbol)
				x := precise(number)
				if u.offset != "" {
					x.Add(x, precise(u.offset))
				}
				want, _ := x.Mul(x, precise(u.scale)).Float64()
				if err != nil || got != want {
					t.Fatalf("%s %s %s: got %v, %v, want %v", q.typ, number, symbol, got, err, want)
				}
			}
		}
		for _, w := range q.spec.views {
			for range 100 {
				n, e := strconv.Itoa(random.IntN(100000)), random.IntN(9)-4
				got, _ := q.parse(n + "e" + strconv.Itoa(e) + " " + w.symbol)
				want, _ := strconv.ParseFloat(n+"e"+strconv.Itoa(e+w.exponent), 64)
				if got != want {
					t.Fatalf("%s %se%d %s: got %v, want %v", q.typ, n, e, w.symbol, got, want)
				}
			}
		}
	}
}

// Units as products of units, in exact arithmetic.
func TestProducts(t *testing.T) {
	scale := func(s *spec, symbol string) *big.Rat {
		u, err := s.find(symbol)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := new(big.Rat).SetString(u.scale)
		return r
	}
	product := func(rs ...*big.Rat) *big.Rat {
		p := big.NewRat(1, 1)
		for _, r := range rs {
			p.Mul(p, r)
		}
		return p
	}
	in, ft, cm, dm := scale(&lengths, "in"), scale(&lengths, "ft"), scale(&lengths, "cm"), big.NewRat(1, 10)
	g, s := scale(&masses, "g"), scale(&times, "s")
	for _, c := range []struct {
		what      string
		got, want *big.Rat
	}{
		{"ft = 12 in", ft, product(big.NewRat(12, 1), in)},
		{"sq in", scale(&areas, "sq in"), product(in, in)},
		{"sq ft", scale(&areas, "sq ft"), product(ft, ft)},
		{"cm²", scale(&areas, "cm²"), product(cm, cm)},
		{"cu in", scale(&volumes, "cu in"), product(in, in, in)},
		{"cu ft", scale(&volumes, "cu ft"), product(ft, ft, ft)},
		{"cm³", scale(&volumes, "cm³"), product(cm, cm, cm)},
		{"L = dm³", scale(&volumes, "L"), product(dm, dm, dm)},
		{"lb = 16 oz", scale(&masses, "lb"), product(big.NewRat(16, 1), scale(&masses, "oz"))},
		{"g/cm³", product(scale(&densities, "g/cm³"), cm, cm, cm), g},
		{"ft/s", product(scale(&velocities, "ft/s"), s), ft},
		{"bar", scale(&pressures, "bar"), product(big.NewRat(1000, 1), scale(&pressures, "hPa"))},
	} {
		if c.got.Cmp(c.want) != 0 {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}

// The degree against π by Machin's formula, π/4 = 4 arctan 1/5 − arctan 1/239.
func TestDegree(t *testing.T) {
	const bits = 400
	arctan := func(n int64) *big.Float { // of 1/n, by its power series
		sum, power := new(big.Float).SetPrec(bits), new(big.Float).SetPrec(bits).Quo(big.NewFloat(1), big.NewFloat(float64(n)))
		square := new(big.Float).SetPrec(bits).SetInt64(n * n)
		for k := int64(1); power.MantExp(nil) > -bits; k += 2 {
			term := new(big.Float).SetPrec(bits).Quo(power, new(big.Float).SetInt64(k))
			if k%4 == 3 {
				term.Neg(term)
			}
			sum.Add(sum, term)
			power.Quo(power, square)
		}
		return sum
	}
	pi := new(big.Float).SetPrec(bits)
	pi.Mul(arctan(5), big.NewFloat(4)).Sub(pi, arctan(239)).Mul(pi, big.NewFloat(4))
	want := pi.Quo(pi, big.NewFloat(180))
	u, err := angles.find("°")
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := big.ParseFloat(u.scale, 10, bits, big.ToNearestEven)
	if err != nil {
		t.Fatal(err)
	}
	if d, _ := got.Sub(got, want).Float64(); !(math.Abs(d) < 1e-95) {
		t.Errorf("degree is off by %g", d)
	}
}

func TestIn(t *testing.T) {
	if got := (24 * Litre).In(CubicFoot); math.Abs(got-0.8475520) > 5e-8 {
		t.Errorf("24 L are %v cu ft", got)
	}
	if got := Celsius(20).Celsius(); math.Abs(got-20) > 1e-12 {
		t.Errorf("20 °C are %v °C", got)
	}
}

func TestRangeErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		err  error
		want string
	}{
		{Positive("box: volume", -3*Litre), "box: volume -3 L: must be positive and finite"},
		{Positive("box: volume", 0*Litre), "box: volume 0 L: must be positive and finite"},
		{Positive("box: volume", Volume(nan)), "box: volume NaN L: must be positive and finite"},
		{Positive("box: volume", Volume(inf)), "box: volume +Inf L: must be positive and finite"},
		{NotNegative("port: length", -1*Millimetre), "port: length -1 mm: must be zero or positive, and finite"},
		{NotNegative("port: length", Length(nan)), "port: length NaN mm: must be zero or positive, and finite"},
		{NotNegative("port: length", Length(inf)), "port: length +Inf mm: must be zero or positive, and finite"},
		{Within("air: humidity", Ratio(1.5), 0, 1), "air: humidity 1.5: must be from 0 to 1"},
		{Within("air: humidity", Ratio(1.000001), 0, 1), "air: humidity 1.000001: must be from 0 to 1"},
		{Within("box: count", 1.00001, 0, 1.0), "box: count 1.00001: must be from 0 to 1"},
		{Within("air: humidity", Ratio(nan), 0, 1), "air: humidity NaN: must be from 0 to 1"},
		{Positive("box: volume", 3*Litre), "<nil>"},
		{NotNegative("port: length", 0*Millimetre), "<nil>"},
		{Within("air: humidity", Ratio(1), 0, 1), "<nil>"},
	} {
		if got := fmt.Sprint(c.err); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}
