package golden

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// A File is one file of rows.
type File struct {
	Package string // folder below the module, box/outline
	Name    string // without its folder
	Rows    []Row
}

// Files returns all files of rows of the module, sorted by package and name. Other
// CSV files in testdata, told by their header, are left out.
func Files(module fs.FS) ([]File, error) {
	var files []File
	err := fs.WalkDir(module, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		dir, base := path.Split(name)
		pkg, ok := strings.CutSuffix(dir, "/testdata/")
		if !ok || path.Ext(base) != ".csv" {
			return nil
		}
		text, err := fs.ReadFile(module, name)
		if err != nil {
			return err
		}
		if !hasRows(string(text)) {
			return nil
		}
		rows, err := Parse(name, string(text))
		if err != nil {
			return err
		}
		files = append(files, File{pkg, base, rows})
		return nil
	})
	slices.SortFunc(files, func(a, b File) int {
		return strings.Compare(a.Package+"\x00"+a.Name, b.Package+"\x00"+b.Name)
	})
	return files, err
}

func hasRows(text string) bool {
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "#") {
			return strings.TrimSpace(line) == strings.Join(header, ",")
		}
	}
	return false
}

// A Definition says what a calculation is, for people who read no Go.
type Definition struct {
	Package, Calculation string
	Computes             []string // public symbols, box.System.Gain
	Units                []string // that rows may have
	Text                 string   // one sentence: what is given and what is computed
}

// Definitions returns calculations.csv, in its order.
func Definitions(module fs.FS) ([]Definition, error) {
	var all []Definition
	err := table(module, "internal/golden/calculations.csv", []string{"package", "calculation", "computes", "unit", "definition"}, func(f []string) error {
		if slices.Contains(f, "") {
			return fmt.Errorf("%s: a field is empty", f[1])
		}
		all = append(all, Definition{f[0], f[1], list(f[2]), list(f[3]), f[4]})
		return nil
	})
	return all, err
}

// A Road tells how a public function is checked other than by rows.
type Road struct {
	Symbol string   // filter.Zobel, box.System.Gain
	Tests  []string // TestName of the same package, or filter.TestName of another
	Reason string   // why no row computes it; empty if one does
}

// Roads returns roads.csv, in its order.
func Roads(module fs.FS) ([]Road, error) {
	var all []Road
	err := table(module, "internal/golden/roads.csv", []string{"symbol", "second road", "reason"}, func(f []string) error {
		if f[0] == "" || f[1] == "" {
			return fmt.Errorf("%s: symbol or second road is empty", f[0])
		}
		all = append(all, Road{f[0], list(f[1]), f[2]})
		return nil
	})
	return all, err
}

func table(module fs.FS, name string, columns []string, add func(fields []string) error) error {
	f, err := module.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	in := csv.NewReader(f)
	in.FieldsPerRecord = len(columns)
	records, err := in.ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(records) == 0 || !slices.Equal(records[0], columns) {
		return fmt.Errorf("%s: header must be %s", name, strings.Join(columns, ","))
	}
	for _, r := range records[1:] {
		if err := add(r); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// list splits at semicolons.
func list(text string) []string {
	fields := strings.Split(text, ";")
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	return fields
}
