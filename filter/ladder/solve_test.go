package ladder

import (
	"cmp"
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/units"
)

// resonant returns a frequency and ideal parts whose reactances there are exactly
// 1 Ω and -1 Ω in floating-point arithmetic: ω is a power of two.
func resonant(t *testing.T) (hz float64, l, c Part) {
	const w = 8192.0
	hz = w / (2 * math.Pi)
	for range 4 {
		if 2*math.Pi*hz == w {
			return hz, L(1 / w), C(1 / w)
		}
		hz = math.Nextafter(hz, math.Inf(cmp.Compare(w, 2*math.Pi*hz)))
	}
	t.Fatal("no frequency with ω a power of two")
	return 0, Part{}, Part{}
}

// TestIdealResonance: dead shorts and open arms are exact and never NaN, also where
// two of them meet.
func TestIdealResonance(t *testing.T) {
	hz, l, c := resonant(t)
	load := complex(8, 3)
	short, open, r := Shunt(l, c), Series(l, c), Series(R(5))
	for _, test := range []struct {
		name   string
		net    Network
		h, zin complex128
	}{
		{"short behind a resistor", Network{r, short}, 0, 5},
		{"short in front", Network{short, r}, 0, 0},
		{"two shorts", Network{r, short, short}, 0, 5},
		{"two shorts with a resistor between", Network{r, short, r, short}, 0, 5},
		{"open in front", Network{open, r}, 0, infinite},
		{"open behind a shunt", Network{r, Shunt(R(7)), open}, 0, 12},
		{"two open arms", Network{open, open}, 0, infinite},
		{"open, then short", Network{open, short}, 0, infinite},
		{"short, then open", Network{r, short, open}, 0, 5},
		{"series resonance in the signal path", Network{Series(l), Series(c)}, 1, load},
		{"parallel resonance across it", Network{Shunt(l), Shunt(c)}, 1, load},
	} {
		h, zin := solveAt(test.net, hz, load)
		if h != test.h && !(cmplx.Abs(h-test.h) < 1e-15) {
			t.Errorf("%s: h %v, want %v", test.name, h, test.h)
		}
		if cmplx.IsInf(test.zin) != cmplx.IsInf(zin) || !cmplx.IsInf(zin) && !(cmplx.Abs(zin-test.zin) < 1e-14) {
			t.Errorf("%s: zin %v, want %v", test.name, zin, test.zin)
		}

		s, err := test.net.State(hz, load)
		if test.zin == 0 {
			if err == nil {
				t.Errorf("%s: a state of a shorted source", test.name)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if d := cmplx.Abs(s.Load.Voltage - test.h); !(d < 1e-15) {
			t.Errorf("%s: load voltage %v, want %v", test.name, s.Load.Voltage, test.h)
		}
		all := s.Load.Voltage * cmplx.Conj(s.Load.Current)
		for _, p := range s.Parts {
			all += p.Voltage * cmplx.Conj(p.Current)
		}
		if d := cmplx.Abs(all - cmplx.Conj(s.Current)); !(d < 1e-14) {
			t.Errorf("%s: V I* %v, want %v", test.name, all, cmplx.Conj(s.Current))
		}
	}
}

// TestResonantCurrents: the current that circulates in an open arm, and the voltages
// across the parts of a short, are those of their reactances, here 1 Ω.
func TestResonantCurrents(t *testing.T) {
	hz, l, c := resonant(t)
	s, err := Network{Series(l, c)}.State(hz, 8)
	if err != nil {
		t.Fatal(err)
	}
	if s.Current != 0 || s.Parts[0].Current != -1i || s.Parts[1].Current != 1i {
		t.Errorf("open arm: source %v, coil %v, capacitor %v", s.Current, s.Parts[0].Current, s.Parts[1].Current)
	}
	s, err = Network{Series(R(5)), Shunt(l, c)}.State(hz, 8)
	if err != nil {
		t.Fatal(err)
	}
	if d := max(cmplx.Abs(s.Parts[1].Voltage-0.2i), cmplx.Abs(s.Parts[2].Voltage+0.2i)); !(d < 1e-15) {
		t.Errorf("short: coil %v, capacitor %v", s.Parts[1].Voltage, s.Parts[2].Voltage)
	}
}

func TestTrivialNetworks(t *testing.T) {
	load := complex(6, -2)
	if h, zin := solveAt(nil, 1000, load); !(cmplx.Abs(h-1) < 1e-15) || zin != load {
		t.Errorf("a pair of wires: h %v, zin %v", h, zin)
	}
	if h, zin := solveAt(Network{Series(R(4))}, 1000, 0); h != 0 || zin != 4 {
		t.Errorf("load of 0 Ω: h %v, zin %v", h, zin)
	}
	if h, zin := solveAt(nil, 1000, 0); h != 0 || zin != 0 {
		t.Errorf("load of 0 Ω without a network: h %v, zin %v", h, zin)
	}
	if h, zin := solveAt(Network{Series()}, 1000, load); h != 0 || !cmplx.IsInf(zin) {
		t.Errorf("empty series arm: h %v, zin %v", h, zin)
	}
	if h, zin := solveAt(Network{Series(R(4)), Shunt()}, 1000, load); h != 0 || zin != 4 {
		t.Errorf("empty shunt arm: h %v, zin %v", h, zin)
	}
	// Two ways to put 6 Ω in the path, and two to put 3 Ω across it.
	for _, n := range []Network{
		{Series(R(6)), Shunt(R(3))},
		{Series(R(12), R(12)), Shunt(R(1), R(2))},
		{Series(R(2)), Series(R(4)), Shunt(R(6)), Shunt(R(6))},
	} {
		h, zin := solveAt(n, 1000, 6)
		if d := max(cmplx.Abs(h-0.25), cmplx.Abs(zin-8)); !(d < 1e-15) {
			t.Errorf("%vh %v, zin %v, want 0.25, 8", n, h, zin)
		}
	}
}

// TestBlocks: a grid longer than a block, and of no whole number of them, gives the
// same as its points one by one.
func TestBlocks(t *testing.T) {
	for _, size := range []int{0, 1, blockLen - 1, blockLen, blockLen + 1, 3*blockLen + 7} {
		hz, load := make([]float64, size), make([]complex128, size)
		for k := range hz {
			hz[k] = 20 + 31*float64(k)
			load[k] = w1Driver.impedance(hz[k])
		}
		h, zin := make([]complex128, size), make([]complex128, size)
		n := append(Network{Series(R(3), L(1*units.Millihenry))}, w1...)
		n.Solve(h, zin, hz, load)
		for k := range hz {
			if h1, z1 := solveAt(n, hz[k], load[k]); h[k] != h1 || zin[k] != z1 {
				t.Errorf("%d points: point %d: h %v zin %v, alone %v %v", size, k, h[k], zin[k], h1, z1)
			}
		}
	}
}

func TestSolveDoesNotAllocate(t *testing.T) {
	hz, woofer, _ := benchGrid()
	h, zin := make([]complex128, len(hz)), make([]complex128, len(hz))
	n := append(Network{Series(R(3), L(1*units.Millihenry), C(10*units.Microfarad))}, w1...)
	if a := testing.AllocsPerRun(20, func() { n.Solve(h, zin, hz, woofer) }); a != 0 {
		t.Errorf("%v allocations", a)
	}
}

func TestSolvePanics(t *testing.T) {
	one := []complex128{1}
	for name, f := range map[string]func(){
		"h":              func() { w1.Solve(nil, one, []float64{1}, one) },
		"zin":            func() { w1.Solve(one, nil, []float64{1}, one) },
		"load":           func() { w1.Solve(one, one, []float64{1}, nil) },
		"hz":             func() { w1.Solve(one, one, nil, one) },
		"zero frequency": func() { solveAt(w1, 0, 8) },
		"negative":       func() { solveAt(w1, -5, 8) },
		"NaN":            func() { solveAt(w1, math.NaN(), 8) },
		"infinite":       func() { solveAt(w1, math.Inf(1), 8) },
		"load infinite":  func() { solveAt(w1, 5, cmplx.Inf()) },
		"load NaN":       func() { solveAt(w1, 5, complex(8, math.NaN())) },
		"letter":         func() { Letter(-1) },
		"minimum":        func() { MinimumImpedance(nil, nil) },
		"minimum length": func() { MinimumImpedance([]float64{1, 2}, one) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

func TestStateErrors(t *testing.T) {
	for _, test := range []struct {
		hz   float64
		load complex128
		want string
	}{
		{0, 8, "ladder: frequency 0 Hz: must be positive and finite"},
		{math.NaN(), 8, "ladder: frequency NaN Hz: must be positive and finite"},
		{100, complex(math.NaN(), 0), "ladder: load (NaN+0i) Ω: must be finite"},
		{100, 0, "ladder: input impedance 0 Ω: must not be zero, but the source is shorted at 100 Hz"},
	} {
		if _, err := (Network{}).State(test.hz, test.load); err == nil || err.Error() != test.want {
			t.Errorf("error %v, want %s", err, test.want)
		}
	}
}
