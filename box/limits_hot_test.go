package box_test

import (
	"math"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

var heating = box.Heating{
	Thermal: ts.Thermal{Rtv: 3.4, Ctv: 4.6, Rtm: 1.6, Ctm: 750},
	Metal:   ts.Copper, After: 600, Rise: 150,
}

func loudestHot(t *testing.T, s box.System, g box.Signal, l box.Limits, h box.Heating) box.Verdict {
	t.Helper()
	v, err := s.LoudestHot(g, l, h)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// warmth steps through the warming with a system solved anew at each step, and returns
// the rise of the coil at a voltage. Nothing is interpolated.
func warmth(s box.System, g box.Signal, h box.Heating, v units.Voltage, steps int) float64 {
	heat := func(rise float64) float64 {
		hot := s
		hot.Driver = s.Driver.Heated(rise, h.Metal)
		sum, i2 := 0.0, 0.0
		for _, l := range g.Lines {
			i := hot.At(units.Frequency(l.Hz)).Times(v).Current
			i2 += l.Power * (real(i)*real(i) + imag(i)*imag(i))
			sum += l.Power
		}
		return i2 / sum * float64(hot.Driver.Re)
	}
	th := h.Thermal
	var coil, magnet float64
	step := float64(h.After) / float64(steps)
	flow := func(c, m float64) (float64, float64) {
		q := (c - m) / th.Rtv
		return (heat(c) - q) / th.Ctv, (q - m/th.Rtm) / th.Ctm
	}
	for range steps {
		a, b := flow(coil, magnet)
		c, d := flow(coil+a*step/2, magnet+b*step/2) // the midpoint rule
		coil, magnet = coil+c*step, magnet+d*step
	}
	return coil
}

// At the voltage of the verdict, a coil warmed in small steps is as warm as it says,
// and the warm system is at its limit by the method for a cold one.
func TestHotBySmallSteps(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	h := heating
	h.After = 60
	for _, c := range []struct {
		g box.Signal
		l box.Limits
	}{
		{box.Pink(40, 400, 2), box.Limits{Travel: 5e-3}},
		{box.Sine(52), box.Limits{Travel: 5e-3, AirSpeed: 12}},
		{box.Sine(200), box.Limits{Heat: 25}},
		{box.Sine(40), box.Limits{AirSpeed: 12}},
		{box.Sine(61), box.Limits{}},
	} {
		v := loudestHot(t, s, c.g, c.l, h)
		rise := warmth(s, c.g, h, v.Volts, 300)
		close(t, c.g.Name+": rise", v.Rise, rise, 1e-3)
		warm := s
		warm.Driver = s.Driver.Heated(v.Rise, h.Metal)
		then := loudest(t, warm, c.g, c.l)
		if c.l == (box.Limits{}) {
			close(t, c.g.Name+": largest rise", v.Rise, h.Rise, 1e-6)
			if v.First != box.Heat {
				t.Errorf("%s: the %v gives", c.g.Name, v.First)
			}
			continue
		}
		close(t, c.g.Name+": volts", float64(then.Volts), float64(v.Volts), 1e-6)
		close(t, c.g.Name+": level", float64(then.Level), float64(v.Level), 1e-6)
		if then.First != v.First || !(v.Rise < h.Rise) {
			t.Errorf("%s: %v, and warm %v", c.g.Name, v, then)
		}
		cold := loudest(t, s, c.g, c.l)
		lost := float64(cold.Level) + 20*math.Log10(float64(v.Volts/cold.Volts)) - float64(v.Level)
		if math.Abs(lost-v.Compression) > 1e-5 {
			t.Errorf("%s: compression %v dB, want %v", c.g.Name, v.Compression, lost)
		}
	}
}

// Where Re rules, the steady voltage follows from the largest rise in closed form: the
// heat at the end is Rise/Rth, and so is V²/(Re (1 + αΔT)).
func TestHotInClosedForm(t *testing.T) {
	d := woofer
	d.Coil = ts.Coil{}
	s := box.System{Driver: d, Enclosure: box.InfiniteBaffle{}}
	h := heating
	h.After = 0
	v := loudestHot(t, s, box.Sine(20000), box.Limits{}, h)
	want := math.Sqrt(150 / 5.0 * float64(d.Re) * (1 + 0.00393*150))
	close(t, "volts", float64(v.Volts), want, 1e-4)
	close(t, "rise", h.Thermal.SteadyRise(units.Power(float64(v.Volts*v.Volts)/float64(d.Re)), ts.Copper), 150, 1e-4)
	close(t, "compression", v.Compression, ts.Copper.Compression(150), 1e-4)
}

func TestHotLimits(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	g := box.Programme(2).HighPass(35, 4)
	l := box.Limits{Travel: 2e-3}
	cold := loudest(t, s, g, l)
	brief := heating
	brief.After = 1e-4
	v := loudestHot(t, s, g, l, brief)
	close(t, "at once", float64(v.Volts), float64(cold.Volts), 1e-4)
	// A metal whose resistance does not grow heats and changes nothing else.
	h := heating
	h.Metal, h.Rise = 0, 500
	v = loudestHot(t, s, g, l, h)
	close(t, "without feedback", float64(v.Volts), float64(cold.Volts), 1e-9)
	close(t, "without feedback, compression", 1+v.Compression, 1, 1e-9)
	// The longer, the less the heat allows, and the more travel is left.
	last := loudestHot(t, s, g, l, brief)
	for _, after := range []units.Time{1, 10, 100, 3000, 0} {
		h := heating
		h.After = after
		v := loudestHot(t, s, g, l, h)
		if !(v.Each[box.Heat] < last.Each[box.Heat] && v.Each[box.Cone] >= last.Each[box.Cone]*(1-1e-9)) {
			t.Errorf("after %v: %v, before %v", after, v.Each, last.Each)
		}
		last = v
	}
	// The smaller the largest rise, the less; and no limit more helps.
	h = heating
	less := h
	less.Rise = 100
	a, b := loudestHot(t, s, g, l, h), loudestHot(t, s, g, l, less)
	if !(b.Each[box.Heat] < a.Each[box.Heat]) {
		t.Errorf("100 K allows %v, 150 K %v", b.Each, a.Each)
	}
}

// Tones one after the other are the worst of single ones.
func TestHotTones(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	l := box.Limits{Travel: 5e-3}
	g := box.Sines(42, 60).HighPass(45, 2)
	least, at := math.Inf(1), 0.0
	var want box.Verdict
	for _, line := range g.Lines {
		v := loudestHot(t, s, box.Sine(units.Frequency(line.Hz)), l, heating)
		if x := float64(v.Volts) / math.Sqrt(line.Power); x < least {
			least, at, want = x, line.Hz, v
		}
	}
	v := loudestHot(t, s, g, l, heating)
	close(t, "volts", float64(v.Volts), least, 1e-12)
	if float64(v.At) != at || v.First != want.First {
		t.Errorf("at %v the %v, want at %v the %v", v.At, v.First, at, want.First)
	}
	close(t, "rise", v.Rise, want.Rise, 1e-9)
	close(t, "level", float64(v.Level), float64(want.Level), 1e-9)
}

func TestHotRefuses(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	for _, c := range []struct {
		change func(*box.Heating)
		want   string
	}{
		{func(h *box.Heating) { h.Thermal.Rtv = 0 }, "thermal Rtv"},
		{func(h *box.Heating) { h.Metal = -1 }, "temperature coefficient"},
		{func(h *box.Heating) { h.Metal = ts.Metal(math.NaN()) }, "temperature coefficient"},
		{func(h *box.Heating) { h.After = -1 }, "time"},
		{func(h *box.Heating) { h.Rise = 0 }, "largest rise"},
		{func(h *box.Heating) { h.Rise = math.Inf(1) }, "largest rise"},
		{func(h *box.Heating) { h.Rise = 2000 }, "largest rise"},
	} {
		h := heating
		c.change(&h)
		if _, err := s.LoudestHot(box.Sine(50), box.Limits{}, h); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("got %v, want something about %q", err, c.want)
		}
	}
}

func BenchmarkLoudestHot(b *testing.B) {
	s := box.System{Driver: woofer, Enclosure: vented}
	g := box.Programme(2).HighPass(35, 4)
	for b.Loop() {
		if _, err := s.LoudestHot(g, everyLimit, heating); err != nil {
			b.Fatal(err)
		}
	}
}
