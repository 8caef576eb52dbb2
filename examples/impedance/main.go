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
	"io"
	"os"

	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
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
	b := program.New("impedance", usage, kind, ", the sheet and the tables", out, errs)
	b.Project("bench", "leads=0.1ohm")
	return b.Run(args, func() error {
		j, err := load(project.Open(b.File, "impedance"), b.Settings)
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
		return b.Say(told, "is also a page with the curves, tables, JSON and the sheet", func(told document.Document) (map[string][]byte, error) {
			files, err := told.Files()
			if err == nil {
				files[sheetName] = f.sheet()
			}
			return files, err
		})
	})
}
