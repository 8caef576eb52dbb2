package search

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// The fourth-order pair on resistances is flat and crosses at its frequency.
func TestScore(t *testing.T) {
	p := speaker(t, 125, ideal(8), ideal(8))
	p.Field = must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Radiator: ideal(8)}, {Radiator: ideal(8)},
	}, p.Field.Hz, 344, r3.Vec{Z: 2}))
	hz := p.Field.Hz
	perVolt := make([]float64, len(hz))
	for i, f := range hz {
		perVolt[i] = 1e-3 * 100 / f
	}
	p.Travel = []Travel{{PerVolt: perVolt, Volts: 10, Limit: 1}, {Limit: Off}}
	n := linkwitzRiley(t, 2000, 8, 8)
	s := p.Score(n...)
	want := Score{Level: -20 * math.Log10(2), Load: 1000}
	for _, f := range hz {
		y := must[ladder.State](t)(n[0].State(f, 8)).Current + must[ladder.State](t)(n[1].State(f, 8)).Current
		if z := units.Resistance(1 / cmplx.Abs(y)); z < want.Load {
			want.Load, want.LoadAt = z, units.Frequency(f)
		}
	}
	if !(s.Ripple <= 1e-12) || !(math.Abs(s.Level-want.Level) <= 1e-12) {
		t.Errorf("ripple %g dB, level %g dB, want 0 and %g", s.Ripple, s.Level, want.Level)
	}
	// The lead is not quite straight over the logarithm of frequency.
	if len(s.Crossing) != 1 || !(math.Abs(float64(s.Crossing[0]-2000)) <= 0.2) {
		t.Errorf("crossing %v, want 2 kHz", s.Crossing)
	}
	if !(math.Abs(float64(s.Load-want.Load)) <= 1e-12) || s.LoadAt != want.LoadAt {
		t.Errorf("load %v at %v, want %v at %v", s.Load, s.LoadAt, want.Load, want.LoadAt)
	}
	if len(s.Travel) != 2 || !(math.Abs(float64(s.Travel[0]-10e-3)) <= 1e-6) || s.Travel[1] != 0 {
		t.Errorf("travel %v, want 10 mm and none", s.Travel)
	}
	if broken := p.Broken(s); broken != nil {
		t.Errorf("breaks %q", broken)
	}
	p.Crossing = 1000
	if broken := p.Broken(Score{Crossing: []units.Frequency{0}, Load: 8}); broken != nil {
		t.Errorf("a way that never takes over breaks %q", broken)
	}
	p.Crossing, p.Load, p.Travel[0].Limit = 2500, 8.5, 5e-3
	broken := p.Broken(s)
	for i, want := range []string{"way 2 takes over at 2 kHz, the limit is 2.5 kHz", "the load falls to 7.995 Ω at 278.8 Hz, the limit is 8.5 Ω", "way 1 moves 10 mm, the limit is 5 mm"} {
		if len(broken) != 3 || !strings.HasPrefix(broken[i], want) {
			t.Errorf("breaks %q, want %q", broken, want)
		}
	}
}

func TestStraightenByHand(t *testing.T) {
	// 0, 6, -6 dB about a flat target.
	m := &model{x: []float64{-1, 0, 1}, sxx: 2, target: []float64{0, 0, 0}}
	if l := m.straighten([]float64{0, 6, -6}); !(math.Abs(l.level) <= 1e-14) || !(math.Abs(l.ripple-math.Sqrt(24)) <= 1e-14) || l.slope != 0 {
		t.Errorf("%+v, want 0 and √24", l)
	}
	// The same about a target of its own shape is flat.
	m.target = []float64{3, 9, -3}
	if l := m.straighten([]float64{0, 6, -6}); !(l.ripple <= 1e-14) || l.level != -3 {
		t.Errorf("%+v, want -3 and flat", l)
	}
	// The line falls, but not by more than 1 dB per decade, and never rises.
	m.target = nil
	for _, c := range []struct{ tilt, slope, ripple float64 }{
		{0.5, 0, 0.5}, {-0.4, -0.4, 0}, {-1, -1, 0}, {-3, -1, 2},
	} {
		l := m.straighten([]float64{5 - c.tilt, 5, 5 + c.tilt})
		want := c.ripple * math.Sqrt(2./3)
		if !(math.Abs(l.slope-c.slope) <= 1e-14) || !(math.Abs(l.ripple-want) <= 1e-14) || l.level != 5 {
			t.Errorf("tilt %g: %+v, want slope %g, ripple %g", c.tilt, l, c.slope, want)
		}
	}
	if l := m.straighten([]float64{0, math.Inf(-1), 0}); !math.IsInf(l.level, -1) || !math.IsInf(l.ripple, 1) {
		t.Errorf("with a null: %+v", l)
	}
}

// The crossing of ways whose levels are given.
func TestCrossing(t *testing.T) {
	inf := math.Inf(-1)
	for _, c := range []struct {
		name   string
		lo, hi [4]float64 // dB at 100, 200, 400, 800 Hz
		want   units.Frequency
	}{
		{"between", [4]float64{0, 0, 0, 0}, [4]float64{-40, -6, 6, 40}, units.Frequency(200 * math.Sqrt2)},
		{"on a point", [4]float64{0, 0, 0, 0}, [4]float64{-40, -6, 0, 40}, 400},
		{"the first of two", [4]float64{0, 0, 0, 0}, [4]float64{-6, 6, -6, 6}, units.Frequency(100 * math.Sqrt2)},
		{"from the start", [4]float64{0, 0, 0, 0}, [4]float64{1, -6, 6, 6}, 100},
		{"never", [4]float64{0, 0, 0, 0}, [4]float64{-1, -1, -1, -1}, 0},
		{"upper silent before", [4]float64{0, 0, 0, 0}, [4]float64{-40, inf, 1, 40}, 400},
		{"lower silent at", [4]float64{0, 0, inf, 0}, [4]float64{-40, -1, -40, 40}, 200},
		{"both silent", [4]float64{0, inf, 0, 0}, [4]float64{-40, inf, -6, 6}, units.Frequency(400 * math.Sqrt2)},
	} {
		curve := func(db [4]float64) source {
			return source{
				z: func(float64) complex128 { return 8 },
				p: func(f float64) complex128 {
					return complex(math.Pow(10, db[int(math.Round(math.Log2(f/100)))]/20), 0)
				},
			}
		}
		p := unlimited(Problem{Lo: 100, Hi: 800, Field: must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
			{Radiator: curve(c.lo)}, {Radiator: curve(c.hi)},
		}, []float64{100, 200, 400, 800}, 344, r3.Vec{Z: 1}))})
		got := p.Score(nil, nil).Crossing[0]
		if !(math.Abs(float64(got-c.want)) <= 1e-9) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// What is called broken, what Tune steers by and what the quick check of Shelf
// excludes are the same limits.
func TestLimitsAgree(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	p := speaker(t, 40, woofer, tweeter)
	seen := map[string]int{}
	for range 400 {
		n := linkwitzRiley(t, units.Frequency(1000*math.Pow(4, rnd.Float64())), 6, 6)
		for _, v := range values(n) {
			*v *= math.Pow(2, 2*rnd.Float64()-1)
		}
		p.Crossing = units.Frequency(500 * math.Pow(8, rnd.Float64()))
		p.Load, p.Highest = Off, Off
		if rnd.IntN(2) == 0 {
			p.Highest = p.Crossing * units.Frequency(1+rnd.Float64())
		}
		var r crossover.Result
		p.Field.Evaluate(&r, n...)
		s := p.Score(n...)
		tuner := newTuner(p.model(1), n)
		tuner.solve(tuner.at())
		tuner.miss()
		if low, lead := len(p.Broken(s)) > 0, slices.Max(tuner.missed)-margin; low != (lead >= 0) && math.Abs(lead) > 1e-9 {
			t.Fatalf("crossing %v, limits %v and %v, missed by %g", s.Crossing, p.Crossing, p.Highest, lead)
		}
		p.Highest = Off

		p.Load = s.Load * units.Resistance(0.8+0.4*rnd.Float64())
		var c pair
		for w, v := range []**variant{&c.lo, &c.hi} {
			*v = &variant{}
			for i, f := range p.Field.Hz {
				if f < float64(p.Crossing) {
					(*v).below = append((*v).below, power(r.Transfer[w][i]*p.Field.Pressure(w, 0)[i]))
				}
				(*v).admittance = append((*v).admittance, 1/r.Branch[w][i])
			}
		}
		broken := p.Broken(s)
		switch keep := p.model(1).mayKeep(c); {
		case !keep && broken == nil:
			t.Fatalf("the quick check excludes %v, which keeps load %v and crossing %v", s, p.Load, p.Crossing)
		case keep && s.Load < p.Load:
			t.Fatalf("the quick check passes a load of %v below %v", s.Load, p.Load)
		case keep && broken != nil: // only in the step of the grid around the limit
			seen["between"]++
		case keep:
			seen["kept"]++
		default:
			seen["broken"]++
		}
	}
	if seen["kept"] < 40 || seen["broken"] < 40 || seen["between"] > 40 {
		t.Errorf("too few of a kind: %v", seen)
	}
}

// A silent upper way has not taken over, not even from a silent lower one.
func TestMayKeepOfSilentWays(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   bool
	}{{1, 0, true}, {0, 0, true}, {0, 1, false}, {1, 1, false}, {2, 1, true}} {
		got := (&model{}).mayKeep(pair{lo: &variant{below: []float64{c.lo}}, hi: &variant{below: []float64{c.hi}}})
		if got != c.want {
			t.Errorf("powers %g below and %g above: %v", c.lo, c.hi, got)
		}
	}
}

func TestCheck(t *testing.T) {
	for want, spoil := range map[string]func(*Problem){
		"no field":                       func(p *Problem) { p.Field = nil },
		"point -1: must be from 0 to 0":  func(p *Problem) { p.Point = -1 },
		"point 1: must be from 0 to 0":   func(p *Problem) { p.Point = 1 },
		"lower end of the band -1 Hz":    func(p *Problem) { p.Lo = -1 },
		"lower end of the band NaN Hz":   func(p *Problem) { p.Lo = units.Frequency(math.NaN()) },
		"upper end of the band NaN Hz":   func(p *Problem) { p.Hi = units.Frequency(math.NaN()) },
		"upper end of the band +Inf":     func(p *Problem) { p.Hi = units.Frequency(math.Inf(1)) },
		"band from 300 Hz to 200 Hz: 0 ": func(p *Problem) { p.Hi = 200 },
		"band from 50 Hz to 15 kHz: must lie within the tables, 100 Hz to 20 kHz": func(p *Problem) { p.Lo = 50 },
		"band from 300 Hz to 21 kHz: must lie":                                    func(p *Problem) { p.Hi = 21000 },
		"least load -2 ":                                                          func(p *Problem) { p.Load = -2 },
		"highest crossing -2":                                                     func(p *Problem) { p.Highest = -2 },
		"series resistance NaN":                                                   func(p *Problem) { p.Resistance = units.Resistance(math.NaN()) },
		"resonance -1":                                                            func(p *Problem) { p.Resonance = -1 },
		"neither it nor the resonance":                                            func(p *Problem) { p.Crossing = 0 },
		"the lowest crossing, 4 kHz, and the highest, 3 kHz, contradict":          func(p *Problem) { p.Resonance, p.Crossing, p.Highest = 2000, 0, 3000 },
		"the lowest crossing, 16 kHz, and the upper end of the band, 15 kHz, contradict": func(p *Problem) { p.Crossing = 16000 },
		"way 2: travel per volt: not given":                                              func(p *Problem) { p.Travel[1] = Travel{} },
		"way 2: spectrum at 1 fr":                                                        func(p *Problem) { p.Travel[1].Spectrum = []float64{1} },
		"way 2: spectrum at 100 Hz -1":                                                   func(p *Problem) { p.Travel[1].Spectrum = make([]float64, 20); p.Travel[1].Spectrum[0] = -1 },
		"way 2: crest factor -1":                                                         func(p *Problem) { p.Travel[1].Spectrum = make([]float64, 20); p.Travel[1].Crest = -1 },
		"window: 2 weights":                                                              func(p *Problem) { p.Window = []float64{1, 1} },
		"weight of point 0 NaN":                                                          func(p *Problem) { p.Window = []float64{math.NaN()} },
		"window: no weight":                                                              func(p *Problem) { p.Window = []float64{0} },
		"target at 2 fr":                                                                 func(p *Problem) { p.Target = []float64{0, 0} },
		"target at 100 Hz NaN":                                                           func(p *Problem) { p.Target[0] = math.NaN() },
		"band from 1 kHz to 1.02 kHz: ":                                                  func(p *Problem) { p.Lo, p.Hi = 1000, 1020 },
		"lowest crossing -2 Hz":                                                          func(p *Problem) { p.Crossing = -2 },
		"least load NaN":                                                                 func(p *Problem) { p.Load = units.Resistance(math.NaN()) },
		"limits of travel: 1":                                                            func(p *Problem) { p.Travel = p.Travel[:1] },
		"way 2: travel per volt at 1 fr":                                                 func(p *Problem) { p.Travel[1].PerVolt = []float64{1} },
		"way 2: travel per volt at 100 ":                                                 func(p *Problem) { p.Travel[1].PerVolt[0] = math.NaN() },
		"way 2: voltage for the travel ":                                                 func(p *Problem) { p.Travel[1].Volts = 0 },
		"way 2: limit of travel -1 mm: ":                                                 func(p *Problem) { p.Travel[1].Limit = -1e-3 },
	} {
		p := speaker(t, 20, woofer, tweeter)
		p.Travel = []Travel{{}, {PerVolt: make([]float64, 20), Volts: 1, Limit: 1}}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		spoil(&p)
		if err := p.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
		if _, err := p.Tune(2, linkwitzRiley(t, 2000, 8, 8)...); err == nil {
			t.Errorf("%s: tuned", want)
		}
	}
}

func TestTuneRefuses(t *testing.T) {
	p := speaker(t, 20, woofer, tweeter)
	good := linkwitzRiley(t, 2000, 8, 8)
	bad := clone(good)
	bad[1][0].Parts[0].Value = math.NaN()
	for _, c := range []struct {
		want string
		span float64
		n    []ladder.Network
	}{
		{"1 networks: must be one for each of the 2 ways", 2, good[:1]},
		{"way 2: ladder: arm 1", 2, bad},
		{"no parts", 2, make([]ladder.Network, 2)},
		{"span 1: must be above 1", 1, good},
		{"span NaN", math.NaN(), good},
		{"span +Inf", math.Inf(1), good},
	} {
		if _, err := p.Tune(c.span, c.n...); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v", c.want, err)
		}
	}
}
