package ladder

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// driver is Re + jωLe + (Res || Lces || Cmes).
type driver struct{ re, le, res, lces, cmes float64 }

func (d driver) impedance(hz float64) complex128 {
	w := 2 * math.Pi * hz
	y := complex(1/d.res, w*d.cmes-1/(w*d.lces))
	return complex(d.re, w*d.le) + 1/y
}

var (
	w1 = Network{
		Series(L(1.2 * units.Millihenry).WithResistance(0.35)),
		Shunt(C(15 * units.Microfarad).WithResistance(0.05)),
		Shunt(R(7.2), C(12*units.Microfarad)),
	}
	w1Driver = driver{re: 5.8, le: 0.65e-3, res: 38, lces: 28e-3, cmes: 310e-6}

	t1 = Network{
		Series(C(6.8 * units.Microfarad).WithResistance(0.02)),
		Shunt(L(0.35 * units.Millihenry).WithResistance(0.25)),
		Series(R(2.2)),
		Shunt(R(12)),
	}
	t1Driver = driver{re: 5.4, le: 0.05e-3, res: 9, lces: 0.9e-3, cmes: 42e-6}
)

// circuit builds what a row describes.
func circuit(t *testing.T, r golden.Row, hz float64) (n Network, load complex128) {
	ohm := func(key string) units.Resistance { return units.Resistance(r.Num(t, key, "ohm")) }
	part := func(key string, part Part, unit string) Part {
		part.Value = r.Num(t, key, unit)
		return part
	}
	switch name := r.Word(t, "circuit"); name {
	case "W1":
		return w1, w1Driver.impedance(hz)
	case "T1":
		return t1, t1Driver.impedance(hz)
	case "shelf":
		n = Network{Series(R(ohm("Rs")), part("L", L(0), "H"))}
	case "trap in series":
		n = Network{Series(R(ohm("Rp")), part("L", L(0), "H"), part("C", C(0), "F"))}
	case "trap in shunt":
		n = Network{Series(R(ohm("Rs"))), Shunt(R(ohm("R")), part("L", L(0), "H"), part("C", C(0), "F"))}
	default:
		t.Fatalf("no circuit %q", name)
	}
	return n, complex(float64(ohm("RL")), 0)
}

// solveAt is Solve at one frequency.
func solveAt(n Network, hz float64, load complex128) (h, zin complex128) {
	var hs, zs [1]complex128
	n.Solve(hs[:], zs[:], []float64{hz}, []complex128{load})
	return hs[0], zs[0]
}

func degrees(z complex128) float64 { return cmplx.Phase(z) * 180 / math.Pi }

func TestCircuitsGolden(t *testing.T) {
	golden.Run(t, "testdata/circuits.csv", func(t *testing.T, r golden.Row) {
		hz := r.Num(t, "f", "Hz")
		if r.Calculation == "series resistance of capacitor" {
			c := Part{Kind: Capacitor, Value: r.Num(t, "C", "F"), Loss: r.Num(t, "loss", "1")}
			_, zin := solveAt(Network{Series(c)}, hz, 0)
			r.Check(t, real(zin))
			return
		}
		n, load := circuit(t, r, hz)
		if err := n.Check(); err != nil {
			t.Fatal(err)
		}
		h, zin := solveAt(n, hz, load)
		power := func(i int) {
			s, err := n.State(hz, load)
			if err != nil {
				t.Fatal(err)
			}
			v := r.Num(t, "V", "V")
			r.Check(t, s.Parts[i].Power*v*v)
		}
		inRe := func(re float64) {
			s, err := n.State(hz, load)
			if err != nil {
				t.Fatal(err)
			}
			i := cmplx.Abs(s.Load.Current) * r.Num(t, "V", "V")
			r.Check(t, i*i*re)
		}
		switch name := r.Word(t, "circuit"); name + ": " + r.Calculation {
		case name + ": gain":
			r.Check(t, 20*math.Log10(cmplx.Abs(h)))
		case name + ": phase":
			r.Check(t, degrees(h))
		case name + ": modulus of input impedance":
			r.Check(t, cmplx.Abs(zin))
		case name + ": phase of input impedance":
			r.Check(t, degrees(zin))
		case "W1: power in coil", "T1: power in capacitor":
			power(0)
		case "W1: power in capacitor", "T1: power in coil":
			power(1)
		case "W1: power in Zobel resistor", "T1: power in series resistor":
			power(2)
		case "T1: power in shunt resistor":
			power(3)
		case "W1: power in Re":
			inRe(w1Driver.re)
		case "T1: power in Re":
			inRe(t1Driver.re)
		default:
			r.Unknown(t)
		}
	})
}

func TestLoadGolden(t *testing.T) {
	golden.Run(t, "testdata/load.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "EPDR", "peak dissipation over that of a resistor":
			modulus, phase := r.Num(t, "Z", "ohm"), r.Num(t, "phase", "deg")*math.Pi/180
			e := float64(EPDR(cmplx.Rect(modulus, phase)))
			if r.Calculation == "EPDR" {
				r.Check(t, e)
				r.Check(t, float64(EPDR(cmplx.Rect(modulus, -phase)))) // capacitive or inductive, all one
			} else {
				r.Check(t, modulus/e)
			}
		case "rated impedance":
			r.Check(t, float64(RatedImpedance(units.Resistance(r.Num(t, "Zmin", "ohm")))))
		default:
			r.Unknown(t)
		}
	})
}

func TestDerivativesGolden(t *testing.T) {
	golden.Run(t, "testdata/derivatives.csv", func(t *testing.T, r golden.Row) {
		n, d, hz := w1, w1Driver, []float64{55, 500, 2000, 8000}
		switch name := r.Word(t, "circuit"); name {
		case "W1":
		case "T1":
			n, d, hz = t1, t1Driver, []float64{400, 800, 2500, 12000}
		default:
			t.Fatalf("no circuit %q", name)
		}
		part := func() int {
			i := 0
			for letter := range n.Parts() {
				if letter == r.Word(t, "part") {
					return i
				}
				i++
			}
			t.Fatalf("no part %s", r.Word(t, "part"))
			return 0
		}
		duty := func() Duty {
			p := Programme{Volts: units.Voltage(r.Num(t, "V", "V")), Crest: 2, Hz: hz, Weight: []float64{0.2, 0.3, 0.4, 0.1}}
			load := make([]complex128, len(hz))
			for k, f := range hz {
				load[k] = d.impedance(f)
			}
			duties, err := n.Duty(p, load)
			if err != nil {
				t.Fatal(err)
			}
			if r.Word(t, "part") == "load" {
				return duties.Load
			}
			return duties.Parts[part()]
		}
		sensitivity := func() (h, zin complex128) {
			f := r.Num(t, "f", "Hz")
			g := gradientAt(n, f, d.impedance(f))
			s := [][]complex128{{0}, {0}, {0}, {0}}
			n.Sensitivity(s, g, []float64{f})
			n.ByValue(g.DZin, g.DZin, []float64{f})
			return s[part()][0], g.DZin[part()][0] / g.Zin[0]
		}
		switch r.Calculation {
		case "group delay":
			f := r.Num(t, "f", "Hz")
			r.Check(t, units.Time(delayAt(n, f, d.impedance(f), d.slope(f))).In(units.Microsecond))
		case "sensitivity of gain":
			h, _ := sensitivity()
			r.Check(t, real(h))
		case "sensitivity of phase":
			h, _ := sensitivity()
			r.Check(t, imag(h))
		case "sensitivity of input impedance":
			_, zin := sensitivity()
			r.Check(t, real(zin))
		case "power from programme":
			r.Check(t, float64(duty().Power))
		case "voltage from programme":
			r.Check(t, float64(duty().Voltage))
		case "current from programme":
			r.Check(t, float64(duty().Current))
		default:
			r.Unknown(t)
		}
	})
}
