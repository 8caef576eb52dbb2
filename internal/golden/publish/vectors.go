package main

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"example.com/halfspace/internal/golden"
)

// What vectors.json holds; vectors.schema.json describes it.
type (
	calculation struct {
		Package     string   `json:"package"`
		Calculation string   `json:"calculation"`
		Computes    []string `json:"computes"`
		Units       []string `json:"units"`
		Definition  string   `json:"definition"`
	}
	row struct {
		Package     string    `json:"package"`
		File        string    `json:"file"`
		ID          string    `json:"id"`
		Calculation string    `json:"calculation"`
		Inputs      inputs    `json:"inputs"`
		Value       string    `json:"value"`
		Unit        string    `json:"unit"`
		Tolerance   tolerance `json:"tolerance"`
		Source      string    `json:"source"`
		Known       string    `json:"known"`
		Note        string    `json:"note,omitempty"`
	}
	tolerance struct {
		Kind  string `json:"kind"`
		Value string `json:"value"`
	}
	quantity struct {
		Value string `json:"value"`
		Unit  string `json:"unit"`
	}
	word struct {
		Word string `json:"word"`
	}
)

// inputs is an object in the order of the row.
type inputs []golden.Input

func (in inputs) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteByte('{')
	for i, input := range in {
		if i > 0 {
			out.WriteByte(',')
		}
		name, err := line(input.Name)
		if err != nil {
			return nil, err
		}
		var value string
		if input.Unit == "" {
			value, err = line(word{input.Value})
		} else {
			value, err = line(quantity{input.Value, input.Unit})
		}
		if err != nil {
			return nil, err
		}
		out.WriteString(name + ":" + value)
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}

// line is JSON on one line, with < and & as they are.
func line(v any) (string, error) {
	var out strings.Builder
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	err := e.Encode(v)
	return strings.TrimSuffix(out.String(), "\n"), err
}

// vectors returns the text of vectors.json: one calculation, one row to a line.
func vectors(files []golden.File, definitions []golden.Definition) (string, error) {
	var calculations, rows []string
	for _, d := range definitions {
		text, err := line(calculation{d.Package, d.Calculation, d.Computes, d.Units, d.Text})
		if err != nil {
			return "", err
		}
		calculations = append(calculations, text)
	}
	for _, f := range files {
		for _, r := range f.Rows {
			limit, relative := r.Tolerance()
			kind := "absolute"
			if relative {
				kind = "relative"
			}
			text, err := line(row{
				f.Package, f.Name, r.ID, r.Calculation, inputs(r.Inputs()), string(r.Value), r.Unit,
				tolerance{kind, strconv.FormatFloat(limit, 'g', -1, 64)}, r.Source, r.Known, r.Note,
			})
			if err != nil {
				return "", err
			}
			rows = append(rows, text)
		}
	}
	const sep = ",\n    "
	return "{\n  \"$schema\": \"vectors.schema.json\",\n  \"version\": 1,\n  \"calculations\": [\n    " + strings.Join(calculations, sep) +
		"\n  ],\n  \"rows\": [\n    " + strings.Join(rows, sep) + "\n  ]\n}\n", nil
}
