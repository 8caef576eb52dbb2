// Panel tells what the front of a project's cabinet does to its drivers: the curve of
// the edge for each, where one may sit, which places of the drivers are smoother, and
// what tilting the cabinet or setting a driver back is worth.
//
//	go run ./examples/panel                       the checked-in project, as text
//	go run ./examples/panel -out panel            and a page with maps, curves, JSON
//	go run ./examples/panel -set tweeter.x="80 mm"
//	go run ./examples/panel -project mine/project.toml
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

	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/project"
)

func main() { os.Exit(interrupt.Main("panel", run)) }

const usage = `Panel tells what the front of a project's cabinet does to its drivers, where one may
sit, and which places of the drivers are smoother.

  go run ./examples/panel                       the checked-in project, as text
  go run ./examples/panel -out panel            and a page with maps, curves, JSON
  go run ./examples/panel -set tweeter.x="80 mm"
  go run ./examples/panel -project mine/project.toml

The project file is that of the twoway program; its -new writes one to start from.
It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("panel", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("project", "", "project `file`; without it the checked-in build night")
	folder := flags.String("out", "", "`folder` for panel.html, panel.json, panel.txt and the tables")
	force := flags.Bool("force", false, "replace an earlier result in that folder")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as tweeter.x=\"80 mm\"; may be repeated", func(s string) error {
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
		fmt.Fprintln(errs, "panel:", err)
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
	f, err := study(src, p)
	if err != nil {
		return src.Explain(err, settings...)
	}
	told, err := f.tell()
	if err != nil {
		return err
	}
	last := "With -out FOLDER there is also a page with maps, curves, tables and JSON."
	if folder != "" {
		files, err := told.Files()
		if err != nil {
			return err
		}
		if err := kind.Write(folder, files, force); err != nil {
			return err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "panel.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return err
}
