// Package tomlfile reads the files of the example programs: TOML in which quantities are
// text with a unit.
package tomlfile

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
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
	switch {
	case !utf8.ValidString(set):
		return errors.New("must be text in UTF-8")
	case strings.ContainsFunc(key, control):
		return errors.New("must be one line without control characters")
	case strings.ContainsFunc(set, func(r rune) bool { return r != '\t' && control(r) }):
		return fmt.Errorf("%s: must be one line without control characters", key)
	case !ok || key == "":
		return fmt.Errorf("want key=value, as %s", example)
	case value == "":
		if t := typeOf(reflect.TypeFor[T](), split(key)); t != nil && t.Kind() == reflect.String {
			return fmt.Errorf(`%s has no value: want key=value, as %s; an empty text is '%s=""'`, key, example, key)
		}
		return fmt.Errorf("%s has no value: want key=value, as %s; to leave a key out take its line out of the file", key, example)
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

// Shown writes a setting for a message, which is one line whatever was set.
func Shown(set string) string {
	if strings.ContainsFunc(set, control) || !utf8.ValidString(set) {
		return fmt.Sprintf("%q", set)
	}
	return set
}

// Decode reads TOML strictly over what to holds: an unknown key is an error, and so is a
// bare number for a quantity, which the decoder would take in its SI unit. So it first
// fills a twin of the type, in which quantities are text. Texts are one line without
// control characters. What is wrong comes back as an *[Error].
func Decode[T any](text []byte, to *T) error {
	root := reflect.TypeFor[T]()
	if err := plain(text); err != nil {
		return err
	}
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
		return &Error{line, column, unknownKey(text, root, first.Key())}
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		message := strings.TrimPrefix(wrong.Error(), "toml: ")
		key := strings.Join(wrong.Key(), ".")
		if strings.Contains(message, "into struct field") && typeOf(root, wrong.Key()) == nil {
			return &Error{line, column, unknownKey(text, root, wrong.Key())}
		}
		if strings.Contains(message, "into struct field") {
			value := valueAt(text, line, column)
			message = fmt.Sprintf("%s %s: want %s", key, value, wanted(typeAt(root, wrong.Key()), root, value))
		} else if strings.Contains(message, "array table in a struct") {
			message = fmt.Sprintf("[[%s]]: want one table, [%s], no list of tables", key, key)
		} else if key != "" {
			message = key + ": " + withoutPackage(message)
		} else if at, said := syntax(text, root, line); said != "" {
			column, message = at, said
		}
		if other := lookalike(text, root); other != "" {
			message += "; " + other
		}
		return &Error{line, column, message}
	}
	return err
}

// withoutPackage strips the name of the package that refuses a word: a builder knows the
// key it was written for.
func withoutPackage(message string) string {
	name, rest, ok := strings.Cut(message, ": ")
	if ok && slices.Contains([]string{"port", "ts", "response", "parts", "cabinet", "outline", "air"}, name) {
		return rest
	}
	return message
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
