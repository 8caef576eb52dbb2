package nearest

import "testing"

func TestNames(t *testing.T) {
	names := []string{"closed box", "vented box", "Vas", "Vb", "Qts", "frequency of the peak"}
	for name, want := range map[string]string{"closedbox": "closed box", "vas": "Vas", "Qtx": "Qts", "peak": "frequency of the peak", "vented bx": "vented box", "Qst": "Qts"} {
		if near := Names(name, names); len(near) == 0 || near[0] != want {
			t.Errorf("%s: %v", name, near)
		}
	}
	if near := Names("zzzzzz", names); near != nil {
		t.Error(near)
	}
	for _, e := range []struct {
		a, b string
		n    int
	}{{"", "", 0}, {"abc", "abc", 0}, {"abc", "acb", 1}, {"qse", "qes", 1}, {"abcd", "badc", 2}, {"kitten", "sitting", 3}, {"Ω", "", 1}, {"", "abc", 3}} {
		if got := edits(e.a, e.b); got != e.n {
			t.Errorf("%q, %q: %d", e.a, e.b, got)
		}
	}
}
