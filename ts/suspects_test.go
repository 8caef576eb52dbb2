package ts_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func names(s ts.Suspect) string {
	var n []string
	for _, d := range s.Figures {
		n = append(n, d.Figure)
	}
	return strings.Join(n, " ")
}

// The planted errors come out in order, worst first, each with what it should be, and
// the driver behind them is the one that was spoiled.
func TestCulpritsOfTheSpoiledSheet(t *testing.T) {
	culprits, r, err := spoiled.Culprits(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range culprits {
		got = append(got, names(c))
	}
	if diff := cmp.Diff([]string{"Vas", "Qts", "SPL 1 W"}, got); diff != "" {
		t.Fatalf("culprits (-want +got):\n%s", diff)
	}
	if c := culprits[2]; !strings.Contains(c.String(), "both levels are the same") || !(math.Abs(c.Figures[0].By-1.35) < 0.02) {
		t.Errorf("levels: %v", c)
	}
	near(t, "Vas", culprits[0].Figures[0].By, 74.0/59.0-1, 0.08)
	near(t, "Qts", culprits[1].Figures[0].By, 0.480/0.444-1, 0.02)
	if diff := cmp.Diff(woofer, r.Driver, golden.Approx(0.003, 0)); diff != "" {
		t.Errorf("driver (-want +got):\n%s", diff)
	}
	aside := 0
	for _, m := range r.Moves {
		if m.Aside {
			aside++
			if !slices.Contains(got, m.Figure) {
				t.Errorf("%s set aside", m.Figure)
			}
		} else if !(math.Abs(m.By) < 3.29*m.Deviation) {
			t.Errorf("%+v moved far", m)
		}
	}
	if aside != 3 || r.Chi2 > 1 || r.Freedom != 6 {
		t.Errorf("%d aside, chi-squared %g with %d redundant", aside, r.Chi2, r.Freedom)
	}
}

// What Suspects calls the fall is that of the sheet printed without the figure.
func TestFallIsThatOfTheSheetWithout(t *testing.T) {
	set := "Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl eta0"
	s := keep(spoiled, set)
	whole, err := s.Reconcile(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	ranking, err := s.Suspects(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	if len(ranking) != 11 || names(ranking[0]) != "Vas" { // Re and Bl tie
		t.Fatalf("ranking %v", ranking)
	}
	last := math.Inf(1)
	for _, x := range ranking {
		for _, figure := range x.Figures {
			without, err := keep(s, strings.Replace(" "+set+" ", " "+figure.Figure+" ", " ", 1)).Reconcile(air.Standard())
			if err != nil {
				t.Fatal(err)
			}
			near(t, "chi-squared without "+figure.Figure, x.Chi2, without.Chi2, 1e-8)
			near(t, "fall of "+figure.Figure, x.Fall, whole.Chi2-without.Chi2, 1e-7)
			if x.Freedom != without.Freedom {
				t.Errorf("%s: %d redundant, want %d", figure.Figure, x.Freedom, without.Freedom)
			}
		}
		if !(x.Fall <= last) {
			t.Errorf("%s: fall %g after %g", names(x), x.Fall, last)
		}
		last = x.Fall
	}
}

// Vas and Sd, Re and Bl occur only together on a usual sheet, and tie; an efficiency
// printed beside them parts the first pair.
func TestTies(t *testing.T) {
	full := woofer.Sheet(air.Air{})
	for _, c := range []struct {
		set    string
		spoil  func(*ts.Sheet)
		culprt string
	}{
		{"Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl", func(s *ts.Sheet) { s.Vas *= 1.25 }, "Vas Sd"},
		{"Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl", func(s *ts.Sheet) { s.Sd *= 1.3 }, "Vas Sd"},
		{"Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl", func(s *ts.Sheet) { s.Bl *= 1.1 }, "Re Bl"},
		{"Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl eta0", func(s *ts.Sheet) { s.Vas *= 1.25 }, "Vas"},
		{"Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl eta0", func(s *ts.Sheet) { s.Sd *= 1.25 }, "Sd"},
		{"Re fs Qms Qes Vas Sd Mms Xmax Vd", func(s *ts.Sheet) { s.Vd *= 2 }, "Xmax Vd"},
	} {
		s := keep(full, c.set)
		c.spoil(&s)
		culprits, _, err := s.Culprits(air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		if len(culprits) != 1 || names(culprits[0]) != c.culprt {
			t.Errorf("%s: culprits %v, want %s", c.set, culprits, c.culprt)
		}
	}
}

// A slip by a power of ten is named as such, before and without its tie, and mended.
func TestSlips(t *testing.T) {
	full := woofer.Sheet(air.Air{})
	set := "Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl"
	for _, c := range []struct {
		what, told string
		slip       float64
		spoil      func(*ts.Sheet)
	}{
		{"Cms", "1000 times too large", 1000, func(s *ts.Sheet) { s.Cms *= 1000 }},
		{"Vas", "1000 times too large", 1000, func(s *ts.Sheet) { s.Vas *= 1000 }},
		{"Sd", "100 times too large", 100, func(s *ts.Sheet) { s.Sd *= 100 }},
		{"Sd", "10 times too small", 0.1, func(s *ts.Sheet) { s.Sd /= 10 }},
		{"Bl", "10 times too large", 10, func(s *ts.Sheet) { s.Bl *= 10 }},
		{"Mms", "1000 times too small", 0.001, func(s *ts.Sheet) { s.Mms /= 1000 }},
		{"Qes", "10 times too large", 10, func(s *ts.Sheet) { s.Qes *= 10 }},
		{"Rms", "10 times too large", 10, func(s *ts.Sheet) { s.Rms *= 10 }},
	} {
		s := keep(full, set)
		c.spoil(&s)
		culprits, r, err := s.Culprits(air.Air{})
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if len(culprits) != 1 || names(culprits[0]) != c.what || !(math.Abs(culprits[0].Figures[0].Slip/c.slip-1) < 1e-12) || !strings.Contains(culprits[0].String(), c.told) {
			t.Errorf("%s: culprits %v", c.what, culprits)
		}
		if diff := cmp.Diff(keep(r.Driver.Sheet(air.Air{}), set), keep(full, set), golden.Approx(1e-6, 0)); diff != "" {
			t.Errorf("%s: the driver is another (-want +got):\n%s", c.what, diff)
		}
		for _, m := range r.Moves {
			if wrong := m.Figure == c.what; m.Aside != wrong || wrong && !(math.Abs((1+m.By)*c.slip-1) < 1e-6) || !wrong && !(math.Abs(m.By) < 1e-6) {
				t.Errorf("%s: %+v", c.what, m)
			}
		}
		// The redundancy that fails in the audit says so too.
		findings, err := s.Audit(air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		if c.what == "Cms" || c.what == "Vas" {
			if !slices.ContainsFunc(findings, func(f ts.Finding) bool {
				told := map[string]string{"Cms": "; 1000 times too small, a slip of unit or point there or in Sd, Cms", "Vas": "; 1000 times too large, a slip of unit or point there or in Sd, Cms"}
				return f.Figure == "Vas" && strings.HasSuffix(f.String(), told[c.what])
			}) {
				t.Errorf("%s: findings %v", c.what, findings)
			}
		}
	}
}

// A consistent driver, rounded to what sheets print, is not accused; of 300, where one
// in a thousand figures may be by chance if errors are normal, and rounding is not even
// that.
func TestSoundSheetsHaveNoCulprits(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 40 {
		s, d := printed(rng)
		culprits, r, err := s.Culprits(air.Air{})
		if err != nil {
			t.Fatalf("%+v: %v", d, err)
		}
		if len(culprits) > 0 || !(r.Chi2 < float64(r.Freedom)) {
			t.Errorf("%+v: chi-squared %g with %d redundant, culprits %v", d, r.Chi2, r.Freedom, culprits)
		}
	}
}

// times multiplies one figure of a sheet.
var times = map[string]func(s *ts.Sheet, k float64){
	"Re": func(s *ts.Sheet, k float64) { s.Re *= units.Resistance(k) }, "fs": func(s *ts.Sheet, k float64) { s.Fs *= units.Frequency(k) },
	"Qms": func(s *ts.Sheet, k float64) { s.Qms *= k }, "Qes": func(s *ts.Sheet, k float64) { s.Qes *= k },
	"Vas": func(s *ts.Sheet, k float64) { s.Vas *= units.Volume(k) }, "Sd": func(s *ts.Sheet, k float64) { s.Sd *= units.Area(k) },
	"Mms": func(s *ts.Sheet, k float64) { s.Mms *= units.Mass(k) }, "Cms": func(s *ts.Sheet, k float64) { s.Cms *= units.Compliance(k) },
	"Rms":  func(s *ts.Sheet, k float64) { s.Rms *= units.MechanicalResistance(k) },
	"Bl":   func(s *ts.Sheet, k float64) { s.Bl *= units.ForceFactor(k) },
	"eta0": func(s *ts.Sheet, k float64) { s.Eta0 *= units.Ratio(k) },
}

// Whatever single figure is a quarter off, it is among those named first.
func TestAnyWrongFigureIsNamed(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	order := []string{"Re", "fs", "Qms", "Qes", "Vas", "Sd", "Mms", "Cms", "Rms", "Bl", "eta0"}
	for n := range 33 {
		s, d := printed(rng)
		what := order[n%len(order)]
		times[what](&s, 1.25)
		if s.Check() != nil {
			continue
		}
		culprits, _, err := s.Culprits(air.Air{})
		if err != nil {
			t.Fatalf("%+v: %v", d, err)
		}
		if len(culprits) == 0 || !slices.Contains(strings.Fields(names(culprits[0])), what) {
			t.Errorf("%s of %+v: culprits %v", what, d, culprits)
		}
	}
}

// printed returns a random driver and its sheet to three digits, with efficiency and
// without levels.
func printed(rng *rand.Rand) (ts.Sheet, ts.Driver) {
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	fs, qms, qes := u(20, 100), u(2, 8), u(0.25, 0.9)
	d, _, err := ts.Sheet{
		Re: units.Resistance(u(3, 12)), Fs: units.Frequency(fs), Qms: qms, Qes: qes, Mms: units.Mass(u(5e-3, 0.1)), Sd: units.Area(u(8e-3, 0.08)),
	}.Driver(air.Air{})
	if err != nil {
		panic(err)
	}
	round := func(x float64) float64 {
		unit := math.Pow(10, math.Floor(math.Log10(x))-2)
		return math.Round(x/unit) * unit
	}
	f := d.Sheet(air.Air{})
	return ts.Sheet{
		Re: units.Resistance(round(float64(f.Re))), Fs: units.Frequency(round(float64(f.Fs))), Qms: round(f.Qms), Qes: round(f.Qes), Qts: round(f.Qts),
		Vas: units.Volume(round(float64(f.Vas))), Sd: units.Area(round(float64(f.Sd))), Mms: units.Mass(round(float64(f.Mms))),
		Cms: units.Compliance(round(float64(f.Cms))), Rms: units.MechanicalResistance(round(float64(f.Rms))), Bl: units.ForceFactor(round(float64(f.Bl))),
		Eta0: units.Ratio(round(float64(f.Eta0))),
	}, d
}

// What is off by less than a power of ten is no slip.
func TestNoSlip(t *testing.T) {
	s := keep(woofer.Sheet(air.Air{}), "Qms Qes Qts")
	for k, want := range map[float64]ts.Verdict{1.015: ts.Noteworthy, 1.04: ts.Doubtful, 1.09: ts.Contradiction} {
		off := s
		off.Qts *= k
		findings, err := off.Audit(air.Air{})
		if err != nil || len(findings) != 1 || findings[0].Verdict != want || findings[0].Remark != "" {
			t.Errorf("%g: %v, error %v", k, findings, err)
		}
	}
}

// Figures that sheets leave out halfway leave redundancies all the same.
func TestAuditGoesRoundWhatIsNotPrinted(t *testing.T) {
	full := woofer.Sheet(air.Air{})
	full.Mmd = woofer.Mms - ts.AirMass(woofer.Sd, air.Air{})
	for _, c := range []struct{ set, figure, spoiled string }{
		{"fs Sd Mms Vas", "Vas", "Vas"},
		{"Qts Qms fs Mms Re Bl", "Qts", "Qts"},
		{"Qts fs Mms Re Bl Rms", "Qts", "Qts"},
		{"Zmax Re Qms Qts", "Zmax", "Zmax"},
		{"Zmax Re Bl Rms", "Zmax", "Zmax"},
		{"SPL1W Bl Sd Re Mms", "SPL 1 W", "SPL1W"},
		{"SPL283 eta0 Re", "SPL 2.83 V", "SPL283"},
		{"Mms Mmd Sd", "Mms", "Mms"},
	} {
		s := keep(full, c.set)
		verdict := func() ts.Verdict {
			findings, err := s.Audit(air.Air{})
			if err != nil {
				t.Fatal(err)
			}
			if len(findings) != 1 || findings[0].Figure != c.figure {
				t.Fatalf("%s: findings %v", c.set, findings)
			}
			return findings[0].Verdict
		}
		if v := verdict(); v != ts.Agrees {
			t.Errorf("%s: %v", c.set, v)
		}
		switch c.spoiled {
		case "Vas":
			s.Vas *= 1.3
		case "Qts":
			s.Qts *= 1.15
		case "Zmax":
			s.Zmax *= 1.3
		case "SPL1W":
			s.SPL1W -= 6
		case "SPL283":
			s.SPL283 -= 6
		case "Mms":
			s.Mms *= 1.3
		}
		if v := verdict(); v != ts.Contradiction {
			t.Errorf("%s, %s spoiled: %v", c.set, c.spoiled, v)
		}
	}
}

// Two slips at once are both found, and nothing else, unless other figures explain the
// sheet as well: of the pairs below nine in ten.
func TestTwoSlips(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	order := []string{"Cms", "Vas", "Mms", "Rms", "eta0", "Bl", "fs", "Sd"}
	slips := []float64{10, 0.1, 1000, 0.001}
	right, all := 0, 0
	for range 50 {
		s, _ := printed(rng)
		i, j := rng.IntN(len(order)), rng.IntN(len(order))
		ki, kj := slips[rng.IntN(4)], slips[rng.IntN(4)]
		times[order[i]](&s, ki)
		times[order[j]](&s, kj)
		if i == j || s.Check() != nil {
			continue
		}
		culprits, _, err := s.Culprits(air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, c := range culprits {
			got = append(got, names(c))
		}
		want := []string{order[i], order[j]}
		slices.Sort(got)
		slices.Sort(want)
		all++
		if slices.Equal(got, want) {
			right++
		}
	}
	if !(all >= 30 && float64(right) >= 0.85*float64(all)) {
		t.Errorf("both found in %d of %d", right, all)
	}
}

// Any figures at all give an error or numbers.
func TestWildSheets(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	judged := 0
	for range 60 {
		s := keep(woofer.Sheet(air.Air{}), "Re fs Qms Qes Qts Vas Sd Mms Cms Rms Bl eta0")
		s.SPL1W, s.SPL283, s.Mmd, s.Zmax = 90, 90, s.Mms/2, 2*s.Re
		for _, what := range slices.Sorted(maps.Keys(times)) {
			if rng.IntN(2) == 0 {
				times[what](&s, math.Pow(10, 20*rng.NormFloat64()))
			}
		}
		culprits, r, err := s.Culprits(air.Air{})
		if err == nil {
			judged++
		}
		if err == nil && (r.Driver.Check() != nil || math.IsNaN(r.Chi2) || math.IsNaN(r.Estimates.Deviation("Qts")) || len(culprits) == 0) {
			t.Errorf("%+v: %+v, culprits %v", s, r, culprits)
		}
	}
	if judged < 10 {
		t.Errorf("only %d sheets judged", judged)
	}
}
