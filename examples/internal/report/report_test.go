package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/ts"
)

func run(settings ...string) (*design.Design, error) {
	src := project.Source{Files: os.DirFS("../../projects/buildnight"), Name: "project.toml"}
	p, err := src.Load(append(settings, "crossover.near=3")...)
	if err != nil {
		return nil, err
	}
	return design.Run(src, p)
}

// The checked-in design with few shelf items to try, and the same in a closed box.
var (
	vented = sync.OnceValues(func() (*design.Design, error) { return run() })
	closed = sync.OnceValues(func() (*design.Design, error) { return run("box.tuning=0 Hz", "box.ql=0") })
)

func get(tb testing.TB, of func() (*design.Design, error)) (*design.Design, map[string][]byte) {
	tb.Helper()
	d, err := of()
	if err != nil {
		tb.Fatal(err)
	}
	told, err := Document(d)
	if err != nil {
		tb.Fatal(err)
	}
	files, err := told.Files()
	if err != nil {
		tb.Fatal(err)
	}
	return d, files
}

func all() []string {
	return append([]string{"report.html", "report.json", "report.txt"}, Kind.Tables...)
}

// A report has these files and no others, or -force would not know them.
func TestFileNames(t *testing.T) {
	_, files := get(t, vented)
	if got, want := slices.Sorted(maps.Keys(files)), slices.Sorted(slices.Values(all())); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	_, files = get(t, closed)
	want := slices.DeleteFunc(slices.Sorted(slices.Values(all())), func(n string) bool { return n == "airspeed.csv" })
	if got := slices.Sorted(maps.Keys(files)); !slices.Equal(got, want) {
		t.Errorf("closed box: got %q, want %q", got, want)
	}
}

func TestSameBytes(t *testing.T) {
	_, first := get(t, vented)
	_, second := get(t, func() (*design.Design, error) { return run() })
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s differs from one run to the next", name)
		}
	}
}

func TestTables(t *testing.T) {
	d, files := get(t, vented)
	plain := regexp.MustCompile(`^(-?[0-9]+(\.[0-9]+)?)?$`)
	for name, text := range files {
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll() // refuses rows of unequal length
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if len(rows) != 1+len(d.Hz) || rows[0][0] != "frequency_Hz" || rows[1][0] != "20.000000" || rows[len(rows)-1][0] != "20000.0000" {
			t.Errorf("%s: %d rows, head %q, %q ... %q", name, len(rows), rows[0], rows[1], rows[len(rows)-1])
		}
		for _, h := range rows[0][1:] {
			if !strings.HasSuffix(h, ")") {
				t.Errorf("%s: column %q has no unit", name, h)
			}
		}
		empty := 0
		for _, row := range rows[1:] {
			for _, x := range row {
				if !plain.MatchString(x) {
					t.Fatalf("%s: %q is no number", name, x)
				}
				if x == "" {
					empty++
				}
			}
		}
		// Near a wall the estimate ends at 500 Hz.
		if above := slices.IndexFunc(d.Hz, func(f float64) bool { return f > 500 }); empty > 0 != (name == "places.csv") || empty > 0 && empty != len(d.Hz)-above {
			t.Errorf("%s: %d values are missing", name, empty)
		}
	}

	// One value all the way: the level at the point nearest 1 kHz.
	rows, err := csv.NewReader(bytes.NewReader(files["response.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	i, _ := slices.BinarySearch(d.Hz, 1000)
	got, _ := strconv.ParseFloat(rows[1+i][1], 64)
	if want := d.Level(d.Speaker.Result.Sum[0][i], 2.83); math.Abs(got-want) > 0.5e-4 || rows[0][1] != "both ways (dB)" {
		t.Errorf("%q at %v Hz: got %v, want %v", rows[0][1], d.Hz[i], got, want)
	}
}

func TestGroupDelay(t *testing.T) {
	d, err := vented()
	if err != nil {
		t.Fatal(err)
	}
	// A pure delay beyond the flight time, put into a copy, comes back.
	const late = 0.7e-3
	c := *d
	flight := 2 / float64(d.Air.SpeedOfSound)
	sum := make([]complex128, len(d.Hz))
	for i, f := range d.Hz {
		s, cos := math.Sincos(-2 * math.Pi * f * (flight + late))
		sum[i] = complex(3*cos, 3*s)
	}
	c.Speaker.Result.Sum = [][]complex128{sum}
	for i, got := range groupDelay(&c) {
		if f := d.Hz[i]; f < 5000 && math.Abs(got-0.7) > 1e-6 { // half a turn between neighbours above
			t.Fatalf("%.4g Hz: got %v ms, want 0.7", f, got)
		}
	}
}

func TestJSON(t *testing.T) {
	d, files := get(t, vented)
	text := files["report.json"]
	if !json.Valid(text) || bytes.Contains(text, []byte("NaN")) || bytes.Contains(text, []byte("null")) {
		t.Errorf("not valid, or with NaN or null:\n%s", text)
	}
	for _, n := range regexp.MustCompile(`-?[0-9.]+(e[-+][0-9]+)?`).FindAllString(string(regexp.MustCompile(`"[^"]*"`).ReplaceAll(text, nil)), -1) {
		mantissa, _, _ := strings.Cut(n, "e")
		if digits := strings.Trim(strings.ReplaceAll(mantissa, ".", ""), "-0"); len(digits) > 9 || strings.Trim(n, "-0.") == "" && n != "0" {
			t.Errorf("number %s", n)
		}
	}
	var back facts
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&back); err != nil {
		t.Fatal(err)
	}
	if back.Cabinet.Layers != d.Cabinet.Stack.Layers || len(back.Crossover.Parts) != 6 || len(back.Rules) != 5 || !back.RulesHold ||
		math.Abs(float64(back.Cabinet.Net)-1000*float64(d.Cabinet.Net)) > 1e-5 || len(back.Drivers) != 2 || len(back.Drivers[0].Steps) == 0 {
		t.Errorf("read back: %+v", back)
	}

	// A result that is no number is refused, not written.
	spoilt := *d
	spoilt.Speaker.F3 *= 0
	spoilt.Speaker.Dome /= 0 * spoilt.Speaker.Dome
	if text, err := JSON(&spoilt); err == nil {
		t.Errorf("infinite travel: %s", text)
	}
}

// The page is one file: nothing is fetched, tags are closed, every chart speaks.
func TestPage(t *testing.T) {
	for name, of := range map[string]func() (*design.Design, error){"vented": vented, "closed": closed} {
		d, files := get(t, of)
		page := string(files["report.html"])
		for _, m := range regexp.MustCompile(`(?i)[a-z]+="?https?:[^"]*`).FindAllString(page, -1) {
			if m != `xmlns="http://www.w3.org/2000/svg` {
				t.Errorf("%s: %s", name, m)
			}
		}
		for _, w := range []string{"<script", "<link", "<img", "<iframe", "src=", "href=", "url(", "@import", "NaN", "Inf", "ZgotmplZ", "%!"} {
			if strings.Contains(page, w) {
				t.Errorf("%s: the page contains %s", name, w)
			}
		}
		if !strings.HasPrefix(page, "<!DOCTYPE html>\n<html lang=\"en\">") || !strings.Contains(page, `<meta charset="utf-8">`) {
			t.Errorf("%s: begins with %.80q", name, page)
		}

		charts := Charts(d)
		figures := 0
		var open []string
		labels := map[string]bool{}
		dec := xml.NewDecoder(strings.NewReader(page))
		dec.Strict, dec.AutoClose, dec.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
		for {
			token, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			switch x := token.(type) {
			case xml.StartElement:
				open = append(open, x.Name.Local)
				if x.Name.Local == "figure" {
					figures++
				}
				for _, a := range x.Attr {
					if a.Name.Local == "aria-label" && x.Name.Local == "svg" {
						labels[a.Value] = true
					}
				}
			case xml.EndElement:
				if len(open) == 0 || open[len(open)-1] != x.Name.Local {
					t.Fatalf("%s: </%s> closes %q", name, x.Name.Local, open)
				}
				open = open[:len(open)-1]
			}
		}
		if len(open) > 0 || figures != len(charts) || len(labels) != len(charts) {
			t.Errorf("%s: %q stay open, %d figures and %d labels for %d charts", name, open, figures, len(labels), len(charts))
		}
		for _, c := range charts {
			_, figure, _ := strings.Cut(page, `<figure id="`+c.Name+`">`)
			figure, _, ok := strings.Cut(figure, "</figure>")
			label := c.Alt()
			if !ok || !labels[label] || !strings.HasPrefix(label, c.Title+": ") {
				t.Errorf("%s: %s: no figure, or none with the label %q", name, c.Name, label)
			}
			if n := strings.Count(figure, "<li>"); n != len(c.Lines)+len(c.Marks)+len(c.Bands) {
				t.Errorf("%s: %s: %d entries in the legend of %d lines, %d marks and %d bands", name, c.Name, n, len(c.Lines), len(c.Marks), len(c.Bands))
			}
			for i, l := range c.Lines {
				if !strings.Contains(figure, l.Name+" ("+plot.StyleOf(i).Words+")") || !strings.Contains(label, l.Name) {
					t.Errorf("%s: %s: %q is not in legend and label", name, c.Name, l.Name)
				}
			}
			if !strings.Contains(figure, c.Name+".csv") {
				t.Errorf("%s: %s: its table is not named", name, c.Name)
			}
		}
	}
}

// Names of the project reach the page as text, never as markup.
func TestPageEscapes(t *testing.T) {
	d, err := vented()
	if err != nil {
		t.Fatal(err)
	}
	c := *d
	c.Project.Name = `<script>alert("1")</script>`
	c.Project.Woofer.Name = `"><b>loud</b>`
	told, err := Document(&c)
	if err != nil {
		t.Fatal(err)
	}
	files, err := told.Files()
	if err != nil {
		t.Fatal(err)
	}
	page := files["report.html"]
	if bytes.Contains(page, []byte("<script")) || bytes.Contains(page, []byte("<b>")) {
		t.Error("a name became markup")
	}
}

func TestText(t *testing.T) {
	d, files := get(t, vented)
	text := string(files["report.txt"])
	if strings.Contains(text, "%!") || strings.Contains(text, "NaN") || strings.Contains(text, " \n") || !strings.HasSuffix(text, "\n") {
		t.Errorf("formats, NaN or spaces at line ends:\n%s", text)
	}
	for _, s := range sections(d) {
		if !strings.Contains(text, "\n\n"+s.Question+"\n") {
			t.Errorf("%q is missing", s.Question)
		}
		for _, row := range s.Rows {
			if len(row) != len(s.Head) {
				t.Errorf("%s: row %q under %q", s.Question, row, s.Head)
			}
		}
	}
	c, files := get(t, closed)
	text = string(files["report.txt"])
	if !strings.Contains(text, c.Cabinet.Net.String()+" of net air, closed.") || strings.Contains(text, "vent") {
		t.Errorf("closed box:\n%s", text)
	}
}

func TestVerdict(t *testing.T) {
	d, err := vented()
	if err != nil {
		t.Fatal(err)
	}
	c := *d
	c.Rules = []design.Rule{{Name: "sheets of wood", Limit: "1", Value: "2", Margin: "-1"}, {Name: "least impedance", Limit: "4.5 Ω", Value: "4.2 Ω", Margin: "-0.30 Ω"}, {Holds: true}}
	if got, want := verdict(&c), "Broken: sheets of wood, 2 with a limit of 1: by 1; least impedance, 4.2 Ω with a limit of 4.5 Ω: by 0.30 Ω."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Rules = nil
	if got := verdict(&c); got != "There are no rules to hold." {
		t.Errorf("no rules: %q", got)
	}
	if got := verdict(d); got != "Every rule holds (5 of 5)." {
		t.Errorf("got %q", got)
	}
	c = *d
	c.Doubts, c.Tweeter.Culprits = []string{"a"}, make([]ts.Suspect, 2)
	if got, want := verdict(&c), `Every rule holds (5 of 5). But look first at what may be wrong with the figures and tables it rests on: 3 doubts, in the report under "What to check before buying and after building?".`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// One speaker, unlike two, has no mirror; a sheet that contradicts itself is told once.
func TestWording(t *testing.T) {
	d, err := run("speakers=1", "crossover.polarity=inverted", "woofer.sheet.vas=40 L")
	if err != nil {
		t.Fatal(err)
	}
	told, err := Document(d)
	if err != nil {
		t.Fatal(err)
	}
	text := string(told.Text())
	for _, w := range []string{"54 pieces for 1 speaker on 1 sheet: ", "For 1 speaker: drivers 90.00,", "Connect the tweeter with inverted polarity.", "demo woofer B: of 12 figures on the data sheet that others imply, 2 do not agree within rounding."} {
		if !strings.Contains(text, w) {
			t.Errorf("%q is missing in\n%s", w, text)
		}
	}
	if strings.Contains(text, "mirror") || strings.Count(text, ": Vas printed 40 L") != 2 {
		t.Errorf("mirror, or a finding not told once and judged once:\n%s", text)
	}
}
