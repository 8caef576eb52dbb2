package response

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MaxBytes is the size of the largest text that [Read] accepts.
const MaxBytes = 10 << 20

// A ReadError says where a table could not be read, and why.
type ReadError struct {
	Line   int    // counted from 1; 0 if no single line is to blame
	Column int    // of the table, counted from 1; 0 if the line as a whole is to blame
	Found  string // what stands there
	Want   string // what should
}

func (e *ReadError) Error() string {
	var b strings.Builder
	b.WriteString("response: ")
	if e.Line > 0 {
		fmt.Fprintf(&b, "line %d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ", column %d", e.Column)
		}
		b.WriteString(": ")
	}
	fmt.Fprintf(&b, "found %s, want %s", e.Found, e.Want)
	return b.String()
}

// Read reads a table of numbers in any of the ways people write them.
//
//   - Columns are separated by semicolons, tabs, blanks or commas, the same in
//     all rows; blanks may also stand around the other three. One separator more
//     at the end of a row is passed over.
//   - The decimal mark is a point or, unless commas separate the columns, a
//     comma; the same in all rows. Where nothing else separates columns, a comma
//     does. Digits are not grouped: 1,000.5 is not a number.
//   - One line before the numbers may name the columns; it must have as many
//     fields as the rows, and its first must not be a number. Fields may be
//     quoted.
//   - Lines that begin with #, *, ;, !, % or // are comments, but for numbers after a
//     semicolon where semicolons separate: a row whose first cell is empty. So is a
//     quoted line before the numbers that does not fit the columns. Blank lines do not
//     count.
//   - Lines end in \n, \r\n or \r; a byte-order mark is passed over.
//
// Anything else is a *[ReadError]: rows of different length, text or nothing
// among the numbers, numbers that are not finite, two columns of one name, a text
// without numbers, in another encoding than UTF-8 or ASCII, or larger than
// [MaxBytes]. An error of r comes back wrapped.
func Read(r io.Reader) (*Table, error) {
	text, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("response: %w", err)
	case len(text) > MaxBytes:
		return nil, &ReadError{Found: "a text of more than 10 MiB", Want: "a table no larger than that"}
	}
	return parse(string(text))
}

func parse(text string) (*Table, error) {
	text = strings.TrimPrefix(text, "\ufeff")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")

	var (
		p      parser
		before []line // text before the first row of numbers
		n      int
	)
	for s := range strings.SplitSeq(text, "\n") {
		n++
		l := line{n, strings.TrimSpace(s)}
		switch {
		case strings.IndexByte(l.text, 0) >= 0 || !utf8.ValidString(l.text):
			return nil, &ReadError{Line: n, Found: "bytes that are not UTF-8 text", Want: "the table saved as text, in UTF-8 or ASCII"}
		case l.text == "" || p.comment(l.text):
		case p.table.Columns != nil:
			if err := p.row(l); err != nil {
				return nil, err
			}
		case p.begin(l.text):
			if err := p.header(before); err != nil {
				return nil, err
			}
			if err := p.row(l); err != nil {
				return nil, err
			}
		default:
			before = append(before, l)
		}
	}
	if p.table.Columns == nil {
		// Without a row to go by, a line that begins with a number is the likely culprit.
		for _, l := range before {
			for _, p.separator = range separators {
				if fields, err := split(l.text, p.separator); err == nil && looksNumeric(fields[0]) {
					return nil, p.firstBad(l, fields)
				}
			}
		}
		return nil, &ReadError{Found: "no row of numbers", Want: "at least one"}
	}
	return &p.table, nil
}

type line struct {
	number int
	text   string // without blanks around it
}

// separators in the order in which they are tried: a comma may be a decimal
// mark, so it comes last. The blank stands for any run of blanks and tabs.
var separators = [...]string{";", "\t", " ", ","}

type parser struct {
	table     Table
	separator string
	mark      byte // decimal mark seen so far, 0 for none yet
}

// begin looks whether the text is a row of numbers, and if so lays the columns
// out after it.
func (p *parser) begin(text string) bool {
	for _, s := range separators {
		fields, err := split(text, s)
		if err != nil || len(fields) == 1 && s != "," {
			continue
		}
		q := parser{separator: s}
		ok := !slices.ContainsFunc(fields, func(f string) bool { _, want := q.number(f); return want != "" })
		if ok {
			p.separator = s
			p.table.Columns = make([][]float64, len(fields))
			return true
		}
	}
	return false
}

// comment says whether a line is a remark.
func (p *parser) comment(text string) bool {
	if text[0] == ';' && (p.separator == ";" || p.table.Columns == nil) {
		// ";80;12" is a row of a table of semicolons whose first cell is empty.
		fields, err := split(text, ";")
		return err != nil || len(fields) < 2 || slices.ContainsFunc(fields[1:], func(f string) bool { return !looksNumeric(f) })
	}
	return strings.IndexByte("#*;!%", text[0]) >= 0 || strings.HasPrefix(text, "//")
}

// header takes the names of the columns from the lines before the first row.
func (p *parser) header(before []line) error {
	columns := len(p.table.Columns)
	for _, l := range before {
		fields, err := split(l.text, p.separator)
		switch {
		case l.text[0] == '"' && (err != nil || len(fields) != columns):
			continue // a remark
		case err != nil:
			return &ReadError{Line: l.number, Found: quote(l.text), Want: "quotes in pairs"}
		case looksNumeric(fields[0]):
			return p.firstBad(l, fields)
		case p.table.Names != nil:
			return &ReadError{Line: l.number, Found: "a second line of text, " + quote(l.text),
				Want: "one line of names at most; begin remarks with #"}
		case len(fields) != columns:
			return &ReadError{Line: l.number, Found: plural(len(fields), "name") + " in " + quote(l.text),
				Want: fmt.Sprintf("one for each of the %s; begin remarks with #", plural(columns, "column"))}
		}
		first := make(map[string]int, columns)
		for i, f := range fields {
			if f == "" {
				return &ReadError{Line: l.number, Column: i + 1, Found: "no name", Want: "one for every column"}
			}
			if j, twice := first[f]; twice {
				return &ReadError{Line: l.number, Column: i + 1, Found: quote(f),
					Want: fmt.Sprintf("a name other than that of column %d", j+1)}
			}
			first[f] = i
		}
		p.table.Names = fields
	}
	if p.table.Names == nil {
		for i := range columns {
			p.table.Names = append(p.table.Names, strconv.Itoa(i+1))
		}
	}
	return nil
}

// row appends a line of numbers.
func (p *parser) row(l line) error {
	fields, err := split(l.text, p.separator)
	if err != nil {
		return &ReadError{Line: l.number, Found: quote(l.text), Want: "quotes in pairs"}
	}
	for i, f := range fields {
		v, want := p.number(f)
		if want != "" {
			return &ReadError{Line: l.number, Column: i + 1, Found: quote(f), Want: want}
		}
		if i < len(p.table.Columns) {
			p.table.Columns[i] = append(p.table.Columns[i], v)
		}
	}
	if len(fields) != len(p.table.Columns) {
		return &ReadError{Line: l.number, Found: plural(len(fields), "number"),
			Want: fmt.Sprintf("%d as in the rows before", len(p.table.Columns))}
	}
	p.table.Lines = append(p.table.Lines, l.number)
	return nil
}

// firstBad is the error for a line that begins like a row of numbers and is none.
func (p *parser) firstBad(l line, fields []string) error {
	for i, f := range fields {
		if _, want := p.number(f); want != "" {
			return &ReadError{Line: l.number, Column: i + 1, Found: quote(f), Want: want}
		}
	}
	return &ReadError{Line: l.number, Found: quote(l.text), Want: "columns separated as in the rows below"}
}

// number reads one number, or says what it wants.
func (p *parser) number(field string) (v float64, want string) {
	for i := range len(field) {
		switch c := field[i]; {
		case c >= '0' && c <= '9', c == '+', c == '-', c == 'e', c == 'E':
		case c == '.', c == ',' && p.separator != ",":
			// A comma at the edge of a field separates, it does not mark.
			if c == ',' && (i == 0 || i == len(field)-1) {
				return 0, "a finite number"
			}
			if p.mark != 0 && p.mark != c {
				return 0, fmt.Sprintf("the decimal mark %q as in the numbers before", p.mark)
			}
			p.mark = c
		default:
			return 0, "a finite number"
		}
	}
	v, err := strconv.ParseFloat(strings.Replace(field, ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, "a finite number"
	}
	return v, ""
}

// looksNumeric says whether a field is meant as a number.
func looksNumeric(field string) bool {
	_, err := strconv.ParseFloat(strings.Replace(field, ",", ".", 1), 64)
	return err == nil || errors.Is(err, strconv.ErrRange)
}

// split cuts a line into fields without blanks around them.
func split(text, separator string) ([]string, error) {
	var fields []string
	switch {
	case strings.Contains(text, `"`):
		in := text
		if separator == " " {
			in = strings.Join(strings.Fields(text), " ")
		}
		c := csv.NewReader(strings.NewReader(in))
		c.Comma = rune(separator[0])
		c.TrimLeadingSpace = separator != "\t" && separator != " "
		var err error
		if fields, err = c.Read(); err != nil {
			return nil, err
		}
	case separator == " ":
		fields = strings.Fields(text)
	default:
		fields = strings.Split(text, separator)
	}
	for i, f := range fields {
		fields[i] = strings.TrimSpace(f)
	}
	if n := len(fields); n > 1 && fields[n-1] == "" {
		fields = fields[:n-1]
	}
	return fields, nil
}

// quote quotes for a message, no more than a line of it takes.
func quote(s string) string {
	if s == "" {
		return "nothing"
	}
	const most = 40
	short := 0
	for i := range s {
		if short++; short > most {
			return strconv.Quote(s[:i]) + "…"
		}
	}
	return strconv.Quote(s)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
