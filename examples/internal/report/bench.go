package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/schematic"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

//go:embed bench.html
var benchText string

var benchTemplate = template.Must(template.New("bench").Parse(benchText))

// wiringDiagram draws both branches.
func wiringDiagram(d *design.Design) template.HTML {
	p, n := d.Project, d.Speaker.Choice.Networks
	return template.HTML(schematic.SVG(
		schematic.Branch{Name: "woofer", Driver: p.Woofer.Name, Network: n[0]},
		schematic.Branch{Name: "tweeter", Driver: p.Tweeter.Name, Network: n[1], Inverted: d.Speaker.Inverted}))
}

type benchPart struct{ Letter, Value, Mind string }

// Bench returns the sheet for the bench: one page to print, without script or
// anything from elsewhere.
func Bench(d *design.Design) ([]byte, error) {
	polarity := "Plus of both drivers to the signal, minus to the return."
	if d.Speaker.Inverted {
		polarity = "Woofer: plus to the signal. Tweeter: plus to the return."
	}
	var list []benchPart
	for _, x := range d.Speaker.Stress {
		part := x.Part
		part.Resistance, part.Loss = 0, 0
		mind := ""
		switch part.Kind {
		case ladder.Inductor:
			mind = fmt.Sprintf("resistance about %s; away from the other coils and at a right angle to the next", digits(x.Part.Resistance, 2))
		case ladder.Resistor:
			mind = fmt.Sprintf("rated %v or more; stand it off the board, it gets hot", x.Rating)
		default:
			mind = "either way round"
		}
		_, value, _ := strings.Cut(part.String(), " ")
		list = append(list, benchPart{x.Letter, strings.ReplaceAll(value, " ", "\u00a0"), mind})
	}
	var b bytes.Buffer
	err := benchTemplate.Execute(&b, map[string]any{
		"Name": d.Project.Name, "Schematic": wiringDiagram(d), "Polarity": polarity, "Parts": list,
		"Impedance": impedance(d), "Sound": sound(d), "Cautions": cautions()[:4],
	})
	return b.Bytes(), err
}

func impedance(d *design.Design) []string {
	b := d.Bench
	var out []string
	if d.Project.Box.Tuning > 0 {
		v := d.Bass.Vent
		out = append(out, fmt.Sprintf("Cut the vent %s long, a tenth longer than the %s it should have, and shorten it until the dip is right.",
			digits(v.Length*1.1, 3), digits(v.Length, 3)))
		if b.Dip.Frequency > 0 {
			out = append(out, fmt.Sprintf("Dip between the bass peaks: %s, with %s. With vent and box a millimetre and 3 %% off it lies from %s to %s.",
				hz(b.Dip.Frequency), digits(b.Dip.Impedance, 2), hz(b.DipLow), hz(b.DipHigh)))
		}
	}
	for _, p := range b.Peaks {
		out = append(out, fmt.Sprintf("Bass peak at %s, %s. A driver's resonance may be 10 %% off: the peaks move with it, the dip hardly.", hz(p.Frequency), digits(p.Impedance, 2)))
	}
	return append(out,
		fmt.Sprintf("Least of all from 20 Hz to 20 kHz: %s at %s. Clearly less means a wiring slip: do not connect an amplifier.", digits(d.Speaker.LoadMin, 2), hz(d.Speaker.LoadAt)),
		fmt.Sprintf("With direct current: about %s.", direct(d)))
}

// direct is what an ohmmeter shows at the terminals.
func direct(d *design.Design) string {
	sum := 0.0
	for w, n := range d.Speaker.Choice.Networks {
		r := float64([]design.Driver{d.Woofer, d.Tweeter}[w].Model.Re)
		for i := len(n) - 1; i >= 0; i-- {
			arm := n[i]
			if arm.Shunt {
				g := 1 / r
				if x := resistance(arm); !math.IsInf(x, 1) {
					g += 1 / x
				}
				r = 1 / g
			} else {
				r += resistance(arm)
			}
		}
		sum += 1 / r
	}
	return digits(units.Resistance(1/sum), 2)
}

// resistance of an arm to direct current.
func resistance(a ladder.Arm) float64 {
	series, parallel := 0.0, 0.0
	for _, p := range a.Parts {
		r := math.Inf(1)
		switch p.Kind {
		case ladder.Inductor:
			r = float64(p.Resistance)
		case ladder.Resistor:
			r = p.Value
		}
		series += r
		parallel += 1 / r
	}
	if a.Shunt {
		return series
	}
	return 1 / parallel
}

func sound(d *design.Design) []string {
	b := d.Bench
	out := []string{
		"Sweep slowly from 20 Hz to 300 Hz, quietly: no buzz, no rattle. Feel for air at every joint with a wet finger: only the vent blows.",
		"Left and right with the same sweep: within half a decibel of each other from 100 Hz to 10 kHz; else compare the parts first.",
	}
	if b.Null.Depth > 0 {
		out = append(out, fmt.Sprintf("Turn the tweeter's wires over and sweep at the height of the ear: this design then has a dip of %.0f dB at %s. One much shallower or elsewhere says that a centre, a part or a polarity is not as drawn. Turn them back.",
			math.Min(b.Null.Depth, 30), hz(b.Null.Frequency)))
	}
	for _, c := range b.Brightness {
		word := "Too dull"
		if c.Level < 0 {
			word = "Too bright"
		}
		out = append(out, fmt.Sprintf("%s? %s from %v to %v gives %+.1f dB of treble.", word, c.Letter, c.From, c.To, c.Level))
	}
	return out
}
