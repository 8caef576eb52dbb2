package box_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func TestVentedLimitRows(t *testing.T) {
	golden.Run(t, "testdata/vented_limits.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "largest travel above tuning", "frequency of the largest travel above tuning":
			checkVentedTravel(t, r)
			return
		}
		// A driver without losses of its own, so that Qes is Qts, 1 Hz.
		a := air.Air{Density: units.Density(r.Num(t, "rho", "kg/m3")), SpeedOfSound: units.Velocity(r.Num(t, "c", "m/s"))}
		d, _, err := ts.Sheet{Re: 6, Fs: 1, Qms: 1e6, Qes: r.Num(t, "Qts", "1"), Mms: 0.02, Sd: 0.02}.Driver(a)
		if err != nil {
			t.Fatal(err)
		}
		d.Rms = 0
		d.Xmax = 0.01
		e := box.Vented{Vb: d.Vas(a) / units.Volume(r.Num(t, "alpha", "1")), Fb: units.Frequency(r.Num(t, "h", "1"))}
		if r.Has("QL") {
			e.QL = r.Num(t, "QL", "1")
		}
		s := box.System{Driver: d, Enclosure: e, Air: a}
		if r.Calculation == "travel at tuning" {
			v := loudest(t, s, box.Sine(e.Fb), box.Limits{Travel: d.Xmax})
			static := math.Sqrt2 * float64(d.Bl) * float64(d.Cms) / float64(d.Re)
			r.Check(t, float64(d.Xmax)/float64(v.Volts)/static)
			return
		}
		f, err := s.F3()
		if err != nil {
			t.Fatal(err)
		}
		f3 := float64(f)
		switch r.Calculation {
		case "efficiency constant of a vented box":
			r.Check(t, float64(d.Eta0(a))/(f3*f3*f3*float64(e.Vb)))
		case "displacement constant of a vented box":
			// What the pass band radiates when some tone above the tuning takes all travel.
			v, err := s.Loudest(box.Sines(e.Fb, 8*e.Fb), box.Limits{Travel: d.Xmax})
			if err != nil {
				t.Fatal(err)
			}
			near := float64(v.At) / 24
			v, err = s.Loudest(box.Signal{Name: "tones", Lines: tones(max(float64(e.Fb), float64(v.At)-near), float64(v.At)+near, 20000), Crest: math.Sqrt2, Apart: true}, box.Limits{Travel: d.Xmax})
			if err != nil {
				t.Fatal(err)
			}
			p := s.Reference() * float64(v.Volts)
			vd := float64(d.Vd())
			r.Check(t, 2*math.Pi*p*p/a.Impedance()/(f3*f3*f3*f3*vd*vd))
		default:
			r.Unknown(t)
		}
	})
}

func tones(from, to float64, n int) []box.Line {
	lines := make([]box.Line, n+1)
	for i := range lines {
		lines[i] = box.Line{Hz: from + (to-from)*float64(i)/float64(n), Power: 1}
	}
	return lines
}

var everyLimit = box.Limits{Travel: 5e-3, AirSpeed: 12, Heat: 20}

func loudest(t *testing.T, s box.System, g box.Signal, l box.Limits) box.Verdict {
	t.Helper()
	v, err := s.Loudest(g, l)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func close(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// A sine is a sine by either method, and tones one by one are the worst sine.
func TestLoudestOfTones(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	least, at, first := units.Voltage(math.Inf(1)), units.Frequency(0), box.None
	var hz []float64
	g := box.Sines(20, 300)
	for _, l := range g.Lines {
		hz = append(hz, l.Hz)
		want, what := s.MaxVoltage(units.Frequency(l.Hz), everyLimit)
		v := loudest(t, s, box.Sine(units.Frequency(l.Hz)), everyLimit)
		close(t, "sine", float64(v.Volts), float64(want), 1e-14)
		if v.First != what {
			t.Errorf("%.1f Hz: the %v gives, not the %v", l.Hz, v.First, what)
		}
		close(t, "level", float64(v.Level), float64(s.At(units.Frequency(l.Hz)).Times(want).Level()), 1e-13)
		if want < least {
			least, at, first = want, units.Frequency(l.Hz), what
		}
	}
	if hz[0] != 20 || hz[len(hz)-1] != 300 {
		t.Errorf("from %v to %v Hz", hz[0], hz[len(hz)-1])
	}
	v := loudest(t, s, g, everyLimit)
	close(t, "tones", float64(v.Volts), float64(least), 1e-14)
	if v.At != at || v.First != first {
		t.Errorf("at %v the %v, want at %v the %v", v.At, v.First, at, first)
	}
	close(t, "level", float64(v.Level), float64(loudest(t, s, box.Sine(at), everyLimit).Level), 1e-14)
	// A filter lets tones below have as much more.
	high := loudest(t, s, g.HighPass(40, 4), everyLimit)
	want := math.Inf(1)
	for _, f := range hz {
		u, _ := s.MaxVoltage(units.Frequency(f), everyLimit)
		want = min(want, float64(u)*math.Sqrt(1+math.Pow(40/f, 8)))
	}
	close(t, "tones behind a high-pass", float64(high.Volts), want, 1e-12)
}

// The RMS of noise is an integral over its spectrum: here by Simpson's rule over
// frequency, not its logarithm, in much finer steps.
func TestNoiseIsAnIntegral(t *testing.T) {
	for name, e := range map[string]box.Enclosure{
		"closed": box.Closed{Vb: 15 * units.Litre}, "vented": vented,
		"lossless": box.Vented{Vb: 25 * units.Litre, Fb: 39, Area: 30e-4},
	} {
		s := box.System{Driver: woofer, Enclosure: e}
		const lo, hi, n = 20, 1000, 40000
		var sum, travel, air, current, pressure float64
		for i := range n { // Simpson's rule: dS = df/f
			a, b := lo+(hi-lo)*float64(i)/n, lo+(hi-lo)*float64(i+1)/n
			for _, p := range []struct{ f, w float64 }{{a, 1}, {(a + b) / 2, 4}, {b, 1}} {
				w := p.w / p.f
				x := s.At(units.Frequency(p.f))
				sum += w
				travel += w * math.Pow(cmplx.Abs(x.Travel), 2)
				air += w * math.Pow(cmplx.Abs(x.AirSpeed), 2)
				current += w * math.Pow(cmplx.Abs(x.Current), 2)
				pressure += w * math.Pow(cmplx.Abs(x.Pressure), 2)
			}
		}
		v := loudest(t, s, box.Pink(lo, hi, 2), everyLimit)
		const tolerance = 1e-4 // as documented: 1e-3
		close(t, name+": cone", float64(v.Each[box.Cone]), 5e-3*math.Sqrt2/2/math.Sqrt(travel/sum), tolerance)
		if air > 0 {
			close(t, name+": vent", float64(v.Each[box.Vent]), 12*math.Sqrt2/2/math.Sqrt(air/sum), tolerance)
		} else if !math.IsInf(float64(v.Each[box.Vent]), 1) {
			t.Errorf("%s: vent %v", name, v.Each[box.Vent])
		}
		close(t, name+": heat", float64(v.Each[box.Heat]), math.Sqrt(20/float64(s.Driver.Re)/(current/sum)), tolerance)
		close(t, name+": pressure", math.Pow(10, float64(v.Level)/20)*20e-6, float64(v.Volts)*math.Sqrt(pressure/sum), tolerance)
	}
}

// The mean square of the travel over white noise of all frequencies has a closed form
// for a closed box, from the residues: 1 V²/Hz gives (π/2) fc Qtc X0². White noise is a
// sum of lines too.
func TestNoiseByResidue(t *testing.T) {
	e := box.Closed{Vb: 15 * units.Litre}
	d := woofer
	d.Coil = ts.Coil{}
	s := box.System{Driver: d, Enclosure: e}
	c, err := e.Alignment(d, air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	const step, top = 0.05, 4000.0
	g := box.Signal{Name: "white noise", Crest: math.Sqrt2}
	for f := step / 2; f < top; f += step {
		g.Lines = append(g.Lines, box.Line{Hz: f, Power: 1})
	}
	v := loudest(t, s, g, box.Limits{Travel: 1})
	x0 := math.Sqrt2 * float64(d.Bl) * float64(d.Cms) / float64(d.Re) / math.Pow(float64(c.Fc/d.Fs()), 2)
	want := 1 / (x0 * math.Sqrt(math.Pi/2*float64(c.Fc)*c.Qtc/top))
	close(t, "white noise", float64(v.Volts), want, 1e-6)
}

// The narrower noise with the crest factor of a sine, the more it is one.
func TestNarrowNoiseIsASine(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	for f := 25.0; f < 400; f *= 1.37 {
		sine := loudest(t, s, box.Sine(units.Frequency(f)), everyLimit)
		last := math.Inf(1)
		for _, width := range []float64{0.1, 0.01, 0.001} {
			v := loudest(t, s, box.Pink(units.Frequency(f/(1+width)), units.Frequency(f*(1+width)), math.Sqrt2), everyLimit)
			off := 0.0
			for i, x := range v.Each[1:4] {
				off = max(off, math.Abs(float64(x/sine.Each[i+1])-1))
			}
			if !(off < last && off < 30*width*width || off < 1e-12) {
				t.Errorf("%.0f Hz, width %g: %.2g off", f, width, off)
			}
			last = off
		}
	}
}

// Squares add: of two signals at once, each with its share of the power.
func TestSignalsAdd(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	a, b := box.Pink(20, 200, 2), box.Programme(2)
	normal := func(lines []box.Line, share float64) (out []box.Line) {
		sum := 0.0
		for _, l := range lines {
			sum += l.Power
		}
		for _, l := range lines {
			out = append(out, box.Line{Hz: l.Hz, Power: 7 * share * l.Power / sum})
		}
		return out
	}
	both := box.Signal{Name: "both", Lines: append(normal(a.Lines, 0.3), normal(b.Lines, 0.7)...), Crest: 2}
	va, vb, v := loudest(t, s, a, everyLimit), loudest(t, s, b, everyLimit), loudest(t, s, both, everyLimit)
	for _, i := range []box.Limit{box.Cone, box.Heat} {
		x, y := float64(va.Each[i]), float64(vb.Each[i])
		close(t, i.String(), float64(v.Each[i]), 1/math.Sqrt(0.3/(x*x)+0.7/(y*y)), 1e-12)
	}
}

// Twice the limits of travel are twice the volts, four times the heat as well; a
// higher crest factor is so much less, except for heat; a limit more never helps.
func TestLoudestScales(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	g := box.Programme(2).HighPass(35, 4)
	v := loudest(t, s, g, everyLimit)
	l := everyLimit
	l.Travel, l.AirSpeed, l.Heat = 2*l.Travel, 2*l.AirSpeed, 4*l.Heat
	w := loudest(t, s, g, l)
	close(t, "level", float64(w.Level), float64(v.Level)+20*math.Log10(2), 1e-13)
	g.Crest = 4
	x := loudest(t, s, g, everyLimit)
	for i := box.Cone; i <= box.Heat; i++ {
		close(t, "limits "+i.String(), float64(w.Each[i]), 2*float64(v.Each[i]), 1e-14)
		half := 0.5
		if i == box.Heat {
			half = 1
		}
		close(t, "crest "+i.String(), float64(x.Each[i]), half*float64(v.Each[i]), 1e-14)
	}
	none := loudest(t, s, g, box.Limits{})
	if !math.IsInf(float64(none.Volts), 1) || none.First != box.None || !math.IsInf(float64(none.Level), 1) {
		t.Errorf("without limits: %v", none)
	}
	none = loudest(t, s, box.Sines(20, 200), box.Limits{})
	if !math.IsInf(float64(none.Volts), 1) || none.First != box.None || !math.IsInf(float64(none.Level), 1) {
		t.Errorf("without limits, tones: %v", none)
	}
	for i, l := range []box.Limits{{Travel: 5e-3}, {Travel: 5e-3, AirSpeed: 12}, everyLimit} {
		if u := loudest(t, s, g, l).Volts; !(u <= none.Volts) {
			t.Errorf("limit %d: %v after %v", i, u, none.Volts)
		} else {
			none.Volts = u
		}
	}
	close(t, "watts", float64(v.Watts(8)), float64(v.Volts*v.Volts)/8, 1e-15)
	want := fmt.Sprintf("%.3g V (RMS) of programme of IEC 60268-1, crest factor 2, high-passed at 35 Hz (order 4): %v gives first", float64(v.Volts), v.First)
	if v.String() != want {
		t.Errorf("got %q, want %q", v, want)
	}
}

// A high-pass does what the same filter as a rational function does, and its noise is
// counted behind it.
func TestSignalThroughFilter(t *testing.T) {
	w := 2 * math.Pi * 35
	second := rational.Func{Zeros: []complex128{0, 0}, Poles: []complex128{complex(-w/math.Sqrt2, w/math.Sqrt2), complex(-w/math.Sqrt2, -w/math.Sqrt2)}, Gain: 1}
	for _, g := range []box.Signal{box.Pink(20, 500, 2), box.Sines(20, 500), box.Programme(2)} {
		a, b := g.HighPass(35, 2), g.Through(second)
		s := 0.0
		for i := range a.Lines {
			close(t, "power", a.Lines[i].Power, b.Lines[i].Power, 1e-12)
			s += a.Lines[i].Power
		}
		if g.Name == a.Name || len(g.Lines) != len(a.Lines) || g.Lines[0].Power == a.Lines[0].Power {
			t.Errorf("%q is %q", a.Name, g.Name)
		}
		// A flat filter of any gain changes nothing of noise.
		sys := box.System{Driver: woofer, Enclosure: vented}
		u, v := loudest(t, sys, g, everyLimit), loudest(t, sys, g.Through(rational.Func{Gain: 0.5}), everyLimit)
		k := 1.0
		if g.Apart {
			k = 2
		}
		close(t, "flat filter", float64(v.Volts), k*float64(u.Volts), 1e-14)
	}
}

// Third octaves of the programme noise, read back from its lines by their power: no
// level is more than a little off what is interpolated, and pink noise is flat.
func TestSpectra(t *testing.T) {
	band := func(g box.Signal, centre float64) float64 {
		sum := 0.0
		for _, l := range g.Lines {
			if l.Hz >= centre*math.Exp2(-1./6) && l.Hz < centre*math.Exp2(1./6) {
				sum += l.Power
			}
		}
		return 10 * math.Log10(sum)
	}
	pink, programme := box.Pink(20, 20e3, 2), box.Programme(2)
	for _, f := range []float64{31.5, 100, 1000, 5000} {
		if d := band(pink, f) - band(pink, 500); math.Abs(d) > 0.6 { // a line more or less of eight
			t.Errorf("pink noise at %v Hz: %+.2f dB", f, d)
		}
	}
	for f, want := range map[float64]float64{31.5: -7.4, 63: -2.3, 125: -0.5, 500: 0, 2000: -1, 4000: -3.7, 10000: -11.4} {
		if d := band(programme, f) - band(programme, 500); math.Abs(d-want) > 0.6 {
			t.Errorf("programme at %v Hz: %+.2f dB, want %+.2f", f, d, want)
		}
	}
	// Two first-order poles at either end, which an RC network makes of pink noise, stay
	// near what is remembered.
	for _, l := range programme.Lines {
		model := -20*math.Log10(1+math.Pow(37/l.Hz, 2)) - 20*math.Log10(1+math.Pow(l.Hz/6000, 2))
		doubt := 1.0
		if l.Hz > 10e3 {
			doubt = 3
		}
		if d := 10*math.Log10(l.Power) - model; !(math.Abs(d) <= doubt) {
			t.Errorf("%.0f Hz: %.2f dB off two poles", l.Hz, d)
		}
	}
}

func TestLoudestRefuses(t *testing.T) {
	nan := math.NaN()
	good := box.System{Driver: woofer, Enclosure: vented}
	lines := []box.Line{{Hz: 50, Power: 1}}
	for _, c := range []struct {
		s    box.System
		g    box.Signal
		l    box.Limits
		want string
	}{
		{box.System{Driver: woofer}, box.Sine(50), everyLimit, "enclosure"},
		{good, box.Signal{}, everyLimit, "must have lines"},
		{good, box.Sine(0), everyLimit, "frequency"},
		{good, box.Sine(units.Frequency(nan)), everyLimit, "frequency"},
		{good, box.Sines(100, 50), everyLimit, "signal"},
		{good, box.Sines(100, 100), everyLimit, "signal"},
		{good, box.Pink(0, 50, 2), everyLimit, "signal"},
		{good, box.Pink(20, 50, 0.5), everyLimit, "crest factor 0.5"},
		{good, box.Pink(20, 50, nan), everyLimit, "crest factor NaN"},
		{good, box.Signal{Lines: lines, Crest: math.Inf(1)}, everyLimit, "crest"},
		{good, box.Signal{Lines: []box.Line{{50, -1}}, Crest: 2}, everyLimit, "power of a line"},
		{good, box.Signal{Lines: []box.Line{{50, 0}}, Crest: 2}, everyLimit, "power of all"},
		{good, box.Pink(20, 50, 2).HighPass(units.Frequency(nan), 4), everyLimit, "power"},
		{good, box.Sine(50), box.Limits{Travel: -1e-3}, "travel -1 mm"},
		{good, box.Sine(50), box.Limits{AirSpeed: units.Velocity(nan)}, "air speed"},
		{good, box.Sine(50), box.Limits{Heat: -1}, "heat"},
		{good, box.Sine(50), box.Limits{Radiator: -1}, "radiator"},
	} {
		if _, err := c.s.Loudest(c.g, c.l); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q, %+v: got %v, want something about %q", c.g.Name, c.l, err, c.want)
		}
	}
	for _, l := range []box.Limits{{Travel: units.Length(nan)}, {Heat: units.Power(nan)}, {AirSpeed: units.Velocity(nan), Travel: 5e-3}} {
		if v, _ := good.MaxVoltage(50, l); !math.IsNaN(float64(v)) {
			t.Errorf("%+v allows %v", l, v)
		}
		if v, _, _ := good.MaxVoltageAbove(20, []float64{30, 50, 80}, l); !math.IsNaN(float64(v)) {
			t.Errorf("%+v allows %v", l, v)
		}
	}
}

func TestLoudestAllocatesNoMore(t *testing.T) {
	s := box.System{Driver: woofer, Enclosure: vented}
	for _, g := range []box.Signal{box.Programme(2), box.Sines(20, 200)} {
		check := testing.AllocsPerRun(10, func() {
			if err := s.Check(); err != nil {
				t.Error(err)
			}
		})
		if n := testing.AllocsPerRun(10, func() { loudest(t, s, g, everyLimit) }); n > check {
			t.Errorf("%s: %v allocations, of which the check makes %v", g.Name, n, check)
		}
	}
}

func BenchmarkLoudest(b *testing.B) {
	s := box.System{Driver: woofer, Enclosure: vented}
	for _, c := range []struct {
		name string
		g    box.Signal
	}{{"programme", box.Programme(2)}, {"bass", box.Pink(20, 500, 2).HighPass(35, 4)}, {"tones", box.Sines(20, 300)}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Loudest(c.g, everyLimit); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// openings is an enclosure with all that can give, whose flows are chosen: what the
// cone moves comes out of two vents and moves a radiator.
type openings struct{ vent, rear, radiator complex128 }

func (o openings) Flow(s complex128, a air.Air) box.Flow {
	return box.Flow{Za: 1e4, Net: 1, Vent: o.vent, Rear: o.rear, Radiator: o.radiator}
}
func (openings) Openings() box.Openings {
	return box.Openings{Vent: 30e-4, Rear: 20e-4, Radiator: 250e-4}
}
func (openings) Check() error { return nil }

// The faster of two vents counts, and the radiator moves as its flow over its area.
func TestLoudestOfVentsAndRadiator(t *testing.T) {
	g := box.Pink(30, 60, 2)
	l := box.Limits{Travel: 5e-3, AirSpeed: 10, Radiator: 9e-3}
	each := func(o openings) box.Voltages {
		return loudest(t, box.System{Driver: woofer, Enclosure: o}, g, l).Each
	}
	one := each(openings{1, 0, 1})
	close(t, "radiator", float64(one[box.Radiator]), 9/5.*250/136*float64(one[box.Cone]), 1e-12)
	close(t, "smaller vent", float64(each(openings{1, 1, 1})[box.Vent]), 20./30*float64(one[box.Vent]), 1e-12)
	close(t, "slower vent", float64(each(openings{1, 0.1i, 1})[box.Vent]), float64(one[box.Vent]), 1e-12)
	close(t, "more of the radiator", float64(each(openings{1, 0, 3i})[box.Radiator]), float64(one[box.Radiator])/3, 1e-12)
	sine, _ := box.System{Driver: woofer, Enclosure: openings{0, 1, 5}}.MaxVoltage(45, l)
	v := loudest(t, box.System{Driver: woofer, Enclosure: openings{0, 1, 5}}, box.Sine(45), l)
	close(t, "sine", float64(sine), float64(v.Volts), 1e-14)
	if v.First != box.Radiator {
		t.Errorf("the %v gives first", v.First)
	}
}

// The lines of noise are dense enough for a resonance of Q 10 and those of tones for
// one of Q 3, wherever it lies between them, to what the docs promise.
func TestLinesAreDenseEnough(t *testing.T) {
	ringing := func(fs units.Frequency, q float64) box.System {
		d, _, err := ts.Sheet{Re: 6, Fs: fs, Qms: 4 * q, Qts: q, Mms: 0.02, Sd: 0.02}.Driver(air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		return box.System{Driver: d, Enclosure: box.InfiniteBaffle{}}
	}
	l := box.Limits{Travel: 5e-3, Heat: 20}
	coarse := box.Pink(20, 500, 2)
	fine := box.Signal{Name: "fine", Crest: 2}
	for i := range 20000 {
		fine.Lines = append(fine.Lines, box.Line{Hz: 20 * math.Pow(25, (float64(i)+0.5)/20000), Power: 1})
	}
	programme, brighter := box.Programme(2), box.Programme(2)
	brighter.Lines = append([]box.Line(nil), programme.Lines...)
	for i, x := range brighter.Lines {
		if x.Hz > 1000 {
			brighter.Lines[i].Power *= math.Pow(10, 0.1)
		}
	}
	for _, fs := range []units.Frequency{40, 40.3, 40.6, 40.9} {
		s := ringing(fs, 10)
		a, b := loudest(t, s, coarse, l), loudest(t, s, fine, l)
		close(t, "cone", float64(a.Each[box.Cone]), float64(b.Each[box.Cone]), 1e-3)
		close(t, "heat", float64(a.Each[box.Heat]), float64(b.Each[box.Heat]), 1e-3)
		s = ringing(fs, 3)
		peak := float64(fs) * math.Sqrt(1-1/18.) // of the travel
		v, _ := s.MaxVoltage(units.Frequency(peak), l)
		close(t, "tones", float64(loudest(t, s, box.Sines(20, 500), l).Volts), float64(v), 1e-3)
		c, d := loudest(t, s, programme, l), loudest(t, s, brighter, l)
		if moved := 20 * math.Log10(float64(d.Each[box.Cone]/c.Each[box.Cone])); !(moved > 0.25 && moved < 0.35) {
			t.Errorf("1 dB above 1 kHz moves the limit of the cone by %.2f dB", moved)
		}
	}
}
