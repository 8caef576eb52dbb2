// Package interrupt is what the programs do at an interrupt, as by control and C: say in
// one line what has become of the work, and exit with [Status]. Nothing is left
// half-written. A second interrupt ends a program where it stands.
package interrupt

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
)

// Status is what a program exits with after an interrupt: what a shell says of one that
// the signal ended.
const Status = 130

// Context returns a context that the first interrupt ends.
func Context() (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // from then on the next is not caught
	return ctx, stop
}

// Main runs a program that keeps nothing of a piece of its work, and returns what to
// exit with.
func Main(name string, run func(args []string, out, errs io.Writer) int) int {
	return work(name, os.Stderr, func() int { return run(os.Args[1:], os.Stdout, os.Stderr) })
}

func work(name string, errs io.Writer, run func() int) int {
	ctx, stop := Context()
	defer stop()
	status := make(chan int, 1)
	go func() { status <- run() }()
	select {
	case s := <-status:
		return s
	case <-ctx.Done():
	}
	if !last.refuse() {
		return <-status
	}
	fmt.Fprintf(errs, "%s: interrupted; nothing written\n", name)
	return Status
}

// Finish does the last of a program's work, the writing, which must not end halfway: for
// [Main] an interrupt is too late once it has begun.
func Finish(write func() error) error {
	last.Lock()
	defer last.Unlock()
	last.begun = true
	return write()
}

type step struct {
	sync.Mutex
	begun bool
}

var last step

// refuse keeps the last step from being begun, for ever; it says if it is too late.
func (s *step) refuse() bool {
	s.Lock()
	if s.begun {
		s.Unlock()
		return false
	}
	return true
}
