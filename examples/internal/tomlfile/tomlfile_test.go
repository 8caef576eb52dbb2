package tomlfile

import (
	"errors"
	"reflect"
	"testing"

	"example.com/halfspace/units"
)

// A file of another program is known by its keys.
func TestOtherProgram(t *testing.T) {
	type part struct{ Name string }
	type bench struct {
		Name  string
		Curve []part
	}
	type list struct {
		Project string
		Woofer  []part
	}
	type speaker struct {
		Name     string
		Speakers int
		Woofer   part
		Box      part
	}
	var b bench
	var l list
	var s speaker
	for _, c := range []struct {
		got  error
		want string
	}{
		{Decode([]byte("speakers = 2\n[woofer]\n[box]\n"), &b), "1:1: unknown key speakers: want one of name, curve; this looks like a project of twoway, which is another program"},
		{Decode([]byte("speakers = 2\n[woofer]\n[box]\n"), &l), "1:1: unknown key speakers: want one of project, woofer; this looks like a project of twoway, which is another program"},
		{Decode([]byte("driver = 'woofer'\n[[curve]]\n"), &s), "1:1: unknown key driver: want one of name, speakers, woofer, box; this looks like a project of impedance, which is another program"},
		{Decode([]byte("project = 'a.toml'\n[[woofer]]\nname = 'a'\n"), &s), "2:3: [[woofer]]: want one table, [woofer], no list of tables; this looks like a list of candidates of pairing, which is another program"},
		{Decode([]byte("spekers = 2\n"), &s), "1:1: unknown key spekers: want one of name, speakers, woofer, box; did you mean speakers?"},
		// One key of another program alone is a slip.
		{Decode([]byte("curve = 2\n"), &s), "1:1: unknown key curve: want one of name, speakers, woofer, box"},
		{Decode([]byte("woofer.name.first = 'a'\n"), &s), "1:13: unknown key woofer.name.first: want no keys below it"},
	} {
		var at *Error
		if !errors.As(c.got, &at) || c.got.Error() != c.want {
			t.Errorf("got  %v\nwant %s", c.got, c.want)
		}
	}
}

// The example of a quantity has its unit, and reads back.
func TestAmounts(t *testing.T) {
	for q, sample := range handy {
		for _, given := range []string{"", "x", "70", "5,8"} {
			if got := amounts(q, given); got == "" || given == "" && got != `"`+sample+`"` {
				t.Errorf("%v, %q: %s", q, given, got)
			}
		}
	}
	for _, c := range []struct{ given, want string }{
		{"70", `"70 mm"`}, {"5,8", `"5.8 mm" or "5.8 m"`}, {"70mm", `"70mm"`}, {"70 kg", `"70 mm"`}, {"-3", `"-3 mm" or "-3 m"`},
	} {
		if got := amounts(reflect.TypeFor[units.Length](), c.given); got != c.want {
			t.Errorf("%s: got %s, want %s", c.given, got, c.want)
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, text := range []string{"name = “x”", "name = \"x", "a = 4,68", "[box]\nname = 1 2", "name: 3", "= 1", "\u00a0= 1", "name", "[woofer.", "woofer = {name = 1,5}"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var s struct {
			Name   string
			Size   units.Length
			Count  int
			Ratio  float64
			Woofer []struct{ Name string }
			Box    *struct{ Name string }
		}
		if err := Decode([]byte(text), &s); err != nil {
			var at *Error
			if !errors.As(err, &at) || at.Line < 1 || at.Column < 1 || at.Text == "" {
				t.Fatalf("no place: %v", err)
			}
			for _, r := range at.Text {
				if r == '\n' || r == '\r' {
					t.Fatalf("more than one line: %q", at.Text)
				}
			}
		}
	})
}
