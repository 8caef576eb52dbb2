// Frontier searches every sensible crossover of up to a number of parts for a project's
// drivers in its cabinet, from parts one can buy, and says what each part more is worth
// beside the spread of parts and drivers.
//
//	go run ./examples/frontier                       the checked-in drivers, up to 5 parts
//	go run ./examples/frontier -parts 6 -out best    and a page with plots, schematics, tables
//	go run ./examples/frontier -project mine/project.toml
//
// The project file is that of the twoway program. Interrupt it and it reports what it
// has found so far. It exits with 0, 1 after an error, or 130 after an interrupt.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/crossover/search"
)

func main() {
	ctx, stop := interrupt.Context()
	status := run(ctx, os.Args[1:], os.Stdout, os.Stderr, terminal(os.Stderr))
	stop()
	os.Exit(status)
}

// terminal says whether somebody looks at a file.
func terminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

const usage = `Frontier searches every sensible crossover of up to a number of parts for a project's
drivers in its cabinet, from parts one can buy.

  go run ./examples/frontier                       the checked-in drivers, up to 5 parts
  go run ./examples/frontier -parts 6 -out best    and a page with plots, schematics, tables
  go run ./examples/frontier -project mine/project.toml

Up to 5 parts take seconds, 6 a minute. The project file is that of the twoway
program; its -new writes one to start from.

It exits with 0, or 1 after an error. Interrupted, it reports what it has found so
far, writes that with -out, and exits with 130.

`

func run(ctx context.Context, args []string, out, errs io.Writer, watched bool) int {
	flags := flag.NewFlagSet("frontier", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("project", "", "project `file`; without it the checked-in build night")
	most := flags.Int("parts", 5, "the most parts of a circuit, 1 to 7")
	folder := flags.String("out", "", "`folder` for frontier.html, frontier.json, frontier.txt and the tables")
	force := flags.Bool("force", false, "replace an earlier result in that folder")
	var settings []string
	flags.Func("set", "`key=value` overrides a value of the project, as rules.money=200; may be repeated", func(s string) error {
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
	var end string
	switch {
	case flags.NArg() > 0:
		err = fmt.Errorf("%q: unexpected; every input has a flag, see -help", flags.Arg(0))
	case *force && *folder == "":
		err = errors.New("-force needs -out")
	case *most < 1 || *most > 7:
		err = fmt.Errorf("-parts %d: must be from 1 to 7", *most)
	default:
		var bar func(search.Progress)
		if watched {
			bar = func(p search.Progress) { fmt.Fprint(errs, "\r", progress(p)) }
		}
		end, err = seek(ctx, *file, settings, *most, *folder, *force, out, bar)
		if watched {
			fmt.Fprint(errs, "\r", strings.Repeat(" ", width), "\r")
		}
	}
	if err != nil {
		fmt.Fprintln(errs, "frontier:", err)
		return 1
	}
	if end != "" {
		fmt.Fprintln(errs, "frontier: interrupted"+end)
		return interrupt.Status
	}
	return 0
}

// width of the progress line in letters.
const width = 70

// progress is one line that says how far the search is.
func progress(p search.Progress) string {
	const cells = 30
	done := 0
	if p.Of > 0 {
		done = cells * p.Done / p.Of
	}
	line := fmt.Sprintf("%d parts [%s%s] %d of %d", p.Parts, strings.Repeat("=", done), strings.Repeat(" ", cells-done), p.Done, p.Of)
	if p.Flatness < 100 {
		line += fmt.Sprintf(", %.2f dB so far", p.Flatness)
	}
	return fmt.Sprintf("%-*s", width, line)
}

// seek searches and reports. If it is interrupted it says what has become of the work.
func seek(ctx context.Context, file string, settings []string, most int, folder string, force bool, out io.Writer, bar func(search.Progress)) (end string, err error) {
	if folder != "" {
		if err := kind.Ready(folder, force); err != nil {
			return "", err
		}
	}
	src := project.Open(file, "buildnight")
	p, err := src.Load(settings...)
	if err != nil {
		return "", err
	}
	d, f, err := design.SearchFrontier(ctx, src, p, most, bar)
	if err != nil {
		return "", src.Explain(err, settings...)
	}
	if f.Stopped && f.Searched() == 0 {
		return " before anything was searched; nothing written", nil
	}
	told, err := tell(d, f)
	if err != nil {
		return "", err
	}
	if f.Stopped {
		end = "; what was found is above, nothing written"
	}
	last := "With -out FOLDER there is also a page with plots, schematics, tables and JSON."
	if folder != "" {
		files, err := told.Files()
		if err != nil {
			return "", err
		}
		if err := kind.Write(folder, files, force); err != nil {
			return "", err
		}
		if f.Stopped {
			end = "; what was found is in " + folder
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(folder, "frontier.html"))
	}
	_, err = fmt.Fprintf(out, "%s\n%s\n", told.Text(), last)
	return end, err
}
