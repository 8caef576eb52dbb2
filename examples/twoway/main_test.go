package main

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"example.com/halfspace/examples/internal/program"
	"example.com/halfspace/examples/projects"
)

var update = flag.Bool("update", false, "write testdata anew from what the program says now")

// A result is what one run of the program left behind.
type result struct {
	status    int
	out, errs string
}

func twoway(args ...string) result {
	var out, errs bytes.Buffer
	status := run(args, &out, &errs)
	return result{status, out.String(), errs.String()}
}

// demo is the checked-in project, run once, with its report in a folder.
var demo = sync.OnceValues(func() (result, map[string][]byte) {
	dir, err := os.MkdirTemp("", "twoway")
	if err != nil {
		return result{status: program.Failed, errs: err.Error()}, nil
	}
	defer os.RemoveAll(dir)
	folder := filepath.Join(dir, "speaker")
	r := twoway("-out", folder)
	r.out = strings.Replace(r.out, folder, "FOLDER", 1)
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
	if r.status != program.Done || r.errs != "" {
		t.Fatalf("status %d, %s", r.status, r.errs)
	}
	if want := string(files["report.txt"]) + "\nWrote FOLDER/report.html.\n"; filepath.ToSlash(r.out) != want {
		t.Errorf("printed and written text differ:\n%s", r.out)
	}
	if len(files) != 17 {
		t.Errorf("%d files, want 17", len(files))
	}
	for _, name := range []string{"report.txt", "report.json", "response.svg", "wiring.svg"} {
		golden := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(golden, files[name], 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if d := firstDifference(files[name], want); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

func firstDifference(got, want []byte) string {
	a, b := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(a), len(b)) {
		var x, y string
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y || i >= min(len(a), len(b)) {
			return fmt.Sprintf("line %d:\n got %q\nwant %q", i+1, x, y)
		}
	}
	return ""
}

func TestBrokenRule(t *testing.T) {
	r := twoway("-set", "rules.sheets=1", "-set", "speakers=4", "-set", "rules.money=0", "-set", "crossover.near=3")
	if r.status != broken || r.errs != "" || !strings.Contains(r.out, "\nBroken: sheets of wood, 2 with a limit of 1: by 1.\n") {
		t.Errorf("status %d, %s\n%.300s", r.status, r.errs, r.out)
	}
	if !strings.HasSuffix(r.out, "\n\nWith -out FOLDER there is also a page with all curves, tables and JSON.\n") {
		t.Errorf("ends with %.200q", r.out[max(0, len(r.out)-200):])
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
		if r.status != program.Failed || r.out != "" || r.errs != "twoway: "+c.want+"\n" {
			t.Errorf("%s: status %d\n got %s\nwant twoway: %s\n%s", c.args, r.status, r.errs, c.want, r.out)
		}
	}
	if r := twoway("-fast"); r.status != program.Failed || !strings.HasPrefix(r.errs, "flag provided but not defined: -fast\n") || r.out != "" {
		t.Errorf("unknown flag: %+v", r)
	}
	// Nothing was written by all that.
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

func TestHelp(t *testing.T) {
	r := twoway("-help")
	if r.status != program.Done || r.out != "" {
		t.Errorf("status %d, %s", r.status, r.out)
	}
	for _, w := range []string{"-project file", "-out folder", "-force", "-new file", "-set key=value", "box.volume=24L", "It exits with 0"} {
		if !strings.Contains(r.errs, w) {
			t.Errorf("%q is missing in\n%s", w, r.errs)
		}
	}
}

// A new project is a copy of the checked-in one and gives the same report, from
// wherever it is run.
func TestNew(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "my", "box")
	file := filepath.Join(dir, "kitchen.toml")
	r := twoway("-new", file)
	if r.status != program.Done || r.errs != "" || !strings.Contains(r.out, "-project "+file+"\n") {
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
	if r := twoway("-project", file); r.status != program.Done || r.out != string(files["report.txt"])+last {
		t.Errorf("status %d, %s: not the report of the checked-in project", r.status, r.errs)
	}
	t.Chdir(dir)
	if r := twoway("-project", "kitchen.toml", "-set", "crossover.near=1", "-set", "woofer.impedance.file=../box/woofer_b_impedance.csv"); r.status == program.Failed {
		t.Errorf("from its own folder, a curve by ../: %s", r.errs)
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
		if r.status != program.Failed || !strings.Contains(r.errs, "nothing was written, since there are already "+path+": name") {
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
