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
	"io"
	"os"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/program"
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
	b := program.New("curves", usage, kind, " and the tables", out, errs)
	b.Project("bench", "woofer.near.lo=300Hz")
	return b.Run(args, func() error {
		src := project.Open(b.File, "bench")
		p, err := src.Load(b.Settings...)
		if err != nil {
			return err
		}
		d, err := design.Measure(src, p)
		if err != nil {
			return src.Explain(err, b.Settings...)
		}
		told, err := tell(d)
		if err != nil {
			return err
		}
		return b.Say(told, "is also a page with all curves, tables and JSON", nil)
	})
}
