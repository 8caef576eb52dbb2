package main

import (
	"bytes"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/projects"
	"example.com/halfspace/filter/response"
)

func logarithmic(n int) []float64 {
	hz := make([]float64, n)
	for i := range hz {
		hz[i] = 10 * math.Pow(2000, float64(i)/float64(n-1))
	}
	return hz
}

func linear(n int) []float64 {
	hz := make([]float64, n)
	for i := range hz {
		hz[i] = 20000 * float64(i+1) / float64(n)
	}
	return hz
}

func TestEvenly(t *testing.T) {
	for _, n := range []int{0, 1, 2, 499, 500} {
		if got := evenly(logarithmic(n), 500); len(got) != n || n > 0 && (got[0] != 0 || got[n-1] != n-1) {
			t.Errorf("%d rows: %d chosen", n, len(got))
		}
	}
	for _, n := range []int{501, 700, 1000, 100_000} {
		for name, hz := range map[string][]float64{"logarithmic": logarithmic(n), "linear": linear(n)} {
			got := evenly(hz, 500)
			if got[0] != 0 || got[len(got)-1] != n-1 || len(got) > 500 {
				t.Fatalf("%s, %d rows: %d from %d to %d", name, n, len(got), got[0], got[len(got)-1])
			}
			// Neighbours are a step apart, and as much more as rows are themselves.
			step := math.Log(hz[n-1]/hz[0]) / 499
			for k := range len(got) - 1 {
				i, j := got[k], got[k+1]
				if !(j > i) {
					t.Fatalf("%s, %d rows: %d after %d", name, n, j, i)
				}
				if most := step + 2*math.Log(hz[i+1]/hz[i]); math.Log(hz[j]/hz[i]) > most {
					t.Errorf("%s, %d rows: from %g Hz to %g Hz", name, n, hz[i], hz[j])
				}
			}
		}
	}
	if got := evenly(logarithmic(100_000), 500); len(got) != 500 {
		t.Errorf("%d rows of a dense table, want 500", len(got))
	}
}

// The band has its own rows, so that a narrow one is not fitted to a few.
func TestThinInBand(t *testing.T) {
	hz := logarithmic(100_000)
	c := response.Curve{Hz: hz, H: make([]complex128, len(hz)), HasPhase: true, From: 30}
	for i, f := range hz {
		c.H[i] = complex(f, 0)
	}
	got, n := thin(c, 20, 60, 500)
	in := 0
	for i, f := range got.Hz {
		if real(got.H[i]) != f {
			t.Fatalf("%g Hz has the value of another row", f)
		}
		if f >= 30 && f <= 60 {
			in++
		}
	}
	if in != 500 || n.used != 500 || n.of != 9119 || len(got.Hz) != 1500 || !got.HasPhase || got.From != 30 {
		t.Errorf("%d in the band, %+v, %d in all", in, n, len(got.Hz))
	}
	if n := (rows{500, 9119}).String(); n != "500 of 9119" {
		t.Error(n)
	}
	c.Hz, c.H = c.Hz[:400], c.H[:400]
	if got, n := thin(c, 0, 0, 500); !slices.Equal(got.Hz, c.Hz) || n.String() != "0" {
		t.Errorf("a short table below what is valid: %d rows, %+v", len(got.Hz), n)
	}
}

// Three tables of many rows give the driver behind them, and the report says how many
// rows it comes from. Rows as far apart in hertz everywhere, as an analyser gives them,
// are no worse.
func TestLongTables(t *testing.T) {
	of := bench(t)
	text, err := projects.Files.ReadFile("impedance/project.toml")
	if err != nil {
		t.Fatal(err)
	}
	for name, hz := range map[string][]float64{"logarithmic": logarithmic(100_000), "linear": linear(40_000)[20:]} {
		random := rand.New(rand.NewPCG(1, 2))
		files := fstest.MapFS{"project.toml": {Data: text}}
		z := make([]complex128, len(hz))
		for i, table := range []string{"free.csv", "added.csv", "box.csv"} {
			of.result.Impedance(z, hz, i)
			var b bytes.Buffer
			b.WriteString("Hz;ohm;deg\n")
			for k, f := range hz {
				fmt.Fprintf(&b, "%.9g;%.6g;%.6g\n", f, cmplx.Abs(z[k])*(1+0.003*random.NormFloat64()), cmplx.Phase(z[k])*180/math.Pi+0.2*random.NormFloat64())
			}
			files[table] = &fstest.MapFile{Data: b.Bytes()}
		}
		j, err := load(project.Source{Files: files, Name: "project.toml"}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range j.runs {
			if len(r.Curve.Hz) > mostRows || j.rows[i].of != len(hz) || j.rows[i].used != len(r.Curve.Hz) {
				t.Fatalf("%s: curve %d: %d rows, %+v", name, i+1, len(r.Curve.Hz), j.rows[i])
			}
		}
		f, err := j.find()
		if err != nil {
			t.Fatal(name, err)
		}
		want := of.figures()
		for i, x := range f.figures() {
			// What the tables were made with is known; only scatter is between.
			if sd := x.Scatter; sd > 0 && !(math.Abs(x.Value-want[i].Value) <= 3.5*sd) || x.Name != want[i].Name {
				t.Errorf("%s: %s, by scatter ± %s, was %s", name, x.withSD(), x.text(sd), x.text(want[i].Value))
			}
		}
		for _, c := range f.result.Runs {
			if !(math.Abs(float64(c.Modulus)-0.003) < 0.0004) {
				t.Errorf("%s: noise of the modulus %v, was 0.3 %%", name, c.Modulus)
			}
		}
		told, err := f.tell()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []string{fmt.Sprintf("%d of %d", j.rows[0].used, len(hz)), "Of a long table 500 rows at most are fitted", "would make the scatter smaller only if"} {
			if !strings.Contains(string(told.Text()), s) {
				t.Errorf("%s: %q is missing in\n%s", name, s, told.Text())
			}
		}
		csv, err := told.Charts[0].CSV()
		if n := bytes.Count(csv, []byte("\n")); err != nil || n != 1+j.rows[0].used {
			t.Errorf("%s: a table of %d lines, %v", name, n, err)
		}
	}
}

// Whatever the name, what begins a line of the sheet is the sheet's own.
func TestNameInSheet(t *testing.T) {
	f := bench(t)
	want := f.sheet()
	for _, name := range []string{"x\n[evil]", "x\r[evil]", "x\r\n\t[evil]", "x\x00\x1b\x7f[evil]", "x\u0085\u2028\u2029[evil]", "\nx\u202e [evil]\n", "x\ufeff[evil]"} {
		f.Name = name
		got := f.sheet()
		head, rest, _ := bytes.Cut(got, []byte("\n"))
		if string(head) != "[woofer.sheet]          # x [evil], from its impedance" {
			t.Errorf("%q: %q", name, head)
		}
		if _, wanted, _ := bytes.Cut(want, []byte("\n")); !bytes.Equal(rest, wanted) {
			t.Errorf("%q: %s", name, rest)
		}
	}
}
