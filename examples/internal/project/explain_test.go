package project

import (
	"errors"
	"testing"
	"testing/fstest"
)

func TestExplain(t *testing.T) {
	text := "\ufeff[woofer]\n[woofer.sheet]\nqes = 0.435\n[woofer.impedance]\nfile = \"a.csv\"\n"
	src := Source{Files: fstest.MapFS{"project.toml": {Data: []byte(text)}}, Name: "project.toml", Shown: "mine/"}
	for _, c := range []struct{ err, set, want string }{
		{"woofer.sheet: ts: Qes 0.435: must be above Qts 0.45", "box.volume=3L", "mine/project.toml:3:7: woofer.sheet.qes 0.435: must be above Qts 0.45"},
		{"woofer.sheet: ts: Qes 0.3: must be above Qts 0.45", "woofer.sheet.qes=0.3", "-set woofer.sheet.qes=0.3: woofer.sheet.qes 0.3: must be above Qts 0.45"},
		{"woofer.sheet: ts: no driver follows from Re: fs cannot be found", "a=b", "mine/project.toml:2:9: woofer.sheet: no driver follows from Re: fs cannot be found"},
		{"woofer.impedance: mine/a.csv: response: line 3: found 2", "a=b", "mine/project.toml:4:9: woofer.impedance: mine/a.csv: line 3: found 2"},
		{"woofer.impedance: mine/b.csv: no such file", "woofer.impedance.file=b.csv", "woofer.impedance: mine/b.csv: no such file"},
		{"mine/parts.csv: parts: line 4: 10 fields", "a=b", "mine/parts.csv: line 4: 10 fields"},
		{"vent: 1.378 m long", "a=b", "vent: 1.378 m long"},
		{"crossover.coilohms 1 mΩ: every coil has more", "crossover={coilohms=\"1 mohm\"}", "-set crossover={coilohms=\"1 mohm\"}: crossover.coilohms 1 mΩ: every coil has more"},
	} {
		if got := src.Explain(errors.New(c.err), c.set); got.Error() != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
	if src.Explain(nil) != nil {
		t.Error("no error is one")
	}
}
