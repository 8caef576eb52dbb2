package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/programtest"
	"example.com/halfspace/filter/crossover/search"
)

func frontier(args ...string) programtest.Result {
	return programtest.Run(func(args []string, out, errs io.Writer) int { return run(context.Background(), args, out, errs, false) }, args...)
}

// The checked-in drivers with up to three parts give the checked-in text and figures,
// and the tables that the kind names.
func TestFrontier(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "best")
	r := frontier("-parts", "3", "-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "frontier.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "frontier.txt", "frontier.json")
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
	stopped := func(at string, args ...string) programtest.Result {
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		var out bytes.Buffer
		errs := writer{at: at, then: cancel}
		status := run(ctx, args, &out, &errs, true)
		_, last, _ := strings.Cut(errs.String(), strings.Repeat(" ", width)+"\r")
		return programtest.Result{Status: status, Out: out.String(), Errs: last}
	}
	folder := filepath.Join(t.TempDir(), "best")
	r := stopped("3 parts", "-parts", "4", "-out", folder)
	if r.Status != 130 || r.Errs != "frontier: interrupted; what was found is in "+folder+"\n" {
		t.Errorf("status %d, %q", r.Status, r.Errs)
	}
	for _, want := range []string{"\nStopped early; of what was searched: Build the one with ", "\n  The search was stopped before its end.\n"} {
		if !strings.Contains(r.Out, want) {
			t.Errorf("%q is missing in\n%s", want, r.Out)
		}
	}
	if text, err := os.ReadFile(filepath.Join(folder, "frontier.txt")); err != nil || !strings.HasPrefix(r.Out, string(text)) {
		t.Errorf("%v, or another text: %s", err, text)
	}
	r = stopped("3 parts", "-parts", "3")
	if r.Status != 130 || r.Errs != "frontier: interrupted; what was found is above, nothing written\n" || !strings.Contains(r.Out, "Stopped early") {
		t.Errorf("%+v", r)
	}
	r = stopped("2 parts", "-parts", "3", "-set", "crossover.load=30 ohm")
	if r.Status != 130 || !strings.Contains(r.Out, "\nStopped early; no circuit of those searched keeps the limits.\n") {
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
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := frontier("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/frontier") {
		t.Errorf("-help: %+v", r)
	}
	// Limits that nothing keeps: the nearest, and what it breaks.
	r := frontier("-parts", "2", "-set", "crossover.load=30 ohm")
	if r.Status != 0 || !strings.Contains(r.Out, "No circuit keeps the limits.") || !strings.Contains(r.Out, "The nearest one breaks: ") {
		t.Errorf("no feasible circuit: %+v", r)
	}
}
