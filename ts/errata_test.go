package ts_test

import (
	"fmt"
	"math"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// Slips in print, each with what is printed, what is true and what it costs. The
// list of all of them is ERRATA.md beside the harness for published rows.

// resistive is an invented driver with the figures of a published worked example:
// Re 5 Ω, Qes 0.5, Qms 10.
func resistive(re units.Resistance) ts.Driver {
	d, _, err := ts.Sheet{
		Re: 5, Fs: 40, Qms: 10, Qes: 0.5, Mms: 20 * units.Gram, Sd: 140 * units.SquareCentimetre,
	}.Driver(air.Standard())
	if err != nil {
		panic(err)
	}
	d.Re = re
	return d
}

// Series resistance raises Qes and, with it, Qts. A web article on source
// resistance (read; address withheld) takes Re 5 Ω, Qes 0.5, Qms 10 and prints
// 13 % for 0.75 Ω. Its own figures give 14.2 %; its 2 % for 0.114 Ω and both of its
// levels are right.
func ExampleDriver_Qts_erratumSeriesResistance() {
	bare := resistive(5)
	for _, rs := range []units.Resistance{0.114, 0.75} {
		d := resistive(5 + rs)
		fmt.Printf("%.3f Ω: Qts %+.1f %%, level %+.1f dB\n", rs, 100*(d.Qts()/bare.Qts()-1), d.SPL283(air.Standard())-bare.SPL283(air.Standard()))
	}
	// Output:
	// 0.114 Ω: Qts +2.2 %, level -0.2 dB
	// 0.750 Ω: Qts +14.2 %, level -1.2 dB
}

// What a coil of twice the resistance costs is printed as 3 dB in one article and
// follows as 6 dB from another (both read). Both are right, of different things:
// per watt, and at a constant voltage, which is what an amplifier gives.
func ExampleDriver_SPL283_erratumDoubledResistance() {
	cold, hot := resistive(5), resistive(10)
	a := air.Standard()
	fmt.Printf("per watt in Re %.2f dB, per volt %.2f dB\n", hot.SPL1W(a)-cold.SPL1W(a), hot.SPL283(a)-cold.SPL283(a))
	// Output:
	// per watt in Re -3.01 dB, per volt -6.02 dB
}

// alphaCopper is the temperature coefficient of copper at 20 °C per kelvin (IEC
// 60028, from memory).
const alphaCopper = 0.00393

// An encyclopedia (article on power compression, read) prints that copper gains
// 72 % from 20 °C to 200 °C, a loss of 4.7 dB. With the standard coefficient it is
// 70.7 %; 72 % needs 0.0040 per kelvin.
func ExampleDriver_SPL283_erratumHotCopper() {
	factor := 1 + alphaCopper*(200-20)
	a := air.Standard()
	loss := resistive(5).SPL283(a) - resistive(units.Resistance(5*factor)).SPL283(a)
	printed := resistive(5).SPL283(a) - resistive(5*1.72).SPL283(a)
	fmt.Printf("%.1f %%, %.2f dB; the printed 72 %% would be %.2f dB\n", 100*(factor-1), loss, printed)
	// Output:
	// 70.7 %, 4.65 dB; the printed 72 % would be 4.71 dB
}

// The same encyclopedia lets the resistance of copper double at 266 °C (read). With
// the standard coefficient it does so at 274.5 °C.
func ExampleDriver_SPL283_erratumCopperDoubled() {
	a := air.Standard()
	loss := resistive(5).SPL283(a) - resistive(units.Resistance(5*(1+alphaCopper*(266-20)))).SPL283(a)
	fmt.Printf("twice at %.1f °C; at 266 °C the level has fallen by %.2f dB, not %.2f dB\n", 20+1/alphaCopper, loss, 20*math.Log10(2))
	// Output:
	// twice at 274.5 °C; at 266 °C the level has fallen by 5.88 dB, not 6.02 dB
}

// A published sheet of a 230 mm midrange (read; names withheld) prints 92.40 dB for
// 1 W beside an efficiency of 1.047 %. That takes 112.2 dB for one watt of sound; the
// sheet's own ρ and c, 1.18 kg/m³ and 345 m/s, give 112.09 dB.
func ExampleDriver_SPL1W_erratumPowerConstant() {
	d := midrange
	a := air.Standard()
	constant := float64(d.SPL1W(a)) - 10*math.Log10(float64(d.Eta0(a)))
	level := constant + 10*math.Log10(0.01047)
	fmt.Printf("%.2f dB, not %.2f dB: %.2f dB instead of 92.40 dB, %.2f dB too loud\n", constant, 92.40-10*math.Log10(0.01047), level, 92.40-level)
	// Output:
	// 112.09 dB, not 112.20 dB: 92.29 dB instead of 92.40 dB, 0.11 dB too loud
}

// midrange is the model of the sheet of [ExampleDriver].
var midrange = ts.Driver{
	Re: 6.18 * units.Ohm, Bl: 11.325 * units.TeslaMetre, Mms: 38.839 * units.Gram,
	Cms: units.MillimetrePerNewton / 18.65, Rms: 5.932 * units.KilogramPerSecond, Sd: 372.5 * units.SquareCentimetre,
}

// The same sheet prints 1.046 as the total Q with all losses, and 1.009 without the
// further ones. More loss cannot raise a Q: its own model has 1.009, and the other
// figure follows some other definition.
func ExampleDriver_Qts_erratumMoreLoss() {
	q := midrange.Qts()
	fmt.Printf("Qts %.3f; 1.046 is %.1f %% more, %.2f dB at fs\n", q, 100*(1.046/q-1), 20*math.Log10(1.046/q))
	// Output:
	// Qts 1.009; 1.046 is 3.7 % more, 0.32 dB at fs
}

// A published sheet of a cone driver (read; names withheld) prints an area of 55.42 cm²
// beside an effective diameter of 60 mm, and its Vas agrees with the diameter.
func ExampleSheet_Driver_erratumArea() {
	s := ts.Sheet{Re: 5, Fs: 60, Qms: 5, Qes: 0.5, Mms: 5 * units.Gram, Diameter: 60 * units.Millimetre}
	d, _, err := s.Driver(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	ratio := 55.42 / d.Sd.In(units.SquareCentimetre)
	fmt.Printf("%.2f cm²: the printed area is %.2f times as large, %.1f dB in level\n", d.Sd.In(units.SquareCentimetre), ratio, 20*math.Log10(ratio))
	// Output:
	// 28.27 cm²: the printed area is 1.96 times as large, 5.8 dB in level
}

// A published sheet (read; names withheld) is rated 8 Ω with a smallest modulus of
// 6.21 Ω. The rule of IEC 60268-5, as makers report it, wants 80 % of 8 Ω.
func ExampleSheet_Audit_erratumRatedImpedance() {
	findings, err := ts.Sheet{Zn: 8, Zmin: 6.21}.Audit(air.Standard())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range findings {
		fmt.Println(f)
	}
	// Output:
	// doubtful: Zn printed 8 Ω, Zmin/0.8, the largest rated impedance allowed gives 7.762 Ω (+3.1 %)
}
