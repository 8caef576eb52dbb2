package ts_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// keep returns full with only the named figures.
func keep(full ts.Sheet, names string) ts.Sheet {
	var s ts.Sheet
	for n := range strings.FieldsSeq(names) {
		switch n {
		case "Re":
			s.Re = full.Re
		case "Zmax":
			s.Zmax = full.Zmax
		case "fs":
			s.Fs = full.Fs
		case "Qms":
			s.Qms = full.Qms
		case "Qes":
			s.Qes = full.Qes
		case "Qts":
			s.Qts = full.Qts
		case "Vas":
			s.Vas = full.Vas
		case "Sd":
			s.Sd = full.Sd
		case "diameter":
			s.Diameter = full.Diameter
		case "Mms":
			s.Mms = full.Mms
		case "Mmd":
			s.Mmd = full.Mmd
		case "Cms":
			s.Cms = full.Cms
		case "Rms":
			s.Rms = full.Rms
		case "Bl":
			s.Bl = full.Bl
		case "eta0":
			s.Eta0 = full.Eta0
		case "SPL1W":
			s.SPL1W = full.SPL1W
		case "SPL283":
			s.SPL283 = full.SPL283
		case "Xmax":
			s.Xmax = full.Xmax
		case "Vd":
			s.Vd = full.Vd
		default:
			panic(n)
		}
	}
	return s
}

// Whatever consistent set of figures fixes a driver gives that driver back.
func TestEveryRouteLeadsHome(t *testing.T) {
	sets := []string{
		"Re fs Qms Qes Vas Sd", "Re fs Qms Qes Mms Sd", "Re Bl Mms Cms Rms Sd", "Re fs Qts Qms Vas Sd",
		"Re fs Qts Qes Vas Sd", "Re fs Qms Bl Mms Sd", "Re fs Qms Zmax Vas Sd", "Re fs Qms Qes SPL283 Sd",
		"Re fs Qms Qes SPL1W Sd", "Re fs Qms Qes eta0 Sd", "Bl fs Qms Qes Mms Sd", "Re fs Qms Qes Vas Mms",
		"Re fs Qes Zmax Vas Sd", "Re fs Qts Zmax Vas Sd", "Re fs Qms Qes Vas diameter", "Re fs Qms Qes Mmd Sd",
		"Re fs Qms Qes Cms Sd", "Re fs Qms Qes Cms Vas", "Re fs Qms Qes Bl Sd", "Re fs Rms Qms Qes Sd",
		"Zmax fs Qms Qes Mms Sd", "Re Qms Rms Mms Qes Sd", "Re Qes Bl Mms Qms Sd", "Re fs Qms Qes Mms Vd Xmax",
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
		want := ts.Driver{
			Re: units.Resistance(u(2, 12)), Bl: units.ForceFactor(u(2, 20)), Mms: units.Mass(u(1e-3, 0.2)),
			Cms: units.Compliance(u(1e-4, 3e-3)), Rms: units.MechanicalResistance(u(0.2, 5)), Sd: units.Area(u(5e-4, 0.09)),
			Xmax: 0.006,
		}
		a := air.Air{Density: units.Density(u(1.0, 1.3)), SpeedOfSound: units.Velocity(u(330, 350))}
		full := want.Sheet(a)
		full.Mmd = want.Mms - ts.AirMass(want.Sd, a)
		full.Diameter = units.Length(2 * math.Sqrt(float64(want.Sd)/math.Pi))
		for _, set := range sets {
			if strings.Contains(set, "Mmd") && full.Mmd <= 0 {
				continue
			}
			got, steps, err := keep(full, set).Driver(a)
			if err != nil {
				t.Fatalf("%s: %v", set, err)
			}
			w := want
			if !strings.Contains(set, "Xmax") {
				w.Xmax = 0
			}
			// 1e-8: Qms from Qts and Qes loses up to seven digits when they are close.
			if diff := cmp.Diff(w, got, golden.Approx(1e-8, 0)); diff != "" {
				t.Errorf("%s (-want +got):\n%s", set, diff)
			}
			if len(steps) < 9 {
				t.Errorf("%s: only %d steps told", set, len(steps))
			}
		}
	}
}

func TestNoDriverFollows(t *testing.T) {
	full := woofer.Sheet(air.Standard())
	for set, missing := range map[string]string{
		"":                      "Re, fs, Qms, Qes, Mms, Sd",
		"fs Qms Qes Vas":        "Re, Mms, Sd",
		"Re fs Qms Qes Qts Sd":  "Mms",
		"Re fs Mms Cms Qms Sd":  "Qes",
		"Re Vas Cms Sd Qms Qes": "fs, Mms",
	} {
		_, _, err := keep(full, set).Driver(air.Standard())
		if err == nil || !strings.Contains(err.Error(), ": "+missing+" cannot be found") {
			t.Errorf("%q: error %v, want %q missing", set, err, missing)
		}
	}
}

func TestBadFigures(t *testing.T) {
	good := woofer.Sheet(air.Standard())
	for name, spoil := range map[string]func(*ts.Sheet){
		"ts: Re":           func(s *ts.Sheet) { s.Re = -5.8 },
		"ts: fs":           func(s *ts.Sheet) { s.Fs = units.Frequency(math.NaN()) },
		"ts: Qms":          func(s *ts.Sheet) { s.Qms = 0.3 },
		"ts: Mms":          func(s *ts.Sheet) { s.Mmd = 2 * s.Mms },
		"ts: Sd":           func(s *ts.Sheet) { s.Sd = units.Area(math.Inf(1)) },
		"ts: Zmax":         func(s *ts.Sheet) { s.Zmax = s.Re / 2 },
		"ts: efficiency":   func(s *ts.Sheet) { s.Eta0 = 2 },
		"ts: Le at 10 kHz": func(s *ts.Sheet) { s.Le1k, s.Le10k = 1e-3, 1e-5 },
		"ts: digits":       func(s *ts.Sheet) { s.Digits = -1 },
	} {
		s := good
		spoil(&s)
		_, _, err := s.Driver(air.Standard())
		var re *units.RangeError
		if !errors.As(err, &re) || re.Field != name {
			t.Errorf("%s: error %v", name, err)
		}
	}
	for name, d := range map[string]ts.Driver{
		"zero":     {},
		"negative": {Re: 5, Bl: 5, Mms: 0.01, Cms: -1e-3, Rms: 1, Sd: 0.01},
		"coil":     {Re: 5, Bl: 5, Mms: 0.01, Cms: 1e-3, Rms: 1, Sd: 0.01, Coil: ts.Coil{K: 1}},
		"shunt":    {Re: 5, Bl: 5, Mms: 0.01, Cms: 1e-3, Rms: 1, Sd: 0.01, Coil: ts.Coil{Rss: 50}},
	} {
		if d.Check() == nil {
			t.Errorf("%s driver accepted", name)
		}
	}
}

// The two inductances of a sheet come back from the coil made of them.
func TestPowerLawCoil(t *testing.T) {
	s := woofer.Sheet(air.Standard())
	s.Le1k, s.Le10k = 0.547*units.Millihenry, 0.272*units.Millihenry
	d := driver(t, s, air.Standard())
	want := []units.Inductance{s.Le1k, s.Le10k}
	got := []units.Inductance{d.Coil.Inductance(1000), d.Coil.Inductance(10000)}
	if diff := cmp.Diff(want, got, golden.Approx(1e-12, 0)); diff != "" {
		t.Error(diff)
	}
}

// woofer is invented: a consistent 210 mm driver.
var woofer = ts.Driver{Re: 5.90, Bl: 8.40, Mms: 30.5e-3, Cms: 0.9e-3, Rms: 1.15, Sd: 216e-4, Xmax: 5.5e-3}

// spoiled is what a careless maker might print of it: Qts too high, Vas from
// the area out to the edge of the surround, the 2.83 V level given as that of 1 W.
var spoiled = ts.Sheet{
	Re: 5.90, Zn: 8, Zmin: 6.52, Fs: 30.4, Qms: 5.06, Qes: 0.487, Qts: 0.480, Vas: 74.0e-3, Sd: 216e-4,
	Mms: 30.5e-3, Cms: 0.9e-3, Rms: 1.15, Bl: 8.40, Eta0: 0.327e-2, SPL1W: 88.6, SPL283: 88.6, Xmax: 5.5e-3, Vd: 119e-6,
}

func TestAuditFindsThePlantedErrors(t *testing.T) {
	findings, err := spoiled.Audit(air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]ts.Verdict{}
	for _, f := range findings {
		got[f.Figure+" from "+strings.Join(f.Uses, " ")] = f.Verdict
	}
	want := map[string]ts.Verdict{
		"Qts from Qms Qes":             ts.Contradiction, // 8 per cent
		"fs from Mms Cms":              ts.Agrees,
		"Qms from fs Mms Rms":          ts.Agrees,
		"Qes from fs Mms Re Bl":        ts.Agrees,
		"Vas from Sd Cms":              ts.Contradiction, // 25 per cent
		"eta0 from fs Vas Qes":         ts.Contradiction, // through Vas
		"eta0 from Bl Sd Mms Re":       ts.Agrees,        // so the area is right and Vas is wrong
		"Vd from Sd Xmax":              ts.Agrees,
		"SPL 1 W from eta0":            ts.Contradiction, // 1.3 dB
		"SPL 2.83 V from SPL 1 W Re":   ts.Contradiction,
		"SPL 2.83 V from Bl Sd Re Mms": ts.Agrees,
		"Zn from Zmin":                 ts.Agrees,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("verdicts (-want +got):\n%s", diff)
	}
	// The route goes through fs, Q and the mass, so the driver is sound all the same.
	d := driver(t, spoiled, air.Standard())
	if diff := cmp.Diff(woofer, d, golden.Approx(0.003, 0)); diff != "" {
		t.Errorf("driver (-want +got):\n%s", diff)
	}
}

// A consistent driver printed to any number of digits contradicts nothing.
func TestAuditOfRoundedSheets(t *testing.T) {
	round := func(x float64, digits int) float64 {
		if x == 0 {
			return 0
		}
		u := math.Pow(10, math.Floor(math.Log10(x))-float64(digits)+1)
		return math.Round(x/u) * u
	}
	rng := rand.New(rand.NewPCG(2, 2))
	for range 200 {
		u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
		d := ts.Driver{
			Re: units.Resistance(u(2, 12)), Bl: units.ForceFactor(u(2, 20)), Mms: units.Mass(u(1e-3, 0.2)),
			Cms: units.Compliance(u(1e-4, 3e-3)), Rms: units.MechanicalResistance(u(0.2, 5)), Sd: units.Area(u(5e-4, 0.09)),
			Xmax: units.Length(u(1e-3, 1e-2)),
		}
		s := d.Sheet(air.Standard())
		n := 2 + rng.IntN(3)
		s.Digits = n
		s.Re = units.Resistance(round(float64(s.Re), n))
		s.Fs = units.Frequency(round(float64(s.Fs), n))
		s.Qms, s.Qes, s.Qts = round(s.Qms, n), round(s.Qes, n), round(s.Qts, n)
		s.Vas, s.Sd = units.Volume(round(float64(s.Vas), n)), units.Area(round(float64(s.Sd), n))
		s.Mms, s.Cms = units.Mass(round(float64(s.Mms), n)), units.Compliance(round(float64(s.Cms), n))
		s.Rms, s.Bl = units.MechanicalResistance(round(float64(s.Rms), n)), units.ForceFactor(round(float64(s.Bl), n))
		s.Zmax, s.Eta0 = units.Resistance(round(float64(s.Zmax), n)), units.Ratio(round(float64(s.Eta0), n))
		s.SPL1W, s.SPL283 = units.PressureLevel(math.Round(float64(s.SPL1W)*10)/10), units.PressureLevel(math.Round(float64(s.SPL283)*10)/10)
		s.Xmax, s.Vd = units.Length(round(float64(s.Xmax), n)), units.Volume(round(float64(s.Vd), n))
		if s.Qms <= s.Qts || s.Qes <= s.Qts || s.Eta0 > 0.5 {
			continue // rounded into nonsense, or no driver at all: Check refuses it
		}
		findings, err := s.Audit(air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		if len(findings) < 12 {
			t.Fatalf("%d findings", len(findings))
		}
		for _, f := range findings {
			// First-order rounding: allow its second order by looking past notes.
			if f.Verdict > ts.Noteworthy {
				t.Errorf("%d digits: %s", n, f)
			}
		}
	}
}
