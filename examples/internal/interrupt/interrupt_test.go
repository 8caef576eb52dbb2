// A process cannot interrupt itself on these two.

//go:build !windows && !js

package interrupt

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// interrupted interrupts this process, once something catches it.
func interrupted(t *testing.T) {
	t.Helper()
	p, err := os.FindProcess(os.Getpid())
	if err == nil {
		err = p.Signal(os.Interrupt)
	}
	if err != nil {
		t.Error(err)
	}
}

func TestContext(t *testing.T) {
	ctx, stop := Context()
	defer stop()
	interrupted(t)
	select {
	case <-ctx.Done():
	case <-time.After(10 * time.Second):
		t.Error("the context goes on")
	}
}

func TestWork(t *testing.T) {
	last = step{}
	var errs bytes.Buffer
	if s := work("saw", &errs, func() int { return 7 }); s != 7 || errs.Len() > 0 {
		t.Errorf("undisturbed: %d, %s", s, &errs)
	}

	// What was written is whole, and the program's own status stands.
	s := work("saw", &errs, func() int {
		err := Finish(func() error {
			interrupted(t)
			time.Sleep(100 * time.Millisecond)
			return nil
		})
		if err != nil {
			return 1
		}
		time.Sleep(100 * time.Millisecond)
		return 2
	})
	if s != 2 || errs.Len() > 0 {
		t.Errorf("too late: %d, %s", s, &errs)
	}

	last = step{}
	wrote := make(chan bool, 1)
	s = work("saw", &errs, func() int {
		interrupted(t)
		time.Sleep(100 * time.Millisecond)
		Finish(func() error { wrote <- true; return nil })
		return 0
	})
	if s != Status || errs.String() != "saw: interrupted; nothing written\n" {
		t.Errorf("interrupted: %d, %q", s, &errs)
	}
	select {
	case <-wrote:
		t.Error("it wrote, and said that it did not")
	case <-time.After(200 * time.Millisecond):
	}
}

// Every program keeps the rule, and its -help says so.
func TestPrograms(t *testing.T) {
	programs, err := filepath.Glob("../../*/main.go")
	if err != nil || len(programs) < 9 {
		t.Fatalf("%d programs, %v", len(programs), err)
	}
	for _, name := range programs {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		_, usage, _ := bytes.Cut(text, []byte("const usage = `"))
		usage, _, _ = bytes.Cut(usage, []byte("\n`"))
		if !bytes.Contains(usage, []byte("Interrupted, it ")) || !bytes.Contains(usage, []byte("exits with 130.")) {
			t.Errorf("%s: -help does not say what becomes of an interrupt", name)
		}
		if !bytes.Contains(text, []byte("interrupt.Main(")) && !bytes.Contains(text, []byte("interrupt.Context()")) {
			t.Errorf("%s: an interrupt is not caught", name)
		}
	}
}
