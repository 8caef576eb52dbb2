// Package programtest is what the tests of the programs share.
package programtest

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata anew from what the program says now")

// A Result is what one run of a program left behind.
type Result struct {
	Status    int
	Out, Errs string
}

// Run runs a program.
func Run(program func(args []string, out, errs io.Writer) int, args ...string) Result {
	var out, errs bytes.Buffer
	status := program(args, &out, &errs)
	return Result{status, out.String(), errs.String()}
}

// Same compares what a program says now with the file of that name in testdata. If it
// changes on purpose: go test ./examples/NAME -update.
func Same(tb testing.TB, name string, got []byte) {
	tb.Helper()
	golden := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			tb.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		tb.Fatal(err)
	}
	if bytes.Equal(got, want) {
		return
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		if i == len(g) || i == len(w) {
			tb.Errorf("%s: %d lines, want %d", name, len(g), len(w))
			return
		}
		if g[i] != w[i] {
			tb.Errorf("%s: line %d:\ngot  %.400q\nwant %.400q", name, i+1, g[i], w[i])
			return
		}
	}
}

// SameFiles compares files of a folder with those in testdata.
func SameFiles(tb testing.TB, folder string, names ...string) {
	tb.Helper()
	for _, name := range names {
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			tb.Fatal(err)
		}
		Same(tb, name, got)
	}
}
