package outside

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestRecordingRoundTrip(t *testing.T) {
	want := Recording{Tool: "tool", Version: "1", Results: map[string]Result{
		"b": {Numbers: map[string][]float64{"n": {1.0 / 3, 1e-300}}},
		"a": {Curves: map[string]Curve{"c": {complex(math.Pi, -1.0/7), 0}}},
	}}
	text, err := want.Encode()
	if err != nil {
		t.Fatal(err)
	}
	var got Recording
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestDifferences(t *testing.T) {
	make := func(n float64, c complex128) Recording {
		return Recording{Results: map[string]Result{"id": {
			Numbers: map[string][]float64{"n": {1, n}}, Curves: map[string]Curve{"c": {1e6, c}},
		}}}
	}
	base := make(2, 1i)
	for _, c := range []struct {
		name  string
		got   Recording
		lines int
	}{
		{"same", make(2, 1i), 0},
		{"within", make(2*(1+5e-10), 1i*(1+5e-10)), 0},
		{"number", make(2*(1+2e-9), 1i), 1},
		{"small value of a curve", make(2, 1i+2e-9), 1},
		{"not a number", make(math.NaN(), complex(math.NaN(), 0)), 2},
		{"missing", Recording{}, 2},
	} {
		if _, lines := Differences(c.got, base); len(lines) != c.lines {
			t.Errorf("%s: %q, want %d lines", c.name, lines, c.lines)
		}
	}
}

func TestReadRefusesIncompleteOutput(t *testing.T) {
	d := &Deck{hz: 50}
	d.ask("volts", "v(in)")
	d.ask("current", "i(V1)")
	good := "noise\nv(in) = 1.5e+00,-2e-01\ni(v1) = 0.1,0.2\n"
	answers, err := d.Read(good)
	if err != nil || answers["volts"] != 1.5-0.2i || answers["current"] != 0.1+0.2i {
		t.Errorf("got %v, %v", answers, err)
	}
	for _, output := range []string{"", "v(in) = 1,2\n", "v(in) = 1\ni(v1) = 1,2\n", "i(v1) = 1,2\nv(in) = 1,2\n"} {
		if answers, err := d.Read(output); err == nil {
			t.Errorf("%q: got %v, want an error", output, answers)
		}
	}
}
