package parts

import (
	"encoding"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
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
// Lines that begin with # are comments. Numbers have a decimal point, or in quotes a
// comma: "6,95". An error names the line and the column, the
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
	in.FieldsPerRecord = -1 // counted below, to say how many there are
	in.TrimLeadingSpace = true

	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return fmt.Errorf("parts: %s is empty, want a line that names the columns", what)
	}
	if err != nil {
		return fmt.Errorf("parts: %w", err)
	}
	if err := counted(in, header, len(names)); err != nil {
		return err
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
		if err := counted(in, fields, len(names)); err != nil {
			return err
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

// counted refuses a line with too few or too many fields, and says what may have split it.
func counted(in *csv.Reader, fields []string, want int) error {
	if len(fields) == want {
		return nil
	}
	line, _ := in.FieldPos(0)
	found := "1 field"
	if len(fields) != 1 {
		found = fmt.Sprintf("%d fields", len(fields))
	}
	said := fmt.Sprintf("parts: line %d: %s, want %d", line, found, want)
	switch {
	case len(fields) == 1 && strings.Count(fields[0], ";") >= want-1:
		return errors.New(said + " with commas between them, not semicolons")
	case len(fields) == 1 && strings.Count(fields[0], "\t") >= want-1:
		return errors.New(said + " with commas between them, not tabs")
	case len(fields) < want:
		return errors.New(said + "; what is not known is left empty between its commas")
	}
	for i := range fields[1:] {
		if beforeComma.MatchString(fields[i]) && afterComma.MatchString(fields[i+1]) {
			both := fields[i] + "," + fields[i+1]
			return fmt.Errorf("%s: if %s is one number, put it in quotes, \"%s\", or write a decimal point", said, both, both)
		}
	}
	return errors.New(said + "; a text with a comma needs quotes")
}

// Numbers with a comma.
var (
	thousands    = regexp.MustCompile(`^[1-9]\d{0,2},\d{3}$`)
	decimalComma = regexp.MustCompile(`^\d+,\d+$`)
)

// The two sides of a decimal comma that was taken for the end of a field.
var (
	beforeComma = regexp.MustCompile(`^[+-]?\d+$`)
	afterComma  = regexp.MustCompile(`^\d+(\s*[^\d\s.,].*)?$`)
)

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

// number reads a plain number that is zero or positive, with a decimal point or comma.
func (r *record) number(column int) float64 {
	text := r.fields[column]
	if thousands.MatchString(text) {
		r.refuse(column, "must be a number, zero or positive; a comma before three digits may separate thousands or decimals: write a decimal point")
	} else if decimalComma.MatchString(text) {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
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
