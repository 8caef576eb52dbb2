package interrupt

import (
	"bytes"
	"os"
	"runtime"
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

func skip(t *testing.T) {
	t.Helper()
	if runtime.GOOS == "windows" || runtime.GOOS == "js" {
		t.Skip("no process can interrupt itself here")
	}
}

func TestContext(t *testing.T) {
	skip(t)
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
	skip(t)
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
