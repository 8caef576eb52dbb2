package circuit

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// firstOrder is a series crossover: the tweeter takes what the coil across it leaves,
// the woofer what the capacitor across it does.
func firstOrder(l, c ladder.Part) Circuit {
	return Circuit{
		Branches: []Branch{{"in", "mid", c}, {"mid", "0", l}},
		Loads:    []Load{{"woofer", "in", "mid"}, {"tweeter", "mid", "0"}},
	}
}

func randomPart(r *rand.Rand) ladder.Part {
	between := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.Float64()) }
	switch r.IntN(3) {
	case 0:
		return ladder.R(units.Resistance(between(0.5, 50)))
	case 1:
		return ladder.L(units.Inductance(between(0.05e-3, 5e-3))).WithResistance(units.Resistance(between(0.05, 1)))
	}
	return ladder.C(units.Capacitance(between(0.5e-6, 100e-6))).WithLoss(between(1e-4, 0.1)).WithResistance(units.Resistance(between(0.01, 0.2)))
}

// randomCircuit has parts and loads between up to six nodes anyhow.
func randomCircuit(r *rand.Rand) Circuit {
	nodes := []string{"in", "0", "a", "b", "c", "d"}[:3+r.IntN(4)]
	for {
		var c Circuit
		pick := func() (string, string) {
			k := r.Perm(len(nodes))
			return nodes[k[0]], nodes[k[1]]
		}
		for range 2 + r.IntN(9) {
			from, to := pick()
			c.Branches = append(c.Branches, Branch{from, to, randomPart(r)})
		}
		for _, name := range []string{"woofer", "tweeter", "other"}[:1+r.IntN(3)] {
			from, to := pick()
			c.Loads = append(c.Loads, Load{name, from, to})
		}
		if c.Check() == nil {
			return c
		}
	}
}

func randomLoads(r *rand.Rand, c Circuit) []complex128 {
	z := make([]complex128, len(c.Loads))
	for i := range z {
		z[i] = complex(2+20*r.Float64(), 40*r.Float64()-20)
	}
	return z
}

// TestLadders: a ladder written as a circuit does what package ladder says.
func TestLadders(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 0))
	worst := 0.0
	for range 500 {
		var n ladder.Network
		for range r.IntN(7) {
			a := ladder.Arm{Shunt: r.IntN(2) == 0}
			for range 1 + r.IntN(3) {
				a.Parts = append(a.Parts, randomPart(r))
			}
			n = append(n, a)
		}
		c := Of(n, "driver")
		hz := []float64{20 * math.Pow(1000, r.Float64())}
		load := []complex128{complex(2+20*r.Float64(), 40*r.Float64()-20)}
		h, zin := make([]complex128, 1), make([]complex128, 1)
		n.Solve(h, zin, hz, load)
		var got Response
		if err := c.Solve(&got, hz, load); err != nil {
			t.Fatalf("%v%v: %v", n, c, err)
		}
		d := max(cmplx.Abs(got.H[0][0]-h[0])/max(1, cmplx.Abs(h[0])), cmplx.Abs(got.Zin[0]/zin[0]-1))
		if !(d < 1e-12) {
			t.Errorf("%vat %g Hz into %v: h %v zin %v, ladder %v %v", n, hz[0], load[0], got.H[0][0], got.Zin[0], h[0], zin[0])
		}
		worst = max(worst, d)
		state, err := c.State(hz[0], load[0])
		if err != nil {
			t.Fatal(err)
		}
		want, err := n.State(hz[0], load[0])
		if err != nil {
			t.Fatal(err)
		}
		for k, p := range append(state.Parts, state.Loads...) {
			w := append(want.Parts, want.Load)[k]
			d := max(cmplx.Abs(p.Voltage-w.Voltage), cmplx.Abs(p.Current-w.Current)/max(1, cmplx.Abs(want.Current)), math.Abs(p.Power-w.Power)/max(1, cmplx.Abs(want.Current)))
			if !(d < 1e-11) {
				t.Errorf("%vat %g Hz into %v: part %d %+v, ladder %+v", n, hz[0], load[0], k, p, w)
			}
		}
	}
	t.Logf("largest difference %.2g", worst)
	if got := Of(ladder.Network{ladder.Series(), ladder.Series(ladder.R(1))}, "x"); len(got.Branches) != 1 || got.Check() != nil {
		t.Errorf("empty arm: %v", got)
	}
}

// TestEnergyBalance: parts and loads take what the source gives, reactive power
// included, also in bridges.
func TestEnergyBalance(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 0))
	worst := 0.0
	for range 1000 {
		c := randomCircuit(r)
		hz := 20 * math.Pow(1000, r.Float64())
		s, err := c.State(hz, randomLoads(r, c)...)
		if err != nil {
			t.Fatalf("%v%v", c, err)
		}
		var heat float64
		var all complex128
		for _, p := range append(s.Parts, s.Loads...) {
			heat += p.Power
			all += p.Voltage * cmplx.Conj(p.Current)
		}
		d := max(math.Abs(heat-real(s.Current)), cmplx.Abs(all-cmplx.Conj(s.Current)))
		if s.Current != 0 { // nothing flows where there is no way back
			d /= cmplx.Abs(s.Current)
		}
		if !(d < 1e-12) {
			t.Errorf("%vat %g Hz: parts %g W %v VA, source %v A", c, hz, heat, all, s.Current)
		}
		worst = max(worst, d)
	}
	t.Logf("largest error %.2g of the apparent power", worst)
}

// TestKirchhoff: around any loop voltages add up to none, so the drivers in series
// share the input, whatever the parts are.
func TestKirchhoff(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 0))
	for range 200 {
		c := firstOrder(randomPart(r), randomPart(r))
		hz := []float64{20 * math.Pow(1000, r.Float64())}
		z := randomLoads(r, c)
		var got Response
		if err := c.Solve(&got, hz, z[:1], z[1:]); err != nil {
			t.Fatal(err)
		}
		if d := cmplx.Abs(got.H[0][0] + got.H[1][0] - 1); !(d < 1e-13) {
			t.Errorf("%vat %g Hz: woofer %v, tweeter %v", c, hz[0], got.H[0][0], got.H[1][0])
		}
		s, err := c.State(hz[0], z...)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range s.Loads {
			if d := cmplx.Abs(l.Voltage - got.H[i][0]); !(d < 1e-14) {
				t.Errorf("load %d: %v, transfer %v", i, l.Voltage, got.H[i][0])
			}
		}
		if d := cmplx.Abs(s.Current*got.Zin[0] - 1); !(d < 1e-14) {
			t.Errorf("current %v, zin %v", s.Current, got.Zin[0])
		}
	}
}

// TestConstantResistance: with L = R/ω0 and C = 1/(ω0 R) and resistive drivers the
// first-order series crossover has the transfers of the parallel one, 1/(1+s) and
// s/(1+s), and R at all frequencies.
func TestConstantResistance(t *testing.T) {
	const ohms, corner = 8.0, 2500.0
	w0 := 2 * math.Pi * corner
	c := firstOrder(ladder.L(units.Inductance(ohms/w0)), ladder.C(units.Capacitance(1/(w0*ohms))))
	hz := []float64{20, 700, corner, 9000, 20000}
	z := []complex128{ohms, ohms, ohms, ohms, ohms}
	var got Response
	if err := c.Solve(&got, hz, z, z); err != nil {
		t.Fatal(err)
	}
	for k, f := range hz {
		s := complex(0, f/corner)
		d := max(cmplx.Abs(got.H[0][k]-1/(1+s)), cmplx.Abs(got.H[1][k]-s/(1+s)), cmplx.Abs(got.Zin[k]-ohms)/ohms)
		if !(d < 1e-14) {
			t.Errorf("%g Hz: woofer %v, tweeter %v, zin %v", f, got.H[0][k], got.H[1][k], got.Zin[k])
		}
	}
}

// TestReversal: a driver the other way round sees the same voltage with another sign.
func TestReversal(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 0))
	for range 100 {
		c := randomCircuit(r)
		z := randomLoads(r, c)
		s, err := c.State(1000, z...)
		if err != nil {
			t.Fatal(err)
		}
		back := Circuit{c.Branches, append([]Load(nil), c.Loads...)}
		back.Loads[0].From, back.Loads[0].To = c.Loads[0].To, c.Loads[0].From
		b, err := back.State(1000, z...)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmplx.Abs(b.Loads[0].Voltage + s.Loads[0].Voltage); !(d < 1e-12) || !(cmplx.Abs(b.Current/s.Current-1) < 1e-12) {
			t.Errorf("%v: %v, reversed %v", c, s.Loads[0].Voltage, b.Loads[0].Voltage)
		}
	}
}

func TestCheck(t *testing.T) {
	r8 := ladder.R(8)
	one := []Load{{"woofer", "in", "0"}}
	for _, test := range []struct {
		c    Circuit
		want string
	}{
		{firstOrder(r8, r8), ""},
		{Circuit{Loads: one}, ""},
		{Circuit{Branches: []Branch{{"c", "b", r8}, {"b", "a", r8}, {"a", "in", r8}}, Loads: []Load{{"woofer", "c", "0"}}}, ""}, // from back to front
		{Circuit{}, "circuit: loads: none: must be at least one"},
		{Circuit{Branches: []Branch{{"in", "0", ladder.L(-1e-3)}}, Loads: one}, "circuit: part A: ladder: coil -1 mH: must be positive and finite"},
		{Circuit{Loads: []Load{{"", "in", "0"}}}, `circuit: load 1: name "": must be words without ; or #`},
		{Circuit{Loads: []Load{{"woofer", "in", "0"}, {"woofer", "in", "0"}}}, "circuit: load 2: name woofer: must not be that of another"},
		{Circuit{Loads: []Load{{"woofer", "in", ""}}}, `circuit: load 1 (woofer): node "": must be a word without ; or #`},
		{Circuit{Loads: []Load{{"woofer", "in", "a b"}}}, `circuit: load 1 (woofer): node "a b": must be a word without ; or #`},
		{Circuit{Loads: []Load{{"woofer", "in", "in"}}}, "circuit: load 1 (woofer): nodes in and in: must differ"},
		{Circuit{Branches: []Branch{{"a", "b", r8}}, Loads: []Load{{"woofer", "a", "b"}}}, "circuit: node in: must be connected, it is one of the source"},
		{Circuit{Branches: []Branch{{"in", "a", r8}}, Loads: []Load{{"woofer", "in", "a"}}}, "circuit: node 0: must be connected, it is one of the source"},
		{Circuit{Branches: []Branch{{"in", "a", r8}}, Loads: one}, "circuit: part A (resistor): node a: must join another part, load or the source"},
		{Circuit{Branches: []Branch{{"a", "b", r8}, {"b", "a", r8}}, Loads: one}, "circuit: part A (resistor): node a: must have a way to the source"},
	} {
		err := test.c.Check()
		if test.want == "" {
			if err != nil {
				t.Errorf("%v: %v", test.c, err)
			}
			continue
		}
		if err == nil || err.Error() != test.want || !errors.As(err, new(*units.RangeError)) {
			t.Errorf("error %v\nwant  %s", err, test.want)
		}
		if err := test.c.Solve(new(Response), nil, make([][]complex128, len(test.c.Loads))...); err == nil {
			t.Errorf("%s: solved", test.want)
		}
	}
}

func TestSolveErrors(t *testing.T) {
	c := Circuit{Loads: []Load{{"woofer", "in", "0"}}}
	for _, test := range []struct {
		hz   float64
		z    complex128
		want string
	}{
		{0, 8, "circuit: frequency 0 Hz: must be positive and finite"},
		{math.NaN(), 8, "circuit: frequency NaN Hz: must be positive and finite"},
		{100, cmplx.Inf(), "circuit: load 1 (woofer) at 100 Hz (+Inf+Infi) Ω: must be finite"},
		{100, 0, "circuit: at 100 Hz: the source is shorted, or a loop has no impedance"},
	} {
		if _, err := c.State(test.hz, test.z); err == nil || err.Error() != test.want || (test.z == 0) != errors.Is(err, ErrShorted) {
			t.Errorf("error %v, want %s", err, test.want)
		}
	}
	for name, f := range map[string]func(){
		"loads":     func() { c.Solve(new(Response), nil) },
		"points":    func() { c.Solve(new(Response), []float64{1}, nil) },
		"of state":  func() { c.State(1) },
		"too many":  func() { c.State(1, 8, 8) },
		"impedance": func() { c.Solve(new(Response), nil, []complex128{1}) },
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

// TestResponseIsUsedAgain: also by a circuit of another size.
func TestResponseIsUsedAgain(t *testing.T) {
	c := firstOrder(ladder.L(1e-3), ladder.C(1e-5))
	hz, z := []float64{100, 1000}, []complex128{8, 8}
	var r Response
	if err := c.Solve(&r, hz, z, z); err != nil {
		t.Fatal(err)
	}
	first := &r.H[1][0]
	want := *first
	if err := c.Solve(&r, hz, z, z); err != nil || &r.H[1][0] != first || *first != want {
		t.Errorf("%v: %v at %p, want %v at %p", err, r.H[1][0], &r.H[1][0], want, first)
	}
	if err := Of(nil, "woofer").Solve(&r, hz[:1], z[:1]); err != nil || len(r.H) != 1 || len(r.Zin) != 1 || !(cmplx.Abs(r.H[0][0]-1) < 1e-15) {
		t.Errorf("%v: %+v", err, r)
	}
}

func TestText(t *testing.T) {
	const text = "in  mid  C 10 µF; tan δ 0.0005; ± 5 %    # high-pass of the tweeter\n\n" +
		"mid 0\tL 0m64; 0.31 Ω\r\nin mid R 4R7;±10%\nin mid load the woofer \n mid 0 load tweeter"
	want := firstOrder(ladder.L(0.64e-3).WithResistance(0.31), ladder.C(10e-6).WithLoss(0.0005).WithTolerance(0.05))
	want.Branches = append(want.Branches, Branch{"in", "mid", ladder.R(4.7).WithTolerance(0.1)})
	want.Loads[0].Name = "the woofer"
	var got Circuit
	if err := got.UnmarshalText([]byte(text)); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v\n%v\nwant\n%v", err, got, want)
	}
	const people = "in mid C 10 µF; tan δ 0.0005; ± 5 %\nmid 0 L 0.64 mH; 0.31 Ω\nin mid R 4.7 Ω; ± 10 %\nin mid load the woofer\nmid 0 load tweeter\n"
	if s := got.String(); s != people {
		t.Errorf("%s\nwant\n%s", s, people)
	}
	for text, want := range map[string]string{
		"in 0 X 3":                         `circuit: line 1, column 6: "X": want two nodes, then R, L, C or load`,
		"in 0 load w\nin":                  `circuit: line 2, column 3: "": want two nodes, then R, L, C or load`,
		"in 0 load w\n  in 0 L 3 Ω":        "circuit: line 2, column 10: ",
		"in 0 C 3 µF; tan δ x":             "circuit: line 1, column 14: ",
		"in 0 C 3 µF; ± 3 mm":              "circuit: line 1, column 14: ",
		"in 0 C 3 µF;":                     "circuit: line 1, column 13: ",
		"in 0 R":                           "circuit: line 1, column 7: ",
		"in a load w":                      "circuit: node 0: must be connected",
		"in 0 R 5 Ω; ± 200 %\nin 0 load w": "circuit: part A: ladder: resistor: tolerance 200 %",
		"":                                 "circuit: loads: none",
	} {
		was := got
		if err := got.UnmarshalText([]byte(text)); err == nil || !strings.HasPrefix(err.Error(), want) || !reflect.DeepEqual(got, was) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	if _, err := (Circuit{}).MarshalText(); err == nil {
		t.Error("an empty circuit was written")
	}
	if s := (Circuit{Branches: []Branch{{"a", "b", ladder.Part{Kind: 9, Value: 1}}}}).String(); s != "a b ? 1 Ω\n" {
		t.Errorf("%q", s)
	}
}

func FuzzUnmarshalText(f *testing.F) {
	f.Add("in mid C 10 µF; tan δ 0.0005; ± 5 % # remark\nmid 0 L 0.64 mH; 0.31 Ω\nin mid load woofer\nmid 0 load tweeter")
	f.Add("in 0 R 4R7;±10%\nin 0 load a b")
	f.Fuzz(func(t *testing.T, text string) {
		var c, again Circuit
		if c.UnmarshalText([]byte(text)) != nil {
			return
		}
		out, err := c.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		if err := again.UnmarshalText(out); err != nil || !reflect.DeepEqual(again, c) {
			t.Fatalf("%v\n%s\nread back\n%s", err, out, again)
		}
	})
}

func BenchmarkSolve(b *testing.B) {
	c := firstOrder(ladder.L(1e-3).WithResistance(0.3), ladder.C(1e-5))
	const points = 100
	hz, z := make([]float64, points), make([]complex128, points)
	for k := range hz {
		hz[k], z[k] = 20+float64(k)*100, complex(6, float64(k)/10)
	}
	var r Response
	b.ReportAllocs()
	for b.Loop() {
		if err := c.Solve(&r, hz, z, z); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/points, "ns/point")
}
