package project

import (
	"errors"
	"example.com/halfspace/examples/internal/tomlfile"
	"reflect"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
)

// FuzzDecode holds that nothing panics, that every refusal has a place, and that
// what is accepted has only keys of the project and units on all quantities: read
// once more without any types, and compared with them key by key.
func FuzzDecode(f *testing.F) {
	f.Add(demoText(f))
	for _, text := range []string{
		"", "speakers = 2", "speakers = 2.0", "speakers = 99999999999999999999", "[box]\nvolume = 25", "box.volume = '25 L'\n", "[box]\n[box]",
		"cabinet.profile = [{x = '1 m'}, {x = 2}]", "[[cabinet.inside]]\nvolume = '1 L'\n[cabinet.inside.more]", "[air]\ntemperature = 20",
		"woofer = 1979-05-27", "woofer.sheet.eta0 = true", "woofer.sheet.eta0 = 0.4", "[vent.vent]\nlength = '1 m'", "vent.vent.length = '1 m'",
		"name = \"\\uD800\"", "name = '''\n'''", "play.ear = '1e999 m'", "x.y.z = 1", "rules.partkinds = [[1]]", "= 1", "\"\" = 1", "[]", "\xff", "a", "box = 1\r",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var p Project
		if err := decode([]byte(text), &p); err != nil {
			var at *tomlfile.Error
			if !errors.As(err, &at) || at.Line < 1 || at.Column < 1 || at.Text == "" {
				t.Fatalf("no place: %v", err)
			}
			return
		}
		var plain map[string]any
		if err := toml.Unmarshal([]byte(text), &plain); err != nil {
			t.Fatalf("accepted, but no TOML: %v", err)
		}
		fits(t, "", plain, reflect.TypeFor[Project]())
		p.Check()                                      // may refuse, must not panic
		tomlfile.Find([]byte(text), "woofer.sheet.zn") // likewise
		blame("f", []byte(text), nil, p.Check())       // likewise
	})
}

// fits compares a plain value with the type that it was decoded to.
func fits(t *testing.T, key string, value any, typ reflect.Type) {
	if typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	if tomlfile.IsText(typ) {
		if _, ok := value.(string); !ok {
			t.Fatalf("%s: %v accepted for %v", key, value, typ)
		}
		return
	}
	switch v := value.(type) {
	case map[string]any:
		if typ.Kind() == reflect.Slice {
			typ = typ.Elem()
		}
		for k, x := range v {
			f, ok := typ.FieldByNameFunc(func(n string) bool { return strings.EqualFold(n, k) })
			if !ok || f.Anonymous {
				t.Fatalf("unknown key %s.%s accepted", key, k)
			}
			fits(t, key+"."+k, x, f.Type)
		}
	case []any:
		for _, x := range v {
			fits(t, key+"[]", x, typ.Elem())
		}
	}
}

// FuzzSetting holds that nothing panics, that refusals are one line, and that a
// setting changes no other table.
func FuzzSetting(f *testing.F) {
	for _, s := range []string{
		"box.volume=24L", "box.volume=24 L", `box.volume="24 L"`, "box.volume=24", "box.volume=", "=", "", "box.volume", "speakers=2", "rules.moneyfor=[\"wood\"]",
		`box={volume="3 L"}`, "box.volume=24L # less", "box.volume=24\x00L", "[box]=1", "box.volume=\"24 L", "'box'.volume=24L", "woofer.sheet.qms=nan", "box.ql=0x1p3", "name=\x7f",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, set string) {
		before := Project{Speakers: 2, Woofer: Driver{Name: "kept"}}
		p := before
		if err := apply(set, &p); err != nil {
			if strings.ContainsAny(err.Error(), "\n\r") {
				t.Fatalf("more than one line: %q", err)
			}
			return
		}
		key, _, _ := strings.Cut(set, "=")
		table, _, _ := strings.Cut(strings.Trim(strings.TrimSpace(key), `"'`), ".")
		table = strings.Trim(strings.TrimSpace(table), `"'`)
		a, b := reflect.ValueOf(before), reflect.ValueOf(p)
		for i := range a.NumField() {
			if !strings.EqualFold(a.Type().Field(i).Name, table) && !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) {
				t.Fatalf("%q changed %s", set, a.Type().Field(i).Name)
			}
		}
	})
}
