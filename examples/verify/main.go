// Verify recomputes what another program claims of a loudspeaker and says which claims
// hold:
//
//	go run ./examples/verify -claims claims.json                the claims of a file, as text
//	go run ./examples/verify -claims claims.json -out said.json and as JSON
//	go run ./examples/verify -list                              what can be claimed
//	go run ./examples/verify -list "vented box"                 inputs and outputs of one capability
//	go run ./examples/verify -vectors internal/golden/vectors.json
//
// A claims file is JSON; package claims says what stands in it, claims.schema.json
// describes it, and the folder claims has one for each question. It reads nothing but
// that file and the tables it names in its folder. The last of the commands above
// takes the published values of this library for claims.
//
// It exits with 0 if all claims hold, with 2 if one fails, with 1 after an error in the
// input, with 130 after an interrupt, which keeps nothing.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"example.com/halfspace/examples/internal/claims"
	"example.com/halfspace/examples/internal/interrupt"
)

func main() { os.Exit(interrupt.Main("verify", run)) }

const usage = `Verify recomputes what another program claims of a loudspeaker and says which claims hold.

  go run ./examples/verify -claims claims.json                the claims of a file, as text
  go run ./examples/verify -claims claims.json -out said.json and as JSON
  go run ./examples/verify -list                              what can be claimed
  go run ./examples/verify -list "vented box"                 inputs and outputs of one capability
  go run ./examples/verify -vectors internal/golden/vectors.json

examples/verify/claims has a file for each question that a program's author may have.
It exits with 0 if all claims hold, with 2 if one fails, with 1 after an error.
Interrupted, it writes nothing and exits with 130.

`

func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("verify", flag.ContinueOnError)
	flags.SetOutput(errs)
	flags.Usage = func() {
		fmt.Fprint(errs, usage)
		flags.PrintDefaults()
	}
	file := flags.String("claims", "", "claims `file`")
	vectors := flags.String("vectors", "", "`file` of published values, as internal/golden/vectors.json")
	list := flags.Bool("list", false, "list what can be claimed; with a name after it, say all of that capability")
	output := flags.String("out", "", "`file` for the result as JSON")
	force := flags.Bool("force", false, "replace an earlier result")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
		return 1
	}
	status, err := 0, error(nil)
	switch rest := flags.Args(); {
	case *list && len(rest) <= 1 && *file == "" && *vectors == "" && *output == "":
		err = tellCapabilities(out, rest)
	case len(rest) > 0:
		err = fmt.Errorf("%q: unexpected; every input has a flag, see -help", rest[0])
	case *list || (*file == "") == (*vectors == ""):
		err = errors.New("want one of -claims, -vectors and -list, see -help")
	case *force && *output == "":
		err = errors.New("-force needs -out")
	default:
		status, err = verify(*file, *vectors, *output, *force, out)
	}
	if err != nil {
		for _, e := range each(err) {
			fmt.Fprintln(errs, "verify:", e)
		}
		return 1
	}
	return status
}

// each is one error to a line.
func each(err error) []error {
	var many claims.Errors
	if errors.As(err, &many) {
		return many
	}
	return []error{err}
}

func verify(file, vectors, output string, force bool, out io.Writer) (int, error) {
	if err := ready(output, force); err != nil {
		return 1, err
	}
	name := file
	if vectors != "" {
		name = vectors
	}
	text, err := read(name)
	if err != nil {
		return 1, err
	}
	// Tables lie beside the file; the root keeps links from leading elsewhere.
	root, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return 1, fmt.Errorf("%s: %w", name, reason(err))
	}
	defer root.Close()
	s := said{vectors: vectors != ""}
	var f *claims.File
	if s.vectors {
		f, s.missing, err = claims.ReadVectors(name, text, root.FS())
	} else {
		f, err = claims.Read(name, text, root.FS())
	}
	if err != nil {
		return 1, err
	}
	s.title = f.Title
	if s.results, err = f.Verify(); err != nil {
		return 1, err
	}
	if output != "" {
		data, err := s.json()
		if err != nil {
			return 1, err
		}
		err = interrupt.Finish(func() error { return write(output, data, force) })
		if err != nil {
			return 1, err
		}
	}
	if _, err := out.Write(s.text()); err != nil {
		return 1, err
	}
	if s.fails() > 0 {
		return 2, nil
	}
	return 0, nil
}

func read(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, reason(err))
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, claims.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, reason(err))
	}
	if len(text) > claims.MaxBytes {
		return nil, fmt.Errorf("%s: larger than %d bytes", name, claims.MaxBytes)
	}
	return text, nil
}

func reason(err error) error {
	var path *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("no such file")
	case errors.As(err, &path):
		return path.Err
	}
	return err
}

// ready says whether a result may be written to a file: to a new one, or over an
// earlier one with force.
func ready(name string, force bool) error {
	if name == "" {
		return nil
	}
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("-out %s: %w", name, reason(err))
	case !info.Mode().IsRegular():
		return fmt.Errorf("-out %s: exists already and is not a file", name)
	case !force:
		return fmt.Errorf("-out %s: exists already; -force replaces it", name)
	}
	return nil
}

// write puts a result into place as a whole.
func write(name string, data []byte, force bool) error {
	if err := ready(name, force); err != nil {
		return err
	}
	fail := func(err error) error { return fmt.Errorf("-out %s: cannot be written: %w", name, reason(err)) }
	f, err := os.CreateTemp(filepath.Dir(name), ".new-")
	if err != nil {
		return fail(err)
	}
	defer os.Remove(f.Name()) // what is left of it if something fails
	_, err = f.Write(data)
	if err := errors.Join(err, f.Chmod(0o644), f.Close()); err != nil {
		return fail(err)
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return fail(err)
	}
	return nil
}
