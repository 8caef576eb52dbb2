package golden

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

const head = "id,calculation,inputs,value,unit,tolerance,source,known,note\n"

func TestHalfUnit(t *testing.T) {
	for text, want := range map[Printed]float64{"1.18": 0.005, "345": 0.5, "7.94e-2": 0.5e-4, "-0.30": 0.005, "2e3": 500} {
		if got := text.HalfUnit(); math.Abs(got-want) > 1e-12*want {
			t.Errorf("HalfUnit(%s) = %g, want %g", text, got, want)
		}
	}
}

func TestRowsWithoutSourceFail(t *testing.T) {
	for name, row := range map[string]string{
		"no source":          "a,x,k=1,2,m,,,read,",
		"no known":           "a,x,k=1,2,m,,Someone 1900,,",
		"no unit":            "a,x,k=1,2,,,Someone 1900,read,",
		"no reason":          "a,x,k=1,2.00,m,0.1 abs,Someone 1900,read,",
		"not a number":       "a,x,k=1,two,m,,Someone 1900,read,",
		"bad input":          "a,x,k,2,m,,Someone 1900,read,",
		"column missing":     "a,x,k=1,2,m,,Someone 1900,read",
		"negative tolerance": "a,x,k=1,2,m,-1 abs,Someone 1900,read,why",
		"id used twice":      "a,x,k=1,2,m,,Someone 1900,read,\na,x,k=2,3,m,,Someone 1900,read,",
	} {
		if _, err := Parse("f", head+row+"\n"); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// recorder notes whether a check failed.
type recorder struct {
	testing.TB
	failed bool
}

func (r *recorder) Helper()               {}
func (r *recorder) Errorf(string, ...any) { r.failed = true }

func TestCheck(t *testing.T) {
	rows, err := Parse("f", head+"a,x,k=1 mm;ends=free,2.50,m,,Someone 1900,read,\nb,x,k=1,2.5,m,1e-9 rel,Someone 1900,derived,\n")
	if err != nil {
		t.Fatal(err)
	}
	if k := rows[0].Num(t, "k", "mm"); k != 1 {
		t.Errorf("k = %g", k)
	}
	if w := rows[0].Word(t, "ends"); w != "free" {
		t.Errorf("ends = %q", w)
	}
	for _, c := range []struct {
		row  int
		got  float64
		fail bool
	}{
		{0, 2.504, false}, {0, 2.506, true}, {0, math.NaN(), true}, {0, math.Inf(1), true},
		{1, 2.5, false}, {1, 2.5 * (1 + 2e-9), true},
	} {
		r := &recorder{TB: t}
		rows[c.row].Check(r, c.got)
		if r.failed != c.fail {
			t.Errorf("row %d, %g: failed %v, want %v", c.row, c.got, r.failed, c.fail)
		}
	}
}

func TestApprox(t *testing.T) {
	type length float64
	type s struct {
		L length
		Z []complex128
	}
	a := s{1, []complex128{1 + 2i}}
	for _, c := range []struct {
		b    s
		same bool
	}{
		{s{1 + 1e-13, []complex128{1 + 2.0000000000001i}}, true},
		{s{1 + 1e-9, []complex128{1 + 2i}}, false},
		{s{1, []complex128{1 + 2.00001i}}, false},
		{s{length(math.NaN()), []complex128{1 + 2i}}, false},
		{s{length(math.Inf(1)), []complex128{1 + 2i}}, false},
	} {
		if got := cmp.Diff(a, c.b, Approx(1e-12, 0)) == ""; got != c.same {
			t.Errorf("%v: same %v, want %v", c.b, got, c.same)
		}
	}
	if near(math.Inf(1), math.Inf(-1), 1, 1) {
		t.Error("opposite infinities compare as near")
	}
}

func TestParseNamesTheFile(t *testing.T) {
	if _, err := Parse("some.csv", head+"a,x,,2,m,,,read,\n"); err == nil || !strings.Contains(err.Error(), "some.csv: row a") {
		t.Errorf("error %v", err)
	}
}

func TestInputsKeepOrder(t *testing.T) {
	rows, err := Parse("f", head+"a,x,b=1 mm; a=free;c=-2.50;n=1 0 0;area=1 sq in,2,m,,Someone 1900,read,\n")
	if err != nil {
		t.Fatal(err)
	}
	want := []Input{{Name: "b", Value: "1", Unit: "mm"}, {Name: "a", Value: "free"},
		{Name: "c", Value: "-2.50", Unit: "1"}, {Name: "n", Value: "1 0 0"}, {Name: "area", Value: "1 sq in"}}
	if diff := cmp.Diff(want, rows[0].Inputs(), cmpopts.IgnoreUnexported(Input{})); diff != "" {
		t.Error(diff)
	}
	if got := rows[0].Word(t, "b"); got != "1 mm" {
		t.Errorf("word %q", got)
	}
	if limit, relative := rows[0].Tolerance(); relative || math.Abs(limit-0.5) > 1e-6 {
		t.Errorf("tolerance %g, relative %v", limit, relative)
	}
}

func TestRecord(t *testing.T) {
	rows, err := Parse("testdata/f.csv", head+"a,x,k=1,2.50,m,,Someone 1900,read,\n")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Setenv(RecordVariable, dir)
	rows[0].Check(t, 2.503)
	rows[0].Check(t, 2.5)
	rows[0].Check(&recorder{TB: t}, 3) // fails, so it leaves no line
	t.Setenv(RecordVariable, "")
	rows[0].Check(t, 2.501)
	text, err := os.ReadFile(filepath.Join(dir, "internal-golden.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	var got []Record
	for line := range strings.Lines(string(text)) {
		var r Record
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		got = append(got, r)
	}
	want := []Record{
		{"internal/golden", "f.csv", "a", "x", 2.503, 0.003, 0.005},
		{"internal/golden", "f.csv", "a", "x", 2.5, 0, 0.005},
	}
	if diff := cmp.Diff(want, got, Approx(1e-8, 0)); diff != "" {
		t.Error(diff)
	}
}
