package report

import (
	_ "embed"
	"encoding/csv"
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
	return section{
		Question: "What stands behind these numbers?",
		Head:     rows[0], Rows: rows[1:],
		Lines: []string{
			"So many values are recomputed whenever this library changes: read in print, known from memory, or solved a second way. They check the calculation, not your drivers: a measurement of the finished speaker does that.",
		},
	}
}
