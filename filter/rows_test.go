package filter

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// prototype returns the prototype that a row names.
func prototype(t *testing.T, r golden.Row) rational.Func {
	t.Helper()
	var f rational.Func
	var err error
	order := func() int { return int(r.Num(t, "order", "1")) }
	switch family := r.Word(t, "family"); family {
	case "Butterworth":
		f, err = Butterworth(order())
	case "Linkwitz-Riley":
		f, err = LinkwitzRiley(order())
	case "Bessel":
		norm, ok := map[string]Norm{"delay": DelayNorm, "phase": PhaseNorm, "magnitude": MagnitudeNorm}[r.Word(t, "norm")]
		if !ok {
			t.Fatalf("no such norm: %q", r.Word(t, "norm"))
		}
		f, err = Bessel(order(), norm)
	case "Chebyshev":
		f, err = Chebyshev(order(), r.Num(t, "ripple", "dB"))
	case "Legendre":
		f, err = Legendre(order())
	case "second order":
		f, err = SecondOrder(r.Num(t, "q", "1"))
	default:
		t.Fatalf("no such family: %q", family)
	}
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestPrototypeRows(t *testing.T) {
	golden.Run(t, "testdata/prototypes.csv", func(t *testing.T, r golden.Row) {
		f := prototype(t, r)
		// closest returns the pole that is closest to x in part.
		closest := func(part func(complex128) float64, x float64) complex128 {
			best := f.Poles[0]
			for _, p := range f.Poles {
				if math.Abs(part(p)-x) < math.Abs(part(best)-x) {
					best = p
				}
			}
			return best
		}
		re := func(p complex128) float64 { return real(p) }
		im := func(p complex128) float64 { return imag(p) }
		switch r.Calculation {
		case "real pole":
			p := closest(im, 0)
			if imag(p) != 0 {
				t.Errorf("no real pole in %v", f.Poles)
			}
			r.Check(t, real(p))
		case "real part of pole":
			r.Check(t, real(closest(im, r.Num(t, "imag", "1"))))
		case "imaginary part of pole":
			r.Check(t, math.Abs(imag(closest(re, r.Num(t, "real", "1")))))
		case "coefficient":
			_, den := f.Polynomials()
			r.Check(t, den[int(r.Num(t, "power", "1"))])
		case "half-power frequency":
			r.Check(t, halfPower(f))
		default:
			r.Unknown(t)
		}
	})
}

func TestElementRows(t *testing.T) {
	for _, path := range []string{"testdata/elements.csv", "testdata/handbook.csv"} {
		golden.Run(t, path, func(t *testing.T, r golden.Row) {
			f := prototype(t, r)
			i := int(r.Num(t, "element", "1")) - 1
			switch r.Calculation {
			case "element":
				g, err := Elements(f)
				if err != nil {
					t.Fatal(err)
				}
				r.Check(t, g[i])
			case "low-pass constant":
				r.Check(t, part(t, i)(LowPass(f, 1, 1)))
			case "high-pass constant":
				r.Check(t, part(t, i)(HighPass(f, 1, 1)))
			default:
				r.Unknown(t)
			}
		})
	}
}

// part returns the value of the i-th part along the signal path.
func part(t *testing.T, i int) func(ladder.Network, error) float64 {
	return func(n ladder.Network, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range n.Parts() {
			if i == 0 {
				return p.Value
			}
			i--
		}
		t.Fatal("no such part")
		return 0
	}
}

func TestPadRows(t *testing.T) {
	golden.Run(t, "testdata/pads.csv", checkPad)
}

func checkPad(t *testing.T, r golden.Row) {
	db, load := r.Num(t, "attenuation", "dB"), units.Resistance(r.Num(t, "load", "Ω"))
	switch r.Calculation {
	case "L-pad, series":
		r.Check(t, part(t, 0)(Pad(db, load)))
	case "L-pad, shunt":
		r.Check(t, part(t, 1)(Pad(db, load)))
	case "T-pad, series":
		r.Check(t, part(t, 0)(TPad(db, load)))
		r.Check(t, part(t, 2)(TPad(db, load)))
	case "T-pad, shunt":
		r.Check(t, part(t, 1)(TPad(db, load)))
	case "π-pad, series":
		r.Check(t, part(t, 1)(PiPad(db, load)))
	case "π-pad, shunt":
		r.Check(t, part(t, 0)(PiPad(db, load)))
		r.Check(t, part(t, 2)(PiPad(db, load)))
	case "series resistor":
		r.Check(t, part(t, 0)(SeriesPad(db, load)))
	default:
		r.Unknown(t)
	}
}

func TestExampleRows(t *testing.T) {
	golden.Run(t, "testdata/examples.csv", func(t *testing.T, r golden.Row) {
		switch {
		case r.Has("element"):
			checkPart(t, r)
		case r.Has("x"):
			checkPair(t, r)
		case r.Has("attenuation"):
			checkPad(t, r)
		case r.Has("le"):
			checkZobel(t, r)
		case r.Has("qms"):
			checkTrap(t, r)
		case r.Has("coil"):
			checkNotch(t, r)
		default:
			checkShelf(t, r)
		}
	})
}

func checkPart(t *testing.T, r golden.Row) {
	proto := prototype(t, r)
	f, load := units.Frequency(r.Num(t, "frequency", "Hz")), units.Resistance(r.Num(t, "load", "Ω"))
	i := int(r.Num(t, "element", "1")) - 1
	switch r.Calculation {
	case "low-pass part":
		r.Check(t, part(t, i)(LowPass(proto, f, load)))
	case "high-pass part":
		r.Check(t, part(t, i)(HighPass(proto, f, load)))
	default:
		r.Unknown(t)
	}
}

func checkPair(t *testing.T, r golden.Row) {
	f := prototype(t, r)
	x := r.Num(t, "x", "1")
	s, hz := complex(0, x), x/(2*math.Pi)
	same, inverted := Pair{Low: f, High: f.HighPass()}, Pair{Low: f, High: f.HighPass(), Inverted: true}
	switch r.Calculation {
	case "level of sum":
		r.Check(t, decibel(cmplx.Abs(same.At(s))))
	case "level of difference":
		r.Check(t, decibel(cmplx.Abs(inverted.AtHz(hz))))
	case "magnitude of sum":
		r.Check(t, cmplx.Abs(same.At(s)))
	case "magnitude of difference":
		r.Check(t, cmplx.Abs(inverted.At(s)))
	case "level of power sum":
		r.Check(t, decibel(math.Sqrt(same.Power(hz))))
	case "phase between":
		// Both ends of (−180°, 180°] are the same phase.
		want := r.Value.Float()
		d := cmplx.Phase(same.Low.At(s)/same.High.At(s)) * 180 / math.Pi
		r.Check(t, want+math.Remainder(d-want, 360))
	case "group delay":
		fc := r.Num(t, "corner", "Hz")
		r.Check(t, f.Scaled(2*math.Pi*fc).GroupDelay(imag(s)*fc))
	default:
		r.Unknown(t)
	}
}

func checkZobel(t *testing.T, r golden.Row) {
	re, le := r.Num(t, "re", "Ω"), r.Num(t, "le", "mH")/1000
	n, err := Zobel(units.Resistance(re), units.Inductance(le))
	if err != nil {
		t.Fatal(err)
	}
	parts := n[0].Parts
	switch r.Calculation {
	case "Zobel capacitor":
		r.Check(t, parts[1].Value)
		return
	case "|Z| with 1.25 Re and Le/Re²":
		parts[0].Value *= 1.25
	case "|Z| with 1.25 Re and Le/R²":
		parts[0].Value *= 1.25
		parts[1].Value /= 1.25 * 1.25
	default:
		r.Unknown(t)
	}
	hz := r.Num(t, "frequency", "Hz")
	_, zin := solve(n, hz, complex(re, 2*math.Pi*hz*le))
	r.Check(t, cmplx.Abs(zin))
}

func checkTrap(t *testing.T, r golden.Row) {
	re, fs, qes, qms := r.Num(t, "re", "Ω"), r.Num(t, "fs", "Hz"), r.Num(t, "qes", "1"), r.Num(t, "qms", "1")
	n, err := ResonanceTrap(units.Resistance(re), units.Frequency(fs), qes, qms)
	switch r.Calculation {
	case "trap resistor":
		r.Check(t, part(t, 0)(n, err))
	case "trap coil":
		r.Check(t, part(t, 1)(n, err))
	case "trap capacitor":
		r.Check(t, part(t, 2)(n, err))
	case "|Z| of driver":
		m := MovingCoil{Re: units.Resistance(re), Fs: units.Frequency(fs), Qes: qes, Qms: qms}
		r.Check(t, cmplx.Abs(m.Impedance(r.Num(t, "frequency", "Hz"))))
	default:
		r.Unknown(t)
	}
}

// resonant returns the impedance of a driver without coil inductance.
func resonant(re, fs, qes, qms, hz float64) complex128 {
	x := hz/fs - fs/hz
	return complex(re, 0) + complex(re*qms/qes, 0)/complex(1, qms*x)
}

func checkShelf(t *testing.T, r golden.Row) {
	load, rs, f := r.Num(t, "load", "Ω"), r.Num(t, "resistor", "Ω"), r.Num(t, "frequency", "Hz")
	step := decibel((load + rs) / load)
	n, err := Shelf(step, units.Frequency(f), units.Resistance(load))
	if err != nil {
		t.Fatal(err)
	}
	l, rs := n[0].Parts[0].Value, n[0].Parts[1].Value
	h, _ := solve(n, f, complex(load, 0))
	switch r.Calculation {
	case "shelf step":
		h, _ := solve(n, 1e12, complex(load, 0))
		r.Check(t, decibel(cmplx.Abs(h)))
	case "shelf coil":
		r.Check(t, l)
	case "shelf zero":
		r.Check(t, rs/(2*math.Pi*l))
	case "shelf pole":
		r.Check(t, rs/(2*math.Pi*l)*load/(load+rs))
	case "shelf level at f":
		r.Check(t, decibel(cmplx.Abs(h)))
	case "shelf phase at f":
		r.Check(t, cmplx.Phase(h)*180/math.Pi)
	default:
		r.Unknown(t)
	}
}

func checkNotch(t *testing.T, r golden.Row) {
	load, rp := r.Num(t, "load", "Ω"), r.Num(t, "resistor", "Ω")
	l, c := r.Num(t, "coil", "mH")/1e3, r.Num(t, "capacitor", "µF")/1e6
	// The width that leads to these parts.
	f0 := 1 / (2 * math.Pi * math.Sqrt(l*c))
	q := rp * math.Sqrt(c/l)
	k := load / (load + rp)
	n, err := Notch(-decibel(k), units.Frequency(f0), units.Frequency(f0/(q*math.Sqrt(k))), units.Resistance(load))
	if err != nil {
		t.Fatal(err)
	}
	p := n[0].Parts
	for i, want := range []float64{rp, l, c} {
		if !(math.Abs(p[i].Value/want-1) <= 1e-13) {
			t.Errorf("part %d: got %v, want %v", i, p[i].Value, want)
		}
	}
	level := func(hz float64) float64 {
		h, _ := solve(n, hz, complex(load, 0))
		return decibel(cmplx.Abs(h))
	}
	switch r.Calculation {
	case "notch frequency":
		r.Check(t, 1/(2*math.Pi*math.Sqrt(p[1].Value*p[2].Value)))
	case "notch depth":
		r.Check(t, level(f0))
	case "notch level":
		r.Check(t, level(r.Num(t, "frequency", "Hz")))
	default:
		r.Unknown(t)
	}
}

func decibel(x float64) float64 { return 20 * math.Log10(x) }

// solve returns voltage ratio and input impedance of a network at one frequency.
func solve(n ladder.Network, hz float64, load complex128) (h, zin complex128) {
	var hs, zs [1]complex128
	n.Solve(hs[:], zs[:], []float64{hz}, []complex128{load})
	return hs[0], zs[0]
}
