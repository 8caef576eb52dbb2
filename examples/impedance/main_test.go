package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.com/halfspace/examples/internal/programtest"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/projects"
	"example.com/halfspace/ts"
	"example.com/halfspace/units/air"
)

func impedance(args ...string) programtest.Result { return programtest.Run(run, args...) }

// The checked-in bench gives the checked-in text, figures and sheet, and the tables of
// its three curves.
func TestBench(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "driver")
	r := impedance("-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "impedance.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "impedance.txt", "impedance.json", sheetName)
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) != 3+1+3*3 {
		t.Errorf("%d files, %v", len(entries), err)
	}
	if r := impedance("-out", folder); r.Status != 1 || !strings.Contains(r.Errs, "holds an earlier impedance; -force replaces it") {
		t.Errorf("twice: %+v", r)
	}
	if r := impedance("-out", folder, "-force"); r.Status != 0 {
		t.Errorf("with force: %+v", r)
	}
}

func bench(t *testing.T, settings ...string) found {
	t.Helper()
	j, err := load(project.Open("", "impedance"), settings)
	if err != nil {
		t.Fatal(err)
	}
	f, err := j.find()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The model behind the tables: what comes out lies within two deviations of it.
func TestBenchAgrees(t *testing.T) {
	f := bench(t)
	truth := map[string]float64{
		"Re": 5.8, "fs": 37.777, "Qms": 4.6813, "Qes": 0.43549, "Qts": 0.39843, "Vas": 32.472, "Sd": 136,
		"Mms": 14.2, "Cms": 1.25, "Rms": 0.72, "Bl": 6.7, "creep": 0.09,
	}
	seen := 0
	for _, x := range f.figures() {
		if want, ok := truth[x.Name]; ok {
			seen++
			if !(math.Abs(x.Value-want) <= 2*x.sd()) || !(x.sd() <= 0.03*want) {
				t.Errorf("%s: %s, want %g", x.Name, x.withSD(), want)
			}
		}
	}
	if seen != len(truth) {
		t.Errorf("%d figures of %d", seen, len(truth))
	}
	if n := len(f.result.Warnings); n > 0 {
		t.Errorf("warnings: %v", f.result.Warnings)
	}
}

// Other programs take the sheet: in the place of the woofer of the build night it gives
// the driver that was measured, and there is nothing in it for an audit to find.
func TestSheetInProject(t *testing.T) {
	text, err := projects.Files.ReadFile("buildnight/project.toml")
	if err != nil {
		t.Fatal(err)
	}
	f := bench(t)
	before, rest, ok := strings.Cut(string(text), "[woofer.sheet]")
	_, after, ok2 := strings.Cut(rest, "\n[")
	if !ok || !ok2 {
		t.Fatal("the project has another shape")
	}
	src := project.Source{Files: fstest.MapFS{"project.toml": {Data: []byte(before + string(f.sheet()) + "\n[" + after)}}, Name: "project.toml"}
	p, err := src.Load()
	if err != nil {
		t.Fatal(err)
	}
	d, _, err := p.Woofer.Sheet.Driver(f.air)
	if err != nil {
		t.Fatal(err)
	}
	want, err := f.result.Driver()
	if err != nil {
		t.Fatal(err)
	}
	want.Xmax, want.Power = 0.005, 70
	for name, v := range map[string][2]float64{
		"Re": {float64(d.Re), float64(want.Re)}, "Bl": {float64(d.Bl), float64(want.Bl)}, "Mms": {float64(d.Mms), float64(want.Mms)},
		"Cms": {float64(d.Cms), float64(want.Cms)}, "Rms": {float64(d.Rms), float64(want.Rms)}, "Sd": {float64(d.Sd), float64(want.Sd)},
		"creep": {d.Creep, want.Creep}, "Xmax": {float64(d.Xmax), float64(want.Xmax)}, "power": {float64(d.Power), float64(want.Power)},
		"Zn": {float64(p.Woofer.Sheet.Zn), 8}, "Le at 1 kHz": {float64(d.Coil.Inductance(1000)), float64(want.Coil.Inductance(1000))},
	} {
		if !(math.Abs(v[0]/v[1]-1) <= 2e-4) {
			t.Errorf("%s: %g, want %g", name, v[0], v[1])
		}
	}
	findings, err := p.Woofer.Sheet.Audit(air.Standard())
	if err != nil || len(findings) == 0 {
		t.Fatalf("%d findings, %v", len(findings), err)
	}
	for _, x := range findings {
		if x.Verdict != ts.Agrees {
			t.Error(x)
		}
	}
}

// Less is measured, less is said: without the other curves there is no whole driver.
func TestLess(t *testing.T) {
	for want, settings := range map[string][]string{
		"This is not yet a whole driver: no driver follows": {"curve=[{file=\"free.csv\", frequency=\"Hz\", modulus=\"ohm\", phase=\"deg\"}]"},
		"Re: not given":                          {"re=0 ohm"},
		"residuals wander instead of scattering": {"coil=two branches"},
		"fs 37.78":                               {"to=400 Hz", "coil=power law"},
		"not measured":                           {"curve=[{file=\"free.csv\", frequency=\"Hz\", modulus=\"ohm\"}]"},
	} {
		args := []string{}
		for _, s := range settings {
			args = append(args, "-set", s)
		}
		if r := impedance(args...); r.Status != 0 || !strings.Contains(r.Out, want) {
			t.Errorf("%q: want %q, got %s%s", settings, want, r.Errs, r.Out)
		}
	}
}

func TestRefused(t *testing.T) {
	one := func(more string) string {
		return `curve=[{file="free.csv", frequency="Hz", modulus="ohm", phase="deg"` + more + `}]`
	}
	for want, args := range map[string][]string{
		`impedance: "x": unexpected; every input has a flag, see -help`: {"x"},
		"impedance: -force needs -out":                                  {"-force"},
		"nowhere/project.toml: no such file":                            {"-project", "nowhere/project.toml"},
		"unknown key rre":                                               {"-set", "rre=5 ohm"},
		`want text with a unit`:                                         {"-set", "re=5"},
		"want key=value":                                                {"-set", "re"},
		`coil model "iron": must be one of`:                             {"-set", "coil=iron"},
		`driver "horn": must be woofer or tweeter`:                      {"-set", "driver=horn"},
		"no [[curve]]: must have at least one":                          {"-set", "curve=[]"},
		"impedance/nothing.csv: no such file":                           {"-set", `curve=[{file="nothing.csv"}]`},
		"curve 1, free.csv: measure: phase of no driver":                {"-set", one(", radians=true")},
		"none of the curves is in free air":                             {"-set", one(`, added="10 g"`)},
		"measure: added mass -10 g":                                     {"-set", one(`, added="-10 g"`)},
		"measure: Re -1 Ω":                                              {"-set", "re=-1 ohm"},
		"printed: ts: Qms -1":                                           {"-set", "printed.qms=-1"},
		"resonance at the edge":                                         {"-set", "from=60 Hz"},
		"above that of the cone itself":                                 {"-set", `curve=[{file="free.csv", frequency="Hz", modulus="ohm"}, {file="box.csv", frequency="Hz", modulus="ohm", box="0.1 L"}]`},
		"are the curves swapped?":                                       {"-set", `curve=[{file="added.csv", frequency="Hz", modulus="ohm"}, {file="free.csv", frequency="Hz", modulus="ohm", added="10 g"}]`},
	} {
		r := impedance(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := impedance("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/impedance -out driver") {
		t.Errorf("-help: %+v", r)
	}
}
