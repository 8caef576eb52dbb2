package search

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// find optimises one circuit, as Best does, and takes it as far as it goes if it is to
// finish.
func find(t testing.TB, p Problem, s Search, name string, turned int, finish bool) entry {
	t.Helper()
	s.Values = s.Values.filled()
	s.Catalogue, s.Workers = s.Values.of(s.Catalogue), 1
	h := newHunt(p, s)
	for _, c := range Circuits(strings.Count(name, "L") + strings.Count(name, "C") + strings.Count(name, "R")) {
		if spell(c) == name {
			k := task{circuit: c, turned: turned}
			h.sketch(h.workers[0], &k)
			kept := []entry{h.optimise(h.workers[0], k)}
			if finish && kept[0].choice.Networks != nil && kept[0].choice.Broken == nil {
				h.finish(kept)
			}
			return kept[0]
		}
	}
	t.Fatalf("no circuit %s", name)
	return entry{}
}

// Two circuits whose best parts were found by trying all combinations near, with a
// program of another hand: five parts for 28.70 with 0.411 dB, six for 28.55 with 0.312.
func TestBestFindsKnownCircuits(t *testing.T) {
	p := demo(t, 1)
	p.Budget = 30
	// As there, of values within two steps of E12 around those of a free fit.
	shop := slices.DeleteFunc(demoShop(t), func(i parts.Item) bool {
		return !slices.ContainsFunc([]ladder.Part{
			ladder.L(1.92e-3), ladder.L(1.61e-3), ladder.L(0.155e-3), ladder.L(0.67e-3),
			ladder.C(9.72e-6), ladder.C(6.5e-6), ladder.C(5e-6), ladder.R(3.6),
		}, func(p ladder.Part) bool {
			return i.Part.Kind == p.Kind && math.Abs(math.Log(i.Part.Value/p.Value)) < math.Log(1.5)
		})
	})
	for _, c := range []struct {
		circuit         string
		price, flatness float64
		load, travel    float64
	}{
		{"L /C, C /L R", 28.70, 0.411, 6.37, 0.078}, {"L /LC, C /L R", 28.55, 0.312, 6.29, 0.088},
	} {
		e := find(t, p, Search{Catalogue: shop}, c.circuit, 0, true)
		s := e.choice.Score
		if e.choice.Price != c.price || !(math.Abs(s.Flatness-c.flatness) <= 0.0005) || !(math.Abs(float64(s.Load)-c.load) <= 0.005) ||
			!(math.Abs(1e3*float64(s.Travel[1])-c.travel) <= 0.0005) {
			t.Errorf("%s: %+v", c.circuit, e.choice)
		}
	}

	// With free values the five are the best of all with up to five parts.
	p = demo(t, 8)
	f, err := p.Best(context.Background(), Search{Parts: 5, Keep: 2})
	if err != nil || len(f.Best[5]) != 2 || !slices.ContainsFunc(f.Best[5], func(c Choice) bool { return spell(c.Networks) == "L /C, C /L R" }) || !(f.Best[5][1].Score.Flatness <= 0.42) {
		t.Fatalf("%v, %+v", err, f.Best)
	}
	if best, ok := f.Flattest(); !ok || !cmp.Equal(best, f.Best[5][0]) {
		t.Errorf("flattest %v, %v", best, ok)
	}
	last := math.Inf(1)
	for n, list := range f.Best {
		for _, c := range list {
			q := p
			q.Inverted = c.Inverted
			if len(partsOf(c.Networks)) != n || !(c.Score.Flatness < last) || !cmp.Equal(c.Score, q.Score(c.Networks...)) || q.Broken(c.Score) != nil {
				t.Errorf("%d parts: %+v", n, c)
			}
		}
		if len(list) > 0 {
			last = list[0].Score.Flatness
		}
	}
	if c := f.Certificate; !c.Complete || !cmp.Equal(c.Enumerated, []int{0, 2, 8, 40, 168, 678}) || c.Optimised[5]+c.Pruned[5] != 678 {
		t.Errorf("%+v", c)
	}
}

// In circuits that another program's differential evolution looked through, by its own
// circuit and objective, nothing better was found; and its objective is ours. Circuits
// that do not compete, with another of as many parts twice as flat, are fitted with less
// luck: a tweeter with a trap alone ends 0.18 dB above.
func TestBestAgainstScipy(t *testing.T) {
	var record struct {
		Circuits []struct {
			Problem, Circuit string
			Inverted         bool
			Flatness         float64
			Values           []float64
		}
	}
	if err := json.Unmarshal(must[[]byte](t)(os.ReadFile("testdata/winners.json")), &record); err != nil {
		t.Fatal(err)
	}
	if len(record.Circuits) < 20 {
		t.Fatalf("%d circuits", len(record.Circuits))
	}
	problems := map[string]Problem{"axis": demo(t, 2), "window": demoPair(t, "woofer_b", "tweeter_a", domeA, 2)}
	best := map[string]float64{} // by problem and number of parts
	key := func(problem string, parts int) string { return fmt.Sprint(problem, parts) }
	for _, c := range record.Circuits {
		k := key(c.Problem, len(c.Values))
		if old, ok := best[k]; !ok || c.Flatness < old {
			best[k] = c.Flatness
		}
	}
	worst := math.Inf(-1)
	for _, c := range record.Circuits {
		p := problems[c.Problem]
		turned := 0
		if c.Inverted {
			turned = 1
		}
		e := find(t, p, Search{}, c.Circuit, turned, false)
		p.Inverted = c.Inverted
		n := clone(e.choice.Networks)
		for i, v := range values(n) {
			*v = c.Values[i]
		}
		score := p.Score(n...)
		if ours := p.Limits().key(score, 0); !(math.Abs(ours-c.Flatness) <= 2e-4*c.Flatness) {
			// A limit that binds may be missed by the digits of the values.
			if e := p.Limits().excess(score, 0); !(e < 1e-4) || !(math.Abs(score.Flatness-c.Flatness) <= 2e-4) {
				t.Errorf("%s %s: the same values score %.6f there, %.6f here: %+v", c.Problem, c.Circuit, c.Flatness, ours, score)
			}
		}
		if c.Flatness > 2*best[key(c.Problem, len(c.Values))] {
			continue
		}
		worst = max(worst, e.key-c.Flatness)
		if !(e.key <= c.Flatness+0.02) {
			t.Errorf("%s %s, inverted %v: %.4f dB, elsewhere %.4f with %v", c.Problem, c.Circuit, c.Inverted, e.key, c.Flatness, c.Values)
		}
	}
	t.Logf("ours is at most %.4f dB above", worst)
}

// All combinations of a shop have nothing better than the choice.
func TestBestAgainstEveryShelfValue(t *testing.T) {
	var shop parts.Catalogue
	for _, i := range demoShop(t) {
		if strings.HasSuffix(i.ID, "1.0mm") || i.Kind == parts.IronCoil || i.Kind == parts.BipolarCapacitor || i.Rating.Power == 20 {
			shop = append(shop, i)
		}
	}
	p := demoPair(t, "woofer_b", "tweeter_a", domeA, 8)
	rnd := rand.New(rand.NewPCG(5, 5))
	tried := 0
	for range 40 {
		circuits := Circuits(2 + rnd.IntN(3))
		c := circuits[rnd.IntN(len(circuits))]
		if len(partsOf(c[1:])) > 2 || len(partsOf(c[:1])) > 2 {
			continue
		}
		p.Budget = []float64{Off, 20}[rnd.IntN(2)]
		turned := rnd.IntN(2)
		e := find(t, p, Search{Catalogue: shop}, spell(c), turned, true)
		q := p
		q.Inverted = turned == 1
		all, err := q.shelf(q.model(1), e.choice.Networks, Values{}.filled().of(shop), [2]int{100, 100})
		switch {
		case err != nil && e.choice.Broken == nil:
			t.Errorf("%s: %v, but %+v", spell(c), err, e.choice)
		case err == nil && !(e.key <= all.Score.Flatness+0.02):
			t.Errorf("%s: %.4f dB, all combinations have %.4f", spell(c), e.key, all.Score.Flatness)
		case err == nil:
			tried++
		}
	}
	if tried < 8 {
		t.Errorf("only %d circuits keep the limits", tried)
	}
}

// The answer is the same on any number of processors and of workers.
func TestBestIsTheSameEverywhere(t *testing.T) {
	p := demoPair(t, "woofer_b", "tweeter_a", domeA, 8)
	p.Budget = 25
	shop := demoShop(t).Of(parts.IronCoil, parts.BipolarCapacitor, parts.Resistor)
	var first Frontier
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for i, c := range []struct{ procs, workers int }{{1, 0}, {2, 0}, {8, 3}} {
		runtime.GOMAXPROCS(c.procs)
		f := must[Frontier](t)(p.Best(context.Background(), Search{Parts: 2, Catalogue: shop, Workers: c.workers}))
		free := must[Frontier](t)(demo(t, 8).Best(context.Background(), Search{Parts: 3, Workers: c.workers}))
		f.Best = append(f.Best, free.Best...)
		if i == 0 {
			first = f
		}
		if d := cmp.Diff(first, f); d != "" {
			t.Errorf("%d processors, %d workers (-first +now):\n%s", c.procs, c.workers, d)
		}
	}
}

// Nearly every circuit is sketched at least as flat as it is without one of its parts,
// as that part can be made faint.
func TestSketchesInherit(t *testing.T) {
	p := demo(t, 4)
	h := newHunt(p, Search{Parts: 4, Keep: 1, Workers: 1, Values: Values{}.filled()})
	f := Frontier{Best: make([][]Choice, 5), Certificate: Certificate{Enumerated: make([]int, 5), Pruned: make([]int, 5), Optimised: make([]int, 5)}}
	for n := 1; n < 4; n++ {
		if err := h.count(context.Background(), n, &f); err != nil {
			t.Fatal(err)
		}
	}
	checked, worse := 0, 0
	for _, c := range Circuits(4) {
		k := task{circuit: c}
		h.sketch(h.workers[0], &k)
		for _, old := range heritages(c) {
			if was, ok := h.known[spell(old.circuit)]; ok {
				checked++
				if k.sketch > 1.1*was[0].sum {
					worse++
				}
			}
		}
	}
	if checked < 150 || worse*15 > checked {
		t.Errorf("%d of %d sketches are worse than without a part", worse, checked)
	}
}

// Each limit adds the share by which it is missed.
func TestExcess(t *testing.T) {
	l := Limits{Crossing: 2000, Highest: 3000, Load: 4, Resistance: 1, Travel: []units.Length{1e-3, 2e-3}, Budget: 20}
	kept := Score{Flatness: 0.5, Crossing: []units.Frequency{2500}, Overtaken: []units.Frequency{2600}, Load: 5, Resistance: 0.5, Travel: []units.Length{0.5e-3, 1e-3}}
	if e := l.excess(kept, 20); e != 0 || l.broken(kept) != nil || l.key(kept, 20) != 0.5 {
		t.Errorf("kept: %g, %q", e, l.broken(kept))
	}
	for name, c := range map[string]struct {
		set  func(*Score)
		want float64
	}{
		"crossing":   {func(s *Score) { s.Crossing = []units.Frequency{1600} }, 0.25},
		"overtaken":  {func(s *Score) { s.Overtaken = []units.Frequency{3300} }, 0.1},
		"never":      {func(s *Score) { s.Overtaken = []units.Frequency{0} }, 1},
		"load":       {func(s *Score) { s.Load = 3.2 }, 0.25},
		"resistance": {func(s *Score) { s.Resistance = 1.5 }, 0.5},
		"travel":     {func(s *Score) { s.Travel = []units.Length{2e-3, 3e-3} }, 1.5},
	} {
		s := kept
		c.set(&s)
		if e := l.excess(s, 20); !(math.Abs(e-c.want) <= 1e-12) || l.broken(s) == nil || !(l.key(s, 20) > 100) {
			t.Errorf("%s: %g, want %g; %q", name, e, c.want, l.broken(s))
		}
	}
	if e := l.excess(kept, 25); e != 0.25 {
		t.Errorf("price: %g", e)
	}
}

func TestBestStops(t *testing.T) {
	p := demo(t, 8)
	ctx, stop := context.WithCancel(context.Background())
	var told []Progress
	f, err := p.Best(ctx, Search{Parts: 6, Progress: func(p Progress) {
		told = append(told, p)
		if p.Parts == 4 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || f.Certificate.Complete || len(f.Best[3]) == 0 || len(f.Best[6]) != 0 {
		t.Errorf("%v, %+v", err, f)
	}
	for i, p := range told {
		if p.Done > p.Of || i > 0 && (p.Flatness > told[i-1].Flatness || p.Parts < told[i-1].Parts || p.Parts == told[i-1].Parts && p.Done < told[i-1].Done) {
			t.Errorf("told %v after %v", p, told[max(0, i-1)])
		}
	}
	if want := f.Best[3][0].Score.Flatness; len(told) == 0 || told[len(told)-1].Flatness != want {
		t.Errorf("the last word was %v, the best is %g", told, want)
	}
	if f, err := p.Best(ctx, Search{Parts: 2}); !errors.Is(err, context.Canceled) || f.Nearest != nil {
		t.Errorf("%v, %+v", err, f)
	}
}

// If no circuit will do, the nearest is told and what it breaks.
func TestBestOfNone(t *testing.T) {
	p := demo(t, 8)
	p.Load = 30
	f, err := p.Best(context.Background(), Search{Parts: 2})
	if err == nil || !strings.HasPrefix(err.Error(), "search: no circuit of up to 2 parts keeps the limits: with the nearest, the load falls to") {
		t.Errorf("%v", err)
	}
	if f.Nearest == nil || len(f.Nearest.Broken) == 0 || !strings.Contains(err.Error(), f.Nearest.Broken[0]) {
		t.Errorf("%+v", f.Nearest)
	}
	if _, ok := f.Flattest(); ok {
		t.Error("a flattest of none")
	}
	// A budget for a capacitor, and nothing else.
	p = demo(t, 8)
	p.Budget = 1.8
	f, err = p.Best(context.Background(), Search{Parts: 2, Catalogue: demoShop(t).Of(parts.IronCoil, parts.BipolarCapacitor)})
	if err != nil || len(f.Best[1]) == 0 || len(f.Best[2]) != 0 || f.Best[1][0].Price > 1.8 {
		t.Errorf("%v, %+v", err, f)
	}
}

func TestBestRefuses(t *testing.T) {
	for want, spoil := range map[string]func(*Problem, *Search){
		"no field":                                 func(p *Problem, s *Search) { p.Field = nil },
		"parts 0: must be from 1 to 7":             func(p *Problem, s *Search) { s.Parts = 0 },
		"parts 8: must be from 1 to 7":             func(p *Problem, s *Search) { s.Parts = 8 },
		"-1 to keep":                               func(p *Problem, s *Search) { s.Keep = -1 },
		"values of coils from 1 mH to 0":           func(p *Problem, s *Search) { s.Values.L[0] = 1e-3 },
		"values of resistors from NaN":             func(p *Problem, s *Search) { s.Values.R = [2]units.Resistance{units.Resistance(math.NaN()), 1} },
		"budget 5.00: there are no prices without": func(p *Problem, s *Search) { p.Budget, s.Catalogue = 5, nil },
		"budget 5.00: no item of the catalogue has": func(p *Problem, s *Search) {
			p.Budget = 5
			for i := range s.Catalogue {
				s.Catalogue[i].Price = 0
			}
		},
		"price NaN":    func(p *Problem, s *Search) { s.Catalogue[3].Price = math.NaN() },
		"no capacitor": func(p *Problem, s *Search) { s.Catalogue = s.Catalogue.Of(parts.AirCoil) },
		"the budget, 1.00, and the catalogue contradict each other: the cheapest capacitor costs 1.70": func(p *Problem, s *Search) { p.Budget = 1 },
		"the series resistance, at most 10 mΩ, and the catalogue contradict each other":                func(p *Problem, s *Search) { p.Resistance = 0.01 },
	} {
		p, s := demo(t, 8), Search{Parts: 2, Catalogue: demoShop(t)}
		spoil(&p, &s)
		if _, err := p.Best(context.Background(), s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
}

// The safe limits that hold where none is given.
func TestDefaults(t *testing.T) {
	p := demoPair(t, "woofer_b", "tweeter_a", domeA, 1)
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	if lo, hi := p.Band(); lo != 200 || hi != 16000 {
		t.Errorf("band %v to %v", lo, hi)
	}
	l := p.Limits()
	if l.Crossing != 1646 || l.Load != 3.2 || !math.IsInf(l.Budget, 1) || !math.IsInf(float64(l.Travel[0]), 1) || l.Travel[1] != 0.4e-3 {
		t.Errorf("%+v", l)
	}
	least := math.Inf(1)
	for _, z := range p.Field.Load(0) {
		least = min(least, math.Hypot(real(z), imag(z)))
	}
	if !(math.Abs(float64(l.Resistance)-least/8) <= 1e-12) {
		t.Errorf("resistance %v, the least modulus is %g Ω", l.Resistance, least)
	}
	// At 30° the woofer is 6 dB down there, and less one step before.
	for i, f := range p.Field.Hz {
		down := 10 * math.Log10(power(p.Field.Pressure(0, 2)[i])/power(p.Field.Pressure(0, 0)[i]))
		if f >= 200 && (down < -6) != (f >= float64(l.Highest)) && f <= float64(l.Highest) {
			t.Errorf("%g Hz: %g dB, but the highest crossing is %v", f, down, l.Highest)
		}
	}
	// All can be taken away.
	l = unlimited(p).Limits()
	if l.Crossing != 0 || l.Load != 0 || !math.IsInf(float64(l.Resistance), 1) || !math.IsInf(float64(l.Highest), 1) || !math.IsInf(float64(l.Travel[1]), 1) {
		t.Errorf("without: %+v", l)
	}
	if s := (Score{Level: 20 * math.Log10(20e-6/2.83)}).Sensitivity(); !(math.Abs(s) <= 1e-12) {
		t.Errorf("20 µPa for 2.83 V are %g dB", s)
	}
}

// A noise at one frequency only is a sine, if its crest is that of a sine; powers of
// several add.
func TestTravelOfNoise(t *testing.T) {
	h := []complex128{complex(0, 0.5), 1, 0.25}
	x := []float64{3e-4, 2e-4, 1e-4}
	sine := Travel{PerVolt: x, Volts: 10, Limit: 1}
	noise := Travel{PerVolt: x, Limit: 1, Spectrum: []float64{0, 10, 0}, Crest: math.Sqrt2}
	if a, b := sine.most(h), noise.most(h); !(math.Abs(float64(a-2e-3)) <= 1e-15) || !(math.Abs(float64(b-a)) <= 1e-15) {
		t.Errorf("%v and %v, want 2 mm", a, b)
	}
	noise.Spectrum, noise.Crest = []float64{4, 3, 8}, 0
	want := 3 / math.Sqrt2 * math.Sqrt(6e-4*6e-4+6e-4*6e-4+2e-4*2e-4)
	if got := noise.most(h); !(math.Abs(float64(got)-want) <= 1e-15) {
		t.Errorf("%v, want %g m", got, want)
	}
	noise.Limit = Off
	if noise.most(h) != 0 {
		t.Error("a limit that is off has travel")
	}
}

func TestAtDC(t *testing.T) {
	n := ladder.Network{
		ladder.Series(ladder.L(1e-3).WithResistance(0.5), ladder.R(2), ladder.C(1e-6)),
		ladder.Shunt(ladder.R(3)), ladder.Series(ladder.L(1e-3)), ladder.Series(ladder.R(1)),
	}
	if r := atDC(n); !(math.Abs(float64(r-1.4)) <= 1e-15) {
		t.Errorf("%v, want 1.4 Ω", r)
	}
	if r := atDC(ladder.Network{ladder.Series(ladder.C(1e-6))}); !math.IsInf(float64(r), 1) || atDC(nil) != 0 {
		t.Errorf("%v behind a capacitor, %v of wires", r, atDC(nil))
	}
}

// Two more pairs, of different character, get what a builder would call sensible: a high-pass
// of second order and a resistor for the tweeter, a coil for the woofer, a crossing
// between the limits of both drivers, and no part at an end of the values allowed.
func TestBestLooksRight(t *testing.T) {
	for _, c := range []struct {
		woofer, tweeter string
		dome            dome
		circuits        []string
		flatness        float64
	}{
		{"woofer_a", "tweeter_a", domeA, []string{"L, C R /L", "L, C /L R", "L, R /L C"}, 0.75},
		{"woofer_c", "tweeter_c", domeC, []string{"L, C R /L", "L, C /L R"}, 0.75},
	} {
		p := demoPair(t, c.woofer, c.tweeter, c.dome, 8)
		f := must[Frontier](t)(p.Best(context.Background(), Search{Parts: 4, Keep: 1}))
		best, _ := f.Flattest()
		s, name := best.Score, spell(best.Networks)
		if len(partsOf(best.Networks)) != 4 || !(s.Flatness <= c.flatness) || !slices.Contains(c.circuits, name) {
			t.Errorf("%s and %s: %s, %+v", c.woofer, c.tweeter, name, s)
		}
		if l := p.Limits(); !(s.Crossing[0] >= 2*units.Frequency(c.dome.fs)) || !(s.Overtaken[0] <= l.Highest) || !(s.Load >= 3.2) {
			t.Errorf("%s and %s: %+v breaks %+v", c.woofer, c.tweeter, s, l)
		}
		for _, part := range partsOf(best.Networks) {
			if lo, hi := (Values{}).filled().span(part.Kind); !(part.Value > 1.02*lo) || !(part.Value < 0.5*hi) {
				t.Errorf("%s and %s: %v", c.woofer, c.tweeter, part)
			}
		}
	}
}
