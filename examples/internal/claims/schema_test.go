package claims

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the schema anew")

const schemaFile = "../../verify/claims.schema.json"

// The schema that is checked in is that of the capabilities.
func TestSchema(t *testing.T) {
	got, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(schemaFile, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s is stale: run with -update and look at the difference", schemaFile)
	}
}

// A schema checks against what of JSON Schema 2020-12 the file uses, and panics on any
// other keyword.
type schema struct{ root map[string]any }

func (s schema) holds(r map[string]any, v any) error {
	for keyword, want := range r {
		if err := s.keyword(r, keyword, want, v); err != nil {
			return fmt.Errorf("%s: %w", keyword, err)
		}
	}
	return nil
}

func (s schema) keyword(r map[string]any, keyword string, want, v any) error {
	object, _ := v.(map[string]any)
	array, _ := v.([]any)
	bad := fmt.Errorf("%.60v: want %.60v", v, want)
	ok := true
	switch keyword {
	case "$schema", "title", "description", "$defs", "properties":
	case "$ref":
		return s.holds(s.root["$defs"].(map[string]any)[strings.TrimPrefix(want.(string), "#/$defs/")].(map[string]any), v)
	case "type":
		is := map[string]reflect.Kind{"object": reflect.Map, "array": reflect.Slice, "string": reflect.String, "number": reflect.Float64, "boolean": reflect.Bool}
		types, several := want.([]any)
		if !several {
			types = []any{want}
		}
		ok = slices.ContainsFunc(types, func(t any) bool { return v != nil && reflect.TypeOf(v).Kind() == is[t.(string)] })
	case "const":
		ok = v == want
	case "enum":
		ok = slices.Contains(want.([]any), v)
	case "required":
		for _, name := range want.([]any) {
			if _, has := object[name.(string)]; !has {
				return fmt.Errorf("%v is missing", name)
			}
		}
	case "additionalProperties":
		known := r["properties"].(map[string]any)
		for name, value := range object {
			below, is := known[name].(map[string]any)
			if !is {
				return fmt.Errorf("%q", name)
			}
			if err := s.holds(below, value); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
	case "items":
		for i, value := range array {
			if err := s.holds(want.(map[string]any), value); err != nil {
				return fmt.Errorf("%d: %w", i, err)
			}
		}
	case "minItems":
		ok = float64(len(array)) >= want.(float64)
	case "minLength":
		ok = v != ""
	case "oneOf":
		n := 0
		for _, r := range want.([]any) {
			if s.holds(r.(map[string]any), v) == nil {
				n++
			}
		}
		ok = n == 1
	default:
		panic("keyword " + keyword)
	}
	if !ok {
		return bad
	}
	return nil
}

// Claim files satisfy the schema, and others do not.
func TestClaimFilesSatisfySchema(t *testing.T) {
	text, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	var s schema
	if err := json.Unmarshal(text, &s.root); err != nil {
		t.Fatal(err)
	}
	check := func(text string) error {
		var v any
		if err := json.Unmarshal([]byte(text), &v); err != nil {
			t.Fatal(err)
		}
		return s.holds(s.root, v)
	}
	for name, text := range claimFiles(t) {
		if err := check(string(text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	right := one(good, `{"output": "fc", "value": "55.3 Hz"}`)
	if err := check(right); err != nil {
		t.Fatal(err)
	}
	for old, bad := range map[string]string{
		`"title"`: `"titel"`, `"closed box"`: `"vented"`, `"Vas"`: `"vas"`, `"60 L"`: `true`, `"fc"`: `"fcc"`, `"value"`: `"values"`,
		`"id": "a",`: ``, `[{"output"`: `[], "claim": [{"output"`,
	} {
		if text := strings.Replace(right, old, bad, 1); text == right || check(text) == nil {
			t.Errorf("%s instead of %s: accepted", bad, old)
		}
	}
}
