package project

import (
	"strings"
	"testing"
	"testing/fstest"
)

// What somebody writes who builds speakers and has never seen TOML: the message names
// the place, the key and what to write instead.
func TestNewcomer(t *testing.T) {
	text := demoText(t)
	for _, c := range []struct{ old, fresh, want string }{
		{"price = 56", "price = 56,50", `37:9: woofer.price 56,50: want a number with a decimal point, as 56.50`},
		{"price = 56", `price = "56,50"`, `37:9: woofer.price "56,50": want a number with a decimal point, as 56.50`},
		{"price = 56", `price = "60 EUR"`, `37:9: woofer.price "60 EUR": want a number alone, as 60; the currency stands in the key currency`},
		{"price = 56", `price = 60 €  # each`, `37:9: woofer.price 60 €: want a number alone, as 60; the currency stands in the key currency`},
		{"qms = 4.68", `qms = 4,68`, `53:7: woofer.sheet.qms 4,68: want a number with a decimal point, as 4.68`},
		{"qms = 4.68", `qms = "4.68"`, `53:7: woofer.sheet.qms "4.68": want a number without quotes, as 4.68`},
		{"qms = 4.68", `qms = 04.68`, `53:7: woofer.sheet.qms 04.68: want a number with a decimal point, as 4.68`},
		{"qms = 4.68", `qms = .5`, `53:7: woofer.sheet.qms .5: want a number with a decimal point, as 0.5`},
		{"qms = 4.68", `qms = 4.68 ohm`, `53:7: woofer.sheet.qms 4.68 ohm: want a number alone, with a decimal point`},
		{"qms = 4.68", "qms\u00a0= 4.68", `53:4: woofer.sheet.qms: a no-break space stands there: write an ordinary one`},
		{"qms = 4.68", "qms =\u00a04.68", `53:6: woofer.sheet.qms: a no-break space stands there: write an ordinary one`},
		{`re = "5.80`, `re = “5.80 ohm”  # cold`, `51:6: woofer.sheet.re “5.80 ohm”: the quotation mark “ is a typographic one: want straight ones, as "5.80 ohm"`},
		{`re = "5.80`, `re = ‘5.80 ohm’`, `51:6: woofer.sheet.re ‘5.80 ohm’: the quotation mark ‘ is a typographic one: want straight ones, as "5.80 ohm"`},
		{`re = "5.80`, `re = "5.80 ohm”`, `51:6: woofer.sheet.re "5.80 ohm”: the quotation mark " that opens here is not closed on its line`},
		{"moneyfor =", `moneyfor = [“drivers”]`, `23:13: rules.moneyfor [“drivers”]: the quotation mark “ is a typographic one: want straight ones, as ["drivers"]`},
		{"moneyfor =", `moneyfor = ["drivers", "wood]`, `23:24: rules.moneyfor ["drivers", "wood]: the quotation mark " that opens here is not closed on its line`},
		{`name = "demo woofer B"`, `name = demo woofer B`, `36:8: woofer.name demo woofer B: want text in quotes, as "demo woofer B"`},
		{`name = "demo woofer B"`, `name = "demo woofer B`, `36:8: woofer.name "demo woofer B: the quotation mark " that opens here is not closed on its line`},
		{`name = "demo woofer B"`, `name =`, `36:7: woofer.name has no value: want text in quotes, or the line left out`},
		{`name = "demo woofer B"`, `name`, `36:1: name: want key = value, with an equals sign`},
		{`name = "demo woofer B"`, `name "demo woofer B"`, `36:1: name "demo woofer B": want key = value, with an equals sign`},
		{`name = "demo woofer B"`, `name: "demo woofer B"`, `36:1: name: "demo woofer B": want key = value, with an equals sign`},
		{`outer = "flanged"`, `outer = flanged`, `233:9: vent.outer flanged: want a word in quotes, as "flanged"`},
		{"pad = true", `pad = yes`, `280:7: crossover.pad yes: want true or false`},
		{`volume = "25 L"`, `volume = 25,5 L`, `220:10: box.volume 25,5 L: want text with a unit, as "25,5 L"`},
		{"diameter =", `diameter = 70`, `230:12: vent.diameter 70: want text with a unit, as "70 mm"`},
		{"diameter =", `diameter = 0.07`, `230:12: vent.diameter 0.07: want text with a unit, as "0.07 mm" or "0.07 m"`},
		{"tuning =", `tuning = 39`, `221:10: box.tuning 39: want text with a unit, as "39 Hz"`},
		{"[vent]", `[vents]`, `229:2: unknown key vents: want one of name, speakers, currency, rules, air, woofer, tweeter, box, vent, cabinet, sheet, crossover, play, sweeps; did you mean vent?`},
	} {
		_, err := load(with(t, text, c.old, c.fresh))
		if err == nil || err.Error() != "mine/project.toml:"+c.want {
			t.Errorf("%s: got\n%v\nwant mine/project.toml:%s", c.fresh, err, c.want)
		}
	}
	if _, err := load(with(t, text, "qes = 0.435", "qse = 0.435")); err == nil || !strings.HasSuffix(err.Error(), "; did you mean qes?") {
		t.Errorf("qse: got %v", err)
	}
	for set, want := range map[string]string{
		"woofer.sheet.qms=4,68":  `woofer.sheet.qms "4,68": want a number with a decimal point, as 4.68`,
		"woofer.price=60 EUR":    `woofer.price "60 EUR": want a number alone, as 60; the currency stands in the key currency`,
		"name=":                  `name has no value: want key=value, as box.volume=24L; an empty text is 'name=""'`,
		"vent.diameter=70":       `vent.diameter 70: want text with a unit, as "70 mm"`,
		"woofer.sheet.re=“5.8Ω”": `woofer.sheet.re: resistance "“5.8Ω”": does not begin with a number`,
	} {
		if _, err := load(text, set); err == nil || err.Error() != "-set "+set+": "+want {
			t.Errorf("got  %v\nwant -set %s: %s", err, set, want)
		}
	}
}

// Nothing that breaks lines or steers a terminal comes in by a file or a setting.
func TestControlCharacters(t *testing.T) {
	text := demoText(t)
	for _, fresh := range []string{"name = \"a\x1bb\"", `name = "a\u001bb"`, `name = "a\nb"`, `name = "a\tb"`, `name = "a\u007fb"`, `name = "a\u2028b"`, "name = '''a\nb'''", "name = \"\"\"a\nb\"\"\"", "name = \"a\x7fb\""} {
		_, err := load(with(t, text, `name = "demo woofer B"`, fresh))
		if err == nil || !strings.HasPrefix(err.Error(), "mine/project.toml:36:") || !strings.Contains(err.Error(), ": woofer.name ") || !strings.HasSuffix(err.Error(), ": must be one line without control characters") {
			t.Errorf("%q: got %q", fresh, err)
		}
	}
	for fresh, want := range map[string]string{
		`partkinds = ["coil", "a\u0007"]`: `rules.partkinds "a\a"`,
		`"a\nb" = 3`:                      `key "rules.a\nb"`,
	} {
		_, err := load(with(t, text, "partkinds =", fresh))
		if err == nil || !strings.Contains(err.Error(), ": "+want+": must be one line without control characters") {
			t.Errorf("%q: got %q", fresh, err)
		}
	}
	if _, err := load(with(t, text, "volume = \"26", `volume = "26\u001b L"`)); err == nil || !strings.Contains(err.Error(), `: rules.volume "26\x1b L": must be`) {
		t.Errorf("a quantity: got %q", err)
	}
	if _, err := load(text + "\n[[cabinet.inside]]\nname = \"a\\rb\"\nvolume = \"1 L\"\n"); err == nil || !strings.Contains(err.Error(), `: cabinet.inside.name "a\rb": must be`) {
		t.Errorf("in a list of tables: got %q", err)
	}
	for set, want := range map[string]string{
		"name=a\x1bb":     `-set "name=a\x1bb": name: must be one line without control characters`,
		"name=a\nb":       `-set "name=a\nb": name: must be one line without control characters`,
		"name=a\tb":       `-set "name=a\tb": name "a\tb": must be one line without control characters`,
		`name="a\u000ab"`: `-set name="a\u000ab": name "a\nb": must be one line without control characters`,
		"na\x7fme=b":      `-set "na\x7fme=b": must be one line without control characters`,
		"name=\xff":       `-set "name=\xff": must be text in UTF-8`,
	} {
		if _, err := load(text, set); err == nil || err.Error() != want {
			t.Errorf("got  %q\nwant %q", err, want)
		}
	}
}

// Drivers need curves, and a file that is not there is named with who asks for it.
func TestTables(t *testing.T) {
	text := demoText(t)
	_, err := load(with(t, text, `file = "woofer_b_impedance.csv"`, ""))
	if want := "mine/project.toml:71:9: woofer.impedance.file is missing: must name a table of its impedance in free air, measured or traced from the maker's plot; a data sheet alone is not enough"; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := load("speakers = 1\n[woofer]\nsheet = {zn = \"8 ohm\"}\n"); err == nil || !strings.HasPrefix(err.Error(), "mine/project.toml:2:2: woofer.impedance.file is missing: ") {
		t.Errorf("no table of the impedance: got %v", err)
	}
	files := fstest.MapFS{"project.toml": {Data: []byte("[woofer.response]\nfile = \"wofer.csv\"\n")}, "woofer.csv": {Data: []byte("f dB\n0.02 80\n0.2 85\n20 90\n")}, "notes.txt": {}}
	src := Source{Files: files, Name: "project.toml", Shown: "mine/"}
	_, _, err = src.Curve(Curve{File: "wofer.csv"}, false)
	if want := "mine/wofer.csv: no such file; named at mine/project.toml:2:8, woofer.response.file; there is woofer.csv"; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	src.Name = "projekt.toml"
	if _, err = src.Load(); err == nil || err.Error() != "mine/projekt.toml: no such file; there is project.toml" {
		t.Errorf("got %v", err)
	}
	_, _, err = src.Curve(Curve{File: "woofer.csv", Frequency: "f", Level: "dB"}, false)
	if want := `mine/woofer.csv: column "f" goes from 0.02 to 20 Hz: is it in kHz? want the frequencies in Hz`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
