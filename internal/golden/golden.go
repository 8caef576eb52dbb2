// Package golden checks calculations against published rows.
//
// Rows live in testdata/*.csv beside the tests that use them. Lines that start
// with # are comments; the first other line is the header:
//
//	id,calculation,inputs,value,unit,tolerance,source,known,note
//
//	id           names the row within its file
//	calculation  what is computed; the test dispatches on it
//	inputs       key=number unit; key=number unit; a bare word is a choice (ends=free)
//	value        as printed, with all printed digits
//	unit         of value; 1 for none
//	tolerance    empty: half a unit of the last printed digit of value;
//	             else "1e-9 rel" or "0.05 abs", with the reason in note if wider than that
//	source       author, year, title, table or equation, or "common practice, no source"
//	known        read | from memory | derived | common practice
//	note         anything a reader should know
//
// A row without a source or with another word under known fails the test.
//
// What each calculation means stands in calculations.csv, and by which second road
// each public function is checked in roads.csv; the program in publish puts both
// together with the rows, for programs in other languages and for readers.
package golden

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A Row is one published value with everything needed to recompute it.
type Row struct {
	ID, Calculation, Unit, Source, Known, Note string

	Value Printed

	inputs    []Input
	tolerance float64
	relative  bool
	where     string
	file      string
}

// An Input is one given of a row: Value is a number with its unit (1 for none),
// or a choice in words, whose Unit is empty.
type Input struct {
	Name, Value, Unit string

	text string // as the row writes it
}

// Printed is a number as it stands in print, with all its digits.
type Printed string

// Float returns the number.
func (p Printed) Float() float64 {
	v, err := strconv.ParseFloat(string(p), 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// HalfUnit returns half a unit of the last printed digit.
func (p Printed) HalfUnit() float64 {
	mantissa, exponent, _ := strings.Cut(strings.ToLower(string(p)), "e")
	digits := 0
	if _, frac, ok := strings.Cut(mantissa, "."); ok {
		digits = len(frac)
	}
	e, _ := strconv.Atoi(exponent)
	return 0.5 * math.Pow10(e-digits)
}

var header = []string{"id", "calculation", "inputs", "value", "unit", "tolerance", "source", "known", "note"}

// Read returns the rows of a file and fails the test on a malformed one.
func Read(tb testing.TB, path string) []Row {
	tb.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		tb.Fatal(err)
	}
	rows, err := Parse(path, string(text))
	if err != nil {
		tb.Fatal(err)
	}
	return rows
}

// Run runs check as one subtest per row, and fails if the file has no row.
func Run(t *testing.T, path string, check func(t *testing.T, r Row)) {
	t.Helper()
	rows := Read(t, path)
	if len(rows) == 0 {
		t.Fatalf("%s: no rows", path)
	}
	for _, r := range rows {
		t.Run(r.ID+"/"+r.Calculation, func(t *testing.T) { check(t, r) })
	}
}

// Parse returns the rows of a file's text; path names the file in errors.
func Parse(path, text string) ([]Row, error) {
	in := csv.NewReader(strings.NewReader(text))
	in.Comment = '#'
	in.FieldsPerRecord = len(header)
	records, err := in.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if len(records) == 0 || strings.Join(records[0], ",") != strings.Join(header, ",") {
		return nil, fmt.Errorf("%s: header must be %s", path, strings.Join(header, ","))
	}
	seen := map[string]bool{}
	var rows []Row
	for _, f := range records[1:] {
		where := path + ": row " + f[0]
		r := Row{
			ID: f[0], Calculation: f[1], Value: Printed(f[3]), Unit: f[4],
			Source: f[6], Known: f[7], Note: f[8],
			where: where, file: path,
		}
		key := r.ID + "\x00" + r.Calculation
		switch {
		case r.ID == "" || seen[key]:
			return nil, fmt.Errorf("%s: id empty, or used twice for %q", where, r.Calculation)
		case strings.TrimSpace(r.Source) == "":
			return nil, fmt.Errorf("%s: no source", where)
		case r.Known != "read" && r.Known != "from memory" && r.Known != "derived" && r.Known != "common practice":
			return nil, fmt.Errorf("%s: known is %q, want read, from memory, derived or common practice", where, r.Known)
		case r.Unit == "":
			return nil, fmt.Errorf("%s: no unit, write 1 for none", where)
		case !(math.Abs(r.Value.Float()) <= math.MaxFloat64):
			return nil, fmt.Errorf("%s: value %q is not a finite number", where, r.Value)
		}
		seen[key] = true
		for pair := range strings.SplitSeq(f[2], ";") {
			if pair = strings.TrimSpace(pair); pair == "" {
				continue
			}
			k, v, ok := strings.Cut(pair, "=")
			if !ok {
				return nil, fmt.Errorf("%s: input %q is not key=value", where, pair)
			}
			in := newInput(strings.TrimSpace(k), strings.TrimSpace(v))
			if r.Has(in.Name) {
				return nil, fmt.Errorf("%s: input %q given twice", where, in.Name)
			}
			r.inputs = append(r.inputs, in)
		}
		if err := r.setTolerance(f[5]); err != nil {
			return nil, fmt.Errorf("%s: %w", where, err)
		}
		if math.IsInf(r.allowed(), 0) {
			return nil, fmt.Errorf("%s: tolerance is infinite", where)
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// newInput takes a number with a unit of one word apart; all else is a choice.
func newInput(name, text string) Input {
	in := Input{Name: name, Value: text, text: text}
	number, unit, _ := strings.Cut(text, " ")
	if v, err := strconv.ParseFloat(number, 64); err == nil && !math.IsInf(v, 0) && !math.IsNaN(v) && !strings.Contains(unit, " ") {
		in.Value, in.Unit = number, cmp.Or(unit, "1")
	}
	return in
}

func (r *Row) setTolerance(text string) error {
	if text == "" {
		r.tolerance = r.Value.HalfUnit()
		return nil
	}
	number, kind, _ := strings.Cut(text, " ")
	t, err := strconv.ParseFloat(number, 64)
	if err != nil || !(t >= 0) || kind != "rel" && kind != "abs" {
		return fmt.Errorf(`tolerance %q: want "1e-9 rel" or "0.05 abs"`, text)
	}
	r.tolerance, r.relative = t, kind == "rel"
	if r.allowed() > r.Value.HalfUnit()*1.02 && r.tolerance > 1e-6 && r.Note == "" {
		return fmt.Errorf("tolerance %q is wider than half of the last printed digit and no note says why", text)
	}
	return nil
}

// allowed returns the tolerance in the row's unit, and a hair more, since printed
// decimals are not binary.
func (r Row) allowed() float64 {
	const hair = 1 + 1e-9
	if r.relative {
		return r.tolerance * math.Abs(r.Value.Float()) * hair
	}
	return r.tolerance * hair
}

// Inputs returns what the row gives, in the row's order.
func (r Row) Inputs() []Input { return slices.Clone(r.inputs) }

// Tolerance returns how far a result may be from the value: a fraction of the value
// if relative, else in the row's unit.
func (r Row) Tolerance() (limit float64, relative bool) { return r.tolerance, r.relative }

// Has says whether the row gives an input.
func (r Row) Has(key string) bool { _, ok := r.input(key); return ok }

func (r Row) input(key string) (Input, bool) {
	i := slices.IndexFunc(r.inputs, func(in Input) bool { return in.Name == key })
	if i < 0 {
		return Input{}, false
	}
	return r.inputs[i], true
}

// Word returns an input as it stands, for a choice rather than a number.
func (r Row) Word(tb testing.TB, key string) string {
	tb.Helper()
	in, ok := r.input(key)
	if !ok {
		tb.Fatalf("%s: no input %q", r.where, key)
	}
	return in.text
}

// Num returns an input as a number; the row must give it in the named unit,
// 1 for none.
func (r Row) Num(tb testing.TB, key, unit string) float64 {
	tb.Helper()
	in, _ := r.input(key)
	v, err := strconv.ParseFloat(in.Value, 64)
	if err != nil || in.Unit != unit {
		tb.Fatalf("%s: input %s=%s, want a number of unit %s", r.where, key, r.Word(tb, key), unit)
	}
	return v
}

// Check compares a result, given in the row's unit, with the published value, and
// records a result that passes where the environment asks for it (see Record).
func (r Row) Check(tb testing.TB, got float64) {
	tb.Helper()
	d := math.Abs(got - r.Value.Float())
	// Written so that NaN fails.
	if !(d <= r.allowed()) {
		tb.Errorf("%s: %s: got %.12g %s, source prints %s (off by %.3g, allowed %.3g) [%s]",
			r.where, r.Calculation, got, r.Unit, r.Value, d, r.allowed(), r.Source)
		return
	}
	if err := r.record(got, d); err != nil {
		tb.Errorf("%s: %v", r.where, err)
	}
}

// Unknown fails the test: the row names a calculation that the test does not do.
func (r Row) Unknown(tb testing.TB) {
	tb.Helper()
	tb.Fatalf("%s: no such calculation: %q", r.where, r.Calculation)
}
