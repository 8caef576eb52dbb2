package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"example.com/halfspace/examples/internal/program"
	"example.com/halfspace/examples/internal/programtest"
	"example.com/halfspace/examples/projects"
)

func twoway(args ...string) programtest.Result { return programtest.Run(run, args...) }

// demo is the checked-in project, run once, with its report in a folder.
var demo = sync.OnceValues(func() (programtest.Result, map[string][]byte) {
	dir, err := os.MkdirTemp("", "twoway")
	if err != nil {
		return programtest.Result{Status: program.Failed, Errs: err.Error()}, nil
	}
	defer os.RemoveAll(dir)
	folder := filepath.Join(dir, "speaker")
	r := twoway("-out", folder)
	r.Out = strings.Replace(r.Out, folder, "FOLDER", 1)
	files := map[string][]byte{}
	entries, _ := os.ReadDir(folder)
	for _, e := range entries {
		files[e.Name()], _ = os.ReadFile(filepath.Join(folder, e.Name()))
	}
	return r, files
})

// The report of the checked-in project is checked in. If it changes on purpose:
//
//	go test ./examples/twoway -update
func TestDemo(t *testing.T) {
	r, files := demo()
	if r.Status != program.Done || r.Errs != "" {
		t.Fatalf("status %d, %s", r.Status, r.Errs)
	}
	if want := string(files["report.txt"]) + "\nWrote FOLDER/report.html.\n"; filepath.ToSlash(r.Out) != want {
		t.Errorf("printed and written text differ:\n%s", r.Out)
	}
	if len(files) != 17 {
		t.Errorf("%d files, want 17", len(files))
	}
	for _, name := range []string{"report.txt", "report.json", "response.svg", "wiring.svg"} {
		programtest.Same(t, name, files[name])
	}
}

func TestBrokenRule(t *testing.T) {
	r := twoway("-set", "rules.sheets=1", "-set", "speakers=4", "-set", "rules.money=0", "-set", "crossover.near=3")
	if r.Status != broken || r.Errs != "" || !strings.Contains(r.Out, "\nBroken: sheets of wood, 2 with a limit of 1: by 1.\n") {
		t.Errorf("status %d, %s\n%.300s", r.Status, r.Errs, r.Out)
	}
	if !strings.HasSuffix(r.Out, "\n\nWith -out FOLDER there is also a page with all curves, tables and JSON.\n") {
		t.Errorf("ends with %.200q", r.Out[max(0, len(r.Out)-200):])
	}
}

func TestErrors(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	mine := put("mine.toml", "speakers = 2\nrules = 3\n")
	file := put("file", "mine")
	for _, c := range []struct {
		args string // separated by |
		want string // on the error output
	}{
		{"-project|" + filepath.Join(dir, "nope.toml"), filepath.Join(dir, "nope.toml") + ": no such file"},
		{"-project|" + dir, dir + ": is a directory"},
		{"-project|" + mine, mine + ":2:9: rules 3: want a table"},
		{"-set|box.volume=24", `-set box.volume=24: box.volume 24: want text with a unit, as "24 L"`},
		{"-set|play.wall=-1m", `-set play.wall=-1m: play.wall -1 m: must be zero or positive, and finite`},
		{"-set|box.tuning=20Hz|-set|cabinet.layers=13", "vent: 1.378 m long, of which 1.34 m stand inside, in a depth of 274 mm; take a narrower vent, a larger box or a higher tuning"},
		{"-out|" + file, "-out " + file + ": exists already and is not a folder"},
		{"-out|" + dir, "-out " + dir + ": holds file, which no report writes: name another folder"},
		{"-force", "-force needs -out"},
		{"project.toml", `"project.toml": unexpected; every input has a flag, see -help`},
		{"-new|" + filepath.Join(dir, "x"), "-new " + filepath.Join(dir, "x") + ": want the name of a .toml file, best in a new folder, as mine/project.toml"},
		{"-new|" + mine, "-new " + mine + " writes that file and 9 tables beside it; nothing was written, since there are already " + mine + ": name a file in a new folder"},
		{"-set|woofer.sheet.qts=0.45", "buildnight/project.toml:54:7: woofer.sheet.qes 0.435: must be above Qts 0.45"},
		{"-set|woofer.sheet.qes=0.3", "-set woofer.sheet.qes=0.3: woofer.sheet.qes 0.3: must be above Qts 0.398"},
		{"-set|woofer.impedance.level=ohms", `woofer.impedance: buildnight/woofer_b_impedance.csv: no column "ohms"; there are "frequency_Hz", "magnitude_ohm", "phase_deg"`},
		{"-new|" + filepath.Join(dir, "x.toml") + "|-set|a=b", "-new stands alone"},
		{"-new|" + filepath.Join(file, "x.toml"), "-new mkdir " + file + ": not a directory"},
	} {
		r := twoway(strings.Split(c.args, "|")...)
		if r.Status != program.Failed || r.Out != "" || r.Errs != "twoway: "+c.want+"\n" {
			t.Errorf("%s: status %d\n got %s\nwant twoway: %s\n%s", c.args, r.Status, r.Errs, c.want, r.Out)
		}
	}
	if r := twoway("-fast"); r.Status != program.Failed || !strings.HasPrefix(r.Errs, "flag provided but not defined: -fast\n") || r.Out != "" {
		t.Errorf("unknown flag: %+v", r)
	}
	// Nothing was written by all that.
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

func TestHelp(t *testing.T) {
	r := twoway("-help")
	if r.Status != program.Done || r.Out != "" {
		t.Errorf("status %d, %s", r.Status, r.Out)
	}
	for _, w := range []string{"-project file", "-out folder", "-force", "-new file", "-set key=value", "box.volume=24L", "It exits with 0"} {
		if !strings.Contains(r.Errs, w) {
			t.Errorf("%q is missing in\n%s", w, r.Errs)
		}
	}
}

// A new project is a copy of the checked-in one and gives the same report, from
// wherever it is run.
func TestNew(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "my", "box")
	file := filepath.Join(dir, "kitchen.toml")
	r := twoway("-new", file)
	if r.Status != program.Done || r.Errs != "" || !strings.Contains(r.Out, "-project "+file+"\n") {
		t.Fatalf("%+v", r)
	}
	entries, err := fs.ReadDir(projects.Files, checkedIn)
	if err != nil {
		t.Fatal(err)
	}
	copied, err := os.ReadDir(dir)
	if err != nil || len(copied) != len(entries) {
		t.Fatalf("%d files, want %d (%v)", len(copied), len(entries), err)
	}
	for _, e := range entries {
		name := e.Name()
		if name == "project.toml" {
			name = "kitchen.toml"
		}
		got, err := os.ReadFile(filepath.Join(dir, name))
		want, _ := fs.ReadFile(projects.Files, checkedIn+"/"+e.Name())
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s differs (%v)", name, err)
		}
	}

	_, files := demo()
	const last = "\nWith -out FOLDER there is also a page with all curves, tables and JSON.\n"
	if r := twoway("-project", file); r.Status != program.Done || r.Out != string(files["report.txt"])+last {
		t.Errorf("status %d, %s: not the report of the checked-in project", r.Status, r.Errs)
	}
	t.Chdir(dir)
	if r := twoway("-project", "kitchen.toml", "-set", "crossover.near=1", "-set", "woofer.impedance.file=../box/woofer_b_impedance.csv"); r.Status == program.Failed {
		t.Errorf("from its own folder, a curve by ../: %s", r.Errs)
	}
}

// A file that is there already, the project or any curve, stops all of it.
func TestNewOverwritesNothing(t *testing.T) {
	for _, name := range []string{"project.toml", "parts.csv", "woofer_b_vertical.csv"} {
		dir := t.TempDir()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
			t.Fatal(err)
		}
		r := twoway("-new", filepath.Join(dir, "project.toml"))
		if r.Status != program.Failed || !strings.Contains(r.Errs, "nothing was written, since there are already "+path+": name") {
			t.Errorf("%s: %+v", name, r)
		}
		text, err := os.ReadFile(path)
		entries, _ := os.ReadDir(dir)
		if err != nil || string(text) != "mine" || len(entries) != 1 {
			t.Errorf("%s: %q, %v, %d files", name, text, err, len(entries))
		}
	}
	// What appears between looking and writing is not replaced either.
	path := filepath.Join(t.TempDir(), "a")
	if err := os.WriteFile(path, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := create(path, []byte("theirs")); err == nil {
		t.Error("create replaced a file")
	}
	if text, err := os.ReadFile(path); err != nil || string(text) != "mine" {
		t.Errorf("%q, %v", text, err)
	}
}

// A writer that fails is an error, not half a report with status 0.
func TestFullDisk(t *testing.T) {
	var errs bytes.Buffer
	if status := run([]string{"-set", "crossover.near=1"}, full{}, &errs); status != program.Failed || !strings.Contains(errs.String(), "no space") {
		t.Errorf("status %d, %s", status, &errs)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, fmt.Errorf("no space left") }
