package schematic

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

func demo() []Branch {
	return []Branch{
		{Name: "woofer", Driver: "demo woofer", Network: ladder.Network{
			ladder.Series(ladder.L(1.2*units.Millihenry).WithResistance(0.3), ladder.C(0.68*units.Microfarad)),
			ladder.Shunt(ladder.C(6.8*units.Microfarad), ladder.L(0.12*units.Millihenry)),
		}},
		{Name: "tweeter", Driver: `<script>"x"</script>`, Inverted: true, Network: ladder.Network{
			ladder.Series(ladder.C(5.6 * units.Microfarad)),
			ladder.Shunt(ladder.L(0.56 * units.Millihenry)),
			ladder.Series(ladder.R(2.2)),
		}},
	}
}

// Every part is in the drawing once, with its letter and its value, in the order of
// the signal; hostile names stay text; the drawing is well-formed and lies within
// its frame.
func TestSVG(t *testing.T) {
	svg := SVG(demo()...)
	var labels []string
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			if x.Name.Local == "script" {
				t.Error("a name became markup")
			}
		case xml.CharData:
			if s := strings.TrimSpace(string(x)); s != "" {
				labels = append(labels, s)
			}
		}
	}
	all := strings.Join(labels, "|")
	at := -1
	for _, want := range []string{"|A 1.2\u00a0mH|", "|B 0.68\u00a0µF|", "|C|6.8\u00a0µF|", "|D|0.12\u00a0mH|", "|E 5.6\u00a0µF|", "|F|0.56\u00a0mH|", "|G 2.2\u00a0Ω|"} {
		i := strings.Index(all, want)
		if i <= at {
			t.Errorf("%q is missing or out of order in %s", want, all)
		}
		at = i
	}
	if strings.Count(all, "|inverted") != 1 || strings.Count(all, "|amplifier|") != 2 {
		t.Errorf("polarity or terminals: %s", all)
	}
	if !strings.Contains(labels[1], "L 1.2 mH 0.3 Ω in parallel with C 0.68 µF in series; C 6.8 µF in series with L 0.12 mH across; plus of the driver on the signal.") {
		t.Errorf("description %q", labels[1])
	}
	if again := SVG(demo()...); again != svg {
		t.Error("differs from one time to the next")
	}
}
