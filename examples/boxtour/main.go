// Boxtour takes the woofer of a project through every kind of box: closed, vented,
// passive radiator, band-pass, two drivers as one. It says how large, how low and how
// loud each gets for stated signals, whether the vent fits, and what a litre buys.
//
//	go run ./examples/boxtour                       the checked-in woofer, as text
//	go run ./examples/boxtour -out tour             and a page with plots, tables, JSON
//	go run ./examples/boxtour -set box.ql=10
//	go run ./examples/boxtour -project mine/project.toml
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

func main() { os.Exit(interrupt.Main("boxtour", run)) }

const usage = `Boxtour takes the woofer of a project through every kind of box and says how large,
how low and how loud each gets.

  go run ./examples/boxtour                       the checked-in woofer, as text
  go run ./examples/boxtour -out tour             and a page with plots, tables, JSON
  go run ./examples/boxtour -set box.ql=10
  go run ./examples/boxtour -project mine/project.toml

The project file is that of the twoway program; its -new writes one to start from.
It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	b := program.New("boxtour", usage, kind, " and the tables", out, errs)
	b.Project("build night", "box.ql=10")
	return b.Run(args, func() error {
		src := project.Open(b.File, "buildnight")
		p, err := src.Load(b.Settings...)
		if err != nil {
			return err
		}
		t, err := take(p)
		if err != nil {
			return src.Explain(err, b.Settings...)
		}
		told, err := t.tell()
		if err != nil {
			return err
		}
		return b.Say(told, "is also a page with all curves, tables and JSON", nil)
	})
}
