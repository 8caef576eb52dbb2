package golden

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every slip on the page has its example, which runs, and every such example has
// its line on the page.
func TestErrataHaveExamples(t *testing.T) {
	page, err := os.ReadFile("ERRATA.md")
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("../../*/errata_test.go")
	if err != nil {
		t.Fatal(err)
	}
	examples := map[string]bool{} // whether it runs
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		pkg := filepath.Base(filepath.Dir(name))
		for _, d := range f.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && strings.HasPrefix(fn.Name.Name, "Example") {
				examples[pkg+" "+fn.Name.Name] = false
			}
		}
		for _, e := range doc.Examples(f) {
			examples[pkg+" Example"+e.Name] = e.Output != ""
		}
	}
	named := map[string]int{}
	for _, m := range regexp.MustCompile("\\| ([a-z/]+) `(Example[^`]+)` \\|\n").FindAllStringSubmatch(string(page), -1) {
		named[m[1]+" "+m[2]]++
	}
	if len(named) < 30 {
		t.Errorf("the page names only %d examples", len(named))
	}
	for name, lines := range named {
		if !examples[name] || lines != 1 {
			t.Errorf("%s: stands in %d lines of the page, example that runs: %v", name, lines, examples[name])
		}
	}
	for name := range examples {
		if named[name] == 0 {
			t.Errorf("%s is not on the page", name)
		}
	}
}
