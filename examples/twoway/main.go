// Twoway designs a passive two-way loudspeaker from a project file: it reads the
// drivers' sheets and curves, finds layers, vent and crossover parts, and says
// whether the rules hold, what to buy and what to cut.
//
//	go run ./examples/twoway                          the checked-in project, as text
//	go run ./examples/twoway -out speaker             and a page with curves, tables, JSON
//	go run ./examples/twoway -set box.volume=24L      with another value
//	go run ./examples/twoway -new mine/project.toml   a commented project to start from
//	go run ./examples/twoway -project mine/project.toml
//
// It exits with 0 if every rule holds, 2 if one is broken, 1 after an error.
package main

import (
	"embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/internal/report"
)

//go:embed buildnight
var buildnight embed.FS

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// The exit statuses.
const (
	held   = 0
	failed = 1
	broken = 2
)

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("twoway", flag.ContinueOnError)
	flags.SetOutput(errs)
	file := flags.String("project", "", "project `file`; without it the checked-in build night")
	folder := flags.String("out", "", "`folder` for report.html, report.json, report.txt and the tables")
	force := flags.Bool("force", false, "replace an earlier report in that folder")
	fresh := flags.String("new", "", "write a commented project `file` and its curves to start from, and stop")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as box.volume=24L; may be repeated", func(s string) error {
		settings = append(settings, s)
		return nil
	})
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return held
	} else if err != nil {
		return failed
	}
	status, err := do(*file, *folder, *fresh, *force, settings, flags.Args(), out)
	if err != nil {
		fmt.Fprintln(errs, "twoway:", err)
		return failed
	}
	return status
}

func do(file, folder, fresh string, force bool, settings, rest []string, out io.Writer) (int, error) {
	if len(rest) > 0 {
		return failed, fmt.Errorf("%q: unexpected; every input has a flag, see -help", rest[0])
	}
	if fresh != "" {
		if err := start(fresh); err != nil {
			return failed, err
		}
		fmt.Fprintf(out, "Wrote %s and the demo's curves beside it. Put in your own figures, then:\n  go run ./examples/twoway -project %s\n", fresh, fresh)
		return held, nil
	}
	if folder != "" {
		if err := report.Ready(folder, force); err != nil {
			return failed, err
		}
	}
	src, err := source(file)
	if err != nil {
		return failed, err
	}
	p, err := src.Load(settings...)
	if err != nil {
		return failed, err
	}
	d, err := design.Run(src, p)
	if err != nil {
		return failed, err
	}
	files, err := report.Files(d)
	if err != nil {
		return failed, err
	}
	if _, err := out.Write(files["report.txt"]); err != nil {
		return failed, err
	}
	if folder == "" {
		fmt.Fprintf(out, "\nWith -out FOLDER there is also a page with all curves, tables and JSON.\n")
	} else {
		if err := report.Write(folder, files, force); err != nil {
			return failed, err
		}
		fmt.Fprintf(out, "\nWrote %s.\n", filepath.Join(folder, "report.html"))
	}
	if !d.Holds() {
		return broken, nil
	}
	return held, nil
}

// source opens the project's folder, or the checked-in one.
func source(file string) (project.Source, error) {
	if file == "" {
		files, err := fs.Sub(buildnight, "buildnight")
		return project.Source{Files: files, Name: "project.toml", Shown: "buildnight/"}, err
	}
	dir, name := filepath.Split(file)
	shown := dir
	if dir == "" {
		dir = "."
	}
	return project.Source{Files: below(dir), Name: name, Shown: shown}, nil
}

// below opens files from a folder on. Unlike os.DirFS it follows "../", since a
// builder may keep the curves elsewhere.
type below string

func (b below) Open(name string) (fs.File, error) {
	if !filepath.IsAbs(name) {
		name = filepath.Join(string(b), filepath.FromSlash(name))
	}
	return os.Open(name)
}

// start writes a copy of the checked-in project; it replaces nothing.
func start(file string) error {
	dir := filepath.Dir(file)
	files, err := fs.Sub(buildnight, "buildnight")
	if err != nil {
		return err
	}
	entries, err := fs.ReadDir(files, ".")
	if err != nil {
		return err
	}
	target := func(name string) string {
		if strings.HasSuffix(name, ".toml") {
			return file
		}
		return filepath.Join(dir, name)
	}
	for _, e := range entries {
		if _, err := os.Lstat(target(e.Name())); err == nil {
			return fmt.Errorf("-new %s: exists already", target(e.Name()))
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("-new %w", err)
	}
	for _, e := range entries {
		text, err := fs.ReadFile(files, e.Name())
		if err != nil {
			return err
		}
		if err := create(target(e.Name()), text); err != nil {
			return fmt.Errorf("-new %w", err)
		}
	}
	return nil
}

// create writes a file that must not exist.
func create(name string, text []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}
