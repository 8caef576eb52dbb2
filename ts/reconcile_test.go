package ts_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func TestReconcileRows(t *testing.T) {
	golden.Run(t, "testdata/reconcile.csv", func(t *testing.T, r golden.Row) {
		a := air.Standard()
		switch r.Calculation {
		case "chi-squared of a sheet":
			s := ts.Sheet{
				Re: units.Resistance(r.Num(t, "Re", "ohm")), Fs: units.Frequency(r.Num(t, "fs", "Hz")),
				Qms: r.Num(t, "Qms", "1"), Qes: r.Num(t, "Qes", "1"), Qts: r.Num(t, "Qts", "1"),
				Vas: units.Volume(r.Num(t, "Vas", "L")) * units.Litre, Sd: units.Area(r.Num(t, "Sd", "cm2")) * units.SquareCentimetre,
				Mms: units.Mass(r.Num(t, "Mms", "g")) * units.Gram, Cms: units.Compliance(r.Num(t, "Cms", "mm/N")) * units.MillimetrePerNewton,
				Rms: units.MechanicalResistance(r.Num(t, "Rms", "kg/s")), Bl: units.ForceFactor(r.Num(t, "Bl", "T·m")),
				Eta0: units.Ratio(r.Num(t, "eta0", "%")) * units.Percent,
			}
			whole, err := s.Reconcile(a)
			if err != nil {
				t.Fatal(err)
			}
			culprits, _, err := s.Culprits(a)
			if err != nil {
				t.Fatal(err)
			}
			chi2 := []float64{whole.Chi2}
			for _, c := range culprits {
				chi2 = append(chi2, c.Chi2)
			}
			aside := int(r.Num(t, "aside", "1"))
			if len(chi2) != 3 || whole.Freedom != 6 {
				t.Fatalf("chi-squared %v, %d redundant figures", chi2, whole.Freedom)
			}
			r.Check(t, chi2[aside])
		case "largest gain of error":
			set := r.Word(t, "set")
			s := keep(six(t, r).Sheet(a), set)
			s.Digits = 15
			// The equations of the deviations are linear: large ones drown the rounding.
			const dB = 1e4
			tolerance := dB * math.Ln10 / 20
			var all []ts.Tolerance
			for n := range strings.FieldsSeq(set) {
				if n == "SPL283" {
					all = append(all, ts.Tolerance{Figure: "SPL 2.83 V", Deviation: dB})
				} else {
					all = append(all, ts.Tolerance{Figure: n, Deviation: tolerance})
				}
			}
			got, err := s.Reconcile(a, all...)
			if err != nil {
				t.Fatal(err)
			}
			most := 0.0
			for _, n := range []string{"Bl", "Mms", "Cms", "Rms"} {
				most = max(most, got.Estimates.Deviation(n)/tolerance)
			}
			r.Check(t, most)
		default:
			r.Unknown(t)
		}
	})
}

// chiSquared judges a driver by what it would print itself against what is printed.
func chiSquared(d ts.Driver, printed ts.Sheet, deviations map[string]float64) float64 {
	own := d.Sheet(air.Air{})
	own.Mmd = d.Mms - ts.AirMass(d.Sd, air.Air{})
	own.Diameter = units.Length(2 * math.Sqrt(float64(d.Sd)/math.Pi))
	sum := 0.0
	add := func(figure string, own, printed float64) {
		if printed > 0 {
			x := math.Log(own/printed) / deviations[figure]
			sum += x * x
		}
	}
	add("Re", float64(own.Re), float64(printed.Re))
	add("Zmax", float64(own.Zmax), float64(printed.Zmax))
	add("fs", float64(own.Fs), float64(printed.Fs))
	add("Qms", own.Qms, printed.Qms)
	add("Qes", own.Qes, printed.Qes)
	add("Qts", own.Qts, printed.Qts)
	add("Vas", float64(own.Vas), float64(printed.Vas))
	add("Sd", float64(own.Sd), float64(printed.Sd))
	add("diameter", float64(own.Diameter), float64(printed.Diameter))
	add("Mms", float64(own.Mms), float64(printed.Mms))
	add("Cms", float64(own.Cms), float64(printed.Cms))
	add("Rms", float64(own.Rms), float64(printed.Rms))
	add("Bl", float64(own.Bl), float64(printed.Bl))
	add("eta0", float64(own.Eta0), float64(printed.Eta0))
	add("Xmax", float64(own.Xmax), float64(printed.Xmax))
	add("Vd", float64(own.Vd), float64(printed.Vd))
	for figure, levels := range map[string][2]units.PressureLevel{
		"SPL 1 W": {own.SPL1W, printed.SPL1W}, "SPL 2.83 V": {own.SPL283, printed.SPL283},
	} {
		if levels[1] > 0 {
			x := float64(levels[0]-levels[1]) / deviations[figure]
			sum += x * x
		}
	}
	return sum
}

// deviations repeats what the comment of Reconcile says for three digits.
func deviations(s ts.Sheet) map[string]float64 {
	d := map[string]float64{"SPL 1 W": math.Hypot(0.3, 0.05/math.Sqrt(3)), "SPL 2.83 V": math.Hypot(1.5, 0.05/math.Sqrt(3))}
	for figure, v := range map[string]float64{
		"Re": float64(s.Re), "Zmax": float64(s.Zmax), "fs": float64(s.Fs), "Qms": s.Qms, "Qes": s.Qes, "Qts": s.Qts, "Vas": float64(s.Vas),
		"Sd": float64(s.Sd), "diameter": float64(s.Diameter), "Mms": float64(s.Mms), "Cms": float64(s.Cms), "Rms": float64(s.Rms),
		"Bl": float64(s.Bl), "eta0": float64(s.Eta0), "Xmax": float64(s.Xmax), "Vd": float64(s.Vd),
	} {
		tolerance := 0.005
		if figure == "Zmax" {
			tolerance = 0.02
		}
		if v > 0 {
			half := 0.5 * math.Pow(10, math.Floor(math.Log10(v))-2) / v
			d[figure] = math.Hypot(tolerance, half/math.Sqrt(3))
		}
	}
	return d
}

// The result is the least of a sum computed without it, and no step from it is down.
func TestReconciledIsTheLeast(t *testing.T) {
	s := spoiled
	s.Zmax, s.Diameter = 67, 0.166
	r, err := s.Reconcile(air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	dev := deviations(s)
	sum := func(d ts.Driver) float64 { return chiSquared(d, s, dev) }
	least := sum(r.Driver)
	near(t, "chi-squared", least, r.Chi2, 1e-9)
	for _, step := range []float64{1e-3, -1e-3, 0.05, -0.05} {
		k := 1 + step
		for what, change := range map[string]func(*ts.Driver){
			"Re": func(d *ts.Driver) { d.Re *= units.Resistance(k) }, "Bl": func(d *ts.Driver) { d.Bl *= units.ForceFactor(k) },
			"Mms": func(d *ts.Driver) { d.Mms *= units.Mass(k) }, "Cms": func(d *ts.Driver) { d.Cms *= units.Compliance(k) },
			"Rms": func(d *ts.Driver) { d.Rms *= units.MechanicalResistance(k) }, "Sd": func(d *ts.Driver) { d.Sd *= units.Area(k) },
			"Xmax":       func(d *ts.Driver) { d.Xmax *= units.Length(k) },
			"Mms and Bl": func(d *ts.Driver) { d.Mms *= units.Mass(k * k); d.Bl *= units.ForceFactor(k) },
			"Cms and Sd": func(d *ts.Driver) { d.Cms /= units.Compliance(k * k); d.Sd *= units.Area(k) },
		} {
			d := r.Driver
			change(&d)
			// A first-order slope would show as step, the curvature as its square.
			if up := sum(d) - least; !(up > 0) || step*step == 1e-6 && !(up < 1) {
				t.Errorf("%s by %+.1g: chi-squared rises by %g", what, step, up)
			}
		}
	}
	moved := 0.0
	for _, m := range r.Moves {
		by := m.By
		if !m.Decibels {
			by = math.Log1p(by)
		}
		near(t, "deviation of "+m.Figure, m.Deviation, dev[m.Figure], 1e-12)
		moved += sq(by / m.Deviation)
	}
	near(t, "moves", moved, r.Chi2, 1e-9)
}

func sq(x float64) float64 { return x * x }

// Any subset that fixes a driver gives it back, and contradicts nothing.
func TestReconcileOfConsistentFigures(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 344}
	full := woofer.Sheet(a)
	full.Mmd = woofer.Mms - ts.AirMass(woofer.Sd, a)
	full.Diameter = units.Length(2 * math.Sqrt(float64(woofer.Sd)/math.Pi))
	for _, set := range []string{
		"Re fs Qms Qes Vas Sd", "Re fs Qts Qes Vas Sd", "Re fs Qms Qes Mmd diameter Xmax Vd", "Re fs Qts Zmax Vas Sd SPL1W",
		"Re Zmax fs Qms Qes Qts Vas Sd diameter Mms Mmd Cms Rms Bl eta0 SPL1W SPL283 Xmax Vd",
	} {
		r, err := keep(full, set).Reconcile(a)
		if err != nil {
			t.Errorf("%s: %v", set, err)
			continue
		}
		want := woofer
		if !strings.Contains(set, "Xmax") {
			want.Xmax = 0
		}
		near(t, set+": Cms", float64(r.Driver.Cms), float64(want.Cms), 1e-9)
		near(t, set+": Bl", float64(r.Driver.Bl), float64(want.Bl), 1e-9)
		near(t, set+": Rms", float64(r.Driver.Rms), float64(want.Rms), 1e-9)
		near(t, set+": Xmax", float64(r.Driver.Xmax), float64(want.Xmax), 1e-12)
		if !(r.Chi2 < 1e-12) {
			t.Errorf("%s: chi-squared %g", set, r.Chi2)
		}
		for _, m := range r.Moves {
			if m.Published != m.Reconciled || !(math.Abs(m.By) < 1e-9) || m.Aside {
				t.Errorf("%s: %+v", set, m)
			}
		}
	}
}

// Sheets printed with errors of the stated size scatter as the estimates say, and chi
// squared is as large as the redundancy on average.
func TestEstimatesByDraws(t *testing.T) {
	full := woofer.Sheet(air.Air{})
	set := "Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl eta0"
	var tolerances []ts.Tolerance
	for n := range strings.FieldsSeq(set) {
		tolerances = append(tolerances, ts.Tolerance{Figure: n, Deviation: 0.01})
	}
	rng := rand.New(rand.NewPCG(3, 3))
	const n = 1500
	names := []string{"Re", "Bl", "Mms", "Cms", "Rms", "Sd", "fs", "Qms", "Qes", "Qts", "Vas", "eta0"}
	logs := make([][]float64, n)
	var want ts.Estimates
	chi2 := 0.0
	for k := range n {
		e := func() float64 { return math.Exp(0.01 * rng.NormFloat64()) }
		s := keep(full, set)
		s.Digits = 12
		s.Re *= units.Resistance(e())
		s.Fs *= units.Frequency(e())
		s.Qms *= e()
		s.Qes *= e()
		s.Qts *= e()
		s.Vas *= units.Volume(e())
		s.Sd *= units.Area(e())
		s.Mms *= units.Mass(e())
		s.Cms *= units.Compliance(e())
		s.Rms *= units.MechanicalResistance(e())
		s.Bl *= units.ForceFactor(e())
		s.Eta0 *= units.Ratio(e())
		r, err := s.Reconcile(air.Air{}, tolerances...)
		if err != nil {
			t.Fatal(err)
		}
		want = r.Estimates
		chi2 += r.Chi2 / n
		logs[k] = figures(r.Driver)
	}
	near(t, "mean chi-squared", chi2, 6, 0.04) // three deviations of the mean
	scatters(t, names, logs, want, 0.06, 0.08)
}

// figures returns the logarithms of the figures that estimates are of.
func figures(d ts.Driver) []float64 {
	s := d.Sheet(air.Air{})
	f := []float64{
		float64(s.Re), float64(s.Bl), float64(s.Mms), float64(s.Cms), float64(s.Rms), float64(s.Sd),
		float64(s.Fs), s.Qms, s.Qes, s.Qts, float64(s.Vas), float64(s.Eta0),
	}
	for i, v := range f {
		f[i] = math.Log(v)
	}
	return f
}

// scatters compares draws with estimates: deviations within a fraction, correlations
// within a difference.
func scatters(t *testing.T, names []string, logs [][]float64, want ts.Estimates, fraction, difference float64) {
	t.Helper()
	n := float64(len(logs))
	mean := make([]float64, len(names))
	for _, x := range logs {
		for i, v := range x {
			mean[i] += v / n
		}
	}
	covariance := func(i, j int) float64 {
		sum := 0.0
		for _, x := range logs {
			sum += (x[i] - mean[i]) * (x[j] - mean[j])
		}
		return sum / (n - 1)
	}
	for i, a := range names {
		if want.Figures[i].Figure != a {
			t.Fatalf("figure %d is %s, want %s", i, want.Figures[i].Figure, a)
		}
		sa := math.Sqrt(covariance(i, i))
		near(t, "deviation of "+a, want.Deviation(a), sa, fraction)
		for j, b := range names[:i] {
			got := covariance(i, j) / (sa * math.Sqrt(covariance(j, j)))
			if w := want.Correlation(a, b); !(math.Abs(got-w) <= difference) || w != want.Correlation(b, a) {
				t.Errorf("%s with %s: correlation %.3f, want %.3f", a, b, got, w)
			}
		}
	}
}

// A mass without air takes the air of the area beside it, and both their errors.
func TestEstimatesThroughTheAirLoad(t *testing.T) {
	s := keep(woofer.Sheet(air.Air{}), "Re fs Qms Qes Sd")
	s.Mmd, s.Digits = woofer.Mms-ts.AirMass(woofer.Sd, air.Air{}), 12
	r, err := s.Reconcile(air.Air{}, ts.Tolerance{Figure: "Mmd", Deviation: 0.03}, ts.Tolerance{Figure: "Sd", Deviation: 0.04})
	if err != nil {
		t.Fatal(err)
	}
	load := float64(ts.AirMass(woofer.Sd, air.Air{}))
	want := math.Hypot(0.03*float64(s.Mmd), 0.04*1.5*load) / float64(woofer.Mms)
	near(t, "deviation of Mms", r.Estimates.Deviation("Mms"), want, 1e-9)
	near(t, "with Sd", r.Estimates.Correlation("Mms", "Sd"), 0.04*1.5*load/float64(woofer.Mms)/want, 1e-9)
	for _, m := range r.Moves {
		if m.Figure == "Mmd" {
			near(t, "what Mmd allows", m.Deviation, 0.03, 1e-9)
		}
	}
	// With the mass printed too, a tenth too large, the move is that of Mmd itself.
	s.Mms = woofer.Mms * 1.1
	if r, err = s.Reconcile(air.Air{}, ts.Tolerance{Figure: "Mms", Deviation: 1e-6}, ts.Tolerance{Figure: "Sd", Deviation: 1e-6}); err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Moves {
		if m.Figure == "Mmd" {
			near(t, "move of Mmd", m.By, 0.1*float64(woofer.Mms)/float64(s.Mmd), 1e-4)
		}
	}
}

func TestReconcileRefuses(t *testing.T) {
	full := woofer.Sheet(air.Air{})
	for want, ask := range map[string]func() error{
		"no such figure is printed": func() error {
			_, err := keep(full, "Re fs Qms Qes Vas Sd").Reconcile(air.Air{}, ts.Tolerance{Figure: "Bl", Deviation: 0.01})
			return err
		},
		"ts: tolerance of Re": func() error {
			_, err := full.Reconcile(air.Air{}, ts.Tolerance{Figure: "Re", Deviation: math.NaN()})
			return err
		},
		"Mms cannot be found": func() error { _, err := keep(full, "Re fs Qms Qes Qts Sd").Suspects(air.Air{}); return err },
		"ts: Qms": func() error {
			s := full
			s.Qms = 0.1
			_, _, err := s.Culprits(air.Air{})
			return err
		},
	} {
		if err := ask(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want %q", err, want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic for an estimate that is not there")
		}
	}()
	ts.Spread{}.Estimates(woofer, air.Air{}).Deviation("EBP")
}
