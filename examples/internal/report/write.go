package report

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.com/halfspace/examples/internal/design"
)

// Files returns everything the report consists of, by file name.
func Files(d *design.Design) (map[string][]byte, error) {
	files := map[string][]byte{}
	var err error
	if files["report.html"], err = HTML(d); err != nil {
		return nil, err
	}
	if files["report.json"], err = JSON(d); err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	var text bytes.Buffer
	if err := Text(&text, d); err != nil {
		return nil, err
	}
	files["report.txt"] = text.Bytes()
	for _, c := range Charts(d) {
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

// Ready says whether a report may be written to a folder: one that exists is
// replaced only with force, and only if it holds nothing but an earlier report.
func Ready(folder string, force bool) error {
	switch info, err := os.Stat(folder); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("-out %w", err)
	case !info.IsDir():
		return fmt.Errorf("-out %s: is a file, not a folder", folder)
	case !force:
		return fmt.Errorf("-out %s: exists already; -force replaces an earlier report", folder)
	}
	return onlyReport(folder)
}

// Write puts files into a folder for which [Ready] holds. It fills a folder beside
// it first and then renames, so that the folder is never half-written.
func Write(folder string, files map[string][]byte, force bool) error {
	folder = filepath.Clean(folder)
	if err := Ready(folder, force); err != nil {
		return err
	}
	parent := filepath.Dir(folder)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return fmt.Errorf("-out %w", err)
	}
	fresh, err := os.MkdirTemp(parent, ".new-")
	if err != nil {
		return fmt.Errorf("-out %w", err)
	}
	defer os.RemoveAll(fresh) // what is left of it if something fails
	if err := os.Chmod(fresh, 0o755); err != nil {
		return err
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(fresh, name), text, 0o644); err != nil {
			return fmt.Errorf("-out %w", err)
		}
	}
	old := fresh + "-old"
	replaced := false
	if err := os.Rename(folder, old); err == nil {
		replaced = true
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("-out %w", err)
	}
	if err := os.Rename(fresh, folder); err != nil {
		if replaced {
			err = errors.Join(err, os.Rename(old, folder))
		}
		return fmt.Errorf("-out %w", err)
	}
	if replaced {
		return os.RemoveAll(old)
	}
	return nil
}

// onlyReport refuses a folder with anything in it that a report does not write.
func onlyReport(folder string) error {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return fmt.Errorf("-out %w", err)
	}
	report := false
	var other string
	for _, e := range entries {
		switch name := e.Name(); {
		case name == "report.json" || name == "report.html" || name == "report.txt":
			report = true
		case strings.HasSuffix(name, ".csv") && !e.IsDir():
		default:
			other = name
		}
	}
	if other != "" || !report && len(entries) > 0 {
		return fmt.Errorf("-out %s: -force replaces only an earlier report; this folder holds other things (%s)", folder, strings.TrimSpace(other+" "))
	}
	return nil
}
