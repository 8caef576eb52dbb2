package filter

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func rowCoil(t *testing.T, r golden.Row) MovingCoil {
	t.Helper()
	num := func(name, unit string) float64 {
		if !r.Has(name) {
			return 0
		}
		return r.Num(t, name, unit)
	}
	return MovingCoil{
		Re: units.Resistance(num("re", "Ω")), Le: units.Inductance(num("le", "mH") / 1000),
		L2: units.Inductance(num("l2", "mH") / 1000), R2: units.Resistance(num("r2", "Ω")),
		Fs: units.Frequency(num("fs", "Hz")), Qes: num("qes", "1"), Qms: num("qms", "1"),
		Fb: units.Frequency(num("fb", "Hz")), Alpha: num("alpha", "1"), QL: num("ql", "1"),
	}
}

// beside returns the impedance of a driver with a branch across it.
func beside(m MovingCoil, branch ladder.Network, hz float64) complex128 {
	z := []complex128{m.Impedance(hz)}
	Across(z, []float64{hz}, z, branch)
	return z[0]
}

func TestCompensationRows(t *testing.T) {
	golden.Run(t, "testdata/compensation.csv", func(t *testing.T, r golden.Row) {
		m := rowCoil(t, r)
		if err := m.Check(); err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "resistor of branch", "capacitor of branch":
			n, err := LossyZobel(m.Re, m.Le, m.L2, m.R2)
			if err != nil {
				t.Fatal(err)
			}
			i := int(r.Num(t, "branch", "1")) - 1
			if r.Calculation == "resistor of branch" {
				r.Check(t, n[i].Parts[0].Value)
			} else {
				r.Check(t, n[i].Parts[1].Value)
			}
		case "resonance, resistor":
			r.Check(t, m.motion().res)
		case "resonance, coil":
			r.Check(t, m.motion().l)
		case "resonance, capacitor":
			r.Check(t, m.motion().c)
		case "modulus of impedance of moving coil":
			r.Check(t, cmplx.Abs(m.Impedance(r.Num(t, "frequency", "Hz"))))
		case "phase of impedance of moving coil":
			r.Check(t, cmplx.Phase(m.Impedance(r.Num(t, "frequency", "Hz")))*180/math.Pi)
		case "modulus of impedance with conjugate":
			branch, err := m.Conjugate()
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, cmplx.Abs(beside(m, branch, r.Num(t, "frequency", "Hz"))))
		case "modulus of impedance with Zobel and trap side by side":
			both := append(must(Zobel(m.Re, m.Le)), must(ResonanceTrap(m.Re, m.Fs, m.Qes, m.Qms))...)
			_, z := solve(both, r.Num(t, "frequency", "Hz"), m.Impedance(r.Num(t, "frequency", "Hz")))
			r.Check(t, cmplx.Abs(z))
		default:
			r.Unknown(t)
		}
	})
}

// randomCoils are drivers of all kinds: each of coil, eddy currents, resonance and
// vented box there or not.
func randomCoils(seed uint64, test func(m MovingCoil, hz float64)) {
	kind := 0
	randomSections(seed, func(fs, re float64, u func(lo, hi float64) float64) {
		m := MovingCoil{Re: units.Resistance(re)}
		if kind&1 != 0 {
			m.Le = units.Inductance(u(1e-5, 5e-3))
		}
		if kind&2 != 0 {
			m.L2, m.R2 = units.Inductance(u(1e-5, 5e-3)), units.Resistance(u(0.5, 50))
		}
		if kind&4 != 0 {
			m.Fs, m.Qes, m.Qms = units.Frequency(fs), u(0.2, 3), u(0.5, 12)
			if kind&8 != 0 {
				m.Fb, m.Alpha = units.Frequency(fs*u(0.5, 2)), u(0.2, 5)
				if kind&16 != 0 {
					m.QL = u(3, 30)
				}
			}
		}
		kind++
		test(m, u(5, 50e3))
	})
}

// Whatever the driver has, with its conjugate it is the resistance Re.
func TestConjugateOfAnyDriver(t *testing.T) {
	randomCoils(5, func(m MovingCoil, hz float64) {
		branch, err := m.Conjugate()
		if err != nil {
			t.Fatalf("%+v: %v", m, err)
		}
		if err := branch.Check(); err != nil {
			t.Errorf("%+v: %v", m, err)
		}
		re := float64(m.Re)
		if z := beside(m, branch, hz); !(cmplx.Abs(z-complex(re, 0)) <= 1e-10*re) {
			t.Errorf("%+v at %v Hz: %v", m, hz, z)
		}
		// One arm may be appended to a network, and its load is then Re, too.
		if len(branch) == 1 {
			if _, z := solve(branch, hz, m.Impedance(hz)); !(cmplx.Abs(z-complex(re, 0)) <= 1e-10*re) {
				t.Errorf("%+v as a section at %v Hz: %v", m, hz, z)
			}
		}
		res := 0
		for _, p := range branch.Parts() {
			if p.Kind == ladder.Resistor && p.Value == re {
				res++
			}
		}
		if res > 1 {
			t.Errorf("%+v: Re stands %d times in %v", m, res, branch)
		}
	})
}

// The sections that stand by themselves are the conjugates of drivers that have
// nothing else.
func TestConjugateOfOneThing(t *testing.T) {
	same := func(what string, a, b ladder.Network) {
		t.Helper()
		for i := range a {
			for k := range a[i].Parts {
				p, q := a[i].Parts[k], b[i].Parts[k]
				if p.Kind != q.Kind || !(math.Abs(p.Value-q.Value) <= 1e-12*q.Value) {
					t.Errorf("%s: %v, want %v", what, a, b)
				}
			}
		}
		if len(a) != 1 || len(b) != 1 {
			t.Errorf("%s: %d and %d arms", what, len(a), len(b))
		}
	}
	same("coil", must(MovingCoil{Re: 6, Le: 1e-3}.Conjugate()), must(Zobel(6, 1e-3)))
	same("resonance", must(MovingCoil{Re: 6, Fs: 900, Qes: 0.9, Qms: 3.6}.Conjugate()), must(ResonanceTrap(6, 900, 0.9, 3.6)))
	if n := must(MovingCoil{Re: 6}.Conjugate()); len(n) != 0 {
		t.Errorf("a resistance: %v", n)
	}
}

// Two branches of a lossy coil are its conjugate with a node inside.
func TestLossyZobel(t *testing.T) {
	randomSections(6, func(_, re float64, u func(lo, hi float64) float64) {
		m := MovingCoil{Re: units.Resistance(re), Le: units.Inductance(u(1e-5, 5e-3)), L2: units.Inductance(u(1e-5, 5e-3)), R2: units.Resistance(u(0.5, 50))}
		two := must(LossyZobel(m.Re, m.Le, m.L2, m.R2))
		hz := u(5, 50e3)
		if _, z := solve(two, hz, m.Impedance(hz)); !(cmplx.Abs(z-complex(re, 0)) <= 1e-10*re) {
			t.Errorf("%+v at %v Hz: %v", m, hz, z)
		}
		if err := two.Check(); err != nil {
			t.Errorf("%+v: %v", m, err)
		}
		conductance, capacitance := 0.0, 0.0
		for _, arm := range two {
			conductance += 1 / arm.Parts[0].Value
			capacitance += arm.Parts[1].Value
		}
		if want := float64(m.Le+m.L2) / (re * re); !(math.Abs(capacitance-want) <= 1e-9*want) || !(math.Abs(conductance*re-1) <= 1e-9) {
			t.Errorf("%+v: conductance %v/Re, capacitance %v, want %v", m, conductance*re, capacitance, want)
		}
	})
}

// The impedance of a driver with the ladder solver as the second road: its parts in
// the signal path, closed with a resistance of 1 Ω that is taken off again.
func TestMovingCoilImpedance(t *testing.T) {
	randomCoils(7, func(m MovingCoil, hz float64) {
		var n ladder.Network
		n = append(n, ladder.Series(ladder.R(m.Re)))
		if m.Le > 0 {
			n = append(n, ladder.Series(ladder.L(m.Le)))
		}
		if m.L2 > 0 {
			n = append(n, ladder.Series(ladder.L(m.L2), ladder.R(m.R2)))
		}
		load := complex(1e30, 0)
		closed := complex(0, 0)
		if m.Fs > 0 {
			w := 2 * math.Pi * float64(m.Fs)
			l := float64(m.Re) / (w * m.Qes)
			n = append(n,
				ladder.Shunt(ladder.R(units.Resistance(float64(m.Re)*m.Qms/m.Qes))),
				ladder.Shunt(ladder.L(units.Inductance(l))),
				ladder.Shunt(ladder.C(units.Capacitance(m.Qes/(w*float64(m.Re))))))
			if m.Fb > 0 {
				lb, wb := l/m.Alpha, 2*math.Pi*float64(m.Fb)
				box := ladder.Shunt(ladder.L(units.Inductance(lb)), ladder.C(units.Capacitance(1/(wb*wb*lb))))
				if m.QL > 0 {
					box.Parts = append(box.Parts, ladder.R(units.Resistance(wb*lb/m.QL)))
				}
				n = append(n, box)
			}
		} else {
			load, closed = 1, 1
		}
		_, z := solve(n, hz, load)
		if got := m.Impedance(hz); !(cmplx.Abs(got-(z-closed)) <= 1e-10*cmplx.Abs(got)) {
			t.Errorf("%+v at %v Hz: %v, circuit %v", m, hz, got, z-closed)
		}
	})
}

// A vented box shows two peaks and the least impedance between them at its tuning.
func TestVentedPeaks(t *testing.T) {
	m := MovingCoil{Re: 5.8, Fs: 37.8, Qes: 0.435, Qms: 4.68, Fb: 39, Alpha: 1.3, QL: 7}
	var peaks []float64
	at := func(hz float64) float64 { return cmplx.Abs(m.Impedance(hz)) }
	for hz := 8.0; hz < 200; hz *= 1.001 {
		if at(hz) > at(hz/1.001) && at(hz) > at(hz*1.001) {
			peaks = append(peaks, hz)
		}
	}
	if len(peaks) != 2 || !(peaks[0] < 39 && peaks[1] > 39) {
		t.Fatalf("peaks at %v Hz", peaks)
	}
	if !(at(39) < 1.4*5.8 && at(39) < at(peaks[0])/3) {
		t.Errorf("%v Ω at the tuning", at(39))
	}
	// Without losses fL² + fH² = fs²(1 + α) + fb² and fL·fH = fs·fb.
	m.Qms, m.QL = 1e6, 0
	l, h := 0.0, 0.0
	for hz := 8.0; hz < 200; hz *= 1.00001 {
		if at(hz) > at(hz/1.00001) && at(hz) > at(hz*1.00001) {
			if l == 0 {
				l = hz
			} else {
				h = hz
			}
		}
	}
	if want := 37.8 * 39.0; !(math.Abs(l*h/want-1) <= 1e-4) {
		t.Errorf("peaks at %v and %v Hz, product %v, want %v", l, h, l*h, want)
	}
	if want := 37.8*37.8*2.3 + 39*39; !(math.Abs((l*l+h*h)/want-1) <= 1e-4) {
		t.Errorf("peaks at %v and %v Hz, squares %v, want %v", l, h, l*l+h*h, want)
	}
}

// A branch across a load, in slices that may be one, and the odd cases.
func TestAcross(t *testing.T) {
	hz := []float64{100, 1000}
	branch := ladder.Network{ladder.Series(ladder.R(2)), ladder.Shunt(ladder.R(6)), ladder.Shunt(ladder.R(3))}
	load := []complex128{4, 12}
	Across(load, hz, load, branch)
	for i, want := range []complex128{2, 3} {
		if !(cmplx.Abs(load[i]-want) <= 1e-14) {
			t.Errorf("4 Ω across %d: %v, want %v", i, load[i], want)
		}
	}
	z := make([]complex128, 2)
	Across(z, hz, []complex128{5i, 0}, nil)
	if !(cmplx.Abs(z[0]-5i) <= 1e-14) || z[1] != 0 {
		t.Errorf("nothing across 5j and 0 Ω: %v", z)
	}
	Across(z, hz, []complex128{0, 8}, ladder.Network{ladder.Shunt(ladder.R(8))})
	if z[0] != 0 || !(cmplx.Abs(z[1]-4) <= 1e-14) {
		t.Errorf("8 Ω across 0 and 8 Ω: %v", z)
	}
	defer func() {
		if recover() == nil {
			t.Error("slices of different lengths pass")
		}
	}()
	Across(z, hz, []complex128{1}, branch)
}

func TestMovingCoilErrors(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		want string
		m    MovingCoil
	}{
		{"filter: coil resistance 0 Ω: must be positive and finite", MovingCoil{}},
		{"filter: coil inductance NaN mH: must be zero or positive, and finite", MovingCoil{Re: 6, Le: units.Inductance(nan)}},
		{"filter: coil resistance R2 0 Ω: must be positive and finite", MovingCoil{Re: 6, L2: 1e-3}},
		{"filter: coil inductance L2 0 mH: must be positive and finite", MovingCoil{Re: 6, R2: 3}},
		{"filter: qes 0: must be positive and finite", MovingCoil{Re: 6, Fs: 30, Qms: 3}},
		{"filter: qms NaN: must be positive and finite", MovingCoil{Re: 6, Fs: 30, Qes: 0.4, Qms: nan}},
		{"filter: resonance 0 Hz: must be positive and finite", MovingCoil{Re: 6, Qes: 0.4, Qms: 3}},
		{"filter: alpha 0: must be positive and finite", MovingCoil{Re: 6, Fs: 30, Qes: 0.4, Qms: 3, Fb: 30}},
		{"filter: tuning 0 Hz: must be positive and finite", MovingCoil{Re: 6, Fs: 30, Qes: 0.4, Qms: 3, Alpha: 1}},
		{"filter: ql -7: must be zero or positive, and finite", MovingCoil{Re: 6, Fs: 30, Qes: 0.4, Qms: 3, Fb: 30, Alpha: 1, QL: -7}},
	} {
		if _, err := c.m.Conjugate(); fmt.Sprint(err) != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

func BenchmarkConjugate(b *testing.B) {
	m := MovingCoil{Re: 5.8, Le: 0.3e-3, L2: 0.9e-3, R2: 12, Fs: 37.8, Qes: 0.435, Qms: 4.68, Fb: 39, Alpha: 1.3, QL: 7}
	for b.Loop() {
		if _, err := m.Conjugate(); err != nil {
			b.Fatal(err)
		}
	}
}
