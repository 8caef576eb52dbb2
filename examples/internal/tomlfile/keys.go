package tomlfile

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"example.com/halfspace/examples/internal/nearest"
)

// unknownKey says what a table takes instead of a key, and what was probably meant.
func unknownKey(text []byte, root reflect.Type, key []string) string {
	said := "unknown key " + strings.Join(key, ".")
	names := keys(typeAt(root, key[:len(key)-1]))
	if names == nil {
		return said + ": want no keys below it"
	}
	said += ": want one of " + strings.Join(names, ", ")
	last := key[len(key)-1]
	meant := nearest.Names(last, names)
	if len(key) == 1 {
		if other := lookalike(text, root); other != "" {
			return said + "; " + other
		}
		if len(meant) == 0 || !strings.EqualFold(meant[0], last) {
			if deep := below(root, last); deep != nil {
				meant = deep
			}
		}
	}
	if len(meant) > 0 {
		said += "; did you mean " + strings.Join(meant, " or ") + "?"
	}
	return said
}

// keys lists what a table takes, nil if it is none.
func keys(t reflect.Type) []string {
	t = element(t)
	if t.Kind() != reflect.Struct || IsText(t) {
		return nil
	}
	var names []string
	for _, f := range reflect.VisibleFields(t) {
		if !f.Anonymous && f.IsExported() {
			names = append(names, strings.ToLower(f.Name))
		}
	}
	return names
}

// element returns what a list or a pointer is of.
func element(t reflect.Type) reflect.Type {
	for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t
}

// below lists up to three keys of that name within the tables of a root, those in what
// the speaker is before those in its limits.
func below(root reflect.Type, name string) []string {
	var found, limits []string
	for _, table := range keys(root) {
		t := typeAt(root, []string{table})
		if t.Kind() == reflect.Slice || !slices.Contains(keys(t), strings.ToLower(name)) {
			continue
		}
		if full := table + "." + strings.ToLower(name); table == "rules" {
			limits = append(limits, full)
		} else {
			found = append(found, full)
		}
	}
	found = append(found, limits...)
	return found[:min(3, len(found))]
}

// kinds tells the files of the programs apart by keys that only one of them has.
var kinds = []struct {
	what  string
	marks []string
	least int
}{
	{"a project of twoway", []string{"speakers", "rules", "box", "crossover", "cabinet", "play"}, 2},
	{"a project of impedance", []string{"curve"}, 1},
	{"a list of candidates of pairing", []string{"project"}, 1},
}

// lookalike says that a text looks like the file of another program, if it does.
func lookalike(text []byte, root reflect.Type) string {
	known := keys(root)
	top := map[string]bool{}
	walk(text, func(path string, _ *unstable.Node, _ place) bool {
		first, _, _ := strings.Cut(path, ".")
		top[strings.ToLower(first)] = true
		return true
	})
	for _, k := range kinds {
		n := 0
		for _, m := range k.marks {
			if top[m] && !slices.Contains(known, m) {
				n++
			}
		}
		if n >= k.least && len(top) > 1 {
			return fmt.Sprintf("this looks like %s, which is another program", k.what)
		}
	}
	return ""
}
