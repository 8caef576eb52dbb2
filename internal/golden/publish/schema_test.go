package main

import (
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// A schema checks values against the part of JSON Schema 2020-12 that
// vectors.schema.json uses, and panics on any other keyword.
type schema struct {
	root     map[string]any
	patterns map[string]*regexp.Regexp
}

// check returns what is wrong with v at a place, or nothing.
func (s schema) check(rule map[string]any, v any, at string) error {
	for keyword, want := range rule {
		if err := s.keyword(rule, keyword, want, v, at); err != nil {
			return err
		}
	}
	return nil
}

func (s schema) keyword(rule map[string]any, keyword string, want, v any, at string) error {
	object, _ := v.(map[string]any)
	array, _ := v.([]any)
	text, isText := v.(string)
	switch keyword {
	case "$schema", "title", "description", "$defs", "properties":
		// Properties are checked beside additionalProperties, which every object has.
	case "$ref":
		defs := s.root["$defs"].(map[string]any)
		return s.check(defs[strings.TrimPrefix(want.(string), "#/$defs/")].(map[string]any), v, at)
	case "type":
		if is := map[string]bool{"object": object != nil, "array": array != nil, "string": isText}; !is[want.(string)] {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "const":
		if !reflect.DeepEqual(v, want) {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "enum":
		if !slices.ContainsFunc(want.([]any), func(w any) bool { return reflect.DeepEqual(v, w) }) {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "required":
		for _, name := range want.([]any) {
			if _, ok := object[name.(string)]; !ok {
				return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
			}
		}
	case "additionalProperties":
		known, _ := rule["properties"].(map[string]any)
		for name, value := range object {
			r, ok := known[name].(map[string]any)
			if !ok {
				if r, ok = want.(map[string]any); !ok {
					return fmt.Errorf("%s: %q is not a property", at, name)
				}
			}
			if err := s.check(r, value, at+"."+name); err != nil {
				return err
			}
		}
	case "items":
		for i, value := range array {
			if err := s.check(want.(map[string]any), value, fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
	case "minItems":
		if float64(len(array)) < want.(float64) {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "minLength":
		if float64(utf8.RuneCountInString(text)) < want.(float64) {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "pattern":
		p := want.(string)
		if s.patterns[p] == nil {
			s.patterns[p] = regexp.MustCompile(p)
		}
		if !s.patterns[p].MatchString(text) {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	case "oneOf":
		n := 0
		for _, r := range want.([]any) {
			if s.check(r.(map[string]any), v, at) == nil {
				n++
			}
		}
		if n != 1 {
			return fmt.Errorf("%s: %s %v does not hold", at, keyword, want)
		}
	default:
		panic("keyword " + keyword)
	}
	return nil
}

func readSchema(t *testing.T) schema {
	t.Helper()
	s := schema{patterns: map[string]*regexp.Regexp{}}
	if err := json.Unmarshal([]byte(read(t, "vectors.schema.json")), &s.root); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestVectorsSatisfyTheirSchema(t *testing.T) {
	s := readSchema(t)
	var v any
	if err := json.Unmarshal([]byte(read(t, "vectors.json")), &v); err != nil {
		t.Fatal(err)
	}
	if err := s.check(s.root, v, "vectors"); err != nil {
		t.Error(err)
	}
}

// The check itself must not let everything pass.
func TestSchemaRefuses(t *testing.T) {
	s := readSchema(t)
	const good = `{"$schema":"vectors.schema.json","version":1,
		"calculations":[{"package":"box","calculation":"gain","computes":["box.System.Gain"],"units":["dB"],"definition":"Gain."}],
		"rows":[{"package":"box","file":"vented.csv","id":"a","calculation":"gain","inputs":{"fs":{"value":"33","unit":"Hz"},"kind":{"word":"free"}},
			"value":"-3.01","unit":"dB","tolerance":{"kind":"absolute","value":"0.005"},"source":"Someone 1900","known":"read"}]}`
	check := func(text string) error {
		var v any
		if err := json.Unmarshal([]byte(text), &v); err != nil {
			t.Fatal(err)
		}
		return s.check(s.root, v, "vectors")
	}
	if err := check(good); err != nil {
		t.Fatal(err)
	}
	for old, bad := range map[string]string{
		`"version":1`:              `"version":2`,
		`"computes":["box.`:        `"computes":["Box.`,
		`"units":["dB"]`:           `"units":[]`,
		`"definition":"Gain."`:     `"definition":""`,
		`"unit":"Hz"`:              `"units":"Hz"`,
		`{"word":"free"}`:          `"free"`,
		`"value":"-3.01"`:          `"value":"-3.01 dB"`,
		`"kind":"absolute"`:        `"kind":"wide"`,
		`"known":"read"`:           `"known":"hearsay"`,
		`"source":"Someone 1900",`: ``,
		`"id":"a"`:                 `"id":"a","price":"1"`,
	} {
		if text := strings.Replace(good, old, bad, 1); text == good || check(text) == nil {
			t.Errorf("%s instead of %s: accepted", bad, old)
		}
	}
}
