// Package program is what the programs share: their common flags, their help, where a
// document goes and what they exit with.
package program

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"

	"example.com/halfspace/examples/internal/document"
)

// The exit statuses that mean the same in all programs.
const (
	Done   = 0
	Failed = 1
)

// A Program is one run of a program. The fields are what its flags were given.
type Program struct {
	*flag.FlagSet // for flags of its own

	File     string   // of the project; empty for the checked-in one
	Settings []string // key=value
	Folder   string   // for the document; empty for none
	Force    bool

	kind document.Kind
	out  io.Writer
	errs io.Writer
}

// New returns a program that says a document of a kind. usage is its help, before the
// flags; beside names what it writes beside page, JSON and text, as "the tables".
func New(name, usage string, kind document.Kind, beside string, out, errs io.Writer) *Program {
	p := &Program{FlagSet: flag.NewFlagSet(name, flag.ContinueOnError), kind: kind, out: out, errs: errs}
	p.SetOutput(errs)
	p.Usage = func() {
		fmt.Fprint(errs, usage)
		p.PrintDefaults()
	}
	k := kind.Name
	p.StringVar(&p.Folder, "out", "", fmt.Sprintf("`folder` for %s.html, %s.json, %s.txt%s", k, k, k, beside))
	p.BoolVar(&p.Force, "force", false, "replace an earlier result in that folder")
	return p
}

// Project gives the program the flags of one that works on a project file: which runs
// when none is named, and an example of a setting.
func (p *Program) Project(checkedIn, example string) {
	p.StringVar(&p.File, "project", "", "project `file`; without it the checked-in "+checkedIn)
	p.Func("set", "`key=value` overrides a value of the project, as "+example+"; may be repeated", func(s string) error {
		p.Settings = append(p.Settings, s)
		return nil
	})
}

// Run reads the arguments and does the work, unless they ask for help or are wrong. An
// error is one line.
func (p *Program) Run(args []string, work func() error) int {
	switch err := p.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return Done
	case err != nil: // Parse has said it
		return Failed
	}
	if err := p.do(work); err != nil {
		fmt.Fprintf(p.errs, "%s: %v\n", p.Name(), err)
		return Failed
	}
	return Done
}

func (p *Program) do(work func() error) error {
	switch {
	case p.NArg() > 0:
		return fmt.Errorf("%q: unexpected; every input has a flag, see -help", p.Arg(0))
	case p.Force && p.Folder == "":
		return errors.New("-force needs -out")
	case p.Folder != "":
		// Better said before the work than after it.
		if err := p.kind.Ready(p.Folder, p.Force); err != nil {
			return err
		}
	}
	return work()
}

// Say prints the document, and writes its files if a folder is given: those that the
// document has, or those of files. also tells what a folder gets, as "a page".
func (p *Program) Say(told document.Document, also string, files func(document.Document) (map[string][]byte, error)) error {
	last := "With -out FOLDER there " + also + "."
	if p.Folder != "" {
		if files == nil {
			files = document.Document.Files
		}
		all, err := files(told)
		if err != nil {
			return err
		}
		if err := p.kind.Write(p.Folder, all, p.Force); err != nil {
			return err
		}
		last = fmt.Sprintf("Wrote %s.", filepath.Join(p.Folder, p.kind.Name+".html"))
	}
	_, err := fmt.Fprintf(p.out, "%s\n%s\n", told.Text(), last)
	return err
}
