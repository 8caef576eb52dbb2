package response

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
)

// The same numbers as people write them.
func TestDialects(t *testing.T) {
	want := [][]float64{{20, 31.5, 1000}, {80.25, -0.5, 91}, {-12.5, 0, 170.125}}
	named := []string{"f", "level", "phase"}
	numbered := []string{"1", "2", "3"}
	for name, c := range map[string]struct {
		text  string
		names []string
	}{
		"comma":                    {"f,level,phase\n20,80.25,-12.5\n31.5,-0.5,0\n1e3,91,170.125\n", named},
		"no last line end":         {"f,level,phase\n20,80.25,-12.5\n31.5,-0.5,0\n1e3,91,170.125", named},
		"comma and blank":          {"f, level, phase\n20, 80.25, -12.5\n31.5, -0.5, 0\n1000, 91, 170.125\n", named},
		"blank and comma":          {"f ,level ,phase\n20 ,80.25 ,-12.5\n31.5 ,-.5 ,0\n1000 ,91 ,170.125\n", named},
		"integers, comma, blank":   {"# whole\n20 , 80.25, -12.5\n31.5 ,-0.5 ,0\n1000 ,91 ,170.125\n", numbered},
		"semicolon, decimal comma": {"f;level;phase\n20;80,25;-12,5\n31,5;-0,5;0\n1E+3;91;170,125\n", named},
		"semicolon, point":         {"f;level;phase\n20;80.25;-12.5\n31.5;-0.5;0\n1000;91;170.125\n", named},
		"tab":                      {"f\tlevel\tphase\n20\t80.25\t-12.5\n31.5\t-0.5\t0\n1000\t91\t170.125\n", named},
		"tab, decimal comma":       {"f\tlevel\tphase\n20\t80,25\t-12,5\n31,5\t-0,5\t0\n1000\t91\t170,125\n", named},
		"blanks":                   {"f level phase\n   20   80.25  -12.5\n 31.5   -0.5    0\n 1000   91  170.125\n", named},
		"blanks, decimal comma":    {"20,0 80,25 -12,5\n31,5 -0,5 0,0\n1000,0 91,0 170,125\n", numbered},
		"blanks and tabs":          {"20 \t 80.25\t\t-12.5\n31.5\t-0.5 0\n1000 91 170.125\n", numbered},
		"no header":                {"20,80.25,-12.5\n31.5,-0.5,0\n1000,91,170.125\n", numbered},
		"windows":                  {"f,level,phase\r\n20,80.25,-12.5\r\n31.5,-0.5,0\r\n1000,91,170.125\r\n", named},
		"carriage returns":         {"f,level,phase\r20,80.25,-12.5\r31.5,-0.5,0\r1000,91,170.125\r", named},
		"byte-order mark":          {"\ufefff,level,phase\n20,80.25,-12.5\n31.5,-0.5,0\n1000,91,170.125\n", named},
		"quoted":                   {"\"f\",\"level\",\"phase\"\n20,80.25,-12.5\n\"31.5\",\"-0.5\",0\n1000,91,170.125\n", named},
		"quoted, blanks":           {"\"f\"   level  \"phase\"\n20  80.25 -12.5\n31.5 -0.5   0\n1000  91  170.125\n", named},
		"comments and blank lines": {"# of a day in May, 20 C\n* 2.83 V\n\nf,level,phase\n; none\n20,80.25,-12.5\n\n// half way\n31.5,-0.5,0\n%\n!1,2\n1000,91,170.125\n\n", named},
		"quoted remark":            {"\"measured, in the garden, on a Sunday, late\"\n\"level, 1 m\nf,level,phase\n20,80.25,-12.5\n31.5,-0.5,0\n1000,91,170.125\n", named},
		"separator at the end":     {"f;level;phase;\n20;80,25;-12,5;\n31,5;-0,5;0;\n1000;91;170,125;\n", named},
		"blanks at the end":        {"f,level,phase  \n20,80.25,-12.5 \n  31.5,-0.5,0\t\n1000,91,170.125 \n", named},
	} {
		got, err := Read(strings.NewReader(c.text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if d := cmp.Diff(want, got.Columns); d != "" {
			t.Errorf("%s: (-want +got)\n%s", name, d)
		}
		if d := cmp.Diff(c.names, got.Names); d != "" {
			t.Errorf("%s: names (-want +got)\n%s", name, d)
		}
	}
}

func TestHeader(t *testing.T) {
	for text, want := range map[string][]string{
		"Frequency (Hz)\tLevel, 1 m (dB)\n20\t80\n":       {"Frequency (Hz)", "Level, 1 m (dB)"},
		"Frequency,\"Level, 1 m\"\n20,80\n":               {"Frequency", "Level, 1 m"},
		"Hz;\"said \"\"flat\"\"\"\n20;80\n":               {"Hz", `said "flat"`},
		"Hz,0,15\n20,80,79\n":                             {"Hz", "0", "15"},
		"Hz,Phase (°)\n20,80\n":                           {"Hz", "Phase (°)"},
		"20, 80\n30, 81.5\n":                              {"1", "2"},
		"20 ,80\n30 ,81\n":                                {"1", "2"},
		"20.5\n30\n":                                      {"1"},
		"\"first \"\" of two\"\n\"Hz\",\"dB\"\n\"20\",80": {"Hz", "dB"},
	} {
		got, err := Read(strings.NewReader(text))
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if d := cmp.Diff(want, got.Names); d != "" {
			t.Errorf("%q: (-want +got)\n%s", text, d)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "response: found no row of numbers, want at least one",
		"# only a remark\n":         "response: found no row of numbers, want at least one",
		"Hz,dB\n":                   "response: found no row of numbers, want at least one",
		"Hz,dB\n20,80\n30\n":        "response: line 3: found 1 number, want 2 as in the rows before",
		"Hz,dB\n20,80\n30,81,3\n":   "response: line 3: found 3 numbers, want 2 as in the rows before",
		"Hz,dB\n\n20,80\n30,loud\n": `response: line 4, column 2: found "loud", want a finite number`,
		"20,80\n30,NaN\n":           `response: line 2, column 2: found "NaN", want a finite number`,
		"20,80\n30,-Inf\n":          `response: line 2, column 2: found "-Inf", want a finite number`,
		"20,80\n30,1e999\n":         `response: line 2, column 2: found "1e999", want a finite number`,
		"20,80\n30,0x10\n":          `response: line 2, column 2: found "0x10", want a finite number`,
		"20,80\n30,1_0\n":           `response: line 2, column 2: found "1_0", want a finite number`,
		"20,NaN\n30,80\n":           `response: line 1, column 2: found "NaN", want a finite number`,
		"20 x\n":                    `response: line 1, column 2: found "x", want a finite number`,
		"20;;5\n30;1;2\n":           `response: line 1, column 2: found nothing, want a finite number`,
		"20;1;5\n30;;2\n":           `response: line 2, column 2: found nothing, want a finite number`,
		"20\t1\t5\n30\t\t2\n":       `response: line 2, column 2: found nothing, want a finite number`,
		"20;1;5\n;1;2\n":            `response: line 2, column 1: found nothing, want a finite number`,
		";1;5\n30;1;2\n":            `response: line 1, column 1: found no name, want one for every column`,
		"20;1;5\n30;1;\n":           "response: line 2: found 2 numbers, want 3 as in the rows before",
		"20 1 5\n30 2\n":            "response: line 2: found 2 numbers, want 3 as in the rows before",
		"20;80\n30,81\n":            "response: line 2: found 1 number, want 2 as in the rows before",
		"20,80\n30;81\n":            `response: line 2, column 1: found "30;81", want a finite number`,
		"20\t80\n30 81\n":           `response: line 2, column 1: found "30 81", want a finite number`,
		"20;80\n30;8o\n":            `response: line 2, column 2: found "8o", want a finite number`,
		"20;80\n30;1e\n":            `response: line 2, column 2: found "1e", want a finite number`,
		"20;80\n30;81 dB\n":         `response: line 2, column 2: found "81 dB", want a finite number`,
		"\ufeff":                    "response: found no row of numbers, want at least one",
		"20;80.5\n30;81,5\n":        `response: line 2, column 2: found "81,5", want the decimal mark '.' as in the numbers before`,
		"20;80\n30;1.000,5\n":       `response: line 2, column 2: found "1.000,5", want the decimal mark '.' as in the numbers before`,
		"20;80\n30;,5\n":            `response: line 2, column 2: found ",5", want a finite number`,
		"A title\nHz,dB\n20,80\n":   `response: line 1: found 1 name in "A title", want one for each of the 2 columns; begin remarks with #`,
		"Hz,dB\nup,down\n20,80\n":   `response: line 2: found a second line of text, "up,down", want one line of names at most; begin remarks with #`,
		"Hz,dB,dB\n20,80,1\n":       `response: line 1, column 3: found "dB", want a name other than that of column 2`,
		"Hz,,dB\n20,80,1\n":         `response: line 1, column 2: found no name, want one for every column`,
		"Hz,\"dB\n20,80\n":          `response: line 1: found "Hz,\"dB", want quotes in pairs`,
		"20,80\n30,\"81\n":          `response: line 2: found "30,\"81", want quotes in pairs`,
		"20 80\n30,0;80\n":          `response: line 2, column 1: found "30,0;80", want a finite number`,
		"Hz,Phase (\xb0)\n20,80\n":  "response: line 1: found bytes that are not UTF-8 text, want the table saved as text, in UTF-8 or ASCII",
		"20,80\n3\x000,80\n":        "response: line 2: found bytes that are not UTF-8 text, want the table saved as text, in UTF-8 or ASCII",
	} {
		_, err := Read(strings.NewReader(text))
		var e *ReadError
		if !errors.As(err, &e) {
			t.Errorf("%q: error %v, want a *ReadError", text, err)
			continue
		}
		if err.Error() != want {
			t.Errorf("%q:\n got %s\nwant %s", text, err, want)
		}
	}
}

func TestReadQuotesBriefly(t *testing.T) {
	_, err := Read(strings.NewReader("20," + strings.Repeat("€", 50) + "\n"))
	if want := `found "` + strings.Repeat("€", 40) + `"…, want a finite number`; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %s", err, want)
	}
}

func TestReadLimits(t *testing.T) {
	row := "20,80\n"
	full := strings.Repeat(row, MaxBytes/len(row))
	full += strings.Repeat("\n", MaxBytes-len(full))
	if _, err := Read(strings.NewReader(full)); err != nil {
		t.Errorf("a text of MaxBytes: %v", err)
	}
	var e *ReadError
	if _, err := Read(strings.NewReader(full + "\n")); !errors.As(err, &e) {
		t.Errorf("a text of MaxBytes+1: error %v, want a *ReadError", err)
	}
	// As wide as a text can be, without taking minutes.
	var wide strings.Builder
	for i := range MaxBytes / 20 {
		fmt.Fprintf(&wide, "c%d,", i)
	}
	if _, err := Read(strings.NewReader(wide.String() + "\n" + strings.Repeat("1,", MaxBytes/20))); err != nil {
		t.Error(err)
	}
	broken := errors.New("broken")
	if _, err := Read(io.MultiReader(strings.NewReader(row), iotest.ErrReader(broken))); !errors.Is(err, broken) {
		t.Errorf("error %v, want that of the reader", err)
	}
}

func TestColumn(t *testing.T) {
	table, err := Read(strings.NewReader("Hz,Level (dB)\n20,80\n30,81\n"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := table.Column("Level (dB)")
	if d := cmp.Diff([]float64{80, 81}, got); d != "" || err != nil {
		t.Errorf("%v (-want +got)\n%s", err, d)
	}
	// With a header, numbers are names like any other.
	_, err = table.Column("2")
	if want := `response: no column "2"; there are "Hz", "Level (dB)"`; err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

func TestReadFile(t *testing.T) {
	f, err := os.Open("testdata/woofer_impedance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table, err := Read(f)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(table.Columns[0]); n != 61 || table.Columns[0][60] != 20000 || table.Lines[60] != 63 {
		t.Errorf("%d rows, last %v in line %d", n, table.Columns[0][n-1], table.Lines[n-1])
	}
}

// Whatever is accepted is a proper table, and reads the same when written plainly.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"Hz,dB\n20,80\n30,81\n", "20;80,5\r\n30;81,5", "f\tl\n1\t2", " 1  2 \n 3 4", "\"a b\" c\n1 2\n",
		"\ufeff# x\n*y\n1,5 2,5", "20 ,80\n30 ,81", "\" \"", "1;;2", "20,NaN", "\"\"\"\"", "e\n", "1e5,+2,-.5", "0x1,2", ",", ";", "1,", "\"1\"\"\",2",
		"20\t\t5\n1\t2", "20;80\n30,81\n", "20 80\n20 81\n10 1\n", "0.02 0.5 -3.1\n20 0.6 3.1\n", "1;2;\n3;4;\n", "%\n\"\"\n1e-400,-0",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		table, err := parse(text)
		if err != nil {
			var e *ReadError
			if !errors.As(err, &e) || e.Found == "" || e.Want == "" || e.Line > strings.Count(text, "\n")+strings.Count(text, "\r")+1 {
				t.Fatalf("error %#v", err)
			}
			return
		}
		if len(table.Names) != len(table.Columns) || len(table.Columns) == 0 || len(table.Lines) == 0 {
			t.Fatalf("%d names, %d columns, %d lines", len(table.Names), len(table.Columns), len(table.Lines))
		}
		for _, c := range table.Columns {
			if len(c) != len(table.Lines) {
				t.Fatalf("%d values in %d lines", len(c), len(table.Lines))
			}
			for _, v := range c {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatal(v)
				}
			}
		}
		again, err := parse(plain(table))
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(table.Columns, again.Columns); d != "" {
			t.Fatal(d)
		}
	})
}

// A table of 100 000 rows, from text to a grid of calculation.
func BenchmarkReadLong(b *testing.B) {
	var text strings.Builder
	text.WriteString("Hz,dB,deg\n")
	for i := range 100_000 {
		x := float64(i)
		fmt.Fprintf(&text, "%.4f,%.4f,%.3f\n", 20+0.2*x, 80+math.Sin(x/1000), 170*math.Sin(x/3000))
	}
	hz := LogGrid(20, 20000, 96)
	h := make([]complex128, len(hz))
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		table, err := Read(strings.NewReader(text.String()))
		if err != nil {
			b.Fatal(err)
		}
		form := Form{Frequency: "Hz", Level: "dB", Phase: "deg"}
		c, err := table.Curve(form)
		if err != nil {
			b.Fatal(err)
		}
		if d := table.Doubts(form); len(d) > 0 {
			b.Fatal(d)
		}
		if err := c.Resample(h, hz); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	text, err := os.ReadFile("testdata/woofer_impedance.csv")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := parse(string(text)); err != nil {
			b.Fatal(err)
		}
	}
}
