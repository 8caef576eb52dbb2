package claims

import (
	"fmt"
	"reflect"
	"strings"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Capability is something that claims can be made of.
type Capability struct {
	Name, Doc string
	Inputs    []Input
	Outputs   []Output

	input reflect.Type
}

// An Input is something that a case gives.
type Input struct {
	Name     string
	Kind     string // of the quantity, or what else it is
	Doc      string // may be empty
	Optional bool
	Choices  []string // the words it may be; nil: any
}

// An Output is something that can be claimed.
type Output struct {
	Name, Doc string
	Unit      string // of results where the claim's own does not serve; empty for none
	Word      bool   // a word rather than a number
	Phase     bool   // also a phase
	Of        string // what a claim must name besides, as "part"; empty for nothing
	At        string // what it is a function of: frequency, time, angle; empty for nothing

	kind    kind
	at      kind
	compute func(input any, q query) ([]complex128, error)
	word    func(input any, q query) (string, error)
}

// A query is what a claim asks of an output besides its name.
type query struct {
	of string
	at []float64 // SI
}

// define makes a capability of a struct of inputs and functions of it.
func define[I any](name, doc string, outputs ...Output) Capability {
	t := reflect.TypeFor[I]()
	c := Capability{Name: name, Doc: doc, Outputs: outputs, input: t}
	for _, f := range fieldsOf(t) {
		c.Inputs = append(c.Inputs, Input{f.name, kindOf(f.Type), f.Tag.Get("doc"), f.optional, f.choices})
	}
	return c
}

type number interface{ ~float64 | ~int }

func outputOf[Q number](name, doc string) Output {
	k := kinds[reflect.TypeFor[Q]()]
	if k.parse == nil {
		panic("no kind for " + reflect.TypeFor[Q]().String())
	}
	return Output{Name: name, Doc: doc, kind: k, Unit: k.unit}
}

// value is an output that can fail.
func value[I any, Q number](name, doc string, f func(I) (Q, error)) Output {
	o := outputOf[Q](name, doc)
	o.compute = func(input any, _ query) ([]complex128, error) {
		v, err := f(input.(I))
		return []complex128{complex(float64(v), 0)}, err
	}
	return o
}

// plain is an output that cannot fail.
func plain[I any, Q number](name, doc string, f func(I) Q) Output {
	return value(name, doc, func(x I) (Q, error) { return f(x), nil })
}

// each is an output of something named.
func each[I any, Q number](name, doc, of string, f func(x I, of string) (Q, error)) Output {
	o := outputOf[Q](name, doc)
	o.Of = of
	o.compute = func(input any, q query) ([]complex128, error) {
		v, err := f(input.(I), q.of)
		return []complex128{complex(float64(v), 0)}, err
	}
	return o
}

// along is a function of a frequency, a time or an angle.
func along[X, Q number, I any](name, doc string, f func(x I, at X) (Q, error)) Output {
	return eachAlong[X](name, doc, "", func(x I, _ string, at X) (Q, error) { return f(x, at) })
}

// eachAlong is such a function of something named.
func eachAlong[X, Q number, I any](name, doc, of string, f func(x I, of string, at X) (Q, error)) Output {
	o := outputOf[Q](name, doc)
	o.Of = of
	o.at = kinds[reflect.TypeFor[X]()]
	o.At = o.at.name
	o.compute = func(input any, q query) ([]complex128, error) {
		dst := make([]complex128, len(q.at))
		for i, at := range q.at {
			v, err := f(input.(I), q.of, X(at))
			if err != nil {
				return nil, err
			}
			dst[i] = complex(float64(v), 0)
		}
		return dst, nil
	}
	return o
}

// curve is a complex function of frequency: a level re 1 if Q is decibels, else a
// modulus; and a phase.
func curve[Q number, I any](name, doc string, f func(x I, hz []float64) ([]complex128, error)) Output {
	return eachCurve[Q](name, doc, "", func(x I, _ string, hz []float64) ([]complex128, error) { return f(x, hz) })
}

// eachCurve is such a function of something named.
func eachCurve[Q number, I any](name, doc, of string, f func(x I, of string, hz []float64) ([]complex128, error)) Output {
	o := outputOf[Q](name, doc)
	o.Phase = true
	o.Of = of
	o.at = kinds[reflect.TypeFor[units.Frequency]()]
	o.At = o.at.name
	o.compute = func(input any, q query) ([]complex128, error) { return f(input.(I), q.of, q.at) }
	return o
}

// word is an output in words.
func word[I any](name, doc string, f func(I) (string, error)) Output {
	return Output{Name: name, Doc: doc, Word: true, word: func(input any, _ query) (string, error) { return f(input.(I)) }}
}

// A medium is embedded in inputs that need the air.
type medium struct{ air air.Air }

func (m *medium) setAir(a air.Air) { m.air = a }

type field struct {
	reflect.StructField
	index    []int
	name     string
	optional bool
	choices  []string
}

// fieldsOf returns the inputs of a struct, those of embedded ones among them.
func fieldsOf(t reflect.Type) []field {
	var all []field
	for _, f := range reflect.VisibleFields(t) {
		tag, ok := f.Tag.Lookup("in")
		if !ok {
			continue
		}
		name, rest, _ := strings.Cut(tag, ",")
		var choices []string
		if c := f.Tag.Get("choice"); c != "" {
			choices = strings.Split(c, "|")
		}
		all = append(all, field{f, f.Index, name, rest == "optional", choices})
	}
	return all
}

// kindOf says in words what an input of a type is.
func kindOf(t reflect.Type) string {
	if k, ok := kinds[t]; ok {
		if t.Kind() == reflect.Int {
			return "whole number"
		}
		return k.name
	}
	switch {
	case t.Kind() == reflect.Slice:
		return "list of " + kindOf(t.Elem())
	case t.Kind() == reflect.Pointer:
		return kindOf(t.Elem())
	case t == reflect.TypeFor[table]():
		return "table file"
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.Struct:
		var names []string
		for _, f := range fieldsOf(t) {
			names = append(names, f.name)
		}
		return "object of " + strings.Join(names, ", ")
	}
	return "text"
}

// All returns the capabilities, in the order of the packages.
func All() []Capability { return all }

// Find returns a capability by its name, or says that there is none and what is near.
func Find(name string) (c Capability, problem string) {
	var names []string
	for _, c := range all {
		if c.Name == name {
			return c, ""
		}
		names = append(names, c.Name)
	}
	return Capability{}, unknown("capability", name, names)
}

var all = func() []Capability {
	var all []Capability
	seen := map[string]bool{}
	for _, group := range [][]Capability{
		airs, drivers, boxes, alignments, panels, cabinets, vents,
		filters, pairs, functions, networks, coils, shelves, speakers, curves,
	} {
		for _, c := range group {
			if seen[c.Name] {
				panic(fmt.Sprintf("capability %q is defined twice", c.Name))
			}
			seen[c.Name] = true
			all = append(all, c)
		}
	}
	return all
}()
