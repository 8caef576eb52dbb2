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
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/internal/report"
	"example.com/halfspace/examples/projects"
)

// checkedIn is the project that runs when none is named.
const checkedIn = "buildnight"

func main() { os.Exit(interrupt.Main("twoway", run)) }

// broken is the exit status if a rule is.
const broken = 2

func run(args []string, out, errs io.Writer) int {
	b := program.New("twoway", usage, report.Kind, " and the tables", out, errs)
	b.Project("build night", "box.volume=24L")
	fresh := b.String("new", "", "write a commented project `file` and its curves to start from, and stop")
	holds := true
	status := b.Run(args, func() (err error) {
		switch {
		case *fresh != "" && b.NFlag() > 1:
			return errors.New("-new stands alone")
		case *fresh != "":
			return interrupt.Finish(func() error { return start(*fresh, out) })
		}
		holds, err = speaker(b)
		return err
	})
	if status == program.Done && !holds {
		return broken
	}
	return status
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
func speaker(b *program.Program) (bool, error) {
	src := project.Open(b.File, checkedIn)
	p, err := src.Load(b.Settings...)
	if err != nil {
		return false, err
	}
	d, err := design.Run(src, p)
	if err != nil {
		return false, src.Explain(err, b.Settings...)
	}
	told, err := report.Document(d)
	if err != nil {
		return false, err
	}
	return d.Holds(), b.Say(told, "is also a page with all curves, tables and JSON", nil)
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
