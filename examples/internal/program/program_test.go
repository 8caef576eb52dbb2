package program

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/document"
)

var kind = document.Kind{Name: "saw", Tables: []string{"more.txt"}}

type said struct {
	status    int
	out, errs string
	settings  []string
}

func saw(work func(p *Program) error, args ...string) said {
	var out, errs bytes.Buffer
	p := New("saw", "Saw saws.\n", kind, " and more", &out, &errs)
	p.Project("bench", "a=1")
	status := p.Run(args, func() error { return work(p) })
	return said{status, out.String(), errs.String(), p.Settings}
}

func tell(p *Program) error {
	return p.Say(document.Document{Kind: kind, Name: "A bench", Verdict: "It stands.", JSON: []byte("{}\n")}, "is also a page", nil)
}

func TestRun(t *testing.T) {
	plain := saw(tell, "-set", "a=1", "-set", "b=2")
	if plain.status != Done || plain.errs != "" || plain.out != "A bench\nIt stands.\n\nWith -out FOLDER there is also a page.\n" {
		t.Errorf("%+v", plain)
	}
	if want := []string{"a=1", "b=2"}; !slices.Equal(plain.settings, want) {
		t.Errorf("settings %q, want %q", plain.settings, want)
	}

	// The work is not begun where its result could not be written.
	folder := filepath.Join(t.TempDir(), "out")
	began := 0
	count := func(p *Program) error { began++; return tell(p) }
	if r := saw(count, "-out", folder); r.status != Done || !strings.HasSuffix(r.out, "\nWrote "+filepath.Join(folder, "saw.html")+".\n") {
		t.Errorf("%+v", r)
	}
	if _, err := os.Stat(filepath.Join(folder, "saw.json")); err != nil {
		t.Error(err)
	}
	if r := saw(count, "-out", folder); r.status != Failed || r.out != "" || !strings.HasPrefix(r.errs, "saw: -out "+folder) || began != 1 {
		t.Errorf("%+v, begun %d times", r, began)
	}
	if r := saw(count, "-out", folder, "-force"); r.status != Done || began != 2 {
		t.Errorf("%+v, begun %d times", r, began)
	}
}

func TestRunRefuses(t *testing.T) {
	never := func(*Program) error { t.Error("begun"); return nil }
	for _, c := range []struct {
		args   []string
		status int
		errs   string
	}{
		{[]string{"-help"}, Done, "Saw saws.\n  -force\n"},
		{[]string{"-nope"}, Failed, "flag provided but not defined: -nope\n"},
		{[]string{"bench.toml"}, Failed, "saw: \"bench.toml\": unexpected; every input has a flag, see -help\n"},
		{[]string{"-force"}, Failed, "saw: -force needs -out\n"},
	} {
		if r := saw(never, c.args...); r.status != c.status || r.out != "" || !strings.HasPrefix(r.errs, c.errs) {
			t.Errorf("%q: %+v, want %d and %q", c.args, r, c.status, c.errs)
		}
	}
	if r := saw(func(*Program) error { return errors.New("blunt") }); r.status != Failed || r.errs != "saw: blunt\n" {
		t.Errorf("%+v", r)
	}
}
