package outside

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"testing"
)

// near is what the tests allow, relative to the scale of each comparison.
const near = 1e-9

var here fs.FS = os.DirFS(".")

func cases[T any](t *testing.T, name string) T {
	t.Helper()
	c, err := ReadCases[T](here, name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A record hands out a recording, notes what was looked at, and keeps the worst
// difference for the log.
type record struct {
	t       *testing.T
	results map[string]Result
	seen    map[string]bool
	worst   float64
	at      string
}

// recording reads a recording. When the test ends, every value of it must have been
// compared.
func recording(t *testing.T, name string) *record {
	t.Helper()
	r, err := ReadRecording(here, name)
	if err != nil {
		t.Fatal(err)
	}
	rec := &record{t: t, results: r.Results, seen: map[string]bool{}}
	t.Cleanup(func() {
		for id, result := range rec.results {
			names := slices.AppendSeq(slices.Collect(maps.Keys(result.Numbers)), maps.Keys(result.Curves))
			for _, name := range names {
				if !rec.seen[id+": "+name] {
					t.Errorf("%s: %s: recorded, but not compared", id, name)
				}
			}
		}
		t.Logf("%d series from %s %s; worst difference %.2g, %s", len(rec.seen), r.Tool, r.Version, rec.worst, rec.at)
	})
	return rec
}

func (r *record) curve(id, name string) Curve {
	r.t.Helper()
	r.seen[id+": "+name] = true
	c, ok := r.results[id].Curves[name]
	if !ok {
		r.t.Fatalf("%s: %s: not recorded", id, name)
	}
	return c
}

func (r *record) numbers(id, name string) []float64 {
	r.t.Helper()
	r.seen[id+": "+name] = true
	n, ok := r.results[id].Numbers[name]
	if !ok {
		r.t.Fatalf("%s: %s: not recorded", id, name)
	}
	return n
}

// check fails the test unless a difference is within the tolerance.
func (r *record) check(what string, difference, tolerance float64) {
	r.t.Helper()
	if !(difference <= tolerance) {
		r.t.Errorf("%s: differs by %.3g, allowed is %.3g", what, difference, tolerance)
	}
	if difference > r.worst {
		r.worst, r.at = difference, what
	}
}

// same compares a curve point by point, relative to the recorded modulus.
func (r *record) same(id, name string, got []complex128) {
	r.t.Helper()
	want := r.curve(id, name)
	if len(got) != len(want) {
		r.t.Fatalf("%s: %s: %d values, recorded are %d", id, name, len(got), len(want))
	}
	for i := range got {
		r.check(fmt.Sprintf("%s: %s: value %d", id, name, i+1), Relative(got[i], want[i]), near)
	}
}

// equal compares real values one by one, relative to the recorded value.
func (r *record) equal(id, name string, got ...float64) {
	r.t.Helper()
	r.within(id, name, near, 0, got...)
}

// within compares real values; scale is the share of the largest recorded value
// that differences are related to at least.
func (r *record) within(id, name string, tolerance, scale float64, got ...float64) {
	r.t.Helper()
	want := r.numbers(id, name)
	if len(got) != len(want) {
		r.t.Fatalf("%s: %s: %d values, recorded are %d", id, name, len(got), len(want))
	}
	var largest float64
	for _, v := range want {
		largest = max(largest, v, -v)
	}
	for i := range got {
		at := max(scale*largest, want[i], -want[i])
		r.check(fmt.Sprintf("%s: %s: value %d", id, name, i+1), Scaled(complex(got[i], 0), complex(want[i], 0), at), tolerance)
	}
}
