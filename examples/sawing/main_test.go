package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/programtest"
)

func sawing(args ...string) programtest.Result { return programtest.Run(run, args...) }

// The checked-in project gives the checked-in text, figures and list, and the pictures
// that its kind names.
func TestPair(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "wood")
	r := sawing("-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "sawing.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "sawing.txt", "sawing.json", "pieces.csv", "steps.csv", "holes.csv", "sheets1.svg")
	for _, name := range kind.Tables {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil && name != "sheets2.svg" {
			t.Error(err)
		}
	}
	// Once more over itself, as a builder would after a change.
	if r := sawing("-out", folder, "-force", "-set", "cabinet.caps=18 mm"); r.Status != 0 {
		t.Errorf("%+v", r)
	}
	if _, err := os.Stat(filepath.Join(folder, "sheets2.svg")); err != nil {
		t.Error("caps of another thickness need a sheet of their own:", err)
	}
}

// What other settings do to the plan.
func TestPlanFollowsProject(t *testing.T) {
	for _, c := range []struct {
		set  []string
		want []string
	}{
		{[]string{"sheet.width=1150 mm"}, []string{"2 cabinets from 2 sheets of 2.5 m × 1.15 m: 1 more than the 1 allowed; rings 36 mm wide would save one.", "Saves a sheet: rings 36 mm", "Saves a sheet: 12 layers"}},
		{[]string{"cabinet.spares=4"}, []string{"2 cabinets from 1 sheet", "4 spares of each ring piece included."}},
		{[]string{"sheet.trim=5 mm"}, []string{"trim", "set to"}},
		{[]string{"cabinet.oversize=2 mm"}, []string{"312 mm × 42 mm × 14.6 mm", "trim them flush"}},
		{[]string{"sheet.known=0.1 mm"}, []string{"Sheets 0.1 mm thicker or thinner than 14.6 mm make it 27.06 L to 27.44 L inside"}},
		{[]string{"woofer.mass=1.9 kg", "woofer.body=110 mm"}, []string{"with drivers", "widen the hole"}},
		{[]string{"box.tuning=0 Hz"}, []string{"woofer", "Does everything fit?"}},
		{[]string{"vent.x=60 mm", "vent.y=90 mm"}, []string{"60 mm       90 mm"}},
		{[]string{`cabinet.odd=[{corner=1},{corner=3}]`, `cabinet.even=[{corner=2},{corner=4}]`}, []string{"Odd layers, counted from the left cap, in the order of the profile: A, A. Even layers: A, A."}},
	} {
		var args []string
		for _, s := range c.set {
			args = append(args, "-set", s)
		}
		r := sawing(args...)
		if r.Status != 0 {
			t.Errorf("%q: %s", c.set, r.Errs)
		}
		for _, w := range c.want {
			if !strings.Contains(r.Out, w) {
				t.Errorf("%q: no %q in\n%s", c.set, w, r.Out)
			}
		}
	}
}

// Net volume feeds the box and a wanted volume proposes layers: asking for what the
// plan gives leads back to it.
func TestRoundTrip(t *testing.T) {
	for _, layers := range []string{"13", "14", "15"} {
		r := sawing("-set", "cabinet.layers="+layers)
		_, rest, ok := strings.Cut(r.Out, " cm³: ")
		net, _, ok2 := strings.Cut(rest, " net.")
		if !ok || !ok2 {
			t.Fatal(r)
		}
		if r := sawing("-set", "rules.volume=0 L", "-set", "box.volume="+net); !strings.Contains(r.Out, "\n  "+layers+" layers of 14.6 mm") {
			t.Errorf("%s layers hold %s, but that asks for another number:\n%s", layers, net, r.Out)
		}
	}
}

func TestRefused(t *testing.T) {
	for want, args := range map[string][]string{
		`sawing: "x": unexpected; every input has a flag, see -help`: {"x"},
		"sawing: -force needs -out":                                  {"-force"},
		"nowhere/project.toml: no such file":                         {"-project", "nowhere/project.toml"},
		"cabinet: piece B: length 562 mm":                            {"-set", "sheet.length=550 mm", "-set", "sheet.width=400 mm"},
		"cabinet: end cap: grain across":                             {"-set", "cabinet.capgrain=across", "-set", "sheet.width=500 mm"},
		"cabinet: wall 175 mm: must be below 175 mm":                 {"-set", "cabinet.wall=175 mm"},
		"must not touch or cross":                                    {"-set", `cabinet.profile=[{x="0 mm",y="0 mm"},{x="350 mm",y="600 mm"},{x="350 mm",y="0 mm"},{x="0 mm",y="600 mm"}]`},
		"cabinet: pattern 2: piece 1: joint at corner 1, mitred":     {"-set", `cabinet.odd=[{corner=1},{corner=3}]`, "-set", `cabinet.even=[{corner=1},{corner=3}]`},
		"cabinet: vent: body 74 mm: must clear the walls":            {"-set", "vent.x=110 mm", "-set", "vent.y=60 mm"},
		"cabinet.spares -1: must be from 0 to 1000":                  {"-set", "cabinet.spares=-1"},
		"sheet.known 20 mm: must be below its thickness":             {"-set", "sheet.known=20 mm"},
		`must be "along", "across" or "either"`:                      {"-set", "cabinet.capgrain=round"},
	} {
		r := sawing(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r.Errs)
		}
	}
	if r := sawing("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/sawing -out wood") {
		t.Errorf("-help: %+v", r)
	}
}
