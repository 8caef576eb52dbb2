package project

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/nearest"
	"example.com/halfspace/examples/internal/tomlfile"
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

// MaxBytes is the size of the largest project file.
const MaxBytes = 1 << 20

// Load reads the project, then applies the settings "key=value", as
// "box.volume=24 L". Errors name the file, line and column, or the setting.
func (s Source) Load(settings ...string) (Project, error) {
	var p Project
	name := s.Shown + s.Name
	text, err := fs.ReadFile(s.Files, s.Name)
	if err != nil {
		return p, fmt.Errorf("%s: %w%s", name, cause(err), s.near(s.Name, err))
	}
	if len(text) > MaxBytes {
		return p, fmt.Errorf("%s: %d bytes: must be %d at most", name, len(text), MaxBytes)
	}
	// An editor's byte-order mark counts as nothing, in columns too.
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if err := decode(text, &p); err != nil {
		return p, fmt.Errorf("%s:%w", name, err)
	}
	for _, set := range settings {
		if err := apply(set, &p); err != nil {
			return p, fmt.Errorf("-set %s: %w", tomlfile.Shown(set), err)
		}
	}
	if err := p.Check(); err != nil {
		return p, blame(name, text, settings, err)
	}
	return p, nil
}

// blame says where a refused value was given: in the last setting that speaks of
// it, else in the file, else at the table that should have it, else nowhere.
func blame(name string, text []byte, settings []string, err error) error {
	var refused *units.RangeError
	if !errors.As(err, &refused) {
		return fmt.Errorf("%s: %w", name, err)
	}
	if set := settingOf(settings, refused.Field); set != "" {
		return fmt.Errorf("-set %s: %w", tomlfile.Shown(set), err)
	}
	if line, column, ok := tomlfile.Find(text, refused.Field); ok {
		return fmt.Errorf("%s:%w", name, &tomlfile.Error{Line: line, Column: column, Text: err.Error()})
	}
	missing := fmt.Sprintf("%s is missing: %s", refused.Field, refused.Want)
	if line, column, ok := tomlfile.FindTable(text, refused.Field); ok {
		return fmt.Errorf("%s:%w", name, &tomlfile.Error{Line: line, Column: column, Text: missing})
	}
	return fmt.Errorf("%s: %s", name, missing)
}

// apply sets one value.
func apply(set string, p *Project) error { return tomlfile.Set(set, "box.volume=24L", p) }

// decode reads TOML strictly over what p holds.
func decode(text []byte, p *Project) error { return tomlfile.Decode(text, p) }

// cause strips what the operating system adds to an error about a file whose name
// is said already.
func cause(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("no such file")
	}
	var of *fs.PathError
	if errors.As(err, &of) {
		return of.Err
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
		return fmt.Errorf("%s: %w%s%s", shown, cause(err), s.asked(name), s.near(name, err))
	}
	defer f.Close()
	if err := read(f); err != nil {
		return fmt.Errorf("%s: %w", shown, err)
	}
	return nil
}

// asked says where the project file names a file.
func (s Source) asked(file string) string {
	text, err := fs.ReadFile(s.Files, s.Name)
	key, line, column, ok := tomlfile.FindText(bytes.TrimPrefix(text, []byte("\ufeff")), file)
	if err != nil || !ok {
		return ""
	}
	return fmt.Sprintf("; named at %s%s:%d:%d, %s", s.Shown, s.Name, line, column, key)
}

// near tells the files in the folder of a missing one whose names are like its name.
func (s Source) near(file string, err error) string {
	if !errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	folder, name := path.Split(filepath.ToSlash(file))
	entries, err := fs.ReadDir(s.Files, path.Clean(folder))
	if err != nil {
		return ""
	}
	stem := func(n string) string { return strings.TrimSuffix(n, path.Ext(n)) }
	var stems, names []string
	for _, e := range entries {
		if !e.IsDir() {
			stems = append(stems, stem(e.Name()))
			names = append(names, e.Name())
		}
	}
	var like []string
	for _, n := range nearest.Names(stem(name), stems) {
		i := slices.Index(stems, n)
		like = append(like, folder+names[i])
		stems[i] = "" // the next of that name is another file
	}
	if like == nil {
		return ""
	}
	return "; there is " + tomlfile.Shown(strings.Join(like, ", "))
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
		if out, err = table.Curve(form); err != nil {
			return err
		}
		if first, last := out.Hz[0], out.Hz[len(out.Hz)-1]; first < 5 && last <= 50 {
			return fmt.Errorf("column %q goes from %v to %v Hz: is it in kHz? want the frequencies in Hz", c.Frequency, first, last)
		}
		doubts = table.Doubts(form)
		return nil
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
