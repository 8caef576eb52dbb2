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
)

func pairing(args ...string) programtest.Result {
	return programtest.Run(func(args []string, out, errs io.Writer) int { return run(context.Background(), args, out, errs) }, args...)
}

// The checked-in candidates give the checked-in ranking, and every pair with something
// against it says what.
func TestPairing(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "pairs")
	r := pairing("-parts", "2", "-out", folder)
	if r.Status != 0 || r.Errs != "" {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "pairing.txt", "pairing.json")
	for _, want := range []string{
		"Look first at demo woofer B with demo tweeter A.",
		"demo woofer A with demo tweeter C: only", // little room, and a load
		"a driver falls to 3.30 Ω, below the 4.50 Ω of the rules",
		"demo woofer D: its sheet contradicts itself: Vas printed 74 L",
		"demo woofer C with demo tweeter A: vent: ",
	} {
		if !strings.Contains(r.Out, want) {
			t.Errorf("%q is missing in\n%s", want, r.Out)
		}
	}
}

func TestRefused(t *testing.T) {
	write := func(text string) string {
		file := filepath.Join(t.TempDir(), "candidates.toml")
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return file
	}
	for want, args := range map[string][]string{
		`pairing: "x": unexpected; every input has a flag, see -help`: {"x"},
		"pairing: -force needs -out":                                  {"-force"},
		"pairing: -parts 9: must be from 2 to 6":                      {"-parts", "9"},
		"candidates.toml: no such file":                               {"-candidates", filepath.Join(t.TempDir(), "candidates.toml")},
		"project is missing":                                          {"-candidates", write("")},
		"0 woofers and 0 tweeters: must be one of each at least":      {"-candidates", write(`project = "x.toml"`)},
		"unknown key projekt: want one of project, woofer, tweeter":   {"-candidates", write(`projekt = "x.toml"`)},
		"woofer.price \"x\": want a number":                           {"-candidates", write("[[woofer]]\nprice = \"x\"")},
	} {
		r := pairing(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	if status := run(ctx, nil, &out, &errs); status != 130 || errs.String() != "pairing: interrupted; nothing written\n" || out.Len() > 0 {
		t.Errorf("interrupted: %d, %s", status, &errs)
	}
}
