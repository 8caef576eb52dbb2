package project

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"reflect"
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
	text, err := fs.ReadFile(s.Files, s.Name)
	if err != nil {
		return p, fmt.Errorf("%s%s: %w", s.Shown, s.Name, cause(err))
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if err := decode(text, &p); err != nil {
		return p, fmt.Errorf("%s%s:%w", s.Shown, s.Name, err)
	}
	for _, set := range settings {
		if err := apply(set, &p); err != nil {
			return p, fmt.Errorf("-set %s: %w", set, err)
		}
	}
	if err := p.Check(); err != nil {
		return p, fmt.Errorf("%s%s: %w", s.Shown, s.Name, err)
	}
	return p, nil
}

// apply sets one value. What reads as a TOML value is one; all else is text.
func apply(set string, p *Project) error {
	key, value, ok := strings.Cut(set, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || key == "" || value == "" {
		return errors.New("want key=value, as box.volume=24L")
	}
	if strings.ContainsAny(key+value, "\n\r") {
		return errors.New("must be one line")
	}
	plain := fmt.Sprintf("%s = %s\n", key, value)
	var any map[string]any
	if toml.Unmarshal([]byte(plain), &any) != nil {
		plain = fmt.Sprintf("%s = %q\n", key, value)
	}
	var located *position
	if err := decode([]byte(plain), p); errors.As(err, &located) {
		return errors.New(located.message)
	} else if err != nil {
		return err
	}
	return nil
}

// A position is where in a file something is wrong.
type position struct {
	line, column int
	message      string
}

func (p *position) Error() string { return fmt.Sprintf("%d:%d: %s", p.line, p.column, p.message) }

// decode reads TOML strictly over what p holds.
func decode(text []byte, p *Project) error {
	// The decoder would take a bare number for a quantity in its SI unit. So it
	// first fills a twin of the type in which quantities are text.
	twin := reflect.New(twinOf(reflect.TypeFor[Project]()))
	if err := strict(text, twin.Interface()); err != nil {
		return err
	}
	return strict(text, p)
}

func strict(text []byte, to any) error {
	d := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	err := d.Decode(to)
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		first := unknown.Errors[0]
		line, column := first.Position()
		return &position{line, column, fmt.Sprintf("unknown key %s", strings.Join(first.Key(), "."))}
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		message := strings.TrimPrefix(wrong.Error(), "toml: ")
		key := strings.Join(wrong.Key(), ".")
		if strings.Contains(message, "into struct field") {
			message = "a value of the wrong kind: " + wanted(reflect.TypeFor[Project](), wrong.Key())
		}
		if key != "" {
			message = key + ": " + message
		}
		return &position{line, column, message}
	}
	return err
}

// wanted says what a key takes.
func wanted(t reflect.Type, key []string) string {
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
	switch {
	case isQuantity(t):
		return "want text with a unit, as \"" + sample(t) + "\""
	case isText(t):
		return "want a word in quotes"
	case t.Kind() == reflect.Int:
		return "want a whole number"
	case t.Kind() == reflect.Float64:
		return "want a number"
	case t.Kind() == reflect.Bool:
		return "want true or false"
	case t.Kind() == reflect.String:
		return "want text in quotes"
	case t.Kind() == reflect.Slice:
		return "want a list"
	default:
		return "want a table"
	}
}

// sample writes one of a quantity.
func sample(t reflect.Type) string {
	v := reflect.New(t).Elem()
	v.SetFloat(1)
	return fmt.Sprint(v.Interface())
}

var textUnmarshaler = reflect.TypeFor[encoding.TextUnmarshaler]()

// isText says whether a type reads itself from text. A ratio is also a number.
func isText(t reflect.Type) bool {
	return reflect.PointerTo(t).Implements(textUnmarshaler) && t != reflect.TypeFor[units.Ratio]()
}

func isQuantity(t reflect.Type) bool { return t.Kind() == reflect.Float64 && isText(t) }

// twinOf returns t with what reads itself from text as strings.
func twinOf(t reflect.Type) reflect.Type {
	switch {
	case isText(t):
		return reflect.TypeFor[string]()
	case t == reflect.TypeFor[units.Ratio]():
		return reflect.TypeFor[any]()
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
	f, err := s.Files.Open(name)
	if err != nil {
		return fmt.Errorf("%s%s: %w", s.Shown, name, cause(err))
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s%s: %w", s.Shown, name, err)
	}
	return nil
}

// Curve reads a curve: pressure in pascals, or an impedance in ohms if linear.
func (s Source) Curve(c Curve, linear bool) (response.Curve, error) {
	var out response.Curve
	form := response.Form{Frequency: c.Frequency, Level: c.Level, Phase: c.Phase, Linear: linear}
	if !linear {
		form.Reference = 20e-6
	}
	err := s.open(c.File, func(r io.Reader) error {
		table, err := response.Read(r)
		if err != nil {
			return err
		}
		if out, err = table.Curve(form); err != nil {
			return err
		}
		if !out.HasPhase {
			return errors.New("no column of phases is named: ways without phase cannot be added")
		}
		return nil
	})
	return out, err
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
