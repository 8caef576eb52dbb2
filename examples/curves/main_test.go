package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/programtest"
)

func curves(args ...string) programtest.Result { return programtest.Run(run, args...) }

// The checked-in bench gives the checked-in text and figures, and every file its
// kind names.
func TestBench(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "chain")
	r := curves("-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "curves.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "curves.txt", "curves.json")
	entries, err := os.ReadDir(folder)
	names := map[string]bool{}
	for _, e := range entries {
		names[e.Name()] = true
	}
	if err != nil || len(names) != len(kind.Tables)+3-1 {
		t.Errorf("%d files, %v", len(names), err)
	}
	for _, name := range kind.Tables {
		if !names[name] && name != "tweeter_parts.csv" { // its curve is one piece
			t.Errorf("%s is missing", name)
		}
	}
	if r := curves("-out", folder); r.Status != 1 || !strings.Contains(r.Errs, "holds an earlier curves; -force replaces it") {
		t.Errorf("twice: %+v", r)
	}
	if r := curves("-out", folder, "-force"); r.Status != 0 {
		t.Errorf("with force: %+v", r)
	}
}

// A project without near fields and sweeps has fewer stages.
func TestPlainProject(t *testing.T) {
	r := curves("-project", "../projects/buildnight/project.toml")
	for _, want := range []string{"demo woofer B: one curve, nothing to join.", "By ruler the tweeter is 20 mm ± 11.3 mm ahead", "the phase was measured."} {
		if r.Status != 0 || !strings.Contains(r.Out, want) {
			t.Errorf("want %q in %+v", want, r)
		}
	}
}

func TestRefused(t *testing.T) {
	for want, args := range map[string][]string{
		`curves: "x": unexpected; every input has a flag, see -help`:      {"x"},
		"curves: -force needs -out":                                       {"-force"},
		"no such file":                                                    {"-project", "nowhere/project.toml"},
		"tweeter_maker.csv: no column of phases is named; give slopes":    {"-project", without(t, "slopes")},
		"woofer.near: splice":                                             {"-set", "woofer.near.lo=100 Hz"},
		"woofer.near.hi 50 Hz: must be above woofer.near.lo, 250 Hz":      {"-set", "woofer.near.hi=50 Hz"},
		`woofer.response.taken: mounting "in the garden": must be one of`: {"-set", "woofer.response.taken=in the garden"},
		"woofer.response.taken is missing":                                {"-project", without(t, `taken = "on a panel"`)},
		"crossover: woofer: its curve was taken near the vent":            {"-set", "woofer.response.taken=near the vent", "-project", "../projects/buildnight/project.toml"},
		"sweeps: delay": {"-set", "sweeps.hi=1.01 kHz"},
	} {
		r := curves(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := curves("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/curves -out chain") {
		t.Errorf("-help: %+v", r)
	}
}

// without writes the bench without the lines that begin so, with the tables beside
// it; without a table altogether if that is what begins so.
func without(t *testing.T, start string) string {
	t.Helper()
	text, err := os.ReadFile("../projects/bench/project.toml")
	if err != nil {
		t.Fatal(err)
	}
	var kept []string
	skip := false
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "[") {
			skip = false
		}
		if strings.HasPrefix(line, start) {
			skip = strings.HasPrefix(start, "[")
			continue
		}
		if !skip {
			kept = append(kept, line)
		}
	}
	bench, err := filepath.Abs("../projects/bench")
	if err != nil {
		t.Fatal(err)
	}
	out := strings.ReplaceAll(strings.Join(kept, ""), `file = "`, fmt.Sprintf(`file = "%s/`, filepath.ToSlash(bench)))
	file := filepath.Join(t.TempDir(), "project.toml")
	if err := os.WriteFile(file, []byte(out), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}
