package parts

import (
	"encoding"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// The columns of a price list; the name of the price goes on with the currency.
const (
	colID = iota
	colKind
	colValue
	colTolerance
	colResistance
	colLoss
	colRating
	colPrice
	colNote
	columns
)

var names = [columns]string{"id", "kind", "value", "tolerance_percent", "resistance_ohm", "loss_factor", "rating", "price_", "note"}

// ReadCatalogue reads a price list as comma-separated values. The first line names
// the columns, and they stand in this order:
//
//	id                 names the item, once in the list
//	kind               air-core coil, iron-cored coil, film capacitor,
//	                   bipolar electrolytic capacitor or resistor
//	value              with its unit, as "1.2 mH", "6.8 uF", "3.3 ohm"
//	tolerance_percent  either way
//	resistance_ohm     in series; for a capacitor it may be empty; for a resistor
//	                   it is empty or repeats the value
//	loss_factor        tan δ of a capacitor, by custom at 1 kHz; empty is 0
//	rating             with its unit: the current of a coil, the voltage of a
//	                   capacitor, the power of a resistor; may be empty
//	price_EUR          or price_ with another currency; 0 for what one has
//	note               free text
//
// Lines that begin with # are comments. An error names the line and the column, the
// value, and what is wanted there.
func ReadCatalogue(r io.Reader) (Catalogue, error) {
	var c Catalogue
	err := readLines(r, "price list", names[:], func(rec *record) { c = append(c, rec.item()) })
	if err != nil {
		return nil, err
	}
	return c, nil
}

// readLines reads a table of what, whose first line names the columns; a name that
// ends with an underscore goes on with the currency. The first column names the
// line, once in the table. It stops at the first error.
func readLines(r io.Reader, what string, names []string, each func(*record)) error {
	in := csv.NewReader(r)
	in.Comment = '#'
	in.FieldsPerRecord = len(names)
	in.TrimLeadingSpace = true

	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("parts: %s is empty, want a line that names the columns", what)
	}
	if err != nil {
		return fmt.Errorf("parts: %w", err)
	}
	for i, want := range names {
		ok := header[i] == want
		if strings.HasSuffix(want, "_") {
			ok = strings.HasPrefix(header[i], want)
			want += " and the currency"
		}
		if !ok {
			line, _ := in.FieldPos(i)
			return fmt.Errorf("parts: line %d: column %d is named %q, want %s", line, i+1, header[i], want)
		}
	}

	lines := map[string]int{}
	for {
		fields, err := in.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("parts: %w", err)
		}
		line, _ := in.FieldPos(0)
		rec := record{line: line, header: header, fields: fields}
		id := fields[colID]
		if id == "" {
			rec.refuse(colID, "must not be empty")
		}
		each(&rec)
		if first, used := lines[id]; used {
			rec.refuse(colID, fmt.Sprintf("must name one item only, but names that of line %d too", first))
		}
		if rec.err != nil {
			return rec.err
		}
		lines[id] = line
	}
}

// record is one line of a price list. It keeps the first error.
type record struct {
	line           int
	header, fields []string
	err            error
}

func (r *record) item() Item {
	item := Item{
		ID:        r.fields[colID],
		Tolerance: units.Ratio(r.number(colTolerance) / 100),
		Price:     r.number(colPrice),
		Note:      r.fields[colNote],
	}
	if !(item.Tolerance < 1) {
		r.refuse(colTolerance, "must be below 100")
	}
	item.Kind = r.kind()
	item.Part.Kind = kinds[item.Kind].part
	switch item.Part.Kind {
	case ladder.Inductor:
		item.Part.Value = float64(quantity[units.Inductance](r, colValue))
		item.Part.Resistance = units.Resistance(r.number(colResistance))
		item.Rating.Current = rating[units.Current](r)
	case ladder.Capacitor:
		item.Part.Value = float64(quantity[units.Capacitance](r, colValue))
		if r.given(colResistance) {
			item.Part.Resistance = units.Resistance(r.number(colResistance))
		}
		if r.given(colLoss) {
			item.Part.Loss = r.number(colLoss)
		}
		item.Rating.Voltage = rating[units.Voltage](r)
	case ladder.Resistor:
		item.Part.Value = float64(quantity[units.Resistance](r, colValue))
		if r.given(colResistance) && r.number(colResistance) != item.Part.Value {
			r.refuse(colResistance, "must be empty or the value of the resistor")
		}
		item.Rating.Power = rating[units.Power](r)
	}
	if item.Part.Kind != ladder.Capacitor && r.given(colLoss) {
		r.refuse(colLoss, "must be empty but for a capacitor")
	}
	item.Part.Tolerance = item.Tolerance
	return item
}

func (r *record) given(column int) bool { return r.fields[column] != "" }

func (r *record) kind() Kind {
	known := make([]string, len(kinds))
	for k, info := range kinds {
		if r.fields[colKind] == info.name {
			return Kind(k)
		}
		known[k] = info.name
	}
	r.refuse(colKind, "must be one of "+strings.Join(known, ", "))
	return 0
}

// number reads a plain number that is zero or positive.
func (r *record) number(column int) float64 {
	v, err := strconv.ParseFloat(r.fields[column], 64)
	if err != nil || !(v >= 0) || math.IsInf(v, 0) {
		r.refuse(column, "must be a number, zero or positive")
	}
	return v
}

func rating[Q ~float64, P interface {
	*Q
	encoding.TextUnmarshaler
}](r *record) Q {
	if !r.given(colRating) {
		return 0
	}
	return quantity[Q, P](r, colRating)
}

// quantity reads a positive quantity with its unit.
func quantity[Q ~float64, P interface {
	*Q
	encoding.TextUnmarshaler
}](r *record, column int) Q {
	v, err := units.Parse[Q, P](r.fields[column])
	if err == nil {
		err = units.Positive(r.where(column), v)
	} else {
		err = fmt.Errorf("%s: %w", r.where(column), err)
	}
	if err != nil && r.err == nil {
		r.err = err
	}
	return v
}

func (r *record) where(column int) string {
	return fmt.Sprintf("parts: line %d, %s", r.line, r.header[column])
}

func (r *record) refuse(column int, want string) {
	if r.err == nil {
		r.err = &units.RangeError{Field: r.where(column), Value: strconv.Quote(r.fields[column]), Want: want}
	}
}
