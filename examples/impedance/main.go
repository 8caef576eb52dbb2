// Impedance finds a driver's parameters from its impedance curves: in free air, with a
// mass on the cone, on a closed box. It says how far to trust each figure, shows the
// curves with what is left of them after the fit, and writes the figures as a piece of
// a project file, which the other programs take.
//
//	go run ./examples/impedance                       the checked-in bench, as text
//	go run ./examples/impedance -out driver           and a page with plots, tables, the sheet
//	go run ./examples/impedance -set creep=false
//	go run ./examples/impedance -project mine/project.toml
//
// Of a curve of more than 500 rows it fits those nearest to places evenly over the
// logarithm of frequency. It exits with 0, 1 after an error, or 130 after an interrupt,
// which keeps nothing.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/project"
)

func main() { os.Exit(interrupt.Main("impedance", run)) }

const usage = `Impedance finds a driver's parameters from its impedance curves, with their
uncertainties, and writes them as a piece of a project file.

  go run ./examples/impedance                       the checked-in bench, as text
  go run ./examples/impedance -out driver           and a page with plots, tables, the sheet
  go run ./examples/impedance -set creep=false
  go run ./examples/impedance -project mine/project.toml

examples/projects/impedance/project.toml is one to start from.
Of a curve of more than 500 rows those nearest to places evenly over the logarithm of
frequency are fitted.

It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("impedance", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("project", "", "project `file`; without it the checked-in bench")
	folder := flags.String("out", "", "`folder` for impedance.html, impedance.json, impedance.txt, the sheet and the tables")
	force := flags.Bool("force", false, "replace an earlier result in that folder")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as leads=0.1ohm; may be repeated", func(s string) error {
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
		fmt.Fprintln(errs, "impedance:", err)
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
	j, err := load(project.Open(file, "impedance"), settings)
	if err != nil {
		return err
	}
	f, err := j.find()
	if err != nil {
		return err
	}
	told, err := f.tell()
	if err != nil {
		return err
	}
	last := "With -out FOLDER there is also a page with the curves, tables, JSON and the sheet."
	if folder != "" {
		files, err := told.Files()
		if err != nil {
			return err
		}
		files[sheetName] = f.sheet()
		if err := kind.Write(folder, files, force); err != nil {
			return err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "impedance.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return err
}
