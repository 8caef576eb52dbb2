package response

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// table reads numbers under the names, or as they are without.
func table(t *testing.T, names []string, rows [][]float64) *Table {
	t.Helper()
	var b strings.Builder
	b.WriteString(strings.Join(names, ";") + "\n")
	for _, r := range rows {
		for i, v := range r {
			if i > 0 {
				b.WriteByte(';')
			}
			fmt.Fprintf(&b, "%.8g", v)
		}
		b.WriteByte('\n')
	}
	got, err := Read(strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// rows writes a curve as columns: frequency, level re a reference, magnitude, phase in
// degrees and in radians.
func rows(c Curve, reference float64) [][]float64 {
	var out [][]float64
	for i, f := range c.Hz {
		h := c.H[i]
		out = append(out, []float64{f, DB(h / complex(reference, 0)), cmplx.Abs(h), Phase(h), cmplx.Phase(h)})
	}
	return out
}

var columns = []string{"a", "b", "c", "d", "e"} // that say nothing

// driver is the pressure of a second-order high-pass at 70 Hz and low-pass at 3 kHz, with
// a bump and noise, 0.4 Pa in the band, behind a delay.
func driver(hz []float64, delay float64) Curve {
	rng := rand.New(rand.NewPCG(25, 26))
	return along(hz, func(f float64) complex128 {
		s, l := complex(0, f/70), complex(0, f/3000)
		h := 0.4 * s * s / (1 + s/0.5 + s*s) / (1 + l/2 + l*l)
		return h * cmplx.Exp(complex(0.02*rng.NormFloat64(), 0.02*rng.NormFloat64()-2*math.Pi*f*delay))
	})
}

// motor is the impedance of a driver in ohms.
func motor(hz []float64) Curve {
	return along(hz, func(f float64) complex128 {
		s := complex(0, f/40)
		return 5.6 + 30*s/4/(1+s/4+s*s) + complex(0.2, 0.35)*complex(math.Sqrt(f/1000), 0)
	})
}

func evenly(lo, hi, step float64) []float64 {
	var hz []float64
	for f := lo; f <= hi; f += step {
		hz = append(hz, f)
	}
	return hz
}

// Sound tables raise no doubt, in whichever form and on whichever grid.
func TestNoDoubts(t *testing.T) {
	mixed := append(evenly(10, 199, 1), append(evenly(200, 1995, 5), LogGrid(2000, 20000, 100)...)...)
	for name, hz := range map[string][]float64{
		"third octaves": LogGrid(20, 20000, 10), "dense": LogGrid(10, 40000, 200), "linear": evenly(2.5, 20000, 2.5),
		"coarse linear": evenly(100, 20000, 100), "mixed": mixed, "octaves": LogGrid(31.25, 16000, 4), "tweeter": LogGrid(500, 40000, 48),
		"six": {20, 50, 100, 1000, 5000, 20000},
	} {
		p, z := table(t, columns, rows(driver(hz, 0), 20e-6)), table(t, columns, rows(motor(hz), 1))
		relative := table(t, columns, rows(driver(hz, 0), 0.4))
		for _, k := range []struct {
			table *Table
			form  Form
		}{
			{p, Form{Level: "b", Phase: "d", Reference: 20e-6, Taken: Taken{Mounting: HalfSpace}}},
			{p, Form{Level: "b", Reference: 20e-6}},
			{p, Form{Level: "b"}},
			{p, Form{Level: "c", Phase: "e", Linear: true, Radians: true, Taken: Taken{Mounting: OnPanel}}},
			{relative, Form{Level: "b", Phase: "d"}},
			{z, Form{Level: "c", Phase: "d", Linear: true}},
			{z, Form{Level: "c", Phase: "e", Linear: true, Radians: true}},
		} {
			k.form.Frequency = "a"
			if _, err := k.table.Curve(k.form); err != nil {
				t.Fatal(err)
			}
			doubts := k.table.Doubts(k.form)
			if name == "six" || name == "octaves" || name == "coarse linear" {
				// So coarse that a phase may well step by half a turn.
				doubts = without(doubts, "the phase steps")
			}
			if len(doubts) > 0 {
				t.Errorf("%s, %+v: %v", name, k.form, doubts)
			}
		}
	}
	// Just short of each threshold.
	for name, k := range map[string]struct {
		text string
		form Form
	}{
		"below audio":       {"0.5 1\n1 2\n2 1\n4 -3\n", Form{}},
		"gain":              {"20 5\n200 6\n2000 7\n20000 5.5\n", Form{}},
		"headphone":         {"20 32\n200 140\n2000 310\n20000 60\n", Form{Linear: true}},
		"resistor, degrees": {"20 8 0.1\n200 8.1 1\n2000 8.5 2.5\n20000 9 3.1\n", Form{Linear: true, Phase: "3"}},
		"three frequencies": {"20 -1\n30 1\n2000 0\n", Form{}},
		"wrapped, radians":  {"20 -1 -1\n200 1 3\n400 1 -3.1\n600 0 -2\n900 0 -1\n", Form{Phase: "3", Radians: true}},
		"one row left out":  {"100 -1\n110 1\n120 1\n130 0\n150 0\n160 1\n170 1\n180 1\n", Form{}},
		"fine, then coarse": {"100 -1\n101 1\n102 1\n103 0\n104 0\n114 1\n124 1\n134 1\n144 1\n154 1\n", Form{}},
		"no row":            {"100 -1\n", Form{}},
		"columns not there": {"100 -1\n200 1\n", Form{Phase: "phase"}},
	} {
		k.form.Frequency, k.form.Level = "1", "2"
		read, err := Read(strings.NewReader(k.text))
		if err != nil {
			t.Fatal(err)
		}
		if doubts := read.Doubts(k.form); len(doubts) > 0 {
			t.Errorf("%s: %v", name, doubts)
		}
	}
	// Nulls between two sources, where the phase does jump and levels fall to nearly none.
	for _, hz := range [][]float64{LogGrid(20, 20000, 80), evenly(20, 20000, 20)} {
		null := along(hz, func(f float64) complex128 {
			return 0.5 + 0.49999*cmplx.Exp(complex(0, -2*math.Pi*f*1.3e-4))
		})
		nulls := table(t, columns, rows(null, 20e-6))
		for _, form := range []Form{{Frequency: "a", Level: "b", Phase: "d", Reference: 20e-6}, {Frequency: "a", Level: "c", Phase: "e", Linear: true, Radians: true}} {
			if doubts := nulls.Doubts(form); len(doubts) > 0 {
				t.Errorf("nulls: %v", doubts)
			}
		}
	}
	// A delay in radians that are not wrapped.
	late := rows(driver(LogGrid(20, 20000, 80), 1e-4), 20e-6)
	phase := make([]float64, len(late))
	for i, r := range late {
		phase[i] = r[4]
	}
	unwrap(phase, phase, 2*math.Pi)
	for i, p := range phase {
		late[i][4] = p
	}
	if phase[len(phase)-1] > -12 {
		t.Fatalf("ends at %v", phase[len(phase)-1])
	}
	if doubts := table(t, columns, late).Doubts(Form{Frequency: "a", Level: "b", Phase: "e", Radians: true}); len(doubts) > 0 {
		t.Errorf("unwrapped: %v", doubts)
	}
	f, err := os.Open("testdata/woofer_impedance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	read, err := Read(f)
	if err != nil {
		t.Fatal(err)
	}
	if doubts := read.Doubts(Form{Frequency: "frequency_Hz", Level: "magnitude_ohm", Phase: "phase_deg", Linear: true}); len(doubts) > 0 {
		t.Error(doubts)
	}
}

func without(doubts []Doubt, words string) []Doubt {
	var out []Doubt
	for _, d := range doubts {
		if !strings.Contains(d.Text, words) {
			out = append(out, d)
		}
	}
	return out
}

// Each slip raises its own doubt, and no other.
func TestDoubts(t *testing.T) {
	hz := LogGrid(20, 20000, 48)
	p, z := rows(driver(hz, 0), 20e-6), rows(motor(hz), 1)
	each := func(r [][]float64, change func(i int, row []float64)) [][]float64 {
		var out [][]float64
		for i, row := range r {
			row = append([]float64(nil), row...)
			change(i, row)
			out = append(out, row)
		}
		return out
	}
	gap := append(append([][]float64(nil), p[:40]...), p[60:]...)
	kilo := each(p, func(_ int, r []float64) { r[0] /= 1000 })
	silent := each(p, func(_ int, r []float64) { r[3] = 0 })
	late := rows(driver(hz, 3e-3), 20e-6)
	spl := Form{Frequency: "a", Level: "b", Phase: "d", Reference: 20e-6}
	with := func(change func(*Form)) Form { f := spl; change(&f); return f }
	for _, k := range []struct {
		name  string
		names []string
		rows  [][]float64
		form  Form
		want  string
	}{
		{"kilohertz", columns, kilo, spl, "line 2, column 1: frequencies from 0.02 to 20: kilohertz?"},
		{"gap", columns, gap, spl, "line 42, column 1: nothing between 129.876 and 355.656 Hz, while steps around are about 17.5 Hz: rows missing?"},
		{"pascals", columns, p, with(func(f *Form) { f.Level = "c" }), "line 146, column 3: levels from 0.00891 to 0.844 dB, none negative: magnitudes, not decibels?"},
		{"ohms", columns, z, with(func(f *Form) { f.Level = "c"; f.Reference = 0 }), "line 69, column 3: levels from 5.76 to 35.1 dB, none negative: magnitudes, not decibels?"},
		{"counts", columns, each(p, func(_ int, r []float64) { r[1] = 20 + 1000*r[2] }), spl, "line 105, column 2: a level of 864.2 dB: a magnitude, not decibels?"},
		{"abyss", columns, each(p, func(i int, r []float64) { r[1] -= float64(100*(i/40)) * 2 }), spl, "line 146, column 2: a level of"},
		{"decibels", columns, p, with(func(f *Form) { f.Linear = true; f.Reference = 0 }), "line 146, column 2: values from"},
		{"no reference", columns, p, with(func(f *Form) { f.Reference = 0; f.Taken.Mounting = HalfSpace }), "column 2: the largest pressure is 4.22e+04 Pa: is the reference right?"},
		{"relative", columns, each(p, func(_ int, r []float64) { r[1] -= 86 }), with(func(f *Form) { f.Taken.Mounting = HalfSpace }), "column 2: the largest pressure is"},
		{"radians", columns, p, with(func(f *Form) { f.Phase = "e" }), "column 5: phases from"},
		{"zeros", columns, silent, spl, "column 4: all phases are zero: leave the column out if they are not known"},
		{"degrees", columns, z, Form{Frequency: "a", Level: "c", Linear: true, Phase: "d", Radians: true}, "degrees, not radians?"},
		{"fine degrees", columns, rows(motor(LogGrid(10, 20000, 1500)), 1), Form{Frequency: "a", Level: "c", Linear: true, Phase: "d", Radians: true}, "line 190, column 4: phases climb from 19.4 to 25.69: degrees, not radians?"},
		{"wrapped degrees", columns, p, with(func(f *Form) { f.Radians = true }), "degrees, not radians?"},
		{"flight time", columns, late, spl, "a flight time left in? A delay of"},
		{"named kHz", []string{"f (kHz)", "b", "c", "d", "e"}, p, with(func(f *Form) { f.Frequency = "f (kHz)" }), `column 1: is named "f (kHz)", but read as hertz`},
		{"named Pa", []string{"a", "|p|, Pa", "c", "d", "e"}, p, with(func(f *Form) { f.Level = "|p|, Pa" }), `column 2: is named "|p|, Pa", but read as decibels`},
		{"named dB", []string{"a", "b", "Z_dB", "d", "e"}, z, Form{Frequency: "a", Level: "Z_dB", Linear: true}, `column 3: is named "Z_dB", but read as linear`},
		{"named rad", []string{"a", "b", "c", "d rad", "e"}, p, with(func(f *Form) { f.Phase = "d rad" }), `column 4: is named "d rad", but read as degrees`},
		{"named °", []string{"a", "b", "c", "d", "phase/°"}, p, with(func(f *Form) { f.Phase = "phase/°"; f.Radians = true }), `column 5: is named "phase/°", but read as radians`},
	} {
		got := table(t, k.names, k.rows).Doubts(k.form)
		found := 0
		for _, d := range got {
			if strings.Contains(d.String(), k.want) {
				found++
			}
		}
		extra := len(got) - found
		if k.name == "wrapped degrees" || k.name == "degrees" || k.name == "abyss" {
			extra = 0 // read wrongly, phases may step by anything, and so may pressures
		}
		if found != 1 || extra != 0 {
			t.Errorf("%s: %q\nwant one with %q", k.name, got, k.want)
		}
	}
}

// A delay that is left in is told about right where it steps less than a turn a row.
func TestDoubtsTellDelay(t *testing.T) {
	hz := evenly(20, 20000, 20)
	c := along(hz, func(f float64) complex128 { return cmplx.Exp(complex(0, -2*math.Pi*f*0.0225)) })
	got := table(t, columns, rows(c, 1)).Doubts(Form{Frequency: "a", Level: "c", Phase: "d", Linear: true})
	if len(got) != 1 || !strings.HasSuffix(got[0].Text, "in 999 places by over 135°: a flight time left in? A delay of 22.5 ms does that") {
		t.Errorf("%q", got)
	}
}

// Doubts are told of whatever can be read, and of columns that are not there.
func FuzzDoubts(f *testing.F) {
	for _, s := range []string{"20,80,1\n30,81,2\n", "1;2", "0.02;1;2\n20;3;4\n", "-1,0,0\n0,0,0\n1,-5,0\n", "f,Pa,rad\n1,1,0\n2,9,700\n3,2,-9\n4,2,1\n5,1,1\n500,1,1\n6,1,1\n"} {
		f.Add(s, true, false, 0.)
		f.Add(s, false, true, 20e-6)
	}
	f.Fuzz(func(t *testing.T, text string, linear, radians bool, reference float64) {
		table, err := parse(text)
		if err != nil {
			return
		}
		name := func(i int) string { return table.Names[min(i, len(table.Names)-1)] }
		form := Form{Frequency: name(0), Level: name(1), Phase: name(2), Linear: linear, Radians: radians, Reference: reference}
		for _, taken := range []Taken{{}, {Mounting: HalfSpace}} {
			form.Taken = taken
			for _, d := range table.Doubts(form) {
				if d.Text == "" || d.Column < 1 || d.Column > len(table.Names) || d.Line < 0 || d.Line > table.Lines[len(table.Lines)-1] {
					t.Fatalf("%#v", d)
				}
			}
		}
		form.Level, form.Phase = "not there", ""
		table.Doubts(form)
	})
}
