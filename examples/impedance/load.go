package main

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A job is the project file: curves of one driver, and what else is known.
type job struct {
	Name   string
	Driver string // of a project that the result is for: woofer or tweeter

	Coil     measure.CoilModel
	Creep    bool
	Re       units.Resistance
	Leads    units.Resistance
	Sd       units.Area
	Mms      units.Mass
	From, To units.Frequency
	Air      *air.Conditions // nil: the standard air of the literature
	Accuracy measure.Accuracy
	Curve    []table
	Printed  ts.Sheet

	runs   []measure.Run
	doubts []string
}

// A table is one curve.
type table struct {
	File, Frequency, Modulus, Phase string
	Radians                         bool
	Added                           units.Mass
	Box                             units.Volume
}

// mostCurves is how many the names of the tables are made for.
const mostCurves = 6

func load(src project.Source, settings []string) (job, error) {
	var j job
	name := src.Shown + src.Name
	text, err := fs.ReadFile(src.Files, src.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return j, fmt.Errorf("%s: no such file", name)
	} else if err != nil {
		return j, fmt.Errorf("%s: %w", name, err)
	}
	if err := decode(bytes.TrimPrefix(text, []byte("\ufeff")), &j); err != nil {
		return j, fmt.Errorf("%s:%w", name, err)
	}
	for _, set := range settings {
		if err := apply(set, &j); err != nil {
			return j, fmt.Errorf("-set %s: %w", set, err)
		}
	}
	switch {
	case j.Driver != "woofer" && j.Driver != "tweeter":
		return j, fmt.Errorf("%s: driver %q: must be woofer or tweeter", name, j.Driver)
	case len(j.Curve) == 0:
		return j, fmt.Errorf("%s: no [[curve]]: must have at least one", name)
	case len(j.Curve) > mostCurves:
		return j, fmt.Errorf("%s: %d curves: must be at most %d", name, len(j.Curve), mostCurves)
	}
	if err := j.Printed.Check(); err != nil {
		return j, fmt.Errorf("%s: printed: %w", name, err)
	}
	for i, t := range j.Curve {
		c, doubts, err := read(src, t)
		if err != nil {
			return j, err
		}
		for _, d := range doubts {
			j.doubts = append(j.doubts, fmt.Sprintf("curve %d: %s: %v.", i+1, t.File, d))
		}
		j.runs = append(j.runs, measure.Run{Curve: c, Added: t.Added, Box: t.Box})
	}
	return j, nil
}

func read(src project.Source, t table) (c response.Curve, doubts []response.Doubt, err error) {
	if !t.Radians {
		return src.Curve(project.Curve{File: t.File, Frequency: t.Frequency, Level: t.Modulus, Phase: t.Phase}, true)
	}
	f, err := src.Files.Open(t.File)
	if err != nil {
		return c, nil, fmt.Errorf("%s%s: no such file", src.Shown, t.File)
	}
	defer f.Close()
	form := response.Form{Frequency: t.Frequency, Level: t.Modulus, Phase: t.Phase, Linear: true, Radians: true}
	columns, err := response.Read(f)
	if err == nil {
		c, err = columns.Curve(form)
	}
	if err != nil {
		return c, nil, fmt.Errorf("%s%s: %w", src.Shown, t.File, err)
	}
	return c, columns.Doubts(form), nil
}

// apply sets one value; what is no TOML value is text.
func apply(set string, j *job) error {
	key, value, ok := strings.Cut(set, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || key == "" || value == "" || strings.ContainsAny(set, "\n\r") {
		return errors.New("want key=value, as leads=0.1ohm")
	}
	line := key + " = " + value
	var ignored map[string]any
	if toml.Unmarshal([]byte(line), &ignored) != nil {
		line = fmt.Sprintf("%s = %q", key, value)
	}
	err := decode([]byte(line), j)
	var at *place
	if errors.As(err, &at) {
		return errors.New(at.text)
	}
	return err
}

// A place is an error with where it is in the text.
type place struct {
	line, column int
	text         string
}

func (p *place) Error() string { return fmt.Sprintf("%d:%d: %s", p.line, p.column, p.text) }

// decode reads TOML strictly over what j holds. A first pass into text alone refuses
// bare numbers for quantities, which would be taken in their SI unit.
func decode(text []byte, j *job) error {
	for _, to := range []any{reflect.New(textual(reflect.TypeFor[job]())).Interface(), j} {
		err := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields().Decode(to)
		var unknown *toml.StrictMissingError
		var wrong *toml.DecodeError
		switch {
		case errors.As(err, &unknown):
			line, column := unknown.Errors[0].Position()
			return &place{line, column, fmt.Sprintf("unknown key %s", strings.Join(unknown.Errors[0].Key(), "."))}
		case errors.As(err, &wrong):
			line, column := wrong.Position()
			message := strings.TrimPrefix(wrong.Error(), "toml: ")
			if strings.Contains(message, "into struct field") {
				message = "wants another kind of value: quantities are text with a unit, as \"5.8 ohm\""
			}
			if key := strings.Join(wrong.Key(), "."); key != "" {
				message = key + ": " + message
			}
			return &place{line, column, message}
		case err != nil:
			return err
		}
	}
	return nil
}

// textual returns t with what reads itself from text as strings, and without what no
// file sets.
func textual(t reflect.Type) reflect.Type {
	switch {
	case reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return reflect.TypeFor[string]()
	case t.Kind() == reflect.Slice:
		return reflect.SliceOf(textual(t.Elem()))
	case t.Kind() == reflect.Pointer:
		return reflect.PointerTo(textual(t.Elem()))
	case t.Kind() == reflect.Struct:
		var fields []reflect.StructField
		for _, f := range reflect.VisibleFields(t) {
			if f.IsExported() {
				fields = append(fields, reflect.StructField{Name: f.Name, Type: textual(f.Type)})
			}
		}
		return reflect.StructOf(fields)
	}
	return t
}
