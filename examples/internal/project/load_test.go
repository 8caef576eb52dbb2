package project

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

const folder = "../../projects/buildnight"

func demoText(tb testing.TB) string {
	tb.Helper()
	text, err := os.ReadFile(folder + "/project.toml")
	if err != nil {
		tb.Fatal(err)
	}
	return string(text)
}

// load reads a text as the file mine/project.toml.
func load(text string, settings ...string) (Project, error) {
	files := fstest.MapFS{"project.toml": {Data: []byte(text)}}
	return Source{Files: files, Name: "project.toml", Shown: "mine/"}.Load(settings...)
}

// with replaces one line of a text that occurs once.
func with(tb testing.TB, text, old, fresh string) string {
	tb.Helper()
	if strings.Count(text, "\n"+old) != 1 {
		tb.Fatalf("%q does not begin exactly one line", old)
	}
	before, after, _ := strings.Cut(text, "\n"+old)
	_, after, _ = strings.Cut(after, "\n")
	return before + "\n" + fresh + "\n" + after
}

func TestCheckedInProject(t *testing.T) {
	p, err := Source{Files: os.DirFS(folder), Name: "project.toml"}.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		key       string
		got, want any
	}{
		{"speakers", p.Speakers, 2},
		{"rules.money", p.Rules.Money, 240.0},
		{"rules.moneyfor", p.Rules.MoneyFor, []string{"drivers", "crossover"}},
		{"woofer.sheet.bl", p.Woofer.Sheet.Bl, 6.7 * units.TeslaMetre},
		{"woofer.sheet.eta0", p.Woofer.Sheet.Eta0, units.Ratio(0.00386)},
		{"woofer.panel.beside", len(p.Woofer.Panel.Beside), 4},
		{"tweeter.impedance.file", p.Tweeter.Impedance.File, "tweeter_a_impedance.csv"},
		{"box.ql", p.Box.QL, 7.0},
		{"vent.inwall", p.Vent.InWall, units.Length(0.038)},
		{"vent.diameter", p.Vent.Diameter, units.Length(0.07)},
		{"cabinet.profile", len(p.Cabinet.Profile), 4},
		{"crossover.pad", p.Crossover.Pad, true},
		{"play.amplifier", p.Play.Amplifier, 50 * units.Watt},
	} {
		if !cmp.Equal(c.got, c.want) {
			t.Errorf("%s: got %v, want %v", c.key, c.got, c.want)
		}
	}
	if v := p.Volts(50); v != 20 {
		t.Errorf("50 W into 8 Ω: got %v, want 20 V", v)
	}
	if a, err := p.Medium(); err != nil || a.Density != 1.18 || a.SpeedOfSound != 345 {
		t.Errorf("without conditions: got %v, %v", a, err)
	}
}

// What editors do to line ends, the first bytes and spaces changes nothing.
func TestEditors(t *testing.T) {
	text := demoText(t)
	want, err := load(text)
	if err != nil {
		t.Fatal(err)
	}
	for name, edited := range map[string]string{
		"CRLF":            strings.ReplaceAll(text, "\n", "\r\n"),
		"byte-order mark": "\ufeff" + text,
		"both":            "\ufeff" + strings.ReplaceAll(text, "\n", "\r\n"),
		"tabs":            strings.ReplaceAll(text, " = ", "\t=\t"),
		"indented":        "\t" + strings.ReplaceAll(text, "\n", "\n\t"),
		"end missing":     strings.TrimRight(text, "\n"),
	} {
		got, err := load(edited)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s: (-want +got)\n%s", name, d)
		}
	}
}

// Every refusal is one line that names the place, the key, the value and what is
// wanted.
func TestRefused(t *testing.T) {
	text := demoText(t)
	for _, c := range []struct{ name, old, fresh, want string }{
		{"unknown key", "speakers = 2", "speakrs = 2",
			`mine/project.toml:15:1: unknown key speakrs: want one of name, speakers, currency, rules, air, woofer, tweeter, box, vent, cabinet, sheet, crossover, play, sweeps; did you mean speakers?`},
		{"unknown table", "[play]", "[pley]", `mine/project.toml:291:2: unknown key pley: want one of name, speakers, currency, rules, air, woofer, tweeter, box, vent, cabinet, sheet, crossover, play, sweeps; did you mean play?`},
		{"unknown key in a table", "tuning =", "tunning = \"39 Hz\"", `mine/project.toml:221:1: unknown key box.tunning: want one of volume, tuning, goal, peak, cutoff, ql, qa, qp; did you mean tuning?`},
		{"unknown key in an embedded struct", "diameter =", "diametre = \"70 mm\"",
			`mine/project.toml:230:1: unknown key vent.diametre: want one of diameter, width, height, count, length, wall, outer, inner, clear, towall, section, spacing, outerround, innerround, inwall, airspeed, room, x, y; did you mean diameter?`},
		{"wrong unit", `volume = "25 L"`, `volume = "25 kg"`,
			`mine/project.toml:220:10: box.volume: volume "25 kg": unknown unit "kg"; write L, cm³, m³, cu in or cu ft`},
		{"no unit", `volume = "25 L"`, `volume = "25"`,
			`mine/project.toml:220:10: box.volume: volume "25": no unit; write L, cm³, m³, cu in or cu ft`},
		{"bare number", `volume = "25 L"`, `volume = 25 # litres`,
			`mine/project.toml:220:10: box.volume 25: want text with a unit, as "25 L"`},
		{"bare ratio", "eta0 = \"0.386", `eta0 = 0.386`,
			`mine/project.toml:64:8: woofer.sheet.eta0 0.386: want text with a unit, as "0.4 %"`},
		{"bare angle", "[[woofer.panel.beside]]\nhorizontal = \"15°\"", "[[woofer.panel.beside]]\nhorizontal = 15",
			`mine/project.toml:97:14: woofer.panel.beside.horizontal 15: want text with a unit, as "15°"`},
		{"list for a quantity", `volume = "25 L"`, `volume = ["25 L"]`,
			`mine/project.toml:220:10: box.volume [...]: want text with a unit, as "25 L"`},
		{"text for a count", "speakers = 2", `speakers = "two pairs"`, `mine/project.toml:15:12: speakers "two pairs": want a whole number`},
		{"half a speaker", "speakers = 2", `speakers = 2.5`, `mine/project.toml:15:12: speakers 2.5: want a whole number`},
		{"text for a number", "money = 240", `money = "240 EUR"`, `mine/project.toml:22:9: rules.money "240 EUR": want a number alone, as 240; the currency stands in the key currency`},
		{"text for a switch", "pad = true", `pad = "yes"`, `mine/project.toml:280:7: crossover.pad "yes": want true or false`},
		{"text for a list", "moneyfor =", `moneyfor = "wood"`, `mine/project.toml:23:12: rules.moneyfor "wood": want a list in brackets`},
		{"number for text", `currency = "EUR"`, `currency = 1`, `mine/project.toml:16:12: currency 1: want text in quotes`},
		{"number for a word", "outer = \"flanged\"", `outer = 1`, `mine/project.toml:233:9: vent.outer 1: want a word in quotes`},
		{"unknown word", "outer = \"flanged\"", `outer = "flangd"`,
			`mine/project.toml:233:9: vent.outer: mouth "flangd": must be one of free, flanged, along a wall, in a corner, across the box, in a duct`},
		{"word not in a list", "moneyfor =", `moneyfor = ["drivers", "beer"]`,
			`mine/project.toml:23:1: rules.moneyfor "beer": must be one of ["drivers" "crossover" "wood"]`},
		{"NaN", "qms = 4.68", "qms = nan", `mine/project.toml:53:7: woofer.sheet.qms NaN: must be a finite number`},
		{"infinite", "money = 240", "money = inf", `mine/project.toml:22:9: rules.money +Inf: must be a finite number`},
		{"NaN quantity", `volume = "25 L"`, `volume = "NaN L"`, `mine/project.toml:220:10: box.volume: volume "NaN L": does not begin with a number`},
		{"negative", `volume = "25 L"`, `volume = "-25 L"`, `mine/project.toml:220:10: box.volume -25 L: must be positive and finite`},
		{"negative limit", "load = \"4.5 ohm\"                ", `load = "-4.5 ohm"`, `mine/project.toml:27:8: rules.load -4.5 Ω: must be zero or positive, and finite`},
		{"no speakers", "speakers = 2", "speakers = 0", `mine/project.toml:15:12: speakers 0: must be from 1 to 1000`},
		{"order", "highpass = 2", "highpass = 5", `mine/project.toml:278:12: crossover.highpass 5: must be from 1 to 4`},
		{"trap without a shunt arm", "lowpass = 2", "lowpass = 1", `mine/project.toml:279:8: crossover.trap 4.75 kHz: needs a low-pass of second order or more`},
		{"a length for the vent", "count = 1", `length = "300 mm"`, `mine/project.toml:231:10: vent.length 300 mm: must be left out: it follows from the tuning`},
		{"missing", "thickness = \"14.6 mm\"", "", `mine/project.toml:264:2: sheet.thickness is missing: must be positive and finite`},
		{"missing file name", "catalogue =", "", `mine/project.toml:274:2: crossover.catalogue is missing: must name a file`},
		{"given twice", "ql = 7", "ql = 7\nql = 8", `mine/project.toml:226:1: ql: key ql is already defined`},
		{"no TOML", "ql = 7", "ql = 7 8", `mine/project.toml:225:6: box.ql 7 8: want a number alone, with a decimal point`},
	} {
		_, err := load(with(t, text, c.old, c.fresh))
		if err == nil {
			t.Errorf("%s: accepted", c.name)
		} else if err.Error() != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, err, c.want)
		}
	}
	if _, err := load(""); err == nil || err.Error() != "mine/project.toml: speakers is missing: must be from 1 to 1000" {
		t.Errorf("empty file: got %v", err)
	}
	if _, err := load(strings.ReplaceAll(text, "°", "\xb0")); err == nil || !strings.Contains(err.Error(), "mine/project.toml:31:21: invalid UTF-8") {
		t.Errorf("not UTF-8: got %v", err)
	}
}

func TestMissingFiles(t *testing.T) {
	src := Source{Files: fstest.MapFS{}, Name: "project.toml", Shown: "mine/"}
	if _, err := src.Load(); err == nil || err.Error() != "mine/project.toml: no such file" {
		t.Errorf("project: got %v", err)
	}
	if _, _, err := src.Curve(Curve{File: "a.csv"}, true); err == nil || err.Error() != "mine/a.csv: no such file" {
		t.Errorf("curve: got %v", err)
	}
	if _, err := src.Parts("p.csv"); err == nil || err.Error() != "mine/p.csv: no such file" {
		t.Errorf("catalogue: got %v", err)
	}
	_, err := Source{Files: refusing{}, Name: "project.toml"}.Load()
	if err == nil || err.Error() != "project.toml: permission denied" {
		t.Errorf("unreadable: got %v", err)
	}
}

type refusing struct{}

func (refusing) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: "/long/way/" + name, Err: errors.New("permission denied")}
}

func TestCurve(t *testing.T) {
	src := Source{Files: fstest.MapFS{"a.csv": {Data: []byte("f;db;deg\n20;94;0\n40;94;90\n")}}, Name: "project.toml", Shown: "mine/"}
	c := Curve{File: "a.csv", Frequency: "f", Level: "db", Phase: "deg"}
	curve, _, err := src.Curve(c, false)
	if err != nil {
		t.Fatal(err)
	}
	// 94 dB re 20 µPa is 1 Pa but for 0.02 dB.
	if got := real(curve.H[0]); math.Abs(got-20e-6*math.Pow(10, 94./20)) > 1e-12 {
		t.Errorf("94 dB: got %v Pa", got)
	}
	c.Phase = ""
	c.Taken, c.On, c.Volts, c.Distance = response.OnPanel, "test panel", 2.83, 2
	curve, _, err = src.Curve(c, false)
	want := response.Taken{Mounting: response.OnPanel, Panel: "test panel", Voltage: 2.83, Distance: 2}
	if err != nil || curve.HasPhase || curve.Taken != want {
		t.Errorf("no phase: got %+v, %v", curve, err)
	}
	c.Level = "dB SPL"
	if _, _, err := src.Curve(c, false); err == nil || !strings.Contains(err.Error(), `mine/a.csv: response: no column "dB SPL"`) {
		t.Errorf("no such column: got %v", err)
	}
}

func TestSettings(t *testing.T) {
	text := demoText(t)
	for _, c := range []struct {
		settings string // separated by |
		got      func(Project) any
		want     any
	}{
		{"box.volume=24L", func(p Project) any { return p.Box.Volume }, units.Volume(0.024)},
		{"box.volume=24 L", func(p Project) any { return p.Box.Volume }, units.Volume(0.024)},
		{` box.volume = "24 L" `, func(p Project) any { return p.Box.Volume }, units.Volume(0.024)},
		{"box.volume='24 L'", func(p Project) any { return p.Box.Volume }, units.Volume(0.024)},
		{"BOX.Volume=24L", func(p Project) any { return p.Box.Volume }, units.Volume(0.024)},
		{"box.volume=24L|box.volume=23L", func(p Project) any { return p.Box.Volume }, units.Volume(0.023)},
		{"box.volume=24L", func(p Project) any { return p.Box.Tuning }, 39 * units.Hertz},
		{`box={volume="24 L"}`, func(p Project) any { return p.Box.Tuning }, 39 * units.Hertz},
		{`sheet.thickness=5/8"`, func(p Project) any { return p.Sheet.Thickness }, units.Length(0.015875)},
		{"speakers=4", func(p Project) any { return p.Speakers }, 4},
		{"rules.money=199.5", func(p Project) any { return p.Rules.Money }, 199.5},
		{"woofer.sheet.bl=7 T·m", func(p Project) any { return p.Woofer.Sheet.Bl }, 7 * units.TeslaMetre},
		{"woofer.panel.curve.file=new.csv", func(p Project) any { return p.Woofer.Panel.Curve.File }, "new.csv"},
		{"woofer.panel.curve.file=new.csv", func(p Project) any { return p.Woofer.Panel.Curve.Level }, "baffle_spl_dB"},
		{`crossover.polarity=""`, func(p Project) any { return p.Crossover.Polarity }, ""},
		{"crossover.polarity=inverted", func(p Project) any { return p.Crossover.Polarity }, "inverted"},
		{"crossover.pad=false", func(p Project) any { return p.Crossover.Pad }, false},
		{"vent.outer=along a wall", func(p Project) any { return p.Vent.Outer.String() }, "along a wall"},
		{`rules.moneyfor=["wood"]`, func(p Project) any { return p.Rules.MoneyFor }, []string{"wood"}},
		{"rules.moneyfor=[]", func(p Project) any { return p.Rules.MoneyFor }, []string{}},
		// A list is replaced, nothing of the old elements shines through.
		{`cabinet.inside=[{volume="1 L"}]`, func(p Project) any { return p.Cabinet.Inside }, []Inside{{Volume: 0.001}}},
		{"name=Kitchen = best", func(p Project) any { return p.Name }, "Kitchen = best"},
		{`air={temperature="30 °C", pressure="1 bar", humidity="40 %"}`, func(p Project) any { return p.Air.Humidity }, units.Ratio(0.4)},
	} {
		p, err := load(text, strings.Split(c.settings, "|")...)
		if err != nil {
			t.Errorf("-set %s: %v", c.settings, err)
		} else if d := cmp.Diff(c.want, c.got(p)); d != "" {
			t.Errorf("-set %s: (-want +got)\n%s", c.settings, d)
		}
	}

	for _, c := range []struct{ setting, want string }{
		{"box.volume", `-set box.volume: want key=value, as box.volume=24L`},
		{"box.volume=", `-set box.volume=: box.volume has no value: want key=value, as box.volume=24L; to leave a key out take its line out of the file`},
		{"=24L", `-set =24L: want key=value, as box.volume=24L`},
		{"", `-set : want key=value, as box.volume=24L`},
		{"box.volume=24L\nbox.tuning=3", `-set "box.volume=24L\nbox.tuning=3": box.volume: must be one line without control characters`},
		{"box.volum=24L", `-set box.volum=24L: unknown key box.volum: want one of volume, tuning, goal, peak, cutoff, ql, qa, qp; did you mean volume?`},
		{"volume=24L", `-set volume=24L: unknown key volume: want one of name, speakers, currency, rules, air, woofer, tweeter, box, vent, cabinet, sheet, crossover, play, sweeps; did you mean box.volume or rules.volume?`},
		{"box.volume=24", `-set box.volume=24: box.volume 24: want text with a unit, as "24 L"`},
		{"box.volume=24 kg", `-set box.volume=24 kg: box.volume: volume "24 kg": unknown unit "kg"; write L, cm³, m³, cu in or cu ft`},
		{"box.volume=-3L", `-set box.volume=-3L: box.volume -3 L: must be positive and finite`},
		{`box={volume="-3 L"}`, `-set box={volume="-3 L"}: box.volume -3 L: must be positive and finite`},
		{"speakers=two", `-set speakers=two: speakers "two": want a whole number`},
		{"rules.money=nan", `-set rules.money=nan: rules.money NaN: must be a finite number`},
		{"rules.moneyfor=wood", `-set rules.moneyfor=wood: rules.moneyfor "wood": want a list in brackets`},
		{"woofer=x", `-set woofer=x: woofer "x": want a table`},
		{"a b=c", `-set a b=c: expected '=' after key`},
	} {
		_, err := load(text, c.setting)
		if err == nil {
			t.Errorf("-set %s: accepted", c.setting)
		} else if err.Error() != c.want {
			t.Errorf("got\n%s\nwant\n%s", err, c.want)
		}
	}
}

// A refused value is blamed on the setting only if the setting gave it.
func TestBlame(t *testing.T) {
	text := with(t, demoText(t), `volume = "25 L"`, `volume = "-25 L"`)
	if _, err := load(text, "box.tuning=40Hz"); err == nil || !strings.HasPrefix(err.Error(), "mine/project.toml:220:10: box.volume") {
		t.Errorf("another key set: got %v", err)
	}
	if _, err := load(text, "box.volume=25L"); err != nil {
		t.Errorf("mended by a setting: got %v", err)
	}
}

// The check looks at every plain number, wherever it stands.
func TestFinite(t *testing.T) {
	good, err := load(demoText(t))
	if err != nil {
		t.Fatal(err)
	}
	for key, spoil := range map[string]func(*Project){
		"box.ql":                    func(p *Project) { p.Box.QL = math.NaN() },
		"vent.diameter":             func(p *Project) { p.Vent.Diameter = units.Length(math.NaN()) },
		"tweeter.sheet.qts":         func(p *Project) { p.Tweeter.Sheet.Qts = math.Inf(1) },
		"woofer.price":              func(p *Project) { p.Woofer.Price = math.Inf(-1) },
		"play.ear":                  func(p *Project) { p.Play.Ear = units.Length(math.Inf(1)) },
		"tweeter.panel.curve.volts": func(p *Project) { p.Tweeter.Panel.Curve.Volts = units.Voltage(math.NaN()) },
		"crossover.resistorpower":   func(p *Project) { p.Crossover.ResistorPower = units.Power(math.NaN()) },
		"woofer.sheet.vas":          func(p *Project) { p.Woofer.Sheet.Vas = units.Volume(math.NaN()) },
		"woofer.displaced":          func(p *Project) { p.Woofer.Displaced = units.Volume(math.NaN()) },
		"rules.money":               func(p *Project) { p.Rules.Money = math.NaN() },
		"sheet.kerf":                func(p *Project) { p.Sheet.Kerf = units.Length(math.NaN()) },
		"woofer.response.volts":     func(p *Project) { p.Woofer.Response.Volts = units.Voltage(math.NaN()) },
	} {
		p := good
		spoil(&p)
		var refused *units.RangeError
		if err := p.Check(); !errors.As(err, &refused) || refused.Field != key {
			t.Errorf("%s: got %v", key, err)
		}
	}
	if err := good.Check(); err != nil {
		t.Errorf("the good one: %v", err)
	}
}
