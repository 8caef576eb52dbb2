package claims

import (
	"bytes"
	"encoding"
	"encoding/json"
	"reflect"
)

type rule = map[string]any

// Schema returns the JSON Schema (2020-12) of claims files, with the inputs and outputs
// of every capability, so that editors complete them.
func Schema() ([]byte, error) {
	var cases []any
	for _, c := range all {
		var outputs []string
		for _, o := range c.Outputs {
			outputs = append(outputs, o.Name)
		}
		claim := strict([]string{"output"}, rule{
			"output": rule{"enum": outputs}, "of": ref("text"), "at": ref("quantity"), "value": ref("quantity"),
			"tolerance": ref("quantity"), "phase tolerance": ref("quantity"), "table": ref("table"), "note": ref("text"),
		})
		r := strict([]string{"id", "capability", "inputs", "claims"}, rule{
			"id": ref("text"), "question": ref("text"), "air": ref("air"),
			"capability": rule{"const": c.Name}, "inputs": inputsOf(c.input),
			"claims": rule{"type": "array", "minItems": 1, "items": claim},
		})
		r["description"] = c.Doc
		cases = append(cases, r)
	}
	root := strict([]string{"title", "cases"}, rule{
		"$schema": ref("text"), "title": ref("text"), "air": ref("air"),
		"cases": rule{"type": "array", "minItems": 1, "items": rule{"oneOf": cases}},
	})
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["title"] = "Claims of a program about a loudspeaker"
	root["description"] = "What another program computed, for examples/verify to compute again. Quantities are texts with their units; what has no unit may be a number."
	root["$defs"] = rule{
		"text":     rule{"type": "string", "minLength": 1},
		"quantity": rule{"description": "A number with its unit, as 41.2 Hz; without one where there is none.", "type": []string{"string", "number"}},
		"air":      strict([]string{"density", "speed of sound"}, rule{"density": ref("quantity"), "speed of sound": ref("quantity")}),
		"table": strict([]string{"file", "at"}, rule{
			"file": ref("text"), "at": ref("text"), "value": ref("text"), "unit": ref("text"), "phase": ref("text"), "from": ref("quantity"), "to": ref("quantity"),
		}),
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	err := e.Encode(root)
	return b.Bytes(), err
}

func ref(name string) rule { return rule{"$ref": "#/$defs/" + name} }

// strict is an object that has nothing but these properties.
func strict(required []string, properties rule) rule {
	r := rule{"type": "object", "additionalProperties": false, "properties": properties}
	if len(required) > 0 {
		r["required"] = required
	}
	return r
}

// inputsOf is an object of the inputs of a struct.
func inputsOf(t reflect.Type) rule {
	properties := rule{}
	var required []string
	for _, f := range fieldsOf(t) {
		r := schemaOf(f.Type)
		if f.choices != nil {
			r = rule{"enum": f.choices}
		}
		description := kindOf(f.Type)
		if doc := f.Tag.Get("doc"); doc != "" {
			description += "; " + doc
		}
		r["description"] = description
		properties[f.name] = r
		if !f.optional {
			required = append(required, f.name)
		}
	}
	return strict(required, properties)
}

func schemaOf(t reflect.Type) rule {
	if _, ok := kinds[t]; ok {
		return ref("quantity")
	}
	switch {
	case reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return ref("text")
	case t.Kind() == reflect.Pointer:
		return schemaOf(t.Elem())
	case t.Kind() == reflect.Slice:
		return rule{"type": "array", "items": schemaOf(t.Elem())}
	case t.Kind() == reflect.Struct:
		return inputsOf(t)
	case t.Kind() == reflect.Bool:
		return rule{"type": "boolean"}
	}
	return ref("text")
}
