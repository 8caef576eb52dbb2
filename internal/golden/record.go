package golden

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// RecordVariable names the environment variable that asks for a record: the folder
// in which each test binary keeps a file of JSON lines, one Record per check passed.
const RecordVariable = "GOLDEN_RECORD"

// A Record is one result that agreed with its row. A row that several ways are
// checked against leaves several.
type Record struct {
	Package     string  `json:"package"` // folder below the module, box/outline
	File        string  `json:"file"`    // name of the file of rows, without its folder
	ID          string  `json:"id"`
	Calculation string  `json:"calculation"`
	Got         float64 `json:"got"`
	Deviation   float64 `json:"deviation"` // absolute, in the row's unit
	Allowed     float64 `json:"allowed"`
}

// record appends to the file of this test binary; only checks that passed come
// here, so every number is finite.
func (r Row) record(got, deviation float64) error {
	dir := os.Getenv(RecordVariable)
	if dir == "" {
		return nil
	}
	// Tests run in the folder of their package.
	wd, err := os.Getwd()
	if err != nil {
		return err
	}
	root, err := Root(wd)
	if err != nil {
		return err
	}
	pkg, err := filepath.Rel(root, wd)
	if err != nil {
		return err
	}
	pkg = filepath.ToSlash(pkg)
	line, err := json.Marshal(Record{pkg, filepath.Base(r.file), r.ID, r.Calculation, got, deviation, r.allowed()})
	if err != nil {
		return err
	}
	name := strings.ReplaceAll(pkg, "/", "-") + ".jsonl"
	f, err := os.OpenFile(filepath.Join(dir, name), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	if _, err := f.Write(append(line, '\n')); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// Root returns the folder of the module that holds dir.
func Root(dir string) (string, error) {
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			return d, nil
		}
		if d == filepath.Dir(d) {
			return "", fmt.Errorf("no go.mod above %s", dir)
		}
	}
}
