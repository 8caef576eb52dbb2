package response

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A Table holds columns of finite numbers, all of the same length.
type Table struct {
	Names   []string    // of the columns, from the header; "1", "2" ... if there is none
	Columns [][]float64 // Columns[i] belongs to Names[i]
	Lines   []int       // where each row stood in the text, counted from 1; may be nil
}

// Column returns the column of that name. The slice is the table's own. If
// there is no such column, the error lists those there are.
func (t *Table) Column(name string) ([]float64, error) {
	if i := slices.Index(t.Names, name); i >= 0 {
		return t.Columns[i], nil
	}
	quoted := make([]string, len(t.Names))
	for i, n := range t.Names {
		quoted[i] = strconv.Quote(n)
	}
	return nil, fmt.Errorf("response: no column %q; there are %s", name, strings.Join(quoted, ", "))
}

// place says where row i stood, for messages.
func (t *Table) place(i int) string {
	if i < len(t.Lines) {
		return fmt.Sprintf("line %d", t.Lines[i])
	}
	return fmt.Sprintf("row %d", i+1)
}

// cell says where a value of the named column stood.
func (t *Table) cell(i int, column string) string {
	return fmt.Sprintf("%s, column %d", t.place(i), slices.Index(t.Names, column)+1)
}
