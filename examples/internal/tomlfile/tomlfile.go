// Package tomlfile reads the files of the example programs: TOML in which quantities are
// text with a unit.
package tomlfile

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"example.com/halfspace/units"
)

// An Error says where in a file something is wrong. Columns count bytes.
type Error struct {
	Line, Column int
	Text         string
}

func (e *Error) Error() string { return fmt.Sprintf("%d:%d: %s", e.Line, e.Column, e.Text) }

// Set reads one setting "key=value" over what to holds. What reads as a TOML value is
// one; all else is text. The example shows how a setting looks.
func Set[T any](set, example string, to *T) error {
	key, value, ok := strings.Cut(set, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || key == "" || value == "" {
		return fmt.Errorf("want key=value, as %s", example)
	}
	if strings.ContainsAny(set, "\n\r") {
		return errors.New("must be one line")
	}
	line := key + " = " + value
	var ignored map[string]any
	if toml.Unmarshal([]byte(line), &ignored) != nil {
		line = fmt.Sprintf("%s = %q", key, value)
	}
	err := Decode([]byte(line), to)
	var located *Error
	if errors.As(err, &located) {
		return errors.New(located.Text) // a column of ours would only confuse
	}
	return err
}

// Decode reads TOML strictly over what to holds: an unknown key is an error, and so is a
// bare number for a quantity, which the decoder would take in its SI unit. So it first
// fills a twin of the type, in which quantities are text. What is wrong comes back as an
// *[Error].
func Decode[T any](text []byte, to *T) error {
	root := reflect.TypeFor[T]()
	if err := strict(text, root, reflect.New(twinOf(root)).Interface()); err != nil {
		return err
	}
	return strict(text, root, to)
}

func strict(text []byte, root reflect.Type, to any) error {
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	err := d.Decode(to)
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		first := unknown.Errors[0]
		line, column := first.Position()
		key := first.Key()
		return &Error{line, column, fmt.Sprintf("unknown key %s: want %s", strings.Join(key, "."), keys(typeAt(root, key[:len(key)-1])))}
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		message := strings.TrimPrefix(wrong.Error(), "toml: ")
		key := strings.Join(wrong.Key(), ".")
		if strings.Contains(message, "into struct field") {
			message = fmt.Sprintf("%s %s: want %s", key, valueAt(text, line, column), wanted(typeAt(root, wrong.Key())))
		} else if key != "" {
			message = key + ": " + message
		}
		return &Error{line, column, message}
	}
	return err
}

// typeAt returns the type of what a key below t names, of an element if that is a list
// and the key goes on.
func typeAt(t reflect.Type, key []string) reflect.Type {
	for _, k := range key {
		for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct {
			break
		}
		if f, ok := t.FieldByNameFunc(func(n string) bool { return strings.EqualFold(n, k) }); ok {
			t = f.Type
		}
	}
	return t
}

// keys lists what a table takes.
func keys(t reflect.Type) string {
	for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return "no keys below it"
	}
	var names []string
	for _, f := range reflect.VisibleFields(t) {
		if !f.Anonymous {
			names = append(names, strings.ToLower(f.Name))
		}
	}
	return "one of " + strings.Join(names, ", ")
}

// wanted says what a key of a type takes.
func wanted(t reflect.Type) string {
	switch {
	case isQuantity(t):
		return fmt.Sprintf("text with a unit, as %q", sample(t))
	case IsText(t):
		return "a word in quotes"
	case t.Kind() == reflect.Int:
		return "a whole number"
	case t.Kind() == reflect.Float64:
		return "a number"
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.String:
		return "text in quotes"
	case t.Kind() == reflect.Slice:
		return "a list in brackets"
	default:
		return "a table"
	}
}

// sample writes a handy amount of a quantity.
func sample(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[units.Ratio]():
		return "0.4 %"
	case reflect.TypeFor[units.Angle]():
		return "15°"
	}
	v := reflect.New(t).Elem()
	shortest := ""
	for _, x := range []float64{1, 1e-3, 1e-6} {
		v.SetFloat(x)
		if text := fmt.Sprint(v.Interface()); shortest == "" || len(text) < len(shortest) {
			shortest = text
		}
	}
	return shortest
}

var textUnmarshaler = reflect.TypeFor[encoding.TextUnmarshaler]()

// IsText says whether a type reads itself from text.
func IsText(t reflect.Type) bool { return reflect.PointerTo(t).Implements(textUnmarshaler) }

func isQuantity(t reflect.Type) bool { return t.Kind() == reflect.Float64 && IsText(t) }

// twinOf returns t with what reads itself from text as strings.
func twinOf(t reflect.Type) reflect.Type {
	switch {
	case IsText(t):
		return reflect.TypeFor[string]()
	case t.Kind() == reflect.Slice:
		return reflect.SliceOf(twinOf(t.Elem()))
	case t.Kind() == reflect.Pointer:
		return reflect.PointerTo(twinOf(t.Elem()))
	case t.Kind() == reflect.Struct:
		var fields []reflect.StructField
		for _, f := range reflect.VisibleFields(t) {
			if f.IsExported() && (len(f.Index) == 1 && !f.Anonymous || len(f.Index) > 1) {
				fields = append(fields, reflect.StructField{Name: f.Name, Type: twinOf(f.Type), Tag: f.Tag})
			}
		}
		return reflect.StructOf(fields)
	}
	return t
}

// valueAt returns the value that begins at a place, or as much as says which one
// it is.
func valueAt(text []byte, line, column int) string {
	lines := strings.Split(string(text), "\n")
	if line > len(lines) || column > len(lines[line-1]) {
		return ""
	}
	rest := lines[line-1][column-1:]
	switch rest[0] {
	case '"', '\'':
		if end := strings.IndexByte(rest[1:], rest[0]); end >= 0 {
			return rest[:end+2]
		}
	case '[':
		return "[...]"
	case '{':
		return "{...}"
	}
	value, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
	return strings.TrimRight(value, ",]}\t\r")
}
