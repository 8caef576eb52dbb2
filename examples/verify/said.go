package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"text/tabwriter"

	"example.com/halfspace/examples/internal/claims"
)

// What became of all claims.
type said struct {
	title   string
	results []claims.Result
	vectors bool                // they are published values
	missing []claims.NotCovered // of published values
}

func (s said) fails() int {
	n := 0
	for _, r := range s.results {
		if !r.Holds {
			n++
		}
	}
	return n
}

// text is for a terminal: every claim, or of published values those that fail.
func (s said) text() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n", s.title)
	tab := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	head := "\ncase\tclaim\texpected\tclaimed\tdeviation\tallowed\tverdict\n"
	for _, r := range s.results {
		if s.vectors && r.Holds {
			continue
		}
		fmt.Fprint(tab, head)
		head = ""
		fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Case, claim(r), r.Expected, r.Claimed, r.Deviation, r.Allowed, verdict(r))
	}
	tab.Flush()
	fmt.Fprintf(&b, "\n%s\n", s.summary())
	for _, m := range s.missing {
		fmt.Fprintf(&b, "  %s: %s: %d, %s\n", m.Package, m.Calculation, m.Rows, m.Reason)
	}
	return b.Bytes()
}

// claim says what is claimed in a few words.
func claim(r claims.Result) string {
	words := r.Output
	if r.Of != "" {
		words += " of " + r.Of
	}
	if r.At != "" {
		words += " at " + r.At
	}
	if r.File != "" {
		words += fmt.Sprintf(" (%s, worst of %d rows)", r.File, r.Rows)
	}
	return words
}

func verdict(r claims.Result) string {
	if r.Holds {
		return "holds"
	}
	return "FAILS"
}

func (s said) summary() string {
	n, failing := len(s.results), s.fails()
	parts := []string{fmt.Sprintf("%s, %d hold, %d fail", count(n, "claim"), n-failing, failing)}
	if s.vectors {
		rows := 0
		for _, m := range s.missing {
			rows += m.Rows
		}
		parts = append(parts, fmt.Sprintf("%s of %d calculations are no claims", count(rows, "published value"), len(s.missing)))
	}
	return strings.Join(parts, "; ") + "."
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

type (
	saidJSON struct {
		Title   string       `json:"title"`
		Claims  int          `json:"claims"`
		Hold    int          `json:"hold"`
		Fail    int          `json:"fail"`
		Results []resultJSON `json:"results"`
		Missing []missing    `json:"notClaims,omitempty"`
	}
	resultJSON struct {
		Case       string     `json:"case"`
		Question   string     `json:"question,omitempty"`
		Capability string     `json:"capability"`
		Output     string     `json:"output"`
		Of         string     `json:"of,omitempty"`
		At         string     `json:"at,omitempty"`
		Expected   string     `json:"expected"`
		Claimed    string     `json:"claimed"`
		Deviation  string     `json:"deviation,omitempty"`
		Allowed    string     `json:"allowed,omitempty"`
		Verdict    string     `json:"verdict"`
		Table      *tableJSON `json:"table,omitempty"`
	}
	// tableJSON is of the whole table; the numbers beside it are of its worst row.
	tableJSON struct {
		File string `json:"file"`
		Rows int    `json:"rows"`
		Fail int    `json:"fail"`
	}
	missing struct {
		Package     string `json:"package"`
		Calculation string `json:"calculation"`
		Rows        int    `json:"rows"`
		Reason      string `json:"reason"`
	}
)

// json is for programs.
func (s said) json() ([]byte, error) {
	all := saidJSON{Title: s.title, Claims: len(s.results), Hold: len(s.results) - s.fails(), Fail: s.fails()}
	for _, r := range s.results {
		j := resultJSON{
			Case: r.Case, Question: r.Question, Capability: r.Capability, Output: r.Output, Of: r.Of, At: r.At,
			Expected: r.Expected, Claimed: r.Claimed, Deviation: r.Deviation, Allowed: r.Allowed, Verdict: strings.ToLower(verdict(r)),
		}
		if r.File != "" {
			j.Table = &tableJSON{r.File, r.Rows, r.Misses}
		}
		all.Results = append(all.Results, j)
	}
	for _, m := range s.missing {
		all.Missing = append(all.Missing, missing{m.Package, m.Calculation, m.Rows, m.Reason})
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(all)
	return b.Bytes(), err
}

// tellCapabilities lists all of them, or says all of one.
func tellCapabilities(out io.Writer, name []string) error {
	var b bytes.Buffer
	tab := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	if len(name) == 0 {
		for _, c := range claims.All() {
			fmt.Fprintf(tab, "%s\t%s\n", c.Name, c.Doc)
		}
		return tidy(out, tab, &b)
	}
	c, problem := claims.Find(name[0])
	if problem != "" {
		return errors.New(problem)
	}
	fmt.Fprintf(tab, "%s\n%s\n\nInputs\n", c.Name, c.Doc)
	for _, i := range c.Inputs {
		kind := i.Kind
		if i.Choices != nil {
			kind = strings.Join(i.Choices, ", ")
		}
		if i.Optional {
			kind += ", optional"
		}
		fmt.Fprintf(tab, "  %s\t%s\t%s\n", i.Name, kind, i.Doc)
	}
	tab.Flush()
	fmt.Fprintf(tab, "\nOutputs\n")
	for _, o := range c.Outputs {
		unit := o.Unit
		switch {
		case o.Word:
			unit = "a word"
		case o.Phase:
			unit = strings.TrimPrefix(unit+" or °", " ")
		}
		var needs []string
		if o.Of != "" {
			needs = append(needs, "of a "+o.Of)
		}
		if o.At != "" {
			needs = append(needs, "at a "+o.At)
		}
		fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\n", o.Name, unit, strings.Join(needs, ", "), o.Doc)
	}
	return tidy(out, tab, &b)
}

var endSpaces = regexp.MustCompile(`(?m) +$`)

// tidy writes what was set in columns, without blanks at the ends of lines.
func tidy(out io.Writer, tab *tabwriter.Writer, b *bytes.Buffer) error {
	tab.Flush()
	_, err := out.Write(endSpaces.ReplaceAll(b.Bytes(), nil))
	return err
}
