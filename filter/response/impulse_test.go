package response

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func gate(t *testing.T, r Impulse, g Gate) Curve {
	t.Helper()
	c, err := r.Gate(g)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestGoldenGate(t *testing.T) {
	golden.Run(t, "testdata/phase_gate.csv", func(t *testing.T, r golden.Row) {
		ratio, share := r.Num(t, "ratio", "1"), r.Num(t, "f/rate", "1")
		const rate, n = 48000, 1024
		x := Impulse{Samples: make([]float64, n), Rate: rate}
		for i := range x.Samples {
			x.Samples[i] = math.Pow(ratio, float64(i))
		}
		c := gate(t, x, Gate{Length: units.Time(n) / rate})
		bin := int(math.Round(share*float64(2*(len(c.H)+1)))) - 1
		if !(math.Abs(c.Hz[bin]-share*rate) <= 1e-9) {
			t.Fatalf("no bin at %v", share)
		}
		switch r.Calculation {
		case "gated geometric decay, magnitude":
			r.Check(t, cmplx.Abs(c.H[bin]))
		case "gated geometric decay, phase":
			r.Check(t, Phase(c.H[bin]))
		default:
			r.Unknown(t)
		}
	})
}

// Noise in a gate with a fade, against the sum written out.
func TestGateAgainstDirectSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	x := Impulse{Rate: 44100, Start: -3e-3, Taken: Taken{Mounting: OnPanel}}
	for range 500 {
		x.Samples = append(x.Samples, rng.NormFloat64())
	}
	for _, fade := range []float64{0, 0.3, 1} {
		g := Gate{Start: -1e-3, Length: 5e-3, Fade: units.Ratio(fade), Zero: 0.37e-3}
		c := gate(t, x, g)
		if c.Taken != x.Taken || !(math.Abs(float64(c.From)-200) <= 1e-9) || !c.HasPhase {
			t.Errorf("taken %v, valid from %v", c.Taken, c.From)
		}
		if step := c.Hz[0]; step > 50 || step*float64(len(c.Hz)+1) != 22050 {
			t.Errorf("%d steps of %v Hz", len(c.Hz), step)
		}
		for k := 0; k < len(c.H); k += 31 {
			var want complex128
			for i, v := range x.Samples {
				at := -3e-3 + float64(i)/44100
				if at < -1e-3 || at >= 4e-3 {
					continue
				}
				if left := (4e-3 - at) / 5e-3; left < fade {
					v *= math.Pow(math.Sin(math.Pi/2*left/fade), 2)
				}
				want += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*c.Hz[k]*(at-0.37e-3))
			}
			if !(cmplx.Abs(c.H[k]-want) <= 1e-10) {
				t.Errorf("fade %v, %v Hz: %v, want %v", fade, c.Hz[k], c.H[k], want)
			}
		}
	}
}

// Energy in time is energy in frequency; the bins at zero and half the rate, which
// a curve does not have, are summed here.
func TestGateKeepsEnergy(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	x := Impulse{Rate: 8000}
	var energy, sum, alternating float64
	for i := range 200 {
		v := rng.NormFloat64()
		x.Samples = append(x.Samples, v)
		energy += v * v
		sum += v
		alternating += v * float64(1-2*(i%2))
	}
	c := gate(t, x, Gate{Length: 0.025})
	got := sum*sum + alternating*alternating
	for _, h := range c.H {
		got += 2 * real(h*cmplx.Conj(h))
	}
	if got /= float64(2 * (len(c.H) + 1)); !(math.Abs(got-energy) <= 1e-12*energy) {
		t.Errorf("energy %v, want %v", got, energy)
	}
}

// A damped sinusoid e^(−at) sin(bt) has the transform b/((a + jω)² + b²). Sampled
// fast enough, the sum over samples is that times the rate.
func TestGateOfDampedSinusoid(t *testing.T) {
	const rate, a, b, arrival = 192e3, 2000, 2 * math.Pi * 1000, 1.2345e-3
	x := Impulse{Rate: rate, Start: -1e-3}
	for i := range 4000 {
		v := 0.
		if at := -1e-3 + i2f(i)/rate - arrival; at > 0 {
			v = math.Exp(-a*at) * math.Sin(b*at)
		}
		x.Samples = append(x.Samples, v)
	}
	c := gate(t, x, Gate{Start: 1e-3, Length: 15e-3, Zero: arrival})
	for i, f := range c.Hz {
		s := complex(a, 2*math.Pi*f)
		want := b / (s*s + b*b) * rate
		if f < 5000 && !(cmplx.Abs(c.H[i]/want-1) <= 2e-3) {
			t.Errorf("%.0f Hz: %v, want %v", f, c.H[i], want)
		}
	}
	// Its level has that phase, too, where sampling does not bend it.
	last := sort.SearchFloat64s(c.Hz, 20000)
	c.Hz, c.H = c.Hz[:last], c.H[:last]
	m, err := c.MinimumPhase(Slopes{0, -12})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range m.Hz {
		s := complex(a, 2*math.Pi*f)
		if d := Phase(m.H[i] * (s*s + b*b)); f > 300 && f < 5000 && !(math.Abs(d) <= 2) {
			t.Errorf("%.0f Hz: minimum phase off by %.2f°", f, d)
		}
	}
}

func i2f(i int) float64 { return float64(i) }

// A reflection outside the gate has no effect; one inside has.
func TestGateShutsOutReflections(t *testing.T) {
	x := Impulse{Rate: 48000, Samples: make([]float64, 2000)}
	for i := range x.Samples {
		x.Samples[i] = math.Exp(-i2f(i) / 20)
	}
	g := Gate{Length: 5e-3, Fade: 0.2} // 240 samples
	want := gate(t, x, g)
	x.Samples[240] = 0.7
	if got := gate(t, x, g); got.H[7] != want.H[7] || got.H[400] != want.H[400] {
		t.Error("a reflection after the gate is seen")
	}
	x.Samples[180] += 0.7
	if got := gate(t, x, g); got.H[7] == want.H[7] {
		t.Error("a reflection in the gate is not seen")
	}
	x.Samples[0], g.Start = 9, units.Time(1/48000.)
	if got := gate(t, x, g); cmplx.Abs(got.H[7]) > 30 {
		t.Error("a sample before the gate is seen")
	}
}

// A gate that opens at a sample has it, and one that closes there has it not,
// however the time was computed.
func TestGateOpensAtSamples(t *testing.T) {
	const rate = 44100
	for n := 1; n < 200; n++ {
		x := Impulse{Rate: rate, Samples: make([]float64, 400)}
		x.Samples[n], x.Samples[n+100] = 1, 5
		for _, start := range []float64{i2f(n) / rate, i2f(n) * (1. / rate)} {
			c := gate(t, x, Gate{Start: units.Time(start), Length: 100. / rate})
			if h := c.H[3]; !(math.Abs(cmplx.Abs(h)-1) <= 1e-12) {
				t.Errorf("gate from sample %d, %v s: magnitude %v", n, start, cmplx.Abs(h))
			}
		}
	}
}

// A resonance at 60 Hz in a gate of 5 ms: far above 200 Hz the curve is about
// right, below it is wrong and says so.
func TestGateIsBlindBelow(t *testing.T) {
	const rate, a, b = 48e3, 100, 2 * math.Pi * 60
	x := Impulse{Rate: rate}
	for i := range 48000 {
		at := i2f(i) / rate
		x.Samples = append(x.Samples, 0.05*math.Exp(-a*at)*math.Sin(b*at)+math.Exp(-20000*at))
	}
	whole, short := gate(t, x, Gate{Length: 1}), gate(t, x, Gate{Length: 5e-3})
	h, truth := make([]complex128, 1), make([]complex128, 1)
	if err := short.Resample(h, []float64{199}); err == nil {
		t.Error("resampled below the gate's lowest frequency")
	}
	if short.Covers(200, 2000) != nil || short.Covers(199, 2000) == nil {
		t.Error("does not cover what it should")
	}
	short.From = 0
	for f, ok := range map[float64]bool{60: false, 70: false, 2000: true, 5000: true} {
		if err := short.Resample(h, []float64{f}); err != nil {
			t.Fatal(err)
		}
		if err := whole.Resample(truth, []float64{f}); err != nil {
			t.Fatal(err)
		}
		if d := DB(h[0] / truth[0]); math.Abs(d) < 1 != ok {
			t.Errorf("%v Hz: %.2f dB from the truth", f, d)
		}
	}
}

// A gated measurement of a delayed filter, by both roads: the delay comes back.
func TestGateThenExcessDelay(t *testing.T) {
	// One-pole low-pass at 1 kHz, sampled exactly in its own band: 1/(1 - r z).
	const rate, n = 192e3, 8192
	r := math.Exp(-2 * math.Pi * 1000 / rate)
	x := Impulse{Rate: rate, Samples: make([]float64, n)}
	for i := 100; i < n; i++ {
		x.Samples[i] = -math.Pow(r, i2f(i-100))
	}
	c := gate(t, x, Gate{Length: 20e-3, Zero: 90 / units.Time(rate)})
	lag, err := c.ExcessDelay(200, 5000, Slopes{}, Plausible())
	if err != nil {
		t.Fatal(err)
	}
	// Of minimum phase in discrete time, whose transform ends flat at half the rate.
	if want := 10 / rate; !(math.Abs(float64(lag.Delay)-want) <= 1e-6) || !lag.Inverted {
		t.Errorf("%+v, want %.2f µs, inverted", lag, want*1e6)
	}
}

func TestArrival(t *testing.T) {
	const rate = 48000
	pulse := func(at, band float64) Impulse {
		x := Impulse{Rate: rate, Start: -2e-3}
		for i := range 400 {
			// Low-pass with a cosine roll-off that is done at band times half the rate.
			u := (i2f(i) - at) * 4 * band
			v := math.Cos(math.Pi*u/4) / (1 - u*u/4)
			if math.Abs(math.Abs(u)-2) < 1e-9 {
				v = math.Pi / 4
			}
			x.Samples = append(x.Samples, -3*v)
		}
		return x
	}
	worst := 0.
	for shift := -0.5; shift <= 0.5; shift += 0.1 {
		x := pulse(217+shift, 0.75)
		got, err := x.Arrival()
		if err != nil {
			t.Fatal(err)
		}
		want := -2e-3 + (217+shift)/rate
		worst = max(worst, math.Abs(float64(got)-want)*rate)
	}
	t.Logf("within %.3f samples", worst)
	if !(worst <= 0.05) {
		t.Errorf("off by %.3f samples", worst)
	}
	for _, c := range []struct {
		samples []float64
		want    float64
	}{
		{[]float64{0, 0, 1, 0, 0}, 2},
		{[]float64{1, 0.5, 0}, 0},
		{[]float64{0, 0.5, -1}, 2},
		{[]float64{0, 1, 1, 0}, 1.5},
		{[]float64{0, 2, 0, -2, 0}, 1},
		{[]float64{0, 1, -1, 0}, 1 - 1./6},
	} {
		got, err := Impulse{Rate: 1, Samples: c.samples}.Arrival()
		if err != nil || !(math.Abs(float64(got)-c.want) <= 1e-12) {
			t.Errorf("%v: %v, %v, want %v", c.samples, float64(got), err, c.want)
		}
	}
}

func TestImpulseRefuses(t *testing.T) {
	good := Impulse{Rate: 1000, Samples: make([]float64, 100)}
	good.Samples[3] = 1
	with := func(change func(*Impulse)) Impulse {
		x := good
		x.Samples = append([]float64(nil), good.Samples...)
		change(&x)
		return x
	}
	nan := units.Time(math.NaN())
	for _, c := range []struct {
		x    Impulse
		g    Gate
		want string
	}{
		{Impulse{}, Gate{}, "response: sampling rate 0 Hz: must be positive and finite"},
		{Impulse{Rate: 1000}, Gate{}, "response: an impulse response of 0 samples: must have at least two"},
		{with(func(x *Impulse) { x.Start = nan }), Gate{}, "response: start of impulse response NaN ms: must be finite"},
		{with(func(x *Impulse) { x.Samples[8] = math.Inf(1) }), Gate{}, "response: sample 9: value +Inf: must be finite"},
		{with(func(x *Impulse) { x.Samples[3] = 0 }), Gate{Length: 0.05}, "response: an impulse response of zeros: must hold something"},
		{with(func(x *Impulse) { x.Taken.Distance = -1 }), Gate{Length: 0.05}, "response: distance -1 m: must be zero or positive, and finite"},
		{good, Gate{Start: 0.01, Length: 0.05, Fade: 1.5}, "response: gate: fade 1.5: must be from 0 to 1"},
		{good, Gate{Length: 0.05, Zero: nan}, "response: gate: zero NaN ms: must be finite"},
		{good, Gate{Start: -0.001, Length: 0.05}, "response: gate: start"},
		{good, Gate{Start: 0.2, Length: 0.05}, "response: gate: start"},
		{good, Gate{Start: nan, Length: 0.05}, "response: gate: start"},
		{good, Gate{}, "response: gate: length 0 ms: must be from"},
		{good, Gate{Length: 0.007}, "response: gate: length 7 ms: must be from"},
		{good, Gate{Length: 0.101}, "response: gate: length 101 ms: must be from"},
		{good, Gate{Start: 0.06, Length: 0.05}, "response: gate: length 50 ms: must be from"},
		{good, Gate{Length: nan}, "response: gate: length"},
		{good, Gate{Start: 0.01, Length: 0.05}, "response: an impulse response of zeros: must hold something"},
	} {
		_, err := c.x.Gate(c.g)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.g, err, c.want)
		}
	}
	if _, err := good.Gate(Gate{Length: 0.1}); err != nil {
		t.Errorf("all of it: %v", err)
	}
	if _, err := with(func(x *Impulse) { x.Samples[3] = 0 }).Arrival(); err == nil {
		t.Error("silence arrives")
	}
	if _, err := (Impulse{}).Arrival(); err == nil {
		t.Error("nothing arrives")
	}
}

func TestTableImpulse(t *testing.T) {
	read := func(text string) (Impulse, error) {
		table, err := Read(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return table.Impulse("1", "2")
	}
	// 48 kHz in whole microseconds.
	x, err := read("-0.000021,0\n0,1\n0.000021,2\n0.000042,3\n0.000063,2\n0.000083,1\n0.000104,0\n0.000125,0\n0.000146,0\n")
	if err != nil || !(math.Abs(float64(x.Rate)-48000) <= 200) || x.Start != -21e-6 || len(x.Samples) != 9 || x.Samples[3] != 3 {
		t.Errorf("%+v, %v", x, err)
	}
	for _, c := range []struct{ text, want string }{
		{"0,1\n1,2\n2,3\n4,4\n5,5\n6,6\n", `response: line 4: time 4 s in column "1" after 2 s: must ascend in even steps, here of 1.2 s`},
		{"# x\n0,1\n1,2\n1,3\n2,4\n", `response: line 4: time 1 s in column "1" after 1 s: must ascend in even steps, here of 0.666667 s`},
		{"2,1\n1,2\n0,3\n", `response: line 2: time 1 s in column "1" after 2 s: must ascend in even steps, here of -1 s`},
		{"1,1\n1,2\n", `response: line 2: time 1 s in column "1" after 1 s: must ascend in even steps, here of 0 s`},
		{"1,1\n", "response: an impulse response of 1 sample: must have at least two"},
	} {
		if _, err := read(c.text); err == nil || err.Error() != c.want {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	table := &Table{Names: []string{"s"}, Columns: [][]float64{{0, 1}}}
	if _, err := table.Impulse("t", "s"); err == nil {
		t.Error("no column of times")
	}
	if _, err := table.Impulse("s", "p"); err == nil {
		t.Error("no column of samples")
	}
	x, err = table.Impulse("s", "s")
	if err != nil {
		t.Fatal(err)
	}
	if x.Samples[0] = 7; table.Columns[0][0] != 0 {
		t.Error("the samples are the table's own")
	}
}

// Whatever is read as an impulse response has even steps, and can be gated or says
// why not.
func FuzzTableImpulse(f *testing.F) {
	f.Add("0,1\n1,2\n2,3\n3,0\n4,0\n5,0\n6,0\n7,0\n8,1\n9,1\n")
	f.Add("-0.000021;0\n0;1\n0.000021;2\n")
	f.Add("0,1\n1e-300,2\n")
	f.Add("-1e308 1\n1e308 2\n")
	f.Add("1 1e308\n2 1e308\n3 1e308\n4 1e308\n5 1e308\n6 1e308\n7 1e308\n8 1e308\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := Read(strings.NewReader(text))
		if err != nil {
			return
		}
		x, err := table.Impulse(table.Names[0], table.Names[len(table.Names)-1])
		if err != nil {
			return
		}
		if err := x.Check(); err != nil {
			t.Fatalf("accepted %q: %v", text, err)
		}
		if at, err := x.Arrival(); err == nil && !(at >= x.Start && float64(at) <= float64(x.Start)+float64(len(x.Samples))/float64(x.Rate)) {
			t.Errorf("%q arrives at %v", text, at)
		}
		c, err := x.Gate(Gate{Start: x.Start, Length: units.Time(float64(len(x.Samples)) / float64(x.Rate))})
		if err == nil && c.Check() != nil {
			t.Errorf("%q: %v", text, c.Check())
		}
	})
}

func BenchmarkGate(b *testing.B) {
	x := Impulse{Rate: 48000, Samples: make([]float64, 1<<16)}
	x.Samples[10] = 1
	b.ReportAllocs()
	for b.Loop() {
		if _, err := x.Gate(Gate{Length: 0.1, Fade: 0.1}); err != nil {
			b.Fatal(err)
		}
	}
}
