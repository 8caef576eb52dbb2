package document

import (
	"bytes"
	"encoding/csv"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/plot"
)

var kind = Kind{"report", []string{"response.csv", "load.csv", "airspeed.csv"}}

var written = append(kind.always(), kind.Tables...)

// small is a report in as few bytes as Ready believes.
func small(word string) map[string][]byte {
	files := map[string][]byte{}
	for _, name := range written {
		files[name] = []byte(word)
	}
	return files
}

// tree reads a folder with all below it; folders end in a slash.
func tree(tb testing.TB, folder string) map[string]string {
	tb.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, e os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(folder, path)
		switch {
		case name == ".":
		case e.IsDir():
			files[name+"/"] = ""
		case e.Type()&os.ModeSymlink != 0:
			files[name], err = os.Readlink(path)
		default:
			text, readErr := os.ReadFile(path)
			files[name], err = string(text), readErr
		}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	return files
}

func put(tb testing.TB, folder, name, text string) {
	tb.Helper()
	path := filepath.Join(folder, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		tb.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		tb.Fatal(err)
	}
}

func TestWrite(t *testing.T) {
	base := t.TempDir()
	folder := filepath.Join(base, "a", "b", "speaker")
	check := func(word string) {
		t.Helper()
		got := tree(t, filepath.Dir(folder))
		if len(got) != 1+len(written) {
			t.Errorf("more or less than the report is there: %q", slices.Sorted(maps.Keys(got)))
		}
		for _, name := range written {
			if got["speaker/"+name] != word {
				t.Errorf("%s: %q, want %q", name, got["speaker/"+name], word)
			}
		}
	}
	if err := kind.Write(folder, small("first"), false); err != nil {
		t.Fatal(err)
	}
	check("first")
	info, err := os.Stat(folder)
	if err != nil || info.Mode().Perm()&0o700 != 0o700 {
		t.Errorf("folder: %v, %v", info.Mode(), err)
	}

	err = kind.Write(folder, small("second"), false)
	if want := "-out " + folder + ": holds an earlier report; -force replaces it"; err == nil || err.Error() != want {
		t.Errorf("without force: got %v, want %s", err, want)
	}
	check("first")

	if err := kind.Write(folder+"/", small("third"), true); err != nil {
		t.Fatal(err)
	}
	check("third")

	// A smaller report leaves nothing of the larger one.
	fewer := small("fourth")
	delete(fewer, "airspeed.csv")
	if err := kind.Write(folder, fewer, true); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(folder, "airspeed.csv")); !os.IsNotExist(err) {
		t.Errorf("a table of the earlier report stayed: %v", err)
	}
}

func TestWriteToAnEmptyFolder(t *testing.T) {
	for _, force := range []bool{false, true} {
		folder := t.TempDir()
		if err := kind.Write(folder, small("x"), force); err != nil {
			t.Errorf("force %v: %v", force, err)
		} else if got := tree(t, folder); len(got) != len(written) {
			t.Errorf("force %v: %q", force, slices.Sorted(maps.Keys(got)))
		}
	}
}

// Whatever is not an earlier report stays, byte for byte, with force and without.
func TestWriteLosesNothing(t *testing.T) {
	report := func(folder string) {
		for _, name := range written {
			put(t, folder, name, "earlier")
		}
	}
	for name, c := range map[string]struct {
		make func(folder string)
		want string // with force
	}{
		"a file": {func(f string) { put(t, filepath.Dir(f), filepath.Base(f), "mine") }, "exists already and is not a folder"},
		"another file beside a report": {func(f string) {
			report(f)
			put(t, f, "notes.txt", "mine")
		}, "holds notes.txt, which no report writes: name another folder"},
		"a measurement beside a report": {func(f string) {
			report(f)
			put(t, f, "measured.csv", "mine")
		}, "holds measured.csv, which no report writes: name another folder"},
		"a folder beside a report": {func(f string) {
			report(f)
			put(t, f, "old/report.txt", "mine")
		}, "holds old, which no report writes: name another folder"},
		"a folder called as a file of a report": {func(f string) {
			report(f)
			if err := os.Remove(filepath.Join(f, "load.csv")); err != nil {
				t.Fatal(err)
			}
			put(t, f, "load.csv/mine.txt", "mine")
		}, "holds load.csv, which no report writes: name another folder"},
		"a hidden file": {func(f string) { put(t, f, ".hidden", "mine") }, "holds .hidden, which no report writes: name another folder"},
		"only a text":   {func(f string) { put(t, f, "report.txt", "mine") }, "holds no earlier report (no report.html): name another folder"},
		"only tables":   {func(f string) { put(t, f, "load.csv", "mine") }, "holds no earlier report (no report.html): name another folder"},
		"a link to a report": {func(f string) {
			report(f + "-real")
			if err := os.Symlink(f+"-real", f); err != nil {
				t.Fatal(err)
			}
		}, "exists already and is not a folder"},
		"a linked file in a report": {func(f string) {
			report(f)
			if err := os.Remove(filepath.Join(f, "load.csv")); err != nil {
				t.Fatal(err)
			}
			put(t, filepath.Dir(f), "elsewhere", "mine")
			if err := os.Symlink("../elsewhere", filepath.Join(f, "load.csv")); err != nil {
				t.Fatal(err)
			}
		}, "holds load.csv, which no report writes: name another folder"},
	} {
		base := t.TempDir()
		folder := filepath.Join(base, "speaker")
		c.make(folder)
		before := tree(t, base)
		for _, force := range []bool{false, true} {
			if kind.Ready(folder, force) == nil {
				t.Errorf("%s, force %v: ready", name, force)
			}
			err := kind.Write(folder, small("new"), force)
			if force && (err == nil || err.Error() != "-out "+folder+": "+c.want) {
				t.Errorf("%s: got %v, want %s", name, err, c.want)
			}
			if after := tree(t, base); err == nil || !maps.Equal(before, after) {
				t.Errorf("%s, force %v: %v; before %q, after %q", name, force, err, before, after)
			}
		}
	}
	for _, here := range []string{".", "./", "./."} {
		if err := kind.Ready(here, true); err == nil || !strings.Contains(err.Error(), "name a folder of its own") {
			t.Errorf("%s: got %v", here, err)
		}
	}
}

// A failure half-way leaves the earlier report as it was and no rubbish.
func TestWriteFails(t *testing.T) {
	base := t.TempDir()
	folder := filepath.Join(base, "speaker")
	if err := kind.Write(folder, small("earlier"), false); err != nil {
		t.Fatal(err)
	}
	before := tree(t, base)
	bad := small("new")
	bad["no/such/folder.csv"] = []byte("new") // cannot be written
	err := kind.Write(folder, bad, true)
	if want := "-out " + folder + ": cannot be written: no such file or directory"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if after := tree(t, base); !maps.Equal(before, after) {
		t.Errorf("before %q, after %q", before, after)
	}

	// A file where a parent should be.
	put(t, base, "file", "mine")
	err = kind.Write(filepath.Join(base, "file", "speaker"), small("new"), true)
	if err == nil || !strings.HasSuffix(err.Error(), ": cannot be written: not a directory") {
		t.Errorf("a file as a parent: got %v", err)
	}

	// A name that no system takes, whoever asks.
	long := filepath.Join(base, strings.Repeat("x", 5000), "speaker")
	err = kind.Write(long, small("new"), false)
	if err == nil || !strings.HasPrefix(err.Error(), "-out "+long+": ") || strings.Contains(err.Error(), ".new-") {
		t.Errorf("a name too long: got %v", err)
	}
	if after := tree(t, base); after["file"] != "mine" || len(after) != len(before)+1 {
		t.Errorf("left behind: %q", after)
	}
}

// A name that a spreadsheet would compute stays a name.
func TestFormulas(t *testing.T) {
	c := Chart{Figure: plot.Figure{X: []float64{1}, Unit: "level, dB", Lines: []plot.Line{{Name: `=HYPERLINK("http://x")`, Y: []float64{1}}, {Name: "+1", Y: []float64{1}}, {Name: "woofer", Y: []float64{1}}}}}
	text, err := c.CSV()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, cell := range rows[0] {
		if strings.ContainsAny(cell[:1], "=+-@") {
			t.Errorf("%q is a formula", cell)
		}
	}
	if rows[0][3] != "woofer (dB)" {
		t.Errorf("%q was changed", rows[0][3])
	}
}
