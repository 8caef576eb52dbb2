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
// It exits with 0 if every rule holds, 2 if one is broken, 1 after an error, 130 after
// an interrupt, which keeps nothing; go run itself turns all but 0 into 1.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/internal/report"
	"example.com/halfspace/examples/projects"
)

// checkedIn is the project that runs when none is named.
const checkedIn = "buildnight"

func main() { os.Exit(interrupt.Main("twoway", run)) }

// The exit statuses.
const (
	held   = 0
	failed = 1
	broken = 2
)

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("twoway", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
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

	holds, err := true, error(nil)
	switch {
	case flags.NArg() > 0:
		err = fmt.Errorf("%q: unexpected; every input has a flag, see -help", flags.Arg(0))
	case *fresh != "" && flags.NFlag() > 1:
		err = errors.New("-new stands alone")
	case *fresh != "":
		err = interrupt.Finish(func() error { return start(*fresh, out) })
	case *force && *folder == "":
		err = errors.New("-force needs -out")
	default:
		holds, err = speaker(*file, settings, *folder, *force, out)
	}
	switch {
	case err != nil:
		fmt.Fprintln(errs, "twoway:", err)
		return failed
	case !holds:
		return broken
	}
	return held
}

const usage = `Twoway designs a passive two-way loudspeaker from a project file.

  go run ./examples/twoway                          the checked-in project, as text
  go run ./examples/twoway -out speaker             and a page with curves, tables, JSON
  go run ./examples/twoway -set box.volume=24L      with another value
  go run ./examples/twoway -new mine/project.toml   a commented project to start from
  go run ./examples/twoway -project mine/project.toml

It exits with 0 if every rule holds, 2 if one is broken, 1 after an error; go run
itself turns 2 into 1. Interrupted, it writes nothing and exits with 130.

`

// speaker designs the speaker of a project, reports on it and says whether the
// rules hold.
func speaker(file string, settings []string, folder string, force bool, out io.Writer) (bool, error) {
	if folder != "" {
		// Better said before the work than after it.
		if err := report.Kind.Ready(folder, force); err != nil {
			return false, err
		}
	}
	src := project.Open(file, checkedIn)
	p, err := src.Load(settings...)
	if err != nil {
		return false, err
	}
	d, err := design.Run(src, p)
	if err != nil {
		return false, src.Explain(err, settings...)
	}
	told, err := report.Document(d)
	if err != nil {
		return false, err
	}
	last := "With -out FOLDER there is also a page with all curves, tables and JSON."
	if folder != "" {
		files, err := told.Files()
		if err != nil {
			return false, err
		}
		if err := report.Kind.Write(folder, files, force); err != nil {
			return false, err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "report.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return d.Holds(), err
}

// start writes a copy of the checked-in project; it replaces nothing.
func start(file string, out io.Writer) error {
	if filepath.Ext(file) != ".toml" {
		return fmt.Errorf("-new %s: want the name of a .toml file, best in a new folder, as mine/project.toml", file)
	}
	dir := filepath.Dir(file)
	files, err := fs.Sub(projects.Files, checkedIn)
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
	var there []string
	for _, e := range entries {
		if _, err := os.Lstat(target(e.Name())); err == nil {
			there = append(there, target(e.Name()))
		}
	}
	if there != nil {
		return fmt.Errorf("-new %s writes that file and %d tables beside it; nothing was written, since there are already %s: name a file in a new folder",
			file, len(entries)-1, strings.Join(there, ", "))
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
	_, err = fmt.Fprintf(out, "Wrote %s and the demo's curves and parts beside it. Put in your own figures, then:\n  go run ./examples/twoway -project %s\n", file, file)
	return err
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
