package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/filter/crossover/search"
)

var update = flag.Bool("update", false, "write testdata anew from what the program says now")

type result struct {
	status    int
	out, errs string
}

func frontier(args ...string) result {
	var out, errs bytes.Buffer
	status := run(context.Background(), args, &out, &errs, false)
	return result{status, out.String(), errs.String()}
}

// The checked-in drivers with up to three parts give the checked-in text and figures,
// and the tables that the kind names.
func TestFrontier(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "best")
	r := frontier("-parts", "3", "-out", folder)
	if r.status != 0 || r.errs != "" || !strings.HasSuffix(r.out, "\nWrote "+filepath.Join(folder, "frontier.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	for _, name := range []string{"frontier.txt", "frontier.json"} {
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			t.Fatal(err)
		}
		golden := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(golden, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from testdata; look at the difference, then run with -update:\n%s", name, got)
		}
	}
	for _, name := range kind.Tables {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
			t.Error(err)
		}
	}
}

// Interrupted before it began, it says so, and does not speak of limits.
func TestInterruptedAtOnce(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	folder := filepath.Join(t.TempDir(), "best")
	var out, errs bytes.Buffer
	status := run(ctx, []string{"-parts", "4", "-out", folder}, &out, &errs, false)
	if status != 130 || out.Len() > 0 || errs.String() != "frontier: interrupted before anything was searched; nothing written\n" {
		t.Errorf("status %d, %s\n%s", status, &errs, &out)
	}
	if _, err := os.Stat(folder); err == nil {
		t.Error("a folder was written")
	}
}

// Interrupted on the way, it keeps what it found.
func TestInterrupted(t *testing.T) {
	stopped := func(at string, args ...string) result {
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		var out bytes.Buffer
		errs := writer{at: at, then: cancel}
		status := run(ctx, args, &out, &errs, true)
		_, last, _ := strings.Cut(errs.String(), strings.Repeat(" ", width)+"\r")
		return result{status, out.String(), last}
	}
	folder := filepath.Join(t.TempDir(), "best")
	r := stopped("3 parts", "-parts", "4", "-out", folder)
	if r.status != 130 || r.errs != "frontier: interrupted; what was found is in "+folder+"\n" {
		t.Errorf("status %d, %q", r.status, r.errs)
	}
	for _, want := range []string{"\nStopped early; of what was searched: Build the one with ", "\n  The search was stopped before its end.\n"} {
		if !strings.Contains(r.out, want) {
			t.Errorf("%q is missing in\n%s", want, r.out)
		}
	}
	if text, err := os.ReadFile(filepath.Join(folder, "frontier.txt")); err != nil || !strings.HasPrefix(r.out, string(text)) {
		t.Errorf("%v, or another text: %s", err, text)
	}
	r = stopped("3 parts", "-parts", "3")
	if r.status != 130 || r.errs != "frontier: interrupted; what was found is above, nothing written\n" || !strings.Contains(r.out, "Stopped early") {
		t.Errorf("%+v", r)
	}
	r = stopped("2 parts", "-parts", "3", "-set", "crossover.load=30 ohm")
	if r.status != 130 || !strings.Contains(r.out, "\nStopped early; no circuit of those searched keeps the limits.\n") {
		t.Errorf("%+v", r)
	}
}

// A writer does something once a text was written to it.
type writer struct {
	bytes.Buffer
	at   string
	then func()
}

func (w *writer) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte(w.at)) {
		w.then()
	}
	return w.Buffer.Write(p)
}

// On a terminal there is a progress line, of one width, and it is wiped at the end.
func TestProgress(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run(context.Background(), []string{"-parts", "2"}, &out, &errs, true); status != 0 {
		t.Fatal(errs.String())
	}
	text := errs.String()
	if !strings.Contains(text, " parts [") || !strings.HasSuffix(text, "\r"+strings.Repeat(" ", width)+"\r") {
		t.Errorf("%q", text)
	}
	for _, p := range []search.Progress{{}, {Parts: 6, Done: 2634, Of: 2634, Flatness: 0.3}, {Parts: 1, Done: 0, Of: 2, Flatness: 1e300}} {
		if n := len(progress(p)); n != width {
			t.Errorf("%+v: %d letters, want %d", p, n, width)
		}
	}
}

func TestRefused(t *testing.T) {
	for want, args := range map[string][]string{
		`frontier: "x": unexpected; every input has a flag, see -help`: {"x"},
		"frontier: -force needs -out":                                  {"-force"},
		"frontier: -parts 9: must be from 1 to 7":                      {"-parts", "9"},
		"nowhere/project.toml: no such file":                           {"-project", "nowhere/project.toml"},
		"rules.money 100: the drivers alone cost more":                 {"-set", "rules.money=100"},
		"search: band from 200 Hz to 30 kHz":                           {"-set", "crossover.hi=30 kHz"},
	} {
		r := frontier(args...)
		if r.status != 1 || !strings.Contains(r.errs, want) || strings.Count(r.errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := frontier("-help"); r.status != 0 || !strings.Contains(r.errs, "go run ./examples/frontier") {
		t.Errorf("-help: %+v", r)
	}
	// Limits that nothing keeps: the nearest, and what it breaks.
	r := frontier("-parts", "2", "-set", "crossover.load=30 ohm")
	if r.status != 0 || !strings.Contains(r.out, "No circuit keeps the limits.") || !strings.Contains(r.out, "The nearest one breaks: ") {
		t.Errorf("no feasible circuit: %+v", r)
	}
}
