// Package document writes what a program has to say: as text, as a page with
// charts, as tables and as JSON.
package document

import (
	"bytes"
	"fmt"
	"html/template"
	"maps"
	"regexp"
	"strings"
	"text/tabwriter"

	"example.com/halfspace/examples/internal/plot"
)

// A Document answers a reader's questions one after the other.
type Document struct {
	Kind     Kind
	Name     string
	Verdict  string      // the first line
	Summary  [][2]string // what one wants to know first, by name
	Sections []Section
	Charts   []Chart
	JSON     []byte
	More     map[string][]byte // further files that the kind knows
}

// A Section answers one question, in rows of cells and in lines.
type Section struct {
	Question string
	Head     []string
	Rows     [][]string
	Lines    []string
	Drawing  template.HTML // SVG of our own making, for the page; empty for none
}

// A Chart is a figure with the question it answers and its table.
type Chart struct {
	Name     string // of the table, without the ending
	Title    string
	Question string // what to look for
	Decimals int    // of the numbers in the table
	plot.Figure
}

// Files returns everything the document consists of, by file name.
func (d Document) Files() (map[string][]byte, error) {
	files := map[string][]byte{d.Kind.Name + ".txt": d.Text(), d.Kind.Name + ".json": d.JSON}
	var err error
	if files[d.Kind.Name+".html"], err = d.page(); err != nil {
		return nil, err
	}
	for _, c := range d.Charts {
		if files[c.Name+".csv"], err = c.CSV(); err != nil {
			return nil, err
		}
	}
	maps.Copy(files, d.More)
	return files, nil
}

// Text returns the document to be read in a terminal.
func (d Document) Text() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n%s\n", d.Name, d.Verdict)
	for _, s := range d.Sections {
		fmt.Fprintf(&b, "\n%s\n", s.Question)
		if s.Rows != nil {
			tab := tabwriter.NewWriter(&b, 0, 0, 3, ' ', 0)
			for _, row := range append([][]string{s.Head}, s.Rows...) {
				fmt.Fprintf(tab, "  %s\n", strings.Join(row, "\t"))
			}
			tab.Flush()
		}
		for _, l := range s.Lines {
			fmt.Fprintf(&b, "  %s\n", l)
		}
	}
	return endSpaces.ReplaceAll(b.Bytes(), nil)
}

var endSpaces = regexp.MustCompile(`(?m) +$`)
