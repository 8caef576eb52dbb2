package claims

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

const folder = "../../verify/claims"

// claimFiles are the documented ones, by name.
func claimFiles(tb testing.TB) map[string][]byte {
	tb.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "*.json"))
	if err != nil || len(names) == 0 {
		tb.Fatal(names, err)
	}
	files := map[string][]byte{}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			tb.Fatal(err)
		}
		files[filepath.Base(name)] = text
	}
	return files
}

func results(t *testing.T, name string, text []byte) []Result {
	t.Helper()
	f, err := Read(name, text, os.DirFS(folder))
	if err != nil {
		t.Fatal(err)
	}
	all, err := f.Verify()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// Each right claim holds, each wrong one is caught, and every capability has both.
func TestClaimFiles(t *testing.T) {
	right, wrong := map[string]bool{}, map[string]bool{}
	for name, text := range claimFiles(t) {
		bad := strings.HasSuffix(name, "-wrong.json")
		for _, r := range results(t, name, text) {
			if r.Holds == bad {
				t.Errorf("%s: %+v", name, r)
			}
			if bad {
				wrong[r.Capability] = true
			} else {
				right[r.Capability] = true
			}
		}
	}
	for _, c := range All() {
		if !right[c.Name] || !wrong[c.Name] {
			t.Errorf("%s: right claim %v, wrong claim %v", c.Name, right[c.Name], wrong[c.Name])
		}
	}
}

// All published values that are claims hold, and none does that is moved by three of
// its tolerances.
func TestVectors(t *testing.T) {
	name := "../../../internal/golden/vectors.json"
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	f, not, err := ReadVectors(name, data, fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	all, err := f.Verify()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all {
		if !r.Holds {
			t.Errorf("%+v", r)
		}
	}
	if len(all) < 5000 {
		t.Errorf("only %d rows are claims", len(all))
	}
	for _, n := range not {
		if n.Reason == "" || n.Rows == 0 {
			t.Errorf("%+v", n)
		}
	}
	for i := range f.cases {
		k := &f.cases[i].claims[0]
		k.values[0] += 3 * max(k.tolerance, 1e-9*math.Abs(k.values[0]))
	}
	all, err = f.Verify()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range all {
		if r.Holds {
			t.Errorf("moved, and yet it holds: %+v", r)
		}
	}
}

// What the translation of rows names exists.
func TestTranslations(t *testing.T) {
	data, err := os.ReadFile("../../../internal/golden/vectors.json")
	if err != nil {
		t.Fatal(err)
	}
	var v Vectors
	if err := json.Unmarshal(data, &v); err != nil {
		t.Fatal(err)
	}
	seen := map[[2]string]bool{}
	for _, r := range translations {
		key := [2]string{r.Package, r.Calculation}
		if seen[key] {
			t.Errorf("%v twice", key)
		}
		seen[key] = true
		if !slices.ContainsFunc(v.Rows, func(row Row) bool { return row.Package == r.Package && row.Calculation == r.Calculation }) {
			t.Errorf("%v: no such rows", key)
		}
		if r.Reason != "" {
			continue
		}
		c, problem := Find(r.Capability)
		if problem != "" {
			t.Errorf("%v: %s", key, problem)
		}
		for alternative := range strings.SplitSeq(r.Output, " ") {
			if _, o, ok := strings.Cut(alternative, ":"); ok {
				if !slices.ContainsFunc(c.Outputs, func(x Output) bool { return x.Name == o }) {
					t.Errorf("%v: no output %s", key, o)
				}
			}
		}
		if !strings.Contains(r.Output, ":") && r.Calculation != "three-way constant" && !slices.ContainsFunc(c.Outputs, func(x Output) bool { return x.Name == r.Output }) {
			t.Errorf("%v: no output %s", key, r.Output)
		}
	}
}

// one is a file of one case.
func one(inputs, claims string) string {
	return fmt.Sprintf(`{"title": "t", "cases": [{"id": "a", "capability": "closed box", "inputs": %s, "claims": [%s]}]}`, inputs, claims)
}

const good = `{"fs": "30 Hz", "Qts": 0.4, "Vas": "60 L", "Vb": "25 L"}`

func verify(text string, files fstest.MapFS) ([]Result, error) {
	f, err := Read("c.json", []byte(text), files)
	if err != nil {
		return nil, err
	}
	return f.Verify()
}

func TestTolerances(t *testing.T) {
	// fc is 30 √3.4 = 55.3173 Hz, Qtc 0.4 √3.4 = 0.737564.
	for claim, holds := range map[string]bool{
		`{"output": "fc", "value": "55.3 Hz"}`:                                        true, // half a digit
		`{"output": "fc", "value": "55.2 Hz"}`:                                        false,
		`{"output": "fc", "value": "0.0553 kHz"}`:                                     true,
		`{"output": "fc", "value": "0.0552 kHz"}`:                                     false,
		`{"output": "fc", "value": "54 Hz", "tolerance": "1.4 Hz"}`:                   true,
		`{"output": "fc", "value": "54 Hz", "tolerance": "1.3 Hz"}`:                   false,
		`{"output": "fc", "value": "54 Hz", "tolerance": "2.5 %"}`:                    true,
		`{"output": "fc", "value": "54 Hz", "tolerance": "2.4 %"}`:                    false,
		`{"output": "Qtc", "value": 0.738}`:                                           true,
		`{"output": "Qtc", "value": 0.737}`:                                           false,
		`{"output": "Qtc", "value": "0.7", "tolerance": 0.04}`:                        true,
		`{"output": "Qtc", "value": "7.38e-1"}`:                                       true,
		`{"output": "response", "at": "0.0553173 kHz", "value": "90.0°"}`:             true,
		`{"output": "response", "at": "0.0553173 kHz", "value": "450.0°"}`:            true, // a turn more
		`{"output": "response", "at": "0.0553173 kHz", "value": "-90.0°"}`:            false,
		`{"output": "response", "at": "0.0553173 kHz", "value": "-2.64 dB"}`:          true,
		`{"output": "response", "at": "0.0553173 kHz", "value": "-2.6 dB"}`:           true,
		`{"output": "response", "at": "0.0553173 kHz", "value": "-2.5 dB"}`:           false,
		`{"output": "fc", "value": "55.317266 Hz", "tolerance": "0 Hz"}`:              false,
		`{"output": "Qtc", "value": "73.8 %"}`:                                        true,
		`{"output": "fc", "value": "55.3 Hz", "tolerance": "0 %", "note": "a claim"}`: false,
	} {
		all, err := verify(one(good, claim), nil)
		if err != nil || len(all) != 1 || all[0].Holds != holds {
			t.Errorf("%s: %+v, %v", claim, all, err)
		}
	}
}

func TestTables(t *testing.T) {
	level := func(f, more float64) string {
		x := f / (30 * math.Sqrt(3.4))
		re, im := 1-x*x, x/(0.4*math.Sqrt(3.4))
		db := 20*math.Log10(x*x/math.Hypot(re, im)) + more
		phase := 180 - math.Atan2(im, re)*180/math.Pi
		return fmt.Sprintf("%g\t%.5f\t%.4f\n", f, db, phase+720) // whole turns do not count
	}
	var right, wrong strings.Builder
	fmt.Fprintln(&right, "f\tlevel\tphase")
	fmt.Fprintln(&wrong, "f\tlevel\tphase")
	for f := 10.0; f < 1000; f *= 1.3 {
		right.WriteString(level(f, 0))
		more := 0.0
		if f > 100 && f < 130 {
			more = 0.3
		}
		wrong.WriteString(level(f, more))
	}
	files := fstest.MapFS{"right.txt": {Data: []byte(right.String())}, "sub/wrong.txt": {Data: []byte(wrong.String())}}
	claim := func(file, more string) string {
		return fmt.Sprintf(`{"output": "response", "table": {"file": %q, "at": "f", "value": "level", "phase": "phase"%s}, "tolerance": "0.01 dB", "phase tolerance": "0.1°"}`, file, more)
	}
	for text, misses := range map[string]int{
		claim("right.txt", ""):                        0,
		claim("sub/wrong.txt", ""):                    1,
		claim("sub/wrong.txt", `, "to": "100 Hz"`):    0,
		claim("sub/wrong.txt", `, "from": "150 Hz"`):  0,
		claim("sub/wrong.txt", `, "from": "0.1 kHz"`): 1,
	} {
		all, err := verify(one(good, text), files)
		if err != nil || all[0].Misses != misses || all[0].Holds != (misses == 0) || all[0].Rows == 0 {
			t.Errorf("%s: %+v, %v", text, all, err)
		}
	}
}

// Everything that can be wrong with the input, with where it stands.
func TestRefused(t *testing.T) {
	claim := `{"output": "fc", "value": "55.3 Hz"}`
	files := fstest.MapFS{
		"nan.csv": {Data: []byte("Hz,dB\n10,NaN\n")}, "ok.csv": {Data: []byte("Hz,dB\n10,1\n20,1\n")}, "minus.csv": {Data: []byte("Hz,dB\n-10,1\n20,1\n")},
		"long.csv": {Data: bytes.Repeat([]byte("1,2\n"), MaxRows+1)}, "large.csv": {Data: bytes.Repeat([]byte("#"), MaxBytes+1)},
	}
	table := func(file, columns string) string {
		return `{"output": "response", "table": {"file": "` + file + `", ` + columns + `}, "tolerance": "1 dB"}`
	}
	for _, test := range []struct{ text, want string }{
		{``, "c.json:1:1: the JSON ends too soon"},
		{`{"title": "t", "cases": [}`, `c.json:1:25: /cases: not JSON`},
		{"{\"title\": \"t\",\n  \"cases\": 3}", `c.json:2:12: /cases: 3: want a list`},
		{`{"title": "t", "cases": []}`, "no cases"},
		{`{"title": "t", "title": "u"}`, "c.json:1:16: /title: given twice"},
		{`{"title": "t", "cases": [{}]} x`, "c.json:1:31: text after the end"},
		{`{"titel": "t"}`, `no input "titel"; near it are title`},
		{"{\"title\": \"\xff\"}", "c.json:1:12: not UTF-8"},
		{strings.Repeat("[", 100), "nested deeper than 20"},
		{`{"title": "` + strings.Repeat("x", 20000) + `"}`, "a text of 20000 bytes: at most 10000"},
		{strings.Replace(one(good, claim), "closed box", "closed bx", 1), `/cases/0/capability: no capability "closed bx"; near it are closed box`},
		{one(strings.Replace(good, "Vas", "vass", 1), claim), `/cases/0/inputs/vass: no input "vass"; near it are Vas`},
		{one(strings.Replace(good, "60 L", "60 Hz", 1), claim), `c.json:1:111: /cases/0/inputs/Vas: "60 Hz" is no volume`},
		{one(strings.Replace(good, `"60 L"`, `60`, 1), claim), `60: a volume has a unit: write it as a text, "60 L"`},
		{one(strings.Replace(good, `"60 L"`, `null`, 1), claim), `/cases/0/inputs/Vas: null: want a volume`},
		{one(strings.Replace(good, "60 L", "NaN L", 1), claim), `"NaN L" is no volume`},
		{one(strings.Replace(good, "60 L", "1e400 L", 1), claim), `too large`},
		{one(strings.Replace(good, "60 L", "-60 L", 1), claim), `ts: Vas`},
		{one(strings.Replace(good, "0.4", "1e999", 1), claim), `/cases/0/inputs/Qts: 1e999 is no number: too large`},
		{one(strings.Replace(good, `, "Vb": "25 L"`, ``, 1), claim), `want either Vb, or alpha`},
		{one(good, strings.Replace(claim, "fc", "fcc", 1)), `/cases/0/claims/0/output: no output of closed box "fcc"; near it are fc`},
		{one(good, `{"output": "fc", "value": "55.3 L"}`), `"55.3 L" is no frequency`},
		{one(good, `{"output": "fc", "value": "55 3/4 Hz"}`), `no tolerance, and none follows from the digits`},
		{one(good, `{"output": "fc", "value": "55 Hz", "tolerance": "-1 Hz"}`), `"-1 Hz": must not be negative`},
		{one(good, `{"output": "fc", "value": "55 Hz", "tolerance": "200 %"}`), `from 0 % to below 100 %`},
		{one(good, `{"output": "fc", "value": "55 Hz", "at": "3 Hz"}`), `leave out "at"`},
		{one(good, `{"output": "fc", "value": "55 Hz", "of": "A"}`), `leave out "of"`},
		{one(good, `{"output": "fc"}`), `want either value or table`},
		{one(good, `{"output": "response", "value": "1 dB"}`), `say at which`},
		{one(good, `{"output": "response", "at": "0 Hz", "value": "1 dB"}`), `/cases/0/claims/0/at: "0 Hz": must be positive`},
		{one(good, `{"output": "response", "at": "9 Hz", "value": "1 Pa"}`), `is no level: unknown unit "Pa"`},
		{one(good, `{"output": "response", "at": "9 Hz", "value": "1 dB", "tolerance": "1 %"}`), `a share of a level says nothing`},
		{one(good, `{"output": "impedance", "at": "9 Hz", "value": "5 Ω"}`), `impedance depends on what is not given`},
		{one(good, `{"output": "what gives first", "value": "cone"}`), `nothing is limited`},
		{one(good, table("none.csv", `"at": "Hz", "value": "dB"`)), `/cases/0/claims/0/table: "none.csv": no such file`},
		{one(good, table("../ok.csv", `"at": "Hz", "value": "dB"`)), `want a file in the folder of the claims file or below`},
		{one(good, table("/etc/passwd", `"at": "Hz", "value": "dB"`)), `want a file in the folder`},
		{one(good, table("nan.csv", `"at": "Hz", "value": "dB"`)), `"nan.csv": response: line 2, column 2`},
		{one(good, table("minus.csv", `"at": "Hz", "value": "dB"`)), `line 2: frequency -10: must be positive`},
		{one(good, table("ok.csv", `"at": "f", "value": "dB"`)), `"ok.csv": response: no column "f"`},
		{one(good, table("ok.csv", `"at": "Hz", "value": "dB", "unit": "mm"`)), `unit "mm" is none of a level`},
		{one(good, table("ok.csv", `"at": "Hz", "value": "dB", "from": "1 kHz"`)), `no row from`},
		{one(good, table("long.csv", `"at": "1", "value": "2"`)), `100001 rows: at most 100000`},
		{one(good, table("large.csv", `"at": "1", "value": "2"`)), `larger than 10485760 bytes`},
		{one(good, `{"output": "fc", "table": {"file": "ok.csv", "at": "Hz", "value": "dB"}, "tolerance": "1 Hz"}`), `function of nothing`},
	} {
		_, err := verify(test.text, files)
		var e *InputError
		if err == nil || !strings.Contains(err.Error(), test.want) || !errors.As(err, &e) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.200s:\ngot  %v\nwant %s", test.text, err, test.want)
		}
	}
}

func TestSizes(t *testing.T) {
	claim := `{"output": "fc", "value": "55.3 Hz"}`
	many := strings.TrimSuffix(strings.Repeat(claim+",", MaxClaims+1), ",")
	if _, err := verify(one(good, many), nil); err == nil || !strings.Contains(err.Error(), "more than 10000 claims") {
		t.Error(err)
	}
	if _, err := verify(one(good, claim)+strings.Repeat(" ", MaxBytes), nil); err == nil || !strings.Contains(err.Error(), "at most 10485760") {
		t.Error(err)
	}
	// Ten errors are told, not more.
	_, err := verify(one(good, strings.TrimSuffix(strings.Repeat(`{"output": "impedance", "at": "9 Hz", "value": "5 Ω"},`, 50), ",")), nil)
	if err == nil || strings.Count(err.Error(), "\n") != 9 {
		t.Error(err)
	}
}

func TestHalf(t *testing.T) {
	for text, want := range map[string]string{"41.2 Hz": "5e-2 Hz", "7": "5e-1", "1.20e3 Ω": "5e0 Ω", "37,8 Hz": "5e-2 Hz", "-6.02 dB": "5e-3 dB"} {
		if got, ok := half(text); !ok || got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
	for _, text := range []string{"3/4 in", "1-1/8 in", "4R7x", "Hz", "3' 4\""} {
		if got, ok := half(text); ok && !strings.HasPrefix(text, "4R7") {
			t.Errorf("%s: %q", text, got)
		}
	}
}

// numbers visits every number among inputs, also those that nobody gave.
func numbers(v reflect.Value, visit func(name string, number reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for _, f := range fieldsOf(v.Type()) {
			w := v.FieldByIndex(f.index)
			if _, ok := kinds[w.Type()]; ok {
				visit(f.name, w)
				continue
			}
			numbers(w, visit)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			numbers(v.Elem(), visit)
		}
	case reflect.Slice:
		for i := range v.Len() {
			if _, ok := kinds[v.Index(i).Type()]; ok {
				visit("item", v.Index(i))
				continue
			}
			numbers(v.Index(i), visit)
		}
	}
}

// Extreme figures in every place of every documented case give an error or a number,
// in a short time, and no panic.
func TestExtremes(t *testing.T) {
	seen := map[string]bool{} // one case for each capability is enough
	files := claimFiles(t)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := Read(name, files[name], os.DirFS(folder))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range f.cases {
			if seen[c.capability.Name] {
				continue
			}
			seen[c.capability.Name] = true
			numbers(c.input, func(field string, n reflect.Value) {
				old := reflect.ValueOf(n.Interface())
				for _, x := range []float64{0, -1, 1e-300, 1e300} {
					if n.Kind() == reflect.Int {
						if x != math.Trunc(x) || math.Abs(x) > 1e6 {
							continue
						}
						n.SetInt(int64(x))
					} else {
						n.SetFloat(x)
					}
					start := time.Now()
					for _, k := range c.claims {
						if k.file == "" {
							c.verify(k) // whatever comes of it is fine
						}
					}
					if d := time.Since(start); d > 2*time.Second {
						t.Errorf("%s: %s: %s %v: %v", name, c.id, field, x, d)
					}
				}
				n.Set(old)
			})
		}
	}
}

func FuzzClaims(f *testing.F) {
	for _, text := range claimFiles(f) {
		f.Add(text)
	}
	f.Add([]byte(one(good, `{"output": "fc", "value": "55.3 Hz"}`)))
	f.Add([]byte(`{"title": "t", "cases": [{"id": "a", "capability": "quantity", "inputs": {"text": "1 in"}, "claims": [{"output": "length", "value": "25.4 mm"}]}]}`))
	files := os.DirFS(folder)
	f.Fuzz(func(t *testing.T, text []byte) {
		file, err := Read("fuzz.json", text, files)
		if err != nil {
			checkError(t, err)
			return
		}
		if file.Claims() > 100 {
			return
		}
		all, err := file.Verify()
		if err != nil {
			checkError(t, err)
			return
		}
		for _, r := range all {
			if strings.Contains(r.Expected+r.Deviation, "NaN") || strings.Contains(r.Case+r.Output, "\x00") && r.Output == "" {
				t.Errorf("%+v", r)
			}
		}
	})
}

// checkError holds that every error says where.
func checkError(t *testing.T, err error) {
	var many Errors
	if !errors.As(err, &many) {
		many = Errors{err}
	}
	for _, e := range many {
		var at *InputError
		if !errors.As(e, &at) || at.File == "" || strings.ContainsAny(e.Error(), "\n\r") {
			t.Errorf("%q", e)
		}
	}
}

func BenchmarkVerify(b *testing.B) {
	text, err := os.ReadFile(filepath.Join(folder, "crossovers.json"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		f, err := Read("crossovers.json", text, os.DirFS(folder))
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.Verify(); err != nil {
			b.Fatal(err)
		}
	}
}
