package report

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/design"
)

// The rows that check what a report uses, counted from all golden rows by a test.
//
//go:embed sources.csv
var sourcesText string

// standing tells which sources stand behind the numbers.
func standing(d *design.Design) section {
	rows, err := csv.NewReader(strings.NewReader(sourcesText)).ReadAll()
	if err != nil {
		panic(err) // it is part of the program
	}
	if d.Project.Box.Tuning == 0 {
		rows = slices.DeleteFunc(rows, func(row []string) bool { return row[0] == "vent" })
	}
	out := section{
		Question: "What stands behind these numbers?",
		Lines: []string{
			"So many values are recomputed whenever this library changes: read in print, known from memory, or solved a second way. They check the calculation, not your drivers: a measurement of the finished speaker does that. Where most of those with a source come from:",
		},
	}
	last := len(rows[0]) - 1
	for i, row := range rows {
		if i == 0 {
			out.Head = row[:last]
			continue
		}
		out.Rows = append(out.Rows, row[:last])
		out.Lines = append(out.Lines, fmt.Sprintf("    %s: %s", row[0], row[last]))
	}
	return out
}
