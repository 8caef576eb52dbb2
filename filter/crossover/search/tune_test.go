package search

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// With a tweeter that fills up exactly what known networks leave to a flat sum,
// these networks are the answer.
func TestTuneFindsKnownNetworks(t *testing.T) {
	known := []ladder.Network{
		{
			ladder.Series(ladder.L(0.8 * units.Millihenry).WithResistance(0.3)),
			ladder.Shunt(ladder.R(3.3), ladder.C(12*units.Microfarad)),
		},
		{
			ladder.Series(ladder.R(1.5)),
			ladder.Series(ladder.C(6.8 * units.Microfarad)),
			ladder.Shunt(ladder.L(0.4 * units.Millihenry).WithResistance(0.2)),
		},
	}
	at := func(n ladder.Network, s source, f float64) complex128 {
		state := must[ladder.State](t)(n.State(f, s.z(f)))
		return state.Load.Voltage * s.p(f)
	}
	rest := source{z: tweeter.z}
	rest.p = func(f float64) complex128 {
		unit := source{z: tweeter.z, p: func(float64) complex128 { return 1 }}
		return (at(known[0], woofer, f) - 0.1) / at(known[1], unit, f) // minus: it is inverted
	}
	p := speaker(t, 80, woofer, rest)
	start := clone(known)
	for i, v := range values(start) {
		*v *= []float64{1.3, 1 / 1.3}[i%2]
	}
	before := clone(start)
	if s := p.Score(start...); !(s.Ripple > 0.5) {
		t.Fatalf("ripple %g dB to begin with", s.Ripple)
	}
	fit, err := p.Tune(2, start...)
	if err != nil {
		t.Fatal(err)
	}
	got, score := fit.Networks, fit.Score
	if !(score.Ripple <= 1e-5) || !(math.Abs(score.Level+20) <= 1e-5) {
		t.Errorf("ripple %g dB, level %g dB", score.Ripple, score.Level)
	}
	want := values(known)
	for i, v := range values(got) {
		if !(math.Abs(*v / *want[i] - 1) <= 2e-6) {
			t.Errorf("part %d: %g, want %g", i+1, *v, *want[i])
		}
	}
	if got[0][0].Parts[0].Resistance != 0.3 {
		t.Errorf("the coil's resistance became %v", got[0][0].Parts[0].Resistance)
	}
	if !cmp.Equal(start, before) {
		t.Error("the networks given were changed")
	}
	if !cmp.Equal(score, p.Score(got...)) {
		t.Errorf("score %v, but of the networks %v", score, p.Score(got...))
	}
	again, err := p.Tune(2, start...)
	if err != nil || !cmp.Equal(again, fit) || !fit.Converged {
		t.Errorf("a second time %v, %v, first %v", again, err, fit)
	}
}

// The span holds.
func TestTuneStaysWithinTheSpan(t *testing.T) {
	p := speaker(t, 60, woofer, tweeter)
	start := linkwitzRiley(t, 5000, 6, 5)
	fit, err := p.Tune(1.2, start...)
	if err != nil {
		t.Fatal(err)
	}
	got, score := fit.Networks, fit.Score
	from, atBound := values(start), 0
	for i, v := range values(got) {
		ratio := max(*v / *from[i], *from[i] / *v)
		if ratio > 1.2*(1+1e-5) {
			t.Errorf("part %d went from %g to %g", i+1, *from[i], *v)
		}
		if ratio > 1.2*(1-1e-5) {
			atBound++
		}
		if digits := fmt.Sprintf("%.5e", *v); digits != strings.Replace(fmt.Sprintf("%.12e", *v), "0000000e", "e", 1) {
			t.Errorf("part %d: %v is not rounded to 6 digits", i+1, *v)
		}
	}
	if was := p.Score(start...); !(score.Ripple < was.Ripple) || atBound == 0 {
		t.Errorf("ripple from %g to %g dB, %d parts at a bound", was.Ripple, score.Ripple, atBound)
	}
}

// A limit that is in the way of the flattest sum is reached and kept; one that is
// not changes nothing.
func TestTuneKeepsLimits(t *testing.T) {
	p, start := sixParts(t)
	hz := p.Field.Hz
	perVolt := make([]float64, len(hz))
	for i, f := range hz { // of the tweeter's dome
		x := f / 900
		perVolt[i] = 0.05e-3 / cmplx.Abs(complex(1-x*x, x/0.9))
	}
	p.Travel = []Travel{{Limit: Off}, {PerVolt: perVolt, Volts: 20, Limit: 1}}
	fit, err := p.Tune(4, start...)
	free, best := fit.Networks, fit.Score
	if err != nil || p.Broken(best) != nil {
		t.Fatal(err, p.Broken(best))
	}
	for _, c := range []struct {
		name string
		set  func(p *Problem, share float64)
		of   func(s Score) float64 // share of the free value that is used up
		x    float64
	}{
		{"crossing",
			func(p *Problem, x float64) { p.Crossing = best.Crossing[0] * units.Frequency(x) },
			func(s Score) float64 { return float64(s.Crossing[0] / best.Crossing[0]) }, 1.15},
		{"load",
			func(p *Problem, x float64) { p.Load = best.Load * units.Resistance(x) },
			func(s Score) float64 { return float64(s.Load / best.Load) }, 1.3}, // at 1.25 there is a second minimum, nearly as flat
		{"travel",
			func(p *Problem, x float64) {
				p.Travel = []Travel{{Limit: Off}, {PerVolt: perVolt, Volts: 20, Limit: best.Travel[1] / units.Length(x)}}
			},
			func(s Score) float64 { return float64(best.Travel[1] / s.Travel[1]) }, 1.15},
	} {
		tight := p
		c.set(&tight, c.x)
		fit, err := tight.Tune(4, start...)
		s := fit.Score
		if err != nil {
			t.Fatal(err)
		}
		if tight.Broken(s) != nil || !(c.of(s) >= c.x) || !(c.of(s) <= c.x*1.006) {
			t.Errorf("%s: %v of the free value, want just above %g; breaks %v", c.name, c.of(s), c.x, tight.Broken(s))
		}
		if !(s.Ripple > best.Ripple) {
			t.Errorf("%s: ripple %g dB is not above the free %g dB", c.name, s.Ripple, best.Ripple)
		}
		if len(tight.Broken(tight.Score(free...))) != 1 {
			t.Errorf("%s: the free networks break %v", c.name, tight.Broken(tight.Score(free...)))
		}
		loose := p
		c.set(&loose, 0.9)
		fit, err = loose.Tune(4, start...)
		s = fit.Score
		if err != nil || !(math.Abs(s.Ripple-best.Ripple) <= 1e-6) {
			t.Errorf("%s: a loose limit gives ripple %g dB, free %g: %v", c.name, s.Ripple, best.Ripple, err)
		}
	}

	// A limit out of reach is told.
	p.Load = 100
	if fit, err := p.Tune(4, start...); err != nil || len(p.Broken(fit.Score)) != 1 {
		t.Errorf("100 Ω: %v, breaks %q", err, p.Broken(fit.Score))
	}
}

// Three ways, the limit of the crossings holds for both.
func TestTuneOfThreeWays(t *testing.T) {
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Radiator: ideal(8)}, {Radiator: ideal(8), Inverted: true}, {Radiator: ideal(8)},
	}, grid(60, 50, 20000), 344, r3.Vec{Z: 1}))
	p := unlimited(Problem{Field: f, Lo: 60, Hi: 15000})
	p.Crossing = 700
	r := ladder.R(0.5)
	start := []ladder.Network{
		{ladder.Series(ladder.L(6e-3)), ladder.Shunt(ladder.C(20e-6))},
		{
			ladder.Series(r), ladder.Series(ladder.C(20e-6)), ladder.Shunt(ladder.L(6e-3)),
			ladder.Series(ladder.L(0.7e-3)), ladder.Shunt(ladder.C(2e-6)),
		},
		{ladder.Series(ladder.C(3e-6)), ladder.Shunt(ladder.L(0.8e-3))},
	}
	before := p.Score(start...)
	fit, err := p.Tune(4, start...)
	n, s := fit.Networks, fit.Score
	if err != nil || p.Broken(s) != nil {
		t.Fatal(err, p.Broken(s))
	}
	if len(s.Crossing) != 2 || !(s.Crossing[0] >= 700) || !(s.Crossing[1] > 2*s.Crossing[0]) {
		t.Errorf("crossings %v", s.Crossing)
	}
	if before.Crossing[0] >= 700 || !(s.Ripple < before.Ripple/4) {
		t.Errorf("from %v to %v\n%v", before, s, n)
	}
}

// A null in the band leaves nothing to start from.
func TestTuneFromANull(t *testing.T) {
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Radiator: ideal(8)}, {Radiator: ideal(8), Inverted: true},
	}, grid(5, 100, 1000), 344, r3.Vec{Z: 1}))
	p := unlimited(Problem{Field: f, Lo: 100, Hi: 1000})
	n := ladder.Network{ladder.Series(ladder.R(1))}
	if _, err := p.Tune(2, n, n); err == nil {
		t.Error("no error")
	}
}

func TestRound6(t *testing.T) {
	for x, want := range map[float64]float64{
		5.6269769759e-6: 5.62698e-6, 123456.5: 123456, 0.00099999951: 0.001, 1: 1, 1e-6: 1e-6, 2.0000004: 2,
	} {
		if got := round6(x); got != want {
			t.Errorf("%v becomes %v, want %v", x, got, want)
		}
	}
}

// From poor starts one fit often ends beside the best; the others in the span help.
func TestTuneFromSeveralStarts(t *testing.T) {
	helped := 0
	for seed := range uint64(30) {
		p, start := sixParts(t)
		rnd := rand.New(rand.NewPCG(seed, 1))
		for _, v := range values(start) {
			*v *= math.Exp(1.2 * rnd.NormFloat64())
		}
		one := newTuner(p.model(1), clone(start))
		x := one.at()
		for i, v := range x {
			one.lo[i], one.hi[i] = v-math.Log(6), v+math.Log(6)
		}
		alone := math.Sqrt(one.minimize(x, full).sum)
		fit, err := p.Tune(6, start...)
		if err != nil || fit.Starts != 4 || fit.Evaluations <= one.evaluations {
			t.Fatal(err, fit)
		}
		if fit.Score.Flatness > alone+1e-4 {
			t.Errorf("start %d: %g dB, from one start %g", seed, fit.Score.Flatness, alone)
		}
		if fit.Score.Flatness < alone/1.1 {
			helped++
		}
	}
	if helped < 5 {
		t.Errorf("the other starts helped in %d of 30 cases", helped)
	}
}
