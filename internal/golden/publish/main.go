// Publish puts the rows of the module where others can use them:
//
//	go run ./internal/golden/publish
//
// runs the tests of all packages with rows, fails if one of them fails or a row was
// never checked, and writes vectors.json, for programs in any language, and
// ACCURACY.md, for readers. With -check it writes nothing and exits with 1 if one of
// the two is not what it would write.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"example.com/halfspace/internal/golden"
)

func main() {
	check := flag.Bool("check", false, "write nothing; exit with 1 if a file is stale")
	flag.Parse()
	if err := publish(*check); err != nil {
		fmt.Fprintln(os.Stderr, "publish:", err)
		os.Exit(1)
	}
}

func publish(check bool) error {
	wd, err := os.Getwd()
	if err != nil {
		return err
	}
	root, err := golden.Root(wd)
	if err != nil {
		return err
	}
	module := os.DirFS(root)
	files, err := golden.Files(module)
	if err != nil {
		return err
	}
	definitions, err := golden.Definitions(module)
	if err != nil {
		return err
	}
	roads, err := golden.Roads(module)
	if err != nil {
		return err
	}
	records, err := record(root, files)
	if err != nil {
		return err
	}
	page, err := accuracy(files, definitions, roads, records)
	if err != nil {
		return err
	}
	data, err := vectors(files, definitions)
	if err != nil {
		return err
	}
	for name, text := range map[string]string{"vectors.json": data, "ACCURACY.md": page} {
		name = filepath.Join(root, "internal", "golden", name)
		if check {
			err = compare(name, text)
		} else {
			err = os.WriteFile(name, []byte(text), 0o666)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// record runs the tests of the packages with rows and returns what they recorded.
func record(root string, files []golden.File) ([]golden.Record, error) {
	dir, err := os.MkdirTemp("", "golden")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	args := []string{"test", "-count=1"}
	for _, f := range files {
		if p := "./" + f.Package; args[len(args)-1] != p {
			args = append(args, p)
		}
	}
	test := exec.Command("go", args...)
	test.Dir = root
	test.Env = append(os.Environ(), golden.RecordVariable+"="+dir)
	if out, err := test.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go test: %w\n%s", err, out)
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		return nil, err
	}
	var all []golden.Record
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		for in := bufio.NewScanner(f); in.Scan(); {
			var r golden.Record
			if err := json.Unmarshal(in.Bytes(), &r); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			all = append(all, r)
		}
	}
	return all, nil
}

// compare tells where the file differs from the text it should have.
func compare(name, want string) error {
	got, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if string(got) == want {
		return nil
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(want, "\n")
	i := 0
	for i < len(g) && i < len(w) && g[i] == w[i] {
		i++
	}
	line := func(lines []string) string {
		if i == len(lines) {
			return "(end)"
		}
		return lines[i]
	}
	return fmt.Errorf("%s is stale from line %d on:\n- %s\n+ %s\nRun go run ./internal/golden/publish and look at the difference", name, i+1, line(g), line(w))
}
