package main

import (
	"bytes"
	"math"
	"math/cmplx"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/examples/internal/programtest"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

func panel(args ...string) programtest.Result { return programtest.Run(run, args...) }

// The checked-in project gives the checked-in text and figures, and the tables that
// the kind names.
func TestPanel(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "panel")
	r := panel("-out", folder)
	if r.Status != 0 || r.Errs != "" || !strings.HasSuffix(r.Out, "\nWrote "+filepath.Join(folder, "panel.html")+".\n") {
		t.Fatalf("%+v", r)
	}
	programtest.SameFiles(t, folder, "panel.txt", "panel.json")
	for _, name := range kind.Tables {
		if _, err := os.Stat(filepath.Join(folder, name)); err != nil {
			t.Error(err)
		}
	}
	page, err := os.ReadFile(filepath.Join(folder, "panel.html"))
	if err != nil || bytes.Count(page, []byte(`<svg role="img"`)) != 3 || bytes.Contains(page, []byte("NaN")) {
		t.Errorf("three maps without NaN are wanted (%v)", err)
	}
}

// started returns the front of the checked-in project before places are sought.
func started(tb testing.TB, settings ...string) (*front, project.Source) {
	tb.Helper()
	src := project.Open("", "buildnight")
	p, err := src.Load(settings...)
	if err != nil {
		tb.Fatal(err)
	}
	f := &front{project: p, hz: response.LogGrid(200, 20000, 12)}
	if f.air, err = p.Medium(); err != nil {
		tb.Fatal(err)
	}
	if f.panel, err = panelOf(p); err != nil {
		tb.Fatal(err)
	}
	if err := f.mount(); err != nil {
		tb.Fatal(err)
	}
	return f, src
}

// The panel tables of the project, which its author made with a program of his own,
// are the plain edge sum's: levels and phases, on axis and up to 30° beside it.
func TestPlainSumIsTheTables(t *testing.T) {
	f, src := started(t)
	table := response.LogGrid(20, 20000, 80)
	tables := 0
	for _, x := range f.drivers {
		half, _, err := src.Curve(x.from.Response, false)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range append([]project.Beside{{Curve: x.from.Panel.Curve}}, x.from.Panel.Beside...) {
			on := b.Curve
			if on.File == "" {
				on.File = x.from.Panel.Curve.File
			}
			on.Volts = x.from.Response.Volts
			given, _, err := src.Curve(on, false)
			if err != nil {
				t.Fatal(err)
			}
			h, a, g := make([]complex128, len(table)), make([]complex128, len(table)), make([]complex128, len(table))
			u := toward(float64(b.Horizontal)*180/math.Pi, float64(b.Vertical)*180/math.Pi)
			if err := f.panel.EdgeSum(h, table, x.driver, f.air.SpeedOfSound, u, 3600); err != nil {
				t.Fatal(err)
			}
			if err := half.Resample(a, table); err != nil {
				t.Fatal(err)
			}
			if err := given.Resample(g, table); err != nil {
				t.Fatal(err)
			}
			tables++
			for i, hz := range table {
				// Where the piston's own null is deep, its radius from a rounded area moves it.
				if want := g[i] / a[i]; !(cmplx.Abs(h[i]-want) <= 0.004*max(1, cmplx.Abs(want))) {
					t.Errorf("%s, %v right, %v up, %.0f Hz: %.4f dB, the table has %.4f dB", x.key, b.Horizontal, b.Vertical, hz, response.DB(h[i]), response.DB(want))
				}
			}
		}
	}
	if tables != 10 {
		t.Errorf("%d tables, want 10", tables)
	}
}

// On the middle line of the panel left and right are alike; at the ear the sum is
// whole; with the drivers an eighth of a wavelength apart in depth the sum is off by
// what two phasors 45° apart give.
func TestWindow(t *testing.T) {
	f, _ := started(t, "tweeter.x=110 mm", "tweeter.centre=28 mm", "play.ear=431 mm")
	if err := f.listen(); err != nil {
		t.Fatal(err)
	}
	w := f.window
	n := len(w.angles)
	for i := range w.angles {
		for k := range f.hz {
			if a, b := w.horizontal[i][k], w.horizontal[n-1-i][k]; !(math.Abs(a-b) <= 1e-9) {
				t.Fatalf("%v°, %.0f Hz: %v dB, mirrored %v dB", w.angles[i], f.hz[k], a, b)
			}
		}
	}
	for _, z := range [][][]float64{w.horizontal, w.vertical} {
		for k := range f.hz {
			if !(math.Abs(z[n/2][k]) <= 1e-9) {
				t.Errorf("%.0f Hz: %v dB at the ear", f.hz[k], z[n/2][k])
			}
		}
	}
	if math.Abs(w.lobe) > 2 || !(w.up > 0) || !(w.down < 0) {
		t.Errorf("lobe %v°, from %v° to %v°", w.lobe, w.down, w.up)
	}
	if err := f.shift(); err != nil {
		t.Fatal(err)
	}
	o := f.offsets
	if !(math.Abs(float64(o.ahead)) <= 1e-9) || o.ripple[0] > 1e-6 || !(math.Abs(o.tilt) <= 1e-6) {
		t.Errorf("drivers at one depth and as far from the ear: %v ahead, ripple %v dB, tilt %v°", o.ahead, o.ripple[0], o.tilt)
	}
	for i := 1; i < len(o.ripple); i++ {
		if !(o.ripple[i] > o.ripple[i-1]) || !(o.deepest[i] < o.deepest[i-1]) {
			t.Errorf("set back by %v mm: ripple %v dB after %v dB", o.shift[i], o.ripple[i], o.ripple[i-1])
		}
	}
}

func TestCompare(t *testing.T) {
	f, src := started(t)
	f.hz = response.LogGrid(50, 20000, 24)
	for _, x := range f.drivers {
		if err := f.look(src, x); err != nil {
			t.Fatal(err)
		}
		if g := x.given; g == nil || !(g.plainly <= 0.01) || !(g.square > 0.2 && g.square < 0.6) {
			t.Errorf("%s: %+v", x.key, g)
		}
	}
	wide := outline.Rectangle(1, 1)
	if f.panel.Edge = wide; f.panel.Fits(f.drivers[0].driver, f.drivers[1].driver) != nil {
		t.Error("drivers do not fit on a larger panel")
	}
}

func TestRefused(t *testing.T) {
	for want, args := range map[string][]string{
		`panel: "x": unexpected; every input has a flag, see -help`: {"x"},
		"panel: -force needs -out":                                  {"-force"},
		"nowhere/project.toml: no such file":                        {"-project", "nowhere/project.toml"},
		"-set woofer.sheet.qms=-1: woofer.sheet.qms -1":             {"-set", "woofer.sheet.qms=-1"},
		"driver 2: outer diameter 98 mm: must be at most 80 mm":     {"-set", "tweeter.x=40 mm"},
		"driver 2: distance from driver 1":                          {"-set", "tweeter.y=450 mm"},
		"must be given, or woofer.panel.width":                      {"-set", "woofer.panel.width=0 mm"},
		"crossover.frequency 20 kHz: must be between":               {"-set", "crossover.frequency=20 kHz"},
		"within 35°": {"-set", "play.ear=3 m"},
	} {
		r := panel(args...)
		if r.Status != 1 || !strings.Contains(r.Errs, want) || strings.Count(r.Errs, "\n") != 1 {
			t.Errorf("%q: want %q, got %+v", args, want, r)
		}
	}
	if r := panel("-help"); r.Status != 0 || !strings.Contains(r.Errs, "go run ./examples/panel -out panel") {
		t.Errorf("-help: %+v", r)
	}
}

func TestTexts(t *testing.T) {
	for got, want := range map[string]string{
		degrees(0): "at the ear", degrees(-2): "2.0° below the ear", bound(math.NaN(), "above"): "nowhere within 30° above",
		metres(-0.2): "0.20 m below", metres(1): "1.00 m above", hz(634.2): units.Frequency(634).String(),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
