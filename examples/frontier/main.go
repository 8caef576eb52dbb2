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
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
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
	b := program.New("frontier", usage, kind, " and the tables", out, errs)
	b.Project("build night", "rules.money=200")
	most := b.Int("parts", 5, "the most parts of a circuit, 1 to 7")
	end := ""
	status := b.Run(args, func() (err error) {
		if *most < 1 || *most > 7 {
			return fmt.Errorf("-parts %d: must be from 1 to 7", *most)
		}
		end, err = seek(ctx, b, *most, errs, watched)
		return err
	})
	if status == program.Done && end != "" {
		fmt.Fprintln(errs, "frontier: interrupted"+end)
		return interrupt.Status
	}
	return status
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
func seek(ctx context.Context, b *program.Program, most int, errs io.Writer, watched bool) (end string, err error) {
	src := project.Open(b.File, "buildnight")
	p, err := src.Load(b.Settings...)
	if err != nil {
		return "", err
	}
	d, f, err := watch(ctx, src, p, most, errs, watched)
	if err != nil {
		return "", src.Explain(err, b.Settings...)
	}
	if f.Stopped && f.Searched() == 0 {
		return " before anything was searched; nothing written", nil
	}
	told, err := tell(d, f)
	if err != nil {
		return "", err
	}
	switch {
	case f.Stopped && b.Folder != "":
		end = "; what was found is in " + b.Folder
	case f.Stopped:
		end = "; what was found is above, nothing written"
	}
	return end, b.Say(told, "is also a page with plots, schematics, tables and JSON", nil)
}

// watch searches with a line of progress for who watches.
func watch(ctx context.Context, src project.Source, p project.Project, most int, errs io.Writer, watched bool) (*design.Design, *design.Frontier, error) {
	if !watched {
		return design.SearchFrontier(ctx, src, p, most, nil)
	}
	defer fmt.Fprint(errs, "\r", strings.Repeat(" ", width), "\r")
	return design.SearchFrontier(ctx, src, p, most, func(p search.Progress) { fmt.Fprint(errs, "\r", progress(p)) })
}
