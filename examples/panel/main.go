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
	"io"
	"os"

	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
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
	b := program.New("panel", usage, kind, " and the tables", out, errs)
	b.Project("build night", `tweeter.x="80 mm"`)
	return b.Run(args, func() error {
		src := project.Open(b.File, "buildnight")
		p, err := src.Load(b.Settings...)
		if err != nil {
			return err
		}
		f, err := study(src, p)
		if err != nil {
			return src.Explain(err, b.Settings...)
		}
		told, err := f.tell()
		if err != nil {
			return err
		}
		return b.Say(told, "is also a page with maps, curves, tables and JSON", nil)
	})
}
