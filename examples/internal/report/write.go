package report

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

	"example.com/halfspace/examples/internal/design"
)

// Files returns everything the report consists of, by file name.
func Files(d *design.Design) (map[string][]byte, error) {
	charts := Charts(d)
	files := map[string][]byte{"report.txt": Text(d)}
	var err error
	if files["report.html"], err = page(d, charts); err != nil {
		return nil, err
	}
	if files["report.json"], err = JSON(d); err != nil {
		return nil, err
	}
	for _, c := range charts {
		if files[c.Name+".csv"], err = c.CSV(); err != nil {
			return nil, err
		}
	}
	return files, nil
}

// CSV returns the numbers of a chart; a value that is not shown is empty.
func (c Chart) CSV() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := []string{"frequency_Hz"}
	_, unit, _ := strings.Cut(c.Unit, ", ")
	for _, l := range c.Lines {
		head = append(head, l.Name+" ("+unit+")")
	}
	rows := [][]string{head}
	for i, f := range c.X {
		row := []string{number(f, 6)}
		for _, l := range c.Lines {
			row = append(row, number(l.Y[i], c.Decimals))
		}
		rows = append(rows, row)
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// written are the names of all files a report can consist of.
var written = []string{
	"report.html", "report.json", "report.txt",
	"response.csv", "places.csv", "beside.csv", "loudest.csv", "travel.csv", "airspeed.csv", "load.csv", "loadphase.csv", "delay.csv",
}

// Ready says whether a report may be written to a folder: to a new or an empty
// one always, to an earlier report only with force, to all else never.
func Ready(folder string, force bool) error {
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
		if !e.Type().IsRegular() || !slices.Contains(written, e.Name()) {
			return refuse("holds %s, which no report writes: name another folder", e.Name())
		}
	}
	for _, name := range written[:3] {
		if !slices.Contains(names, name) {
			return refuse("holds no earlier report (no %s): name another folder", name)
		}
	}
	if !force {
		return refuse("holds an earlier report; -force replaces it")
	}
	return nil
}

// Write puts files into a folder for which [Ready] holds. It fills a folder beside
// it first and then renames, so that the folder is never half-written.
func Write(folder string, files map[string][]byte, force bool) error {
	if err := Ready(folder, force); err != nil {
		return err
	}
	if err := replace(filepath.Clean(folder), files); err != nil {
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
			return fmt.Errorf("%v; the earlier report is in %s now", err, old)
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
