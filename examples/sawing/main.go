// Sawing plans the wood of a project: which pieces to cut from which sheet in which
// order, how the layers interlock, whether everything fits inside, and what would save
// a sheet. With -out it draws views, patterns, pieces, sheets and templates in full size.
//
//	go run ./examples/sawing                       the checked-in project, as text
//	go run ./examples/sawing -out wood             and pictures, tables, JSON
//	go run ./examples/sawing -set cabinet.layers=12
//	go run ./examples/sawing -project mine/project.toml
//
// The project file is that of the twoway program. It exits with 0, 1 after an error, or
// 130 after an interrupt, which keeps nothing.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/project"
)

func main() { os.Exit(interrupt.Main("sawing", run)) }

const usage = `Sawing plans the wood of a project: pieces, sheets, order of cuts, pictures.

  go run ./examples/sawing                       the checked-in project, as text
  go run ./examples/sawing -out wood             and pictures, tables, JSON
  go run ./examples/sawing -set cabinet.layers=12
  go run ./examples/sawing -project mine/project.toml

The project file is that of the twoway program; its -new writes one to start from.
It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("sawing", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("project", "", "project `file`; without it the checked-in build night")
	folder := flags.String("out", "", "`folder` for sawing.html, sawing.json, sawing.txt, pictures and tables")
	force := flags.Bool("force", false, "replace an earlier result in that folder")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as cabinet.layers=12; may be repeated", func(s string) error {
		settings = append(settings, s)
		return nil
	})
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
		return 1
	}
	var err error
	switch {
	case flags.NArg() > 0:
		err = fmt.Errorf("%q: unexpected; every input has a flag, see -help", flags.Arg(0))
	case *force && *folder == "":
		err = errors.New("-force needs -out")
	default:
		err = show(*file, settings, *folder, *force, out)
	}
	if err != nil {
		fmt.Fprintln(errs, "sawing:", err)
		return 1
	}
	return 0
}

func show(file string, settings []string, folder string, force bool, out io.Writer) error {
	if folder != "" {
		if err := kind.Ready(folder, force); err != nil {
			return err
		}
	}
	src := project.Open(file, "buildnight")
	p, err := src.Load(settings...)
	if err != nil {
		return err
	}
	d, err := design.Wood(src, p)
	if err != nil {
		return src.Explain(err, settings...)
	}
	w, err := look(d)
	if err != nil {
		return err
	}
	told, err := w.tell()
	if err != nil {
		return err
	}
	last := "With -out FOLDER there are also pictures, templates in full size, tables and JSON."
	if folder != "" {
		files, err := w.files(told)
		if err != nil {
			return err
		}
		if err := kind.Write(folder, files, force); err != nil {
			return err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "sawing.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return err
}
