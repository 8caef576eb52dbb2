package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/programtest"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/units"
)

func boxtour(args ...string) programtest.Result { return programtest.Run(run, args...) }

// The checked-in woofer gives the checked-in text and figures, and the tables that its
// kind names.
func TestTour(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "tour")
	r := boxtour("-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "boxtour.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "boxtour.txt", "boxtour.json")
	for _, name := range kind.Tables {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
			t.Error(err)
		}
	}
}

// What the boxes say of each other: the compound pair in half the air is the vented
// box, two drivers are 6 dB louder for the same volts, and goals keep their limits.
func TestTourAgrees(t *testing.T) {
	p, err := project.Open("", "buildnight").Load()
	if err != nil {
		t.Fatal(err)
	}
	tour, err := take(p)
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]stop{}
	for _, s := range tour.stops {
		by[s.Name] = s
	}
	one, compound, two := by["vented, QB3"], by["compound pair, vented"], by["two drivers, vented"]
	if !(abs(float64(compound.F3/one.F3)-1) <= 1e-9 && abs(float64(two.F3/one.F3)-1) <= 1e-9) {
		t.Errorf("f3 %v, %v, %v", one.F3, compound.F3, two.F3)
	}
	if d := float64(two.Sine.Level - one.Sine.Level); !(abs(d-6.0206) <= 1e-3) {
		t.Errorf("two drivers are %.3f dB louder, want 6.02", d)
	}
	for i, g := range tour.goals {
		b := g.Best
		if g.Impossible != nil {
			t.Errorf("goal %d: %v", i+1, g.Impossible)
		}
		if b.Peak > 0.5+1e-3 || g.Volume.Most > 0 && b.Volume > g.Volume.Most*(1+1e-4) || g.Cutoff > 0 && b.Cutoff > g.Cutoff*(1+1e-4) {
			t.Errorf("goal %d breaks a limit: %+v", i+1, b.Design)
		}
		if spare := tour.space().Spare(b.Vent); spare < -units.Millimetre/10 {
			t.Errorf("goal %d: the vent lacks %v", i+1, -spare)
		}
	}
}

func abs(x float64) float64 { return max(x, -x) }

func TestRefused(t *testing.T) {
	for want, args := range map[string][]string{
		`boxtour: "x": unexpected; every input has a flag, see -help`: {"x"},
		"boxtour: -force needs -out":                                  {"-force"},
		"nowhere/project.toml: no such file":                          {"-project", "nowhere/project.toml"},
		"-set woofer.sheet.qms=-1: woofer.sheet.qms -1":               {"-set", "woofer.sheet.qms=-1"},
	} {
		r := boxtour(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := boxtour("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/boxtour -out tour") {
		t.Errorf("-help: %+v", r)
	}
	// Projects without a vent, or with a closed box, have a tour too.
	for _, set := range []string{"box.tuning=0 Hz", "vent.airspeed=0 m/s", "rules.volume=0 L"} {
		if r := boxtour("-set", set); r.Status != 0 {
			t.Errorf("%s: %s", set, r.Errs)
		}
	}
}
