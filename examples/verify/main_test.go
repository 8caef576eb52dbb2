package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/examples/internal/programtest"
)

func program(args ...string) programtest.Result { return programtest.Run(run, args...) }

// Right claims, wrong ones and published values, as text and as JSON.
func TestSaid(t *testing.T) {
	for name, want := range map[string]int{"closed-box": 0, "closed-box-wrong": 2, "crossovers": 0, "crossovers-wrong": 2} {
		file := filepath.Join(t.TempDir(), "said.json")
		r := program("-claims", "claims/"+name+".json", "-out", file)
		if r.Status != want || r.Errs != "" {
			t.Fatalf("%s: %+v", name, r)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		programtest.Same(t, name+".txt", []byte(r.Out))
		programtest.Same(t, name+".json", data)
	}
}

func TestVectors(t *testing.T) {
	r := program("-vectors", "../../internal/golden/vectors.json")
	if r.Status != 0 || r.Errs != "" || !strings.Contains(r.Out, ", 0 fail; ") {
		t.Errorf("%+v", r)
	}
	// A published value that is off is found.
	data, err := os.ReadFile("../../internal/golden/vectors.json")
	if err != nil {
		t.Fatal(err)
	}
	const old = `"calculation":"f3/fc","inputs":{"Qtc":{"value":"`
	i := bytes.Index(data, []byte(old))
	if i < 0 {
		t.Fatal("no f3/fc")
	}
	bad := filepath.Join(t.TempDir(), "vectors.json")
	if err := os.WriteFile(bad, append(append(bytes.Clone(data[:i+len(old)]), '1'), data[i+len(old):]...), 0o644); err != nil {
		t.Fatal(err)
	}
	if r := program("-vectors", bad); r.Status != 2 || !strings.Contains(r.Out, "FAILS") || !strings.Contains(r.Out, ", 1 fail; ") {
		t.Errorf("%d %.300s %s", r.Status, r.Out, r.Errs)
	}
}

func TestList(t *testing.T) {
	r := program("-list")
	programtest.Same(t, "list.txt", []byte(r.Out))
	r = program("-list", "pad")
	programtest.Same(t, "pad.txt", []byte(r.Out))
	if r := program("-list", "padd"); r.Status != 1 || r.Errs != "verify: no capability \"padd\"; near it are pad\n" {
		t.Errorf("%+v", r)
	}
}

func TestRefused(t *testing.T) {
	folder := t.TempDir()
	there := filepath.Join(folder, "there.json")
	outside := filepath.Join(t.TempDir(), "outside.csv")
	for name, text := range map[string]string{
		there:   `{"title": "t", "cases": []}`,
		outside: "Hz,dB\n1,1\n2,2\n",
		filepath.Join(folder, "link.json"): `{"title": "t", "cases": [{"id": "a", "capability": "closed-box response", "inputs": {"fc": "1 Hz", "Qtc": 1},
			"claims": [{"output": "response", "table": {"file": "link.csv", "at": "Hz", "value": "dB"}, "tolerance": "1 dB"}]}]}`,
	} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(outside, filepath.Join(folder, "link.csv")); err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string][]string{
		`verify: "x": unexpected; every input has a flag, see -help`: {"x"},
		"verify: want one of -claims, -vectors and -list":            {},
		"verify: -force needs -out":                                  {"-claims", "a", "-force"},
		"verify: nowhere.json: no such file":                         {"-claims", "nowhere.json"},
		"there.json:1:1: no cases":                                   {"-claims", there},
		"already; -force replaces it":                                {"-claims", "claims/air.json", "-out", there},
		"is not a file":                                              {"-claims", "claims/air.json", "-out", folder},
		"cannot be written":                                          {"-claims", "claims/air.json", "-out", filepath.Join(folder, "no", "said.json")},
		"no rows":                                                    {"-vectors", there},
		`"link.csv": `:                                               {"-claims", filepath.Join(folder, "link.json")},
	} {
		r := program(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := program("-help"); r.Status != 0 || !strings.Contains(r.Errs, "-claims claims.json") {
		t.Errorf("-help: %+v", r)
	}
	if r := program("-claims", "claims/air.json", "-out", there, "-force"); r.Status != 0 {
		t.Errorf("-force: %+v", r)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 3 {
		t.Errorf("left behind: %v", entries)
	}
}
