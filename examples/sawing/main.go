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
	"io"
	"os"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
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
	b := program.New("sawing", usage, kind, ", pictures and tables", out, errs)
	b.Project("build night", "cabinet.layers=12")
	return b.Run(args, func() error {
		src := project.Open(b.File, "buildnight")
		p, err := src.Load(b.Settings...)
		if err != nil {
			return err
		}
		d, err := design.Wood(src, p)
		if err != nil {
			return src.Explain(err, b.Settings...)
		}
		w, err := look(d)
		if err != nil {
			return err
		}
		told, err := w.tell()
		if err != nil {
			return err
		}
		return b.Say(told, "are also pictures, templates in full size, tables and JSON", w.files)
	})
}
