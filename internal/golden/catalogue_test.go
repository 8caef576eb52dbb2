package golden

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
)

// source is what the module's Go files declare.
type source struct {
	public map[string]string // exported symbols of public packages, box.System.Gain, to their package
	funcs  []string          // those of them that are functions or methods, in order
	tests  map[string]*ast.FuncDecl
	method map[string]bool
}

// scan parses the public packages. The last elements of their paths name them, so
// these must differ.
func scan(t *testing.T, module fs.FS) source {
	t.Helper()
	s := source{public: map[string]string{}, tests: map[string]*ast.FuncDecl{}, method: map[string]bool{}}
	folders := map[string]string{}
	err := fs.WalkDir(module, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if base := path.Base(name); name != "." && (strings.HasPrefix(base, ".") || base == "internal" || base == "examples" || base == "testdata") {
				return fs.SkipDir
			}
			return nil
		}
		if path.Ext(name) != ".go" {
			return nil
		}
		text, err := fs.ReadFile(module, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		dir := path.Dir(name)
		pkg := path.Base(dir)
		if other, ok := folders[pkg]; ok && other != dir {
			t.Fatalf("two packages %s: %s and %s", pkg, dir, other)
		}
		folders[pkg] = dir
		s.add(pkg, dir, file, strings.HasSuffix(name, "_test.go"))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *source) add(pkg, dir string, file *ast.File, test bool) {
	for _, decl := range file.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			if test {
				if d.Recv == nil {
					s.tests[pkg+"."+d.Name.Name] = d
				}
				continue
			}
			symbol := pkg + "."
			if d.Recv != nil {
				r := d.Recv.List[0].Type
				if star, ok := r.(*ast.StarExpr); ok {
					r = star.X
				}
				receiver, ok := r.(*ast.Ident)
				if !ok || !receiver.IsExported() {
					continue
				}
				symbol += receiver.Name + "."
			}
			if symbol += d.Name.Name; d.Name.IsExported() {
				s.public[symbol] = dir
				s.funcs = append(s.funcs, symbol)
				s.method[symbol] = d.Recv != nil
			}
		case *ast.GenDecl:
			if test {
				continue
			}
			for _, spec := range d.Specs {
				switch sp := spec.(type) {
				case *ast.TypeSpec:
					s.public[pkg+"."+sp.Name.Name] = dir
				case *ast.ValueSpec:
					for _, n := range sp.Names {
						s.public[pkg+"."+n.Name] = dir
					}
				}
			}
		}
	}
}

// computesNothing tells methods that only check, print or read a value back, and
// functions that only put their arguments together or hand out what is stored.
func (s source) computesNothing(symbol string) bool {
	switch symbol {
	case "ladder.R", "ladder.L", "ladder.C", "ladder.Series", "ladder.Shunt",
		"ladder.Part.WithResistance", "ladder.Part.WithLoss",
		"crossover.Field.Ways", "crossover.Field.Points", "crossover.Field.Load", "crossover.Field.Pressure":
		return true
	}
	if !s.method[symbol] {
		return false
	}
	switch symbol[strings.LastIndexByte(symbol, '.')+1:] {
	case "String", "MarshalText", "UnmarshalText", "Error", "Check", "In", "Unwrap":
		return true
	}
	return false
}

func module(t *testing.T) fs.FS {
	t.Helper()
	wd, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	root, err := Root(wd)
	if err != nil {
		t.Fatal(err)
	}
	return os.DirFS(root)
}

// Every calculation of a row is defined, every definition used, in the units it
// names, and what it computes exists.
func TestDefinitions(t *testing.T) {
	m := module(t)
	files, err := Files(m)
	if err != nil {
		t.Fatal(err)
	}
	definitions, err := Definitions(m)
	if err != nil {
		t.Fatal(err)
	}
	units := map[[2]string]map[string]bool{}
	for _, f := range files {
		for _, r := range f.Rows {
			key := [2]string{f.Package, r.Calculation}
			if units[key] == nil {
				units[key] = map[string]bool{}
			}
			units[key][r.Unit] = true
		}
	}
	if len(units) < 150 {
		t.Fatalf("only %d calculations in the module's rows", len(units))
	}
	public := scan(t, m).public
	seen := map[[2]string]bool{}
	for _, d := range definitions {
		key := [2]string{d.Package, d.Calculation}
		if seen[key] {
			t.Errorf("%s: %s: defined twice", d.Package, d.Calculation)
		}
		seen[key] = true
		for _, u := range d.Units {
			if !units[key][u] {
				t.Errorf("%s: %s: no row in %s", d.Package, d.Calculation, u)
			}
			delete(units[key], u)
		}
		for u := range units[key] {
			t.Errorf("%s: %s: a row is in %s, which the definition does not name", d.Package, d.Calculation, u)
		}
		delete(units, key)
		for _, c := range d.Computes {
			if public[c] == "" {
				t.Errorf("%s: %s: computes %s, which does not exist", d.Package, d.Calculation, c)
			}
		}
		if !strings.HasSuffix(d.Text, ".") {
			t.Errorf("%s: %s: the definition is no sentence", d.Package, d.Calculation)
		}
	}
	for key := range units {
		t.Errorf("%s: %s: not defined in calculations.csv", key[0], key[1])
	}
}

// Every public function that computes something is checked by a second road, and by
// rows or there is a reason why not.
func TestRoads(t *testing.T) {
	m := module(t)
	s := scan(t, m)
	definitions, err := Definitions(m)
	if err != nil {
		t.Fatal(err)
	}
	roads, err := Roads(m)
	if err != nil {
		t.Fatal(err)
	}
	computed := map[string]bool{}
	for _, d := range definitions {
		for _, c := range d.Computes {
			computed[c] = true
		}
	}
	listed := map[string]bool{}
	for _, r := range roads {
		if listed[r.Symbol] {
			t.Errorf("%s: listed twice", r.Symbol)
		}
		listed[r.Symbol] = true
		if !slices.Contains(s.funcs, r.Symbol) || s.computesNothing(r.Symbol) {
			t.Errorf("%s: no public function that computes", r.Symbol)
			continue
		}
		if computed[r.Symbol] == (r.Reason != "") {
			t.Errorf("%s: computed by rows %v, reason for having none %q", r.Symbol, computed[r.Symbol], r.Reason)
		}
		pkg, _, _ := strings.Cut(r.Symbol, ".")
		for _, name := range r.Tests {
			if !strings.Contains(name, ".") {
				name = pkg + "." + name
			}
			switch f := s.tests[name]; {
			case f == nil || !strings.Contains(name, ".Test"):
				t.Errorf("%s: no such test: %s", r.Symbol, name)
			case checksRows(f):
				t.Errorf("%s: %s checks rows, which is the first road", r.Symbol, name)
			}
		}
	}
	for _, f := range s.funcs {
		if !listed[f] && !s.computesNothing(f) {
			t.Errorf("%s: not in roads.csv", f)
		}
	}
	if len(roads) < 100 {
		t.Errorf("only %d roads", len(roads))
	}
}

func checksRows(f *ast.FuncDecl) bool {
	found := false
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			x, ok := s.X.(*ast.Ident)
			found = found || ok && x.Name == "golden" && s.Sel.Name == "Run"
		}
		return true
	})
	return found
}
