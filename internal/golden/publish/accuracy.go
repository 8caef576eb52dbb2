package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/internal/golden"
)

const introduction = `# Accuracy

What every published row says about this library, written by
` + "`go run ./internal/golden/publish`" + ` from the rows, their tests and the list of second
roads; do not edit it. What each calculation means stands in calculations.csv.

A row may be *read* in its source, *from memory* (the source was not at hand),
*derived* (computed by a second way, as the source says: no print stands behind it)
or *common practice*. The deviation is the largest of all rows of the calculation
and of all ways they were checked: in the unit of the row, relative to the value,
and as a share of what the row allows (without other reason, half of the last digit
it prints). So a deviation of a row of few digits tells of its rounding, not of ours.
Anything below 1e-12 of the value (of 1 dB or 1°, if that is more) is rounding of
the computer, and said to be so.
`

// A figure gathers the rows of one calculation.
type figure struct {
	rows     int
	known    map[string]int
	sources  []string
	absolute map[string]float64 // worst, by unit
	relative float64
	share    float64
}

// accuracy returns the text of ACCURACY.md, or an error that names the rows that no
// record is of.
func accuracy(files []golden.File, definitions []golden.Definition, roads []golden.Road, records []golden.Record) (string, error) {
	checked := map[[4]string][]golden.Record{}
	for _, r := range records {
		key := [4]string{r.Package, r.File, r.ID, r.Calculation}
		checked[key] = append(checked[key], r)
	}
	figures := map[[2]string]*figure{}
	var missing []string
	total, known := 0, map[string]int{}
	for _, f := range files {
		for _, r := range f.Rows {
			total++
			known[r.Known]++
			key := [2]string{f.Package, r.Calculation}
			if figures[key] == nil {
				figures[key] = &figure{known: map[string]int{}, absolute: map[string]float64{}}
			}
			rs := checked[[4]string{f.Package, f.Name, r.ID, r.Calculation}]
			if len(rs) == 0 {
				missing = append(missing, fmt.Sprintf("%s/testdata/%s: %s: %s", f.Package, f.Name, r.ID, r.Calculation))
			}
			figures[key].add(r, rs)
		}
	}
	if missing != nil {
		return "", fmt.Errorf("rows that no test checked:\n%s", strings.Join(missing, "\n"))
	}

	var out strings.Builder
	out.WriteString(introduction)
	fmt.Fprintf(&out, "\n%d rows of %d calculations: %s.\n", total, len(figures), counts(known))
	for _, pkg := range packages(definitions, roads) {
		fmt.Fprintf(&out, "\n## %s\n", pkg)
		writeFigures(&out, pkg, definitions, figures)
		writeRoads(&out, pkg, roads)
	}
	return out.String(), nil
}

func (g *figure) add(r golden.Row, records []golden.Record) {
	g.rows++
	g.known[r.Known]++
	if !slices.Contains(g.sources, r.Source) {
		g.sources = append(g.sources, r.Source)
	}
	value := math.Abs(r.Value.Float())
	scale := value
	switch r.Unit {
	case "dB", "deg", "°":
		scale = max(scale, 1)
	}
	worst := g.absolute[r.Unit]
	for _, rec := range records {
		if rec.Allowed > 0 {
			g.share = max(g.share, rec.Deviation/rec.Allowed)
		}
		if rec.Deviation <= rounding*scale {
			continue
		}
		worst = max(worst, rec.Deviation)
		if value > 0 {
			g.relative = max(g.relative, rec.Deviation/value)
		}
	}
	g.absolute[r.Unit] = worst
}

// rounding is the relative deviation below which nothing is told.
const rounding = 1e-12

// kinds is how a value may be known, best first.
var kinds = []string{"read", "from memory", "derived", "common practice"}

func counts(known map[string]int) string {
	var s []string
	for _, k := range kinds {
		if known[k] > 0 {
			s = append(s, fmt.Sprintf("%d %s", known[k], k))
		}
	}
	return strings.Join(s, ", ")
}

// packages returns the packages with rows or roads, rows first.
func packages(definitions []golden.Definition, roads []golden.Road) []string {
	var all []string
	for _, d := range definitions {
		if !slices.Contains(all, d.Package) {
			all = append(all, d.Package)
		}
	}
	for _, r := range roads {
		name, _, _ := strings.Cut(r.Symbol, ".")
		if !slices.ContainsFunc(all, func(p string) bool { return base(p) == name }) {
			all = append(all, name)
		}
	}
	return all
}

func base(pkg string) string { return pkg[strings.LastIndexByte(pkg, '/')+1:] }

func writeFigures(out *strings.Builder, pkg string, definitions []golden.Definition, figures map[[2]string]*figure) {
	var sources []string
	weak := map[string][]string{}
	first := true
	for _, d := range definitions {
		g := figures[[2]string{d.Package, d.Calculation}]
		if d.Package != pkg || g == nil {
			continue
		}
		if first {
			out.WriteString("\n| calculation | computed by | rows | worst deviation | relative | of allowed | sources |\n|---|---|---|---|---|---|---|\n")
			first = false
		}
		var numbers []string
		for _, s := range g.sources {
			i := slices.Index(sources, s)
			if i < 0 {
				i = len(sources)
				sources = append(sources, s)
			}
			numbers = append(numbers, fmt.Sprint(i+1))
		}
		absolute := ""
		for _, u := range d.Units {
			if g.absolute[u] > 0 {
				absolute += "; " + strings.TrimSpace(digits(g.absolute[u])+" "+unitName(u))
			}
		}
		// The calculation and its symbols may hold bars, as |Z| does.
		fmt.Fprintf(out, "| %s | %s | %s | %s | %s | %s | %s |\n",
			strings.ReplaceAll(d.Calculation, "|", `\|`), strings.Join(d.Computes, ", "), counts(g.known),
			cmp.Or(strings.TrimPrefix(absolute, "; "), "below 1e-12"), cmp.Or(digits(g.relative), "below 1e-12"), percent(g.share),
			strings.Join(numbers, ", "))
		if g.known["read"] == 0 {
			k := "derivation"
			if g.known["from memory"] > 0 {
				k = "memory"
			}
			weak[k] = append(weak[k], d.Calculation)
		}
	}
	for _, k := range []string{"memory", "derivation"} {
		if weak[k] != nil {
			what := map[string]string{
				"memory":     "No print that was read stands behind these, only memory of one (and derivation)",
				"derivation": "Only derivation, no print at all, stands behind these",
			}[k]
			fmt.Fprintf(out, "\n%s: %s.\n", what, strings.Join(weak[k], "; "))
		}
	}
	if sources != nil {
		out.WriteString("\nSources:\n\n")
		for i, s := range sources {
			fmt.Fprintf(out, "%d. %s\n", i+1, s)
		}
	}
}

func unitName(u string) string {
	if u == "1" {
		return ""
	}
	return u
}

func writeRoads(out *strings.Builder, pkg string, roads []golden.Road) {
	first := true
	for _, r := range roads {
		if name, _, _ := strings.Cut(r.Symbol, "."); name != base(pkg) {
			continue
		}
		if first {
			out.WriteString("\n| function | second road | rows |\n|---|---|---|\n")
			first = false
		}
		fmt.Fprintf(out, "| %s | %s | %s |\n", r.Symbol, strings.Join(r.Tests, ", "), cmp.Or(r.Reason, "above"))
	}
}

// digits prints two significant digits, nothing for zero.
func digits(x float64) string {
	if x == 0 {
		return ""
	}
	return fmt.Sprintf("%.1e", x)
}

func percent(x float64) string {
	if x < 0.01 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}
