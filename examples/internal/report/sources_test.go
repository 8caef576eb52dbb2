package report

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
)

var update = flag.Bool("update", false, "count the golden rows anew into sources.csv")

// steps are what a report computes, with the packages that do.
var steps = []struct {
	name     string
	packages []string
}{
	{"air", []string{"units/air"}},
	{"drivers", []string{"ts", "ts/measure"}},
	{"box and bass", []string{"box", "box/align"}},
	{"vent", []string{"port"}},
	{"panel", []string{"box/baffle"}},
	{"curves", []string{"filter/response"}},
	{"network and sum", []string{"filter", "filter/rational", "filter/crossover", "filter/crossover/spread"}},
	{"load and heat", []string{"filter/ladder", "filter/circuit"}},
	{"parts and coils", []string{"filter/parts", "filter/coil"}},
	{"cabinet and sheets", []string{"box/outline", "box/cabinet"}},
}

// The sources of a report are those of the golden rows.
func TestSourcesAreThoseOfTheRows(t *testing.T) {
	want := countSources(t)
	if *update {
		if err := os.WriteFile("sources.csv", want, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	if sourcesText != string(want) {
		t.Error("sources.csv is not what the golden rows say; write it with go test ./examples/internal/report -update")
	}
}

func countSources(t *testing.T) []byte {
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	root, err := golden.Root(here)
	if err != nil {
		t.Fatal(err)
	}
	files, err := golden.Files(os.DirFS(root))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	table := [][]string{{"", "values", "in print", "from memory", "second way", "most of those with a source"}}
	for _, s := range steps {
		known := map[string]int{}
		source := map[string]int{}
		all := 0
		for _, f := range files {
			if !slices.Contains(s.packages, f.Package) {
				continue
			}
			for _, r := range f.Rows {
				all++
				known[r.Known]++
				switch {
				case strings.HasPrefix(r.Source, "common practice"):
				case r.Known == "read":
					source[r.Source]++
				case r.Known == "from memory":
					source[r.Source+" (from memory)"]++
				}
			}
		}
		if all == 0 {
			t.Errorf("%s: no rows", s.name)
		}
		table = append(table, []string{
			s.name, fmt.Sprint(all), fmt.Sprint(known["read"]), fmt.Sprint(known["from memory"]), fmt.Sprint(known["derived"]), most(source),
		})
	}
	if err := w.WriteAll(table); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// most returns the source of most rows.
func most(count map[string]int) string {
	names := make([]string, 0, len(count))
	for name := range count {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), strings.Compare(a, b))
	})
	if len(names) == 0 {
		return "nothing printed, first principles only"
	}
	return names[0]
}
