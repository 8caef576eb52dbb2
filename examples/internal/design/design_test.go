package design

import (
	"bytes"
	"io/fs"
	"math"
	"math/cmplx"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"example.com/halfspace/box"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

const folder = "../../projects/buildnight"

var source = project.Source{Files: os.DirFS(folder), Name: "project.toml"}

// demo is the checked-in design.
var demo = sync.OnceValues(func() (*Design, error) { return design(source) })

func design(src project.Source, settings ...string) (*Design, error) {
	p, err := src.Load(settings...)
	if err != nil {
		return nil, err
	}
	return Run(src, p)
}

// quick designs with few shelf items to try.
func quick(tb testing.TB, settings ...string) *Design {
	tb.Helper()
	d, err := design(source, append(settings, "crossover.near=3")...)
	if err != nil {
		tb.Fatalf("%q: %v", settings, err)
	}
	return d
}

func near(tb testing.TB, what string, got, want, allowed float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= allowed) {
		tb.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, allowed)
	}
}

// The author of the demo computed it from the model behind its curves, with a
// program of his own.
func TestAgainstTheDemosAuthor(t *testing.T) {
	d, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "net volume, L", d.Cabinet.Net.In(units.Litre), 25, 0.2)
	// The author prints 27.2 L; by hand it is (350 − 2·38)(600 − 2·38)(13·14.6) mm³.
	near(t, "gross volume, L", d.Cabinet.Gross.In(units.Litre), 274*524*13*14.6/1e6, 1e-9)
	if d.Cabinet.Stack.Layers != 13 {
		t.Errorf("%d layers, want 13", d.Cabinet.Stack.Layers)
	}
	effective := d.Bass.Vent.EffectiveLength().In(units.Millimetre)
	near(t, "effective length of the vent at 25 L, mm", effective*float64(d.Cabinet.Net)/0.025, 305, 0.5)
	near(t, "depth free behind the vent, mm", d.Bass.Behind.In(units.Millimetre), 58, 2.5) // other end correction

	// The woofer without network in this box, at 1 m on the axis of the panel. The
	// field is at the ear: level it from there.
	at := d.place(d.Project.Woofer)
	r := math.Hypot(float64(d.Project.Play.Distance)-at.Z, math.Hypot(at.X, at.Y))
	far := 20 * math.Log10(r/float64(d.Project.Play.Distance))
	for f, want := range map[float64]float64{50: 82.5, 100: 84.9, 200: 86.3, 500: 88.9, 1000: 88.0} {
		i, _ := slices.BinarySearch(d.Hz, f)
		p := d.Speaker.Field.Pressure(0, atEar)
		lo, hi := d.Level(p[i-1], 2.83), d.Level(p[i], 2.83)
		level := lo + (hi-lo)*math.Log(f/d.Hz[i-1])/math.Log(d.Hz[i]/d.Hz[i-1])
		near(t, units.Frequency(f).String()+", dB", level+far, want, 0.15)
	}

	// 20 W into 8 Ω. The author's suspension creeps, ours is a plain spring: 2 %.
	x := make([]box.Point, 3)
	d.Bass.System.Sweep(x, []float64{30, 32, 58})
	near(t, "travel at 30 Hz, mm", cmplx.Abs(x[0].Travel)*12650, 9.2, 0.02*9.2)
	near(t, "air speed at 32 Hz, m/s", cmplx.Abs(x[1].AirSpeed)*12.65, 14.6, 0.02*14.6)
	near(t, "travel at 58 Hz, mm", cmplx.Abs(x[2].Travel)*12650, 5.9, 0.02*5.9)
	near(t, "f3 in half space, Hz", float64(d.Bass.F3), 41.6, 0.02*41.6)

	// The author's best six parts to 30 EUR a side give 0.312 dB, in free air.
	near(t, "ripple as built, dB", d.Speaker.Choice.Score.Ripple, 0.31, 0.05)
	if d.Speaker.Inverted || !d.Holds() || d.Speaker.Choice.Price > 30 {
		t.Errorf("inverted %v, holds %v, %.2f EUR a side", d.Speaker.Inverted, d.Holds(), d.Speaker.Choice.Price)
	}
}

// What the report tells of the finished speaker, found again from its curves.
func TestJudged(t *testing.T) {
	d, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	s := &d.Speaker

	// The sum from transfer and pressure, its mean, and where it has fallen by 3 dB.
	level := make([]float64, len(d.Hz))
	mean, n := 0.0, 0
	for i, f := range d.Hz {
		p := s.Result.Transfer[0][i]*s.Field.Pressure(0, 0)[i] + s.Result.Transfer[1][i]*s.Field.Pressure(1, 0)[i]
		level[i] = 20 * math.Log10(2.83*cmplx.Abs(p)*2/20e-6)
		if f >= 200 && f <= 16000 {
			mean, n = mean+level[i], n+1
		}
	}
	mean /= float64(n)
	near(t, "sensitivity", float64(s.Sensitivity), mean, 1e-9)
	for f, down := range map[units.Frequency]float64{s.F3: 3, s.F6: 6, s.F10: 10} {
		i, _ := slices.BinarySearch(d.Hz, float64(f))
		if !(level[i-1] <= mean-down && level[i] >= mean-down) {
			t.Errorf("%v dB below at %v: the levels around it are %.2f and %.2f of %.2f", down, f, level[i-1], level[i], mean)
		}
	}

	// Every tone drives one thing to its limit, the named one, and nothing beyond.
	for _, l := range s.Loudest {
		i := slices.Index(d.Hz, float64(l.Frequency))
		v := float64(l.Volts)
		woofer, tweeter := v*cmplx.Abs(s.Result.Transfer[0][i]), v*cmplx.Abs(s.Result.Transfer[1][i])
		heat := func(way int, volts, re float64) float64 {
			amps := volts / cmplx.Abs(s.Field.Load(way)[i])
			return amps * amps * re
		}
		re, dome := float64(d.Woofer.Model.Re), box.System{Driver: d.Tweeter.Model, Enclosure: box.InfiniteBaffle{}, Air: d.Air}
		used := map[string]float64{
			"amplifier":    v * v / 8 / 50,
			"vent":         woofer * cmplx.Abs(d.Bass.Points[i].AirSpeed) / 17,
			"woofer: cone": woofer * cmplx.Abs(d.Bass.Points[i].Travel) / 0.005,
			// The heat limit knows the model's impedance, not the measured one.
			"woofer: heat":  math.Pow(woofer*cmplx.Abs(d.Bass.Points[i].Current), 2) * re / 70,
			"tweeter: dome": tweeter * cmplx.Abs(dome.At(l.Frequency).Travel) / 0.0004,
			"tweeter: heat": heat(1, tweeter, float64(d.Tweeter.Model.Re)) / 20,
		}
		for what, part := range used {
			if part > 1.001 || what == l.First && part < 0.999 {
				t.Errorf("%v, %s first: %s at %.4f of its limit", l.Frequency, l.First, what, part)
			}
		}
		if _, ok := used[l.First]; !ok {
			t.Errorf("%v: %q gives first?", l.Frequency, l.First)
		}
		near(t, l.Frequency.String(), float64(l.Level), level[i]+20*math.Log10(v/2.83), 1e-9)
	}

	// All heat in the parts and both loads is what the amplifier gives.
	for _, i := range []int{20, 100, 200, 250} {
		given := 20 * 20 * real(1/s.Result.Load[i])
		taken := 0.0
		for w, network := range s.Choice.Networks {
			state, err := network.State(d.Hz[i], s.Field.Load(w)[i])
			if err != nil {
				t.Fatal(err)
			}
			for k, part := range state.Parts {
				taken += 400 * part.Power
				if x := s.Stress[w*len(s.Choice.Items[0])+k]; float64(x.Worst) < 400*part.Power*(1-1e-9) {
					t.Errorf("%s: %v at worst, but %.3g W at %.4g Hz", x.Name, x.Worst, 400*part.Power, d.Hz[i])
				}
			}
			z := s.Field.Load(w)[i]
			taken += 400 * math.Pow(cmplx.Abs(s.Result.Transfer[w][i]), 2) * real(1/z)
		}
		near(t, "power, W", taken, given, 1e-9*given)
	}
	// The load shows the box: between two peaks a dip at the tuning, as low as Re and
	// the loss of the leak let it.
	z := func(f float64) float64 {
		i, _ := slices.BinarySearch(d.Hz, f)
		return cmplx.Abs(s.Field.Load(0)[i])
	}
	if !(z(39) < z(36) && z(39) < z(42) && z(25) > 2*z(39) && z(55) > 2*z(39)) {
		t.Errorf("impedance %.1f Ω at 25 Hz, %.1f at 36, %.1f at 39, %.1f at 42, %.1f at 55: want a dip at 39", z(25), z(36), z(39), z(42), z(55))
	}
	for i, x := range s.Stress {
		if x.Letter != ladder.Letter(i) || x.Name == "" || !(x.Worst >= 0) {
			t.Errorf("part %d: %+v", i, x)
		}
	}
}

// A wall at the panel's own plane makes the full space a half space.
func TestWallInThePanel(t *testing.T) {
	d := quick(t, "play.wall=0 m", "crossover.polarity=same")
	for i := range d.Hz {
		if a, b := d.Speaker.NearWall[i], d.Speaker.HalfSpace[i]; !(cmplx.Abs(a-b) <= 1e-9*cmplx.Abs(b)) {
			t.Fatalf("%.4g Hz: wall at the panel %v, half space %v", d.Hz[i], a, b)
		}
	}
	near(t, "half space over free field at 20 Hz, dB", d.Level(d.Speaker.HalfSpace[0], 1)-d.Level(d.Speaker.Result.Sum[0][0], 1), 6, 0.1)
}

func TestInputsMoveTheResult(t *testing.T) {
	base := quick(t)

	// The model takes Bl from the printed Qs; without them from the printed Bl.
	d := quick(t, "woofer.sheet.bl=7.5 T·m", "woofer.sheet.qes=0", "woofer.sheet.qts=0")
	if got := float64(d.Woofer.Model.Bl); math.Abs(got-7.5) > 0.01 {
		t.Errorf("Bl %v, want 7.5", got)
	}
	if !(d.Woofer.Model.Qts() < base.Woofer.Model.Qts() && d.Bass.F3 > base.Bass.F3) {
		t.Errorf("stronger motor: Qts %.3f from %.3f, f3 %v from %v", d.Woofer.Model.Qts(), base.Woofer.Model.Qts(), d.Bass.F3, base.Bass.F3)
	}
	d = quick(t, "woofer.sheet.bl=7.5 T·m")
	if !slices.ContainsFunc(d.Woofer.Findings, func(f ts.Finding) bool { return strings.Contains(f.String(), "contradiction: Qes printed 0.435") }) {
		t.Errorf("Bl against the Qs: %v", d.Woofer.Findings)
	}

	d = quick(t, "box.tuning=45Hz")
	if !(d.Bass.Vent.Length < base.Bass.Vent.Length && d.Bass.Behind > base.Bass.Behind && d.Bass.System.Enclosure.(box.Vented).Fb == 45) {
		t.Errorf("tuned higher: vent %v from %v", d.Bass.Vent.Length, base.Bass.Vent.Length)
	}
	// Leff goes with 1/(V f²).
	ratio := float64(d.Bass.Vent.EffectiveLength()/base.Bass.Vent.EffectiveLength()) * float64(d.Cabinet.Net/base.Cabinet.Net)
	near(t, "effective length", ratio, 39.*39/(45*45), 1e-6)

	d = quick(t, "box.volume=22L", "vent.room=10 mm")
	if !(d.Cabinet.Stack.Layers < base.Cabinet.Stack.Layers && d.Bass.F3 > base.Bass.F3 && d.Cabinet.Mass < base.Cabinet.Mass) {
		t.Errorf("smaller box: %d layers, f3 %v", d.Cabinet.Stack.Layers, d.Bass.F3)
	}
	for _, n := range []Neighbour{d.Cabinet.Fewer, d.Cabinet.More} {
		if (n.Net < d.Cabinet.Net) != (n.Layers < d.Cabinet.Stack.Layers) || (n.F3 > d.Bass.F3) != (n.Layers < d.Cabinet.Stack.Layers) {
			t.Errorf("neighbour %+v of %v, %v", n, d.Cabinet.Net, d.Bass.F3)
		}
	}

	d = quick(t, "play.amplifier=5 W")
	for i, l := range d.Speaker.Loudest {
		if l.Level > base.Speaker.Loudest[i].Level || l.Frequency >= 40 && l.First != "amplifier" {
			t.Errorf("5 W at %v: %v by %s", l.Frequency, l.Level, l.First)
		}
	}
}

// A price that rises is avoided if the money binds.
func TestPrice(t *testing.T) {
	base, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	chosen := base.Speaker.Choice.Items[1][0].ID
	text, err := fs.ReadFile(source.Files, "parts.csv")
	if err != nil {
		t.Fatal(err)
	}
	var lines [][]byte
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte(chosen+",")) {
			price := []byte(",1.80,")
			if !bytes.Contains(line, price) {
				t.Fatalf("%s: want a price of 1.80", line)
			}
			line = bytes.Replace(line, price, []byte(",11.80,"), 1)
		}
		lines = append(lines, line)
	}
	files := fstest.MapFS{"parts.csv": {Data: bytes.Join(lines, nil)}}
	dear := project.Source{Files: over{files, source.Files}, Name: "project.toml"}

	d, err := design(dear, "crossover.near=6")
	if err != nil {
		t.Fatal(err)
	}
	if price := d.Speaker.Choice.Price; price > 30 || !d.Holds() || d.Speaker.Choice.Score.Ripple < base.Speaker.Choice.Score.Ripple {
		t.Errorf("%s for 10 EUR more: %.2f EUR a side, %.4f dB (before %.2f EUR, %.4f dB), rules %+v", chosen,
			price, d.Speaker.Choice.Score.Ripple, base.Speaker.Choice.Price, base.Speaker.Choice.Score.Ripple, d.Rules)
	}

	// Without money for it, another one.
	d, err = design(dear, "crossover.near=6", "rules.money=226")
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Speaker.Choice.Items[1][0].ID; got == chosen || !d.Holds() || d.Speaker.Choice.Price > 23 {
		t.Errorf("at 23 EUR a side %s is taken, rules hold: %v, %.2f EUR", got, d.Holds(), d.Speaker.Choice.Price)
	}
	if d.Speaker.Choice.Score.Ripple < base.Speaker.Choice.Score.Ripple {
		t.Errorf("less money, yet flatter: %.4f from %.4f dB", d.Speaker.Choice.Score.Ripple, base.Speaker.Choice.Score.Ripple)
	}
}

// over opens from the first file system that has a file.
type over []fs.FS

func (o over) Open(name string) (fs.File, error) {
	for _, files := range o[:len(o)-1] {
		if f, err := files.Open(name); err == nil {
			return f, nil
		}
	}
	return o[len(o)-1].Open(name)
}

func TestRules(t *testing.T) {
	for _, c := range []struct {
		settings string
		want     Rule
		note     string
	}{
		{"rules.parts=5", Rule{"crossover parts per speaker", "5", "6", "-1", false}, ""},
		{`rules.parts=1|rules.partkinds=["resistor"]`, Rule{"crossover parts per speaker", "1", "1", "+0", true}, ""},
		{"rules.volume=25L|cabinet.layers=13", Rule{"net air per speaker", "25 L", "25.14 L", "-0.14 L", false}, ""},
		{"rules.volume=27L|rules.volumeis=gross|cabinet.layers=13", Rule{"gross air per speaker", "27 L", "27.25 L", "-0.25 L", false}, ""},
		{"speakers=4|rules.money=0", Rule{"sheets of wood", "1", "2", "-1", false}, ""},
		{`rules.money=60|rules.moneyfor=["wood"]`, Rule{"money for wood", "60.00 EUR", "60.00 EUR", "+0.00 EUR", true}, ""},
		{`rules.money=59.5|rules.moneyfor=["wood"]`, Rule{"money for wood", "59.50 EUR", "60.00 EUR", "-0.50 EUR", false}, ""},
		// Money that cannot be kept: too little for any choice, and less than the drivers cost.
		{"rules.money=190", Rule{Name: "money for drivers and crossover", Limit: "190.00 EUR"}, "No choice of shelf parts"},
		{"rules.money=150", Rule{Name: "money for drivers and crossover", Limit: "150.00 EUR"}, "No choice of shelf parts"},
	} {
		d := quick(t, append(strings.Split(c.settings, "|"), "crossover.polarity=same")...)
		i := slices.IndexFunc(d.Rules, func(r Rule) bool { return r.Name == c.want.Name })
		if i < 0 {
			t.Errorf("%s: no rule %q in %+v", c.settings, c.want.Name, d.Rules)
			continue
		}
		got := d.Rules[i]
		if c.want.Value == "" { // the price is the search's business, not the limit
			if !strings.HasPrefix(got.Margin, "-") {
				t.Errorf("%s: %+v", c.settings, got)
			}
			got.Value, got.Margin = "", ""
		}
		if got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.settings, got, c.want)
		}
		if d.Holds() != !slices.ContainsFunc(d.Rules, func(r Rule) bool { return !r.Holds }) || !c.want.Holds && d.Holds() {
			t.Errorf("%s: holds %v, rules %+v", c.settings, d.Holds(), d.Rules)
		}
		noted := slices.ContainsFunc(d.Notes, func(n string) bool { return strings.HasPrefix(n, "No choice of shelf parts") })
		if noted != (c.note != "") {
			t.Errorf("%s: notes %q", c.settings, d.Notes)
		}
	}
	// The volume rule is kept where there is a choice of layers.
	if d := quick(t, "rules.volume=25L", "vent.room=10 mm", "crossover.polarity=same"); d.Cabinet.Stack.Layers != 12 || !d.Holds() {
		t.Errorf("25 L at most: %d layers, %v", d.Cabinet.Stack.Layers, d.Cabinet.Net)
	}
	if d := quick(t, "rules={parts=0, money=0, volume=\"0 L\", sheets=0, load=\"0 ohm\"}", "crossover.polarity=same"); len(d.Rules) != 0 || !d.Holds() {
		t.Errorf("no rules: %+v", d.Rules)
	}
}

// A closed box follows the textbook: fc and Qtc from the stiffness of the air, f3
// from both.
func TestClosedBox(t *testing.T) {
	d := quick(t, "box.tuning=0 Hz", "box.ql=0", "woofer.sheet.le1k=0 mH", "woofer.sheet.le10k=0 mH")
	m, v := d.Woofer.Model, float64(d.Cabinet.Net)
	k := math.Sqrt(1 + float64(m.Vas(d.Air))/v)
	fc, q := float64(m.Fs())*k, m.Qts()*k
	a := 1/(2*q*q) - 1
	near(t, "f3, Hz", float64(d.Bass.F3), fc*math.Sqrt(a+math.Sqrt(a*a+1)), 1e-3)
	if d.Bass.Vent != (port.Vent{}) {
		t.Errorf("a vent in a closed box: %+v", d.Bass.Vent)
	}
	for _, x := range d.Cabinet.Inside {
		if x.Name == "vent" {
			t.Error("a vent takes air from a closed box")
		}
	}
	for _, l := range d.Speaker.Loudest {
		if l.First == "vent" {
			t.Errorf("%v: the vent of a closed box gives first", l.Frequency)
		}
	}
}

// What looks like a mistake is told, once.
func TestOdd(t *testing.T) {
	if d := quick(t); len(d.Doubts) > 0 {
		t.Errorf("the build night: %q", d.Doubts)
	}
	for setting, want := range map[string][]string{
		"box.volume=500L":       {"500 L of net air are wanted, but the rule of 26 L allows 13 layers at most"},
		"woofer.sheet.re=9 ohm": {"woofer_b_impedance.csv: the least impedance is 6.42 Ω, but the sheet's Re is 9 Ω: are woofer.sheet and this table of one driver?"},
		"tweeter.impedance.file=woofer_b_impedance.csv": {
			"woofer_b_impedance.csv: the impedance peaks at 38.2 Hz, but the sheet's fs is 823 Hz: are tweeter.sheet and this table of one driver, in free air?",
		},
		"woofer.response.file=tweeter_a_response.csv": {
			"tweeter_a_response.csv: 76.7 dB at 1 m for 2.83 V, mean of 200 Hz to 800 Hz in half space, but 89.4 dB follow from the sheet: are woofer.sheet and this table of one driver, and volts and distance right?",
		},
	} {
		if d := quick(t, setting); !slices.Equal(d.Doubts, want) {
			t.Errorf("%s: %q, want %q", setting, d.Doubts, want)
		}
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ settings, want string }{
		// Nothing counts twice.
		{`woofer.response.taken="on a panel"`, "crossover: woofer: its curve already contains the panel, whose effect would count twice"},
		{`woofer.response.taken="near the cone"`, "crossover: woofer: its curve was taken near the cone: bring it to half space first"},
		{`tweeter.response.taken="on the floor"`, "crossover: tweeter: its curve already contains the panel, whose effect would count twice"},
		{`tweeter.response.taken="on a panel"`, "crossover: tweeter: its curve already contains the panel, whose effect would count twice"},
		{"tweeter.impedance.file=nope.csv", "tweeter.impedance: nope.csv: no such file"},
		{"woofer.panel.curve.level=dB", `woofer.panel: woofer_b_response.csv: response: no column "dB"; there are "frequency_Hz", "half_space_spl_dB", "half_space_phase_deg", "baffle_spl_dB", "baffle_phase_deg"`},
		{"crossover.catalogue=nope.csv", "nope.csv: no such file"},
		// The vent.
		{"box.tuning=25Hz", "vent: 522.6 mm long, of which 484.6 mm stand inside, in a depth of 274 mm; take a narrower vent, a larger box or a higher tuning"},
		{"vent.room=100 mm|cabinet.layers=13", "vent: 252.4 mm long, of which 214.4 mm stand inside, in a depth of 274 mm: 59.6 mm stay free behind it, at least 100 mm are wanted; take a narrower vent, a larger box or a higher tuning"},
		{"box.tuning=90Hz|cabinet.layers=13", "vent: 3.91 mm long, shorter than the wall of 38 mm it goes through; take a wider vent or a lower tuning"},
		{"box.volume=3L", "vent: tuned to 39 Hz it would take 10.54 L of the 4.192 L inside; take a narrower vent or a higher tuning"},
		// The panel.
		{"tweeter.y=400 mm", "woofer and tweeter: 42.94 mm between their centres, but their flanges need 135 mm"},
		{"woofer.x=80 mm", "woofer: its flange of 172 mm stands 6 mm over the edge of the panel of 219 mm × 600 mm, as wide as 13 layers of 14.6 mm make it for 25 L of net air; move the driver, or take a shallower profile, more air or a number of layers"},
		{"tweeter.y=580 mm", "tweeter: its flange of 98 mm stands 29 mm over the edge of the panel of 219 mm × 600 mm"},
		{"woofer.cutout=400 mm", "woofer.cutout 400 mm: must be below its flange of 172 mm, or it falls through"},
		{"box.volume=20L", "no cabinet of about 20 L of net air: vent: 281.8 mm long, of which 243.8 mm stand inside, in a depth of 274 mm: 30.17 mm stay free behind it, at least 50 mm are wanted; take a narrower vent, a larger box or a higher tuning"},
		{"vent.diameter=20 mm", "no cabinet of about 25 L of net air: vent: 3.102 mm long, shorter than the wall of 38 mm it goes through; take a wider vent or a lower tuning"},
		{"woofer.sheet.sd=136 m²", "box: no cut-off: the response stays 99.0 dB or more below the reference; woofer.sheet is probably misprinted: Sd printed 136 m², the others give 136 cm² (10000 times too large)"},
		{"woofer.depth=320 mm", "woofer: 320 mm deep, but only 312 mm from the front to the back wall"},
		// No prefix twice.
		{`air={temperature="20 °C", pressure="1 kPa", humidity="50 %"}`, "air: pressure 1 kPa: must be from 50 kPa to 110 kPa"},
		{"box.ql=-1", "box: QL -1: must be zero or positive, and finite"},
		{"sheet.width=100 mm", "cabinet: end cap: width 350 mm: must fit the 2.5 m × 100 mm of the sheet"},
		{"woofer.sheet.qms=-1", "woofer.sheet: ts: Qms -1: must be positive, or zero for not given"},
		{"crossover.resistorpower=100 W", "crossover.resistorpower 100 W: no resistor of parts.csv is rated so high"},
		{"crossover.coilohms=1 mohm", "crossover.coilohms 1 mΩ: every coil of parts.csv has more"},
		{"crossover.lo=20 kHz", "crossover: search: band from 20 kHz to 16 kHz: 0 frequencies of the grid: must be two at least"},
	} {
		_, err := design(source, append(strings.Split(c.settings, "|"), "crossover.near=3")...)
		if err == nil {
			t.Errorf("%s: accepted", c.settings)
		} else if err.Error() != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", c.settings, err, c.want)
		}
	}
}

// Curves measured on the panel need no panel curve.
func TestMeasuredOnThePanel(t *testing.T) {
	base := quick(t, "crossover.polarity=same")
	d := quick(t, "crossover.polarity=same",
		"woofer.response.level=baffle_spl_dB", "woofer.response.phase=baffle_phase_deg", `woofer.response.taken="on a panel"`, `woofer.panel.curve.file=""`)
	for i := range d.Hz {
		a, b := d.Speaker.Field.Pressure(0, 0)[i], base.Speaker.Field.Pressure(0, 0)[i]
		if !(cmplx.Abs(a-b) <= 1e-9*cmplx.Abs(b)) {
			t.Fatalf("%.4g Hz: %v, by half space and panel %v", d.Hz[i], a, b)
		}
	}
	if d.Speaker.HalfSpace == nil || !d.Woofer.Curves.Computed {
		t.Error("the panel's effect was not computed")
	}
}

// Without curves on the panel the cabinet's front is computed: within 1.3 dB of the
// demo's edge sum, which is that far from boundary elements itself, and within half a
// decibel in the mean; both designs come out alike.
func TestComputedPanel(t *testing.T) {
	base := quick(t, "crossover.polarity=same")
	d := quick(t, "crossover.polarity=same", `woofer.panel.curve.file=""`, `tweeter.panel.curve.file=""`)
	for _, key := range []string{"woofer", "tweeter"} {
		got, want := d.driver(key).Curves, base.driver(key).Curves
		if !got.Computed || want.Computed || len(got.Directions) != 7 {
			t.Fatalf("%s: computed %v, %d directions", key, got.Computed, len(got.Directions))
		}
		sum, n := 0.0, 0
		for i, f := range d.Hz {
			db := response.DB(got.Directions[0].P[i] / want.Directions[0].P[i])
			if f > 8000 && key == "woofer" {
				break
			}
			sum, n = sum+db*db, n+1
			if !(math.Abs(db) <= 1.3) {
				t.Errorf("%s at %.0f Hz: %.2f dB apart", key, f, db)
			}
		}
		if rms := math.Sqrt(sum / float64(n)); !(rms <= 0.5) {
			t.Errorf("%s: %.2f dB apart in the mean", key, rms)
		}
	}
	near(t, "sensitivity, dB", float64(d.Speaker.Sensitivity), float64(base.Speaker.Sensitivity), 0.5)
	near(t, "ripple, dB", d.Speaker.Choice.Score.Ripple, base.Speaker.Choice.Score.Ripple, 0.25)
}

func TestNotes(t *testing.T) {
	has := func(d *Design, start string) bool {
		return slices.ContainsFunc(d.Notes, func(n string) bool { return strings.HasPrefix(n, start) })
	}
	d := quick(t, "crossover.polarity=same")
	if !has(d, "Standard air") || has(d, "The tweeter's sheet gives no travel") || has(d, "The woofer's panel curves") {
		t.Errorf("notes %q", d.Notes)
	}
	d = quick(t, "crossover.polarity=same", "tweeter.sheet.xmax=0 mm", "tweeter.sheet.vd=0 cm³", "woofer.panel.width=300 mm",
		`air={temperature="20 °C", pressure="101 kPa", humidity="50 %"}`)
	if has(d, "Standard air") || !has(d, "The tweeter's sheet gives no travel") || !has(d, "The woofer's panel curves hold for a panel of 300 mm × 600 mm; this cabinet's is 219 mm × 600 mm") {
		t.Errorf("notes %q", d.Notes)
	}
}

// A goal replaces volume and tuning, keeps the most volume, and goes as low as the
// project's own choice or lower; one out of reach says so and takes the nearest box.
func TestGoal(t *testing.T) {
	given := quick(t, "crossover.polarity=same")
	d := quick(t, "crossover.polarity=same", "box.goal=lowest cut-off")
	if d.Project.Box.Volume > given.Project.Box.Volume || !(d.Bass.F3 <= given.Bass.F3+units.Hertz) {
		t.Errorf("%v tuned to %v: −3 dB at %v, by hand %v", d.Project.Box.Volume, d.Project.Box.Tuning, d.Bass.F3, given.Bass.F3)
	}
	if !slices.ContainsFunc(d.Notes, func(n string) bool { return strings.Contains(n, "held back by: most volume") }) {
		t.Errorf("notes %q", d.Notes)
	}
	d = quick(t, "crossover.polarity=same", "box.goal=smallest box", "box.cutoff=20 Hz")
	if !slices.ContainsFunc(d.Notes, func(n string) bool { return strings.Contains(n, "no box reaches the goal") }) {
		t.Errorf("notes %q", d.Notes)
	}
	if _, err := design(source, "box.goal=biggest"); err == nil || !strings.Contains(err.Error(), `box.goal "biggest": must be one of`) {
		t.Errorf("got %v", err)
	}
}

// Noise goes through each network to its driver: behind a network of nothing it is
// what the box says of the woofer alone, and twice the voltage drop halves it.
func TestSignals(t *testing.T) {
	d := quick(t, "crossover.polarity=same")
	if len(d.Speaker.Played) != 3 {
		t.Fatalf("%d signals", len(d.Speaker.Played))
	}
	one := make([]complex128, len(d.Hz))
	for i := range one {
		one[i] = 0.5i
	}
	g := box.Pink(30, 10000, 2)
	shaped, share, err := d.behind(one, g)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "share", share, 0.5, 1e-9)
	a, err := d.Bass.System.Loudest(g, box.Limits{Travel: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	b, err := d.Bass.System.Loudest(shaped, box.Limits{Travel: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volts at the terminals", float64(b.Volts), float64(a.Volts), 1e-9*float64(a.Volts))
	for _, p := range d.Speaker.Played {
		if !(p.Volts > 0 && p.Watts > 0 && p.Level > 80 && p.Level < 130) || p.First == "" || p.First == "nothing" {
			t.Errorf("%+v", p)
		}
	}
}
