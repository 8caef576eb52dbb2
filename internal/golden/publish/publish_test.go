package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
)

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The vectors are those of the rows as they stand. The page needs the tests of all
// packages, so the program itself checks it.
func TestVectorsAreFresh(t *testing.T) {
	module := os.DirFS("../../..")
	files, err := golden.Files(module)
	if err != nil {
		t.Fatal(err)
	}
	definitions, err := golden.Definitions(module)
	if err != nil {
		t.Fatal(err)
	}
	want, err := vectors(files, definitions)
	if err != nil {
		t.Fatal(err)
	}
	if err := compare(filepath.Join("..", "vectors.json"), want); err != nil {
		t.Error(err)
	}
}

const head = "id,calculation,inputs,value,unit,tolerance,source,known,note\n"

// An invented calculation of two rows.
func example(t *testing.T, text string) ([]golden.File, []golden.Definition) {
	t.Helper()
	rows, err := golden.Parse("f.csv", head+text)
	if err != nil {
		t.Fatal(err)
	}
	return []golden.File{{Package: "box", Name: "f.csv", Rows: rows}},
		[]golden.Definition{{Package: "box", Calculation: "x", Computes: []string{"box.X"}, Units: []string{"m", "dB"}, Text: "X & Y < Z."}}
}

func TestVectorsHoldTheRow(t *testing.T) {
	files, definitions := example(t, "a,x,fs=33.0 Hz;ends=free;q=2,2.50,m,,Someone 1900,read,\nb,x,,1e-3,m,1e-9 rel,Someone 1900,derived,why\n")
	text, err := vectors(files, definitions)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"inputs":{"fs":{"value":"33.0","unit":"Hz"},"ends":{"word":"free"},"q":{"value":"2","unit":"1"}},"value":"2.50","unit":"m","tolerance":{"kind":"absolute","value":"0.005"},"source":"Someone 1900","known":"read"}`,
		`"inputs":{},"value":"1e-3","unit":"m","tolerance":{"kind":"relative","value":"1e-09"},"source":"Someone 1900","known":"derived","note":"why"}`,
		`"definition":"X & Y < Z."`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}
	if !json.Valid([]byte(text)) {
		t.Error("no JSON")
	}
}

func TestAccuracy(t *testing.T) {
	files, definitions := example(t, "a,x,,2.50,m,,Someone 1900,from memory,\nb,x,,4,m,,Another 1901,derived,\nc,x,,1e-6,dB,1e-9 abs,Another 1901,derived,\n")
	roads := []golden.Road{{Symbol: "box.X", Tests: []string{"TestX", "TestY"}}, {Symbol: "box.Y", Tests: []string{"TestY"}, Reason: "no print exists"}}
	records := []golden.Record{
		{Package: "box", File: "f.csv", ID: "a", Calculation: "x", Deviation: 0.0025, Allowed: 0.005},
		{Package: "box", File: "f.csv", ID: "a", Calculation: "x", Deviation: 0.001, Allowed: 0.005},
		{Package: "box", File: "f.csv", ID: "b", Calculation: "x", Deviation: 1e-12, Allowed: 0.5},
	}
	if _, err := accuracy(files, definitions, roads, records); err == nil || !strings.Contains(err.Error(), "box/testdata/f.csv: c: x") {
		t.Errorf("a row that was not checked: error %v", err)
	}
	records = append(records, golden.Record{Package: "box", File: "f.csv", ID: "c", Calculation: "x", Deviation: 9e-13, Allowed: 1e-9})
	text, err := accuracy(files, definitions, roads, records)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"3 rows of 1 calculations: 1 from memory, 2 derived.",
		"| x | box.X | 1 from memory, 2 derived | 2.5e-03 m | 1.0e-03 | 50 % | 1, 2 |\n",
		"No print that was read stands behind these, only memory of one (and derivation): x.",
		"1. Someone 1900\n2. Another 1901\n",
		"| box.X | TestX, TestY | above |\n| box.Y | TestY | no print exists |\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

func TestCompare(t *testing.T) {
	name := filepath.Join(t.TempDir(), "f")
	if err := os.WriteFile(name, []byte("one\ntwo\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := compare(name, "one\ntwo\n"); err != nil {
		t.Error(err)
	}
	for _, want := range []string{"one\nzwei\n", "one\n", "one\ntwo\nthree\n"} {
		if err := compare(name, want); err == nil || !strings.Contains(err.Error(), "is stale") {
			t.Errorf("%q: error %v", want, err)
		}
	}
}
