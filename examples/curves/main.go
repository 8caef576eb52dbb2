// Curves takes the measured and printed curves of a project's drivers through the
// chain that leads to a design: phase where there is none, near field and far field
// joined, half space, box, panel, acoustic centres. It shows every stage.
//
//	go run ./examples/curves                          the checked-in bench, as text
//	go run ./examples/curves -out chain               and a page with plots, tables, JSON
//	go run ./examples/curves -set woofer.near.lo=300Hz
//	go run ./examples/curves -project mine/project.toml
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

func main() { os.Exit(interrupt.Main("curves", run)) }

const usage = `Curves takes the curves of a project's drivers through the chain that leads to a
design, and shows every stage.

  go run ./examples/curves                          the checked-in bench, as text
  go run ./examples/curves -out chain               and a page with plots, tables, JSON
  go run ./examples/curves -set woofer.near.lo=300Hz
  go run ./examples/curves -project mine/project.toml

The project file is that of the twoway program; its -new writes one to start from.
It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("curves", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("project", "", "project `file`; without it the checked-in bench")
	folder := flags.String("out", "", "`folder` for curves.html, curves.json, curves.txt and the tables")
	force := flags.Bool("force", false, "replace an earlier result in that folder")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as woofer.near.lo=300Hz; may be repeated", func(s string) error {
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
		err = chain(*file, settings, *folder, *force, out)
	}
	if err != nil {
		fmt.Fprintln(errs, "curves:", err)
		return 1
	}
	return 0
}

func chain(file string, settings []string, folder string, force bool, out io.Writer) error {
	if folder != "" {
		if err := kind.Ready(folder, force); err != nil {
			return err
		}
	}
	src := project.Open(file, "bench")
	p, err := src.Load(settings...)
	if err != nil {
		return err
	}
	d, err := design.Measure(src, p)
	if err != nil {
		return src.Explain(err, settings...)
	}
	told, err := tell(d)
	if err != nil {
		return err
	}
	last := "With -out FOLDER there is also a page with all curves, tables and JSON."
	if folder != "" {
		files, err := told.Files()
		if err != nil {
			return err
		}
		if err := kind.Write(folder, files, force); err != nil {
			return err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "curves.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return err
}
