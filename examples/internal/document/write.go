package document

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.com/halfspace/examples/internal/interrupt"
)

// CSV returns the numbers of a chart; a value that is not shown is empty.
func (c Chart) CSV() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := []string{c.Column()}
	_, unit, _ := strings.Cut(c.Unit, ", ")
	for _, l := range c.Lines {
		head = append(head, plain(l.Name)+" ("+unit+")")
	}
	for _, b := range c.Bands {
		head = append(head, plain(b.Name)+", from ("+unit+")", plain(b.Name)+", to ("+unit+")")
	}
	rows := [][]string{head}
	for i, f := range c.X {
		row := []string{Number(f, 6)}
		for _, l := range c.Lines {
			row = append(row, Number(l.Y[i], c.Decimals))
		}
		for _, b := range c.Bands {
			row = append(row, Number(b.Lo[i], c.Decimals), Number(b.Hi[i], c.Decimals))
		}
		rows = append(rows, row)
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// plain keeps a spreadsheet from taking a name for a formula.
func plain(name string) string {
	if name != "" && strings.ContainsRune("=+-@\t\r", rune(name[0])) {
		return "'" + name
	}
	return name
}

// A Kind is the files that documents of one sort consist of: a page, a text and
// JSON of that name, and tables.
type Kind struct {
	Name   string   // "report"
	Tables []string // all there can be, "response.csv", and what else
}

// always are the files that every document of the kind has.
func (k Kind) always() []string { return []string{k.Name + ".html", k.Name + ".json", k.Name + ".txt"} }

// Ready says whether a document may be written to a folder: to a new or an empty
// one always, over an earlier document of the kind only with force, to all else
// never.
func (k Kind) Ready(folder string, force bool) error {
	refuse := func(format string, args ...any) error {
		return fmt.Errorf("-out %s: %s", folder, fmt.Sprintf(format, args...))
	}
	if filepath.Clean(folder) == "." {
		return refuse("name a folder of its own, it is replaced as a whole")
	}
	info, err := os.Lstat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return unsaved(folder, err)
	case !info.IsDir():
		return refuse("exists already and is not a folder")
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return unsaved(folder, err)
	}
	if len(entries) == 0 {
		return nil
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
		if !e.Type().IsRegular() || !slices.Contains(append(k.always(), k.Tables...), e.Name()) {
			return refuse("holds %s, which no %s writes: name another folder", e.Name(), k.Name)
		}
	}
	for _, name := range k.always() {
		if !slices.Contains(names, name) {
			return refuse("holds no earlier %s (no %s): name another folder", k.Name, name)
		}
	}
	if !force {
		return refuse("holds an earlier %s; -force replaces it", k.Name)
	}
	return nil
}

// Write puts files into a folder for which [Kind.Ready] holds. It fills a folder beside
// it first and then renames, so that the folder is never half-written; see
// [interrupt.Finish].
func (k Kind) Write(folder string, files map[string][]byte, force bool) error {
	if err := k.Ready(folder, force); err != nil {
		return err
	}
	err := interrupt.Finish(func() error { return replace(filepath.Clean(folder), files) })
	if err != nil {
		return unsaved(folder, err)
	}
	return nil
}

func replace(folder string, files map[string][]byte) error {
	parent := filepath.Dir(folder)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	fresh, err := os.MkdirTemp(parent, ".new-") // on the same disk, so that renaming works
	if err != nil {
		return err
	}
	defer os.RemoveAll(fresh) // what is left of it if something fails
	if err := os.Chmod(fresh, 0o755); err != nil {
		return err
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(fresh, name), text, 0o644); err != nil {
			return err
		}
	}
	old := fresh + "-old"
	err = os.Rename(folder, old)
	if errors.Is(err, fs.ErrNotExist) {
		return os.Rename(fresh, folder)
	} else if err != nil {
		return err
	}
	if err := os.Rename(fresh, folder); err != nil {
		if back := os.Rename(old, folder); back != nil {
			return fmt.Errorf("%v; the earlier one is in %s now", err, old)
		}
		return err
	}
	return os.RemoveAll(old)
}

// unsaved leaves out the names of working folders, which mean nothing to anyone.
func unsaved(folder string, err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return fmt.Errorf("-out %s: cannot be written: %w", folder, err)
}
