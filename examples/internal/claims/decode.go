package claims

import (
	"encoding"
	"encoding/json"
	"io/fs"
	"math"
	"reflect"
	"slices"
	"strings"
)

// loader is an input that needs more than its text: a file.
type loader interface {
	load(n *node, files fs.FS) error
}

// decode reads an object into the struct v, strictly.
func decode(n *node, v reflect.Value, files fs.FS) error {
	members, ok := n.value.([]member)
	if !ok {
		return n.errorf("%s: want an object", n.show())
	}
	fields := fieldsOf(v.Type())
	given := map[string]bool{}
	for _, m := range members {
		i := slices.IndexFunc(fields, func(f field) bool { return f.name == m.name })
		if i < 0 {
			var names []string
			for _, f := range fields {
				names = append(names, f.name)
			}
			return m.errorf("%s", unknown("input", m.name, names))
		}
		given[m.name] = true
		if err := decodeValue(m.node, v.FieldByIndex(fields[i].index), fields[i].choices, files); err != nil {
			return err
		}
	}
	for _, f := range fields {
		if !f.optional && !given[f.name] {
			return n.errorf("%s is not given", f.name)
		}
	}
	if l, ok := v.Addr().Interface().(loader); ok {
		return l.load(n, files)
	}
	return nil
}

func decodeValue(n *node, v reflect.Value, choices []string, files fs.FS) error {
	if raw, ok := v.Addr().Interface().(*rawNode); ok {
		raw.node = n
		return nil
	}
	if k, ok := kinds[v.Type()]; ok {
		x, err := quantity(n, k)
		if err != nil {
			return err
		}
		if v.Kind() == reflect.Int {
			if x != math.Trunc(x) || math.Abs(x) > 1e6 {
				return n.errorf("%s: want a whole number up to a million", n.show())
			}
			v.SetInt(int64(x))
			return nil
		}
		v.SetFloat(x)
		return nil
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		text, ok := n.value.(string)
		if !ok {
			return n.errorf("%s: want a text", n.show())
		}
		if err := u.UnmarshalText([]byte(text)); err != nil {
			return n.errorf("%s", quoteLines(err.Error()))
		}
		return nil
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		return decodeValue(n, v.Elem(), choices, files)
	case reflect.Bool:
		b, ok := n.value.(bool)
		if !ok {
			return n.errorf("%s: want true or false", n.show())
		}
		v.SetBool(b)
	case reflect.String:
		text, ok := n.value.(string)
		if !ok {
			return n.errorf("%s: want a text", n.show())
		}
		if choices != nil && !slices.Contains(choices, text) {
			return n.errorf("%s: want %s", n.show(), strings.Join(choices, ", "))
		}
		v.SetString(text)
	case reflect.Slice:
		items, ok := n.value.([]*node)
		if !ok {
			return n.errorf("%s: want a list", n.show())
		}
		most := maxItems
		if v.Type().Elem() == reflect.TypeFor[rawNode]() {
			most = MaxClaims
		}
		if len(items) > most {
			return n.errorf("a list of %d: at most %d", len(items), most)
		}
		v.Set(reflect.MakeSlice(v.Type(), len(items), len(items)))
		for i, item := range items {
			if err := decodeValue(item, v.Index(i), choices, files); err != nil {
				return err
			}
		}
	case reflect.Struct:
		return decode(n, v, files)
	default:
		panic("no way to read a " + v.Type().String())
	}
	return nil
}

// quantity reads a text with its unit, or a number of what has no unit; the result is
// finite.
func quantity(n *node, k kind) (float64, error) {
	var text string
	switch v := n.value.(type) {
	case string:
		text = v
	case json.Number:
		if k.unit != "" {
			return 0, n.errorf("%s: a %s has a unit: write it as a text, %q", n.show(), k.name, v.String()+" "+k.unit)
		}
		text = v.String()
	default:
		return 0, n.errorf("%s: want a %s", n.show(), k.name)
	}
	x, err := k.parse(text)
	if err != nil {
		return 0, n.errorf("%s is no %s: %s", n.show(), k.name, quoteless(err.Error()))
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, n.errorf("%s: must be finite", n.show())
	}
	return x, nil
}

// quoteLines makes one line of a message.
func quoteLines(s string) string { return strings.Join(strings.Fields(s), " ") }
