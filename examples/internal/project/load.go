package project

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"example.com/halfspace/filter/parts"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A Source is a project file with the tables beside it.
type Source struct {
	Files fs.FS  // the folder of the project file
	Name  string // of the project file in it
	Shown string // how messages call the folder, with the slash; may be empty
}

// Load reads the project, then applies the settings "key=value", as
// "box.volume=24 L". Errors name the file, line and column, or the setting.
func (s Source) Load(settings ...string) (Project, error) {
	var p Project
	name := s.Shown + s.Name
	text, err := fs.ReadFile(s.Files, s.Name)
	if err != nil {
		return p, fmt.Errorf("%s: %w", name, cause(err))
	}
	// An editor's byte-order mark counts as nothing, in columns too.
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if err := decode(text, &p); err != nil {
		return p, fmt.Errorf("%s:%w", name, err)
	}
	for _, set := range settings {
		if err := apply(set, &p); err != nil {
			return p, fmt.Errorf("-set %s: %w", set, err)
		}
	}
	if err := p.Check(); err != nil {
		return p, blame(name, text, settings, err)
	}
	return p, nil
}

// blame says where a refused value was given: in the last setting that speaks of
// it, else in the file, else nowhere.
func blame(name string, text []byte, settings []string, err error) error {
	var refused *units.RangeError
	if !errors.As(err, &refused) {
		return fmt.Errorf("%s: %w", name, err)
	}
	for _, set := range slices.Backward(settings) {
		key, _, _ := strings.Cut(set, "=")
		if within(strings.TrimSpace(key), refused.Field) {
			return fmt.Errorf("-set %s: %w", set, err)
		}
	}
	if line, column, ok := find(text, refused.Field); ok {
		return fmt.Errorf("%s:%w", name, &position{line, column, err.Error()})
	}
	return fmt.Errorf("%s: %s is missing: %s", name, refused.Field, refused.Want)
}

// apply sets one value. What reads as a TOML value is one; all else is text.
func apply(set string, p *Project) error {
	key, value, ok := strings.Cut(set, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || key == "" || value == "" {
		return errors.New("want key=value, as box.volume=24L")
	}
	if strings.ContainsAny(set, "\n\r") {
		return errors.New("must be one line")
	}
	line := key + " = " + value
	var ignored map[string]any
	if toml.Unmarshal([]byte(line), &ignored) != nil {
		line = fmt.Sprintf("%s = %q", key, value)
	}
	err := decode([]byte(line), p)
	var located *position
	if errors.As(err, &located) {
		return errors.New(located.message) // a column of ours would only confuse
	}
	return err
}

// decode reads TOML strictly over what p holds.
func decode(text []byte, p *Project) error {
	if err := strict(text, reflect.New(twin).Interface()); err != nil {
		return err
	}
	return strict(text, p)
}

// The decoder would take a bare number for a quantity in its SI unit. So it first
// fills this twin of the type, in which quantities are text.
var twin = twinOf(reflect.TypeFor[Project]())

func strict(text []byte, to any) error {
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	err := d.Decode(to)
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		first := unknown.Errors[0]
		line, column := first.Position()
		key := first.Key()
		return &position{line, column, fmt.Sprintf("unknown key %s: want %s", strings.Join(key, "."), keys(typeAt(key[:len(key)-1])))}
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		message := strings.TrimPrefix(wrong.Error(), "toml: ")
		key := strings.Join(wrong.Key(), ".")
		if strings.Contains(message, "into struct field") {
			message = fmt.Sprintf("%s %s: want %s", key, valueAt(text, line, column), wanted(typeAt(wrong.Key())))
		} else if key != "" {
			message = key + ": " + message
		}
		return &position{line, column, message}
	}
	return err
}

// typeAt returns the type of what a key names, of an element if that is a list
// and the key goes on.
func typeAt(key []string) reflect.Type {
	t := reflect.TypeFor[Project]()
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
	case isText(t):
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

// isText says whether a type reads itself from text.
func isText(t reflect.Type) bool { return reflect.PointerTo(t).Implements(textUnmarshaler) }

func isQuantity(t reflect.Type) bool { return t.Kind() == reflect.Float64 && isText(t) }

// twinOf returns t with what reads itself from text as strings.
func twinOf(t reflect.Type) reflect.Type {
	switch {
	case isText(t):
		return reflect.TypeFor[string]()
	case t.Kind() == reflect.Slice:
		return reflect.SliceOf(twinOf(t.Elem()))
	case t.Kind() == reflect.Pointer:
		return reflect.PointerTo(twinOf(t.Elem()))
	case t.Kind() == reflect.Struct:
		var fields []reflect.StructField
		for _, f := range reflect.VisibleFields(t) {
			if len(f.Index) == 1 && !f.Anonymous || len(f.Index) > 1 {
				fields = append(fields, reflect.StructField{Name: f.Name, Type: twinOf(f.Type), Tag: f.Tag})
			}
		}
		return reflect.StructOf(fields)
	}
	return t
}

// cause strips what the operating system adds to an error about a file whose name
// is said already.
func cause(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("no such file")
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

func (s Source) open(name string, read func(io.Reader) error) error {
	if name == "" {
		return errors.New("no file is named")
	}
	shown := name
	if !filepath.IsAbs(name) {
		shown = s.Shown + name
	}
	f, err := s.Files.Open(name)
	if err != nil {
		return fmt.Errorf("%s: %w", shown, cause(err))
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s: %w", shown, err)
	}
	return nil
}

// Curve reads a curve: pressure in pascals, or an impedance in ohms if linear. The
// doubts are about what is allowed in its table and yet looks like a mistake.
func (s Source) Curve(c Curve, linear bool) (response.Curve, []response.Doubt, error) {
	form := response.Form{Frequency: c.Frequency, Level: c.Level, Phase: c.Phase, Linear: linear}
	if !linear {
		form.Reference = 20e-6
		form.Taken = response.Taken{Mounting: c.Taken, Panel: c.On, Box: c.Box, Distance: c.Distance, Voltage: c.Volts}
	}
	var out response.Curve
	var doubts []response.Doubt
	err := s.open(c.File, func(r io.Reader) error {
		table, err := response.Read(r)
		if err != nil {
			return err
		}
		if out, err = table.Curve(form); err == nil {
			doubts = table.Doubts(form)
		}
		return err
	})
	return out, doubts, err
}

// Parts reads the catalogue.
func (s Source) Parts(name string) (parts.Catalogue, error) {
	var out parts.Catalogue
	err := s.open(name, func(r io.Reader) (err error) {
		out, err = parts.ReadCatalogue(r)
		return err
	})
	return out, err
}
