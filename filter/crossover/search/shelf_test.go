package search

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// outcome is what brute force knows of a combination.
type outcome struct {
	ids                    string
	price, ripple          float64
	load, crossing, travel float64
}

// every tries all combinations of the n nearest items, by the state of the
// networks at each frequency.
func every(t *testing.T, p Problem, ways [2]source, networks []ladder.Network, c parts.Catalogue, n int) []outcome {
	t.Helper()
	var near [][]parts.Item
	for _, network := range networks {
		for _, part := range network.Parts() {
			items := slices.DeleteFunc(slices.Clone(c), func(i parts.Item) bool { return i.Part.Kind != part.Kind })
			slices.SortStableFunc(items, func(a, b parts.Item) int {
				return cmp.Or(
					cmp.Compare(math.Abs(math.Log(a.Part.Value/part.Value)), math.Abs(math.Log(b.Part.Value/part.Value))),
					cmp.Compare(a.Price, b.Price), cmp.Compare(a.ID, b.ID))
			})
			near = append(near, items[:min(n, len(items))])
		}
	}
	var all []outcome
	var try func(picked []parts.Item)
	try = func(picked []parts.Item) {
		if len(picked) < len(near) {
			for _, item := range near[len(picked)] {
				try(append(slices.Clip(picked), item))
			}
			return
		}
		o := outcome{load: math.Inf(1)}
		built := clone(networks)
		i := 0
		for w := range built {
			for a := range built[w] {
				for k := range built[w][a].Parts {
					built[w][a].Parts[k] = picked[i].Part
					o.ids += picked[i].ID + "; "
					o.price += picked[i].Price
					i++
				}
			}
		}
		var levels []float64
		before := math.Inf(-1)
		for i, f := range p.Field.Hz {
			var drive, current [2]complex128
			for w := range built {
				s := must[ladder.State](t)(built[w].State(f, ways[w].z(f)))
				drive[w], current[w] = s.Load.Voltage, s.Current
				if p.Travel[w].PerVolt != nil {
					o.travel = max(o.travel, p.Travel[w].PerVolt[i]*float64(p.Travel[w].Volts)*cmplx.Abs(drive[w]))
				}
			}
			lo, hi := drive[0]*ways[0].p(f), -drive[1]*ways[1].p(f)
			if f >= float64(p.Lo) && f <= float64(p.Hi) {
				levels = append(levels, 20*math.Log10(cmplx.Abs(lo+hi)))
			}
			o.load = min(o.load, 1/cmplx.Abs(current[0]+current[1]))
			lead := 20 * math.Log10(cmplx.Abs(hi)/cmplx.Abs(lo))
			if lead >= 0 && o.crossing == 0 {
				o.crossing = f
				if i > 0 {
					u, v := math.Log(p.Field.Hz[i-1]), math.Log(f)
					o.crossing = math.Exp(u + (v-u)*before/(before-lead))
				}
			}
			before = lead
		}
		mean := 0.0
		for _, l := range levels {
			mean += l / float64(len(levels))
		}
		for _, l := range levels {
			o.ripple += (l - mean) * (l - mean) / float64(len(levels))
		}
		o.ripple = math.Sqrt(o.ripple)
		all = append(all, o)
	}
	try(nil)
	return all
}

// small is a shop with few of each, at invented prices.
func small(rnd *rand.Rand) parts.Catalogue {
	var c parts.Catalogue
	price := func() float64 { return float64(rnd.IntN(900)) / 100 }
	for i, v := range []float64{0.6, 0.8, 1, 1.25, 1.6} {
		for _, l := range []float64{1, 0.4} {
			c = append(c, parts.Item{ID: fmt.Sprintf("L%d-%g", i, l), Kind: parts.AirCoil, Price: price(),
				Part: ladder.L(units.Inductance(v * l * 1e-3)).WithResistance(units.Resistance(0.1 + 0.5*rnd.Float64()))})
		}
		c = append(c,
			parts.Item{ID: fmt.Sprintf("C%d", i), Kind: parts.FilmCapacitor, Price: price(),
				Part: ladder.C(units.Capacitance(v * 8e-6)).WithLoss(0.01 * rnd.Float64())},
			parts.Item{ID: fmt.Sprintf("R%d", i), Kind: parts.Resistor, Price: price(), Part: ladder.R(units.Resistance(v * 2.4))})
	}
	return c
}

func TestShelfAgainstBruteForce(t *testing.T) {
	ways := [2]source{woofer, tweeter}
	met := map[string]int{}
	for seed := range uint64(6) {
		rnd := rand.New(rand.NewPCG(seed, 7))
		p := speaker(t, 30, woofer, tweeter)
		c := small(rnd)
		n := []ladder.Network{
			{ladder.Series(ladder.L(1.1e-3)), ladder.Shunt(ladder.C(9e-6))},
			{ladder.Series(ladder.R(2.4)), ladder.Series(ladder.C(6e-6)), ladder.Shunt(ladder.L(0.35e-3))},
		}
		perVolt := make([]float64, len(p.Field.Hz))
		for i, f := range p.Field.Hz {
			perVolt[i] = 1 / (1 + f*f/1e6)
		}
		free := p
		p.Travel = []Travel{
			{PerVolt: perVolt, Volts: 1, Limit: 1e9},
			{PerVolt: perVolt, Volts: 1, Limit: 1e9},
		}
		all := every(t, p, ways, n, c, 3)
		if len(all) != 3*3*3*3*3 {
			t.Fatalf("%d combinations", len(all))
		}
		flattest := slices.MinFunc(all, func(a, b outcome) int { return cmp.Compare(a.ripple, b.ripple) })
		// A limit that the flattest breaks, and some of the others, too.
		beyond := func(of func(outcome) float64) float64 {
			v := []float64{of(flattest)}
			for _, o := range all {
				if of(o) > of(flattest) {
					v = append(v, of(o))
				}
			}
			slices.Sort(v)
			v = slices.Compact(v)
			return (v[len(v)/2] + v[max(0, len(v)/2-1)]) / 2
		}
		for name, set := range map[string]func() (Problem, func(outcome) bool){
			"free": func() (Problem, func(outcome) bool) {
				return free, func(outcome) bool { return true }
			},
			"budget": func() (Problem, func(outcome) bool) {
				most := -math.Round(100*beyond(func(o outcome) float64 { return -o.price })) / 100
				q := free
				q.Budget = most
				return q, func(o outcome) bool { return o.price <= most+1e-9 }
			},
			"load": func() (Problem, func(outcome) bool) {
				q := free
				q.Load = units.Resistance(beyond(func(o outcome) float64 { return o.load }))
				return q, func(o outcome) bool { return o.load >= float64(q.Load) }
			},
			"unreachable load": func() (Problem, func(outcome) bool) {
				q := free
				q.Load = 100
				return q, func(outcome) bool { return false }
			},
			"crossing": func() (Problem, func(outcome) bool) {
				q := free
				q.Crossing = units.Frequency(beyond(func(o outcome) float64 { return o.crossing }))
				return q, func(o outcome) bool { return o.crossing == 0 || o.crossing >= float64(q.Crossing) }
			},
			"travel": func() (Problem, func(outcome) bool) {
				most := -beyond(func(o outcome) float64 { return -o.travel })
				q := p
				q.Travel = slices.Clone(p.Travel)
				q.Travel[0].Limit, q.Travel[1].Limit = units.Length(most), units.Length(most)
				return q, func(o outcome) bool { return o.travel <= most }
			},
		} {
			q, keeps := set()
			kept := slices.DeleteFunc(slices.Clone(all), func(o outcome) bool { return !keeps(o) })
			got, err := q.Shelf(n, c, 3)
			if len(kept) == 0 {
				if want := fmt.Sprint("with the flattest, the load falls to ", units.Resistance(flattest.load)); err == nil || !strings.Contains(err.Error(), want) {
					t.Errorf("seed %d, %s: %v, error %v, want %q", seed, name, got, err, want)
				}
				continue
			}
			best := slices.MinFunc(kept, func(a, b outcome) int { return cmp.Compare(a.ripple, b.ripple) })
			if err != nil {
				t.Errorf("seed %d, %s: %v", seed, name, err)
				continue
			}
			ids := ""
			for w := range got.Items {
				for i, item := range got.Items[w] {
					ids += item.ID + "; "
					if part := slices.Collect(plain(got.Networks[w]))[i]; part != item.Part {
						t.Errorf("seed %d, %s: part %v is not item %v", seed, name, part, item)
					}
				}
			}
			if ids != best.ids || !(math.Abs(got.Price-best.price) <= 1e-9) || !(math.Abs(got.Score.Ripple-best.ripple) <= 1e-9) {
				t.Errorf("seed %d, %s: %s for %g with ripple %g, want %+v", seed, name, ids, got.Price, got.Score.Ripple, best)
			}
			if q.Broken(got.Score) != nil || !gocmp.Equal(got.Score, q.Score(got.Networks...)) {
				t.Errorf("seed %d, %s: score %v breaks %q", seed, name, got.Score, q.Broken(got.Score))
			}
			if flattest.ids != best.ids {
				met[name]++
			}
			if again, err := q.Shelf(n, c, 3); err != nil || !gocmp.Equal(again, got) {
				t.Errorf("seed %d, %s: another answer a second time", seed, name)
			}
		}
	}
	for _, name := range []string{"budget", "load", "crossing", "travel"} {
		if met[name] == 0 {
			t.Errorf("the limit of %s never changed the answer", name)
		}
	}
}

// On a coarse grid every combination passes the quick check, since all ways cross
// within one step; the flattest is still what the error tells of.
func TestShelfMissesWithinAStep(t *testing.T) {
	p := speaker(t, 5, woofer, tweeter)
	n := []ladder.Network{
		{ladder.Series(ladder.L(1.1e-3)), ladder.Shunt(ladder.C(9e-6))},
		{ladder.Series(ladder.C(6e-6)), ladder.Shunt(ladder.L(0.35e-3))},
	}
	c := small(rand.New(rand.NewPCG(8, 7)))
	all := every(t, p, [2]source{woofer, tweeter}, n, c, 3)
	flattest := slices.MinFunc(all, func(a, b outcome) int { return cmp.Compare(a.ripple, b.ripple) })
	for _, o := range all {
		if o.crossing < p.Field.Hz[2] || o.crossing > 5000 {
			t.Fatalf("crossing at %g Hz", o.crossing)
		}
	}
	p.Crossing = units.Frequency(p.Field.Hz[3] - 1)
	want := fmt.Sprint("with the flattest, way 2 takes over at ", units.Frequency(flattest.crossing))
	if _, err := p.Shelf(n, c, 3); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %q", err, want)
	}
}

// plain yields the parts without their letters.
func plain(n ladder.Network) func(func(ladder.Part) bool) {
	return func(yield func(ladder.Part) bool) {
		for _, part := range n.Parts() {
			if !yield(part) {
				return
			}
		}
	}
}

// Of equals the cheaper stands, then the one nearest in the first part.
func TestShelfBreaksTies(t *testing.T) {
	p := speaker(t, 20, ideal(8), ideal(8))
	coil := func(id string, mH, price float64) parts.Item {
		return parts.Item{ID: id, Kind: parts.AirCoil, Part: ladder.L(units.Inductance(mH * 1e-3)), Price: price}
	}
	// Two coils that may change places without any effect.
	n := []ladder.Network{
		{ladder.Series(ladder.L(0.30e-3)), ladder.Series(ladder.L(0.41e-3))},
		{ladder.Series(ladder.C(6.8e-6))},
	}
	film := parts.Item{ID: "film", Kind: parts.FilmCapacitor, Part: ladder.C(6.8e-6), Price: 3}
	bipolar := parts.Item{ID: "bipolar", Kind: parts.BipolarCapacitor, Part: ladder.C(6.8e-6), Price: 1.1}
	ids := func(c Choice) (s string) {
		for _, way := range c.Items {
			for _, item := range way {
				s += item.ID + " "
			}
		}
		return s
	}
	for _, c := range []struct {
		name string
		shop parts.Catalogue
		want string
	}{
		{"cheaper capacitor", parts.Catalogue{film, bipolar, coil("a", 0.3, 2), coil("b", 0.4, 2)}, "bipolar"},
		{"capacitors at one price", parts.Catalogue{{ID: "z", Kind: parts.FilmCapacitor, Part: film.Part, Price: 3}, film, coil("a", 0.3, 2)}, "film"},
	} {
		got, err := p.Shelf(n, c.shop, 3)
		if err != nil || !strings.HasSuffix(ids(got), c.want+" ") {
			t.Errorf("%s: %s, %v, want %s", c.name, ids(got), err, c.want)
		}
	}

	// What has no effect may be cheap: a resistor across the source, without a limit
	// of the load.
	with := slices.Clone(n)
	with[1] = append(ladder.Network{ladder.Shunt(ladder.R(10))}, n[1]...)
	got, err := p.Shelf(with, parts.Catalogue{
		film, coil("a", 0.3, 2),
		{ID: "near", Kind: parts.Resistor, Part: ladder.R(10), Price: 5},
		{ID: "cheap", Kind: parts.Resistor, Part: ladder.R(15), Price: 1},
		{ID: "middle", Kind: parts.Resistor, Part: ladder.R(12), Price: 3},
	}, 3)
	if err != nil || ids(got) != "a a cheap film " {
		t.Errorf("without effect: %s, %v", ids(got), err)
	}

	// All orders are flat, but for rounding: the sum of the coils is the capacitor
	// times the square of the load.
	p.Field = must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Radiator: ideal(8)}, {Radiator: ideal(8)},
	}, p.Field.Hz, 344, r3.Vec{Z: 1}))
	const whole = 6.8e-3 * 64
	a, b, c := coil("a", 0.07, 1), coil("b", 0.123, 1), coil("c", whole-0.193, 1)
	for _, order := range [][]parts.Item{{a, b, c}, {a, c, b}, {b, a, c}, {b, c, a}, {c, a, b}, {c, b, a}} {
		var n ladder.Network
		want := ""
		for _, item := range order {
			n = append(n, ladder.Series(item.Part))
			want += item.ID + " "
		}
		got, err := p.Shelf([]ladder.Network{n, {ladder.Series(film.Part)}}, parts.Catalogue{film, a, b, c}, 3)
		if err != nil || ids(got) != want+"film " || !(got.Score.Ripple <= 1e-12) {
			t.Errorf("%s, ripple %g, %v, want %s", ids(got), got.Score.Ripple, err, want)
		}
	}
}

// Rounding of prices does not push a choice over a budget it meets.
func TestShelfSpendsTheBudget(t *testing.T) {
	p := speaker(t, 20, woofer, tweeter)
	n := []ladder.Network{
		{ladder.Series(ladder.L(1e-3)), ladder.Shunt(ladder.C(8e-6))},
		{ladder.Series(ladder.C(8e-6))},
	}
	c := parts.Catalogue{
		{ID: "L", Kind: parts.AirCoil, Part: ladder.L(1e-3), Price: 0.1},
		{ID: "C", Kind: parts.FilmCapacitor, Part: ladder.C(8e-6), Price: 0.1},
	}
	p.Budget = 0.3
	got, err := p.Shelf(n, c, 1) // 0.1 + 0.1 + 0.1 is above 0.3 in floating point
	if err != nil || got.Price != 0.3 {
		t.Errorf("price %v, %v", got.Price, err)
	}
	p.Budget = 0.29
	if _, err := p.Shelf(n, c, 1); err == nil || err.Error() != "search: the cheapest parts cost more than the budget of 0.29" {
		t.Errorf("error %v", err)
	}
}

func TestShelfRefuses(t *testing.T) {
	nan := math.NaN()
	type input struct {
		p     Problem
		n     []ladder.Network
		c     parts.Catalogue
		count int
	}
	many := make([]ladder.Part, 16)
	for i := range many {
		many[i] = ladder.R(1)
	}
	for want, spoil := range map[string]func(*input){
		"no field":                          func(in *input) { in.p.Field = nil },
		"1 networks":                        func(in *input) { in.n = in.n[:1] },
		"items for each part: 0":            func(in *input) { in.count = 0 },
		"budget -2":                         func(in *input) { in.p.Budget = -2 },
		"budget NaN":                        func(in *input) { in.p.Budget = nan },
		"way 2, part A: the catalogue has ": func(in *input) { in.c = in.c.Of(parts.AirCoil) },
		"item C: price NaN":                 func(in *input) { in.c[1].Price = nan },
		"item C: ladder: capacitor":         func(in *input) { in.c[1].Part.Loss = -1 },
		"way 1: combinations: 65536: must be at most 50000": func(in *input) {
			in.n[0] = ladder.Network{ladder.Series(many...)}
			in.c = append(in.c, parts.Item{ID: "R", Kind: parts.Resistor, Part: ladder.R(1)}, parts.Item{ID: "S", Kind: parts.Resistor, Part: ladder.R(2)})
		},
		"budget of 0.50": func(in *input) { in.p.Budget = 0.5 },
		"no combination of shelf values keeps the limits: with the flattest, the load falls to": func(in *input) { in.p.Load = 50 },
		"with the flattest, way 2 takes over at":                                                func(in *input) { in.p.Crossing = 15000 },
		"way 2 moves more than 1 mm":                                                            func(in *input) { in.p.Travel[1].Limit = 1e-3 },
		"must be 2": func(in *input) {
			ways := []crossover.Way{{Radiator: woofer}, {Radiator: tweeter}, {Radiator: tweeter}}
			in.p.Field = must[*crossover.Field](t)(crossover.Sample(ways, in.p.Field.Hz, 344, r3.Vec{Z: 1}))
			in.p = unlimited(in.p)
			in.n = append(in.n, in.n[1])
		},
		"every combination of shelf values has a null": func(in *input) {
			ways := []crossover.Way{{Radiator: ideal(8)}, {Radiator: ideal(8), Inverted: true}}
			in.p.Field = must[*crossover.Field](t)(crossover.Sample(ways, in.p.Field.Hz, 344, r3.Vec{Z: 1}))
			in.n[0] = in.n[1]
		},
	} {
		p := speaker(t, 20, woofer, tweeter)
		perVolt := make([]float64, 20)
		for i := range perVolt {
			perVolt[i] = 0.01
		}
		p.Travel = []Travel{{}, {PerVolt: perVolt, Volts: 1, Limit: 1}}
		in := input{
			p: p,
			n: []ladder.Network{{ladder.Series(ladder.L(1e-3))}, {ladder.Series(ladder.C(8e-6))}},
			c: parts.Catalogue{
				{ID: "L", Kind: parts.AirCoil, Part: ladder.L(1e-3), Price: 1},
				{ID: "C", Kind: parts.FilmCapacitor, Part: ladder.C(8e-6), Price: 1},
			},
			count: 2,
		}
		if _, err := in.p.Shelf(in.n, in.c, in.count); err != nil {
			t.Fatal(err)
		}
		spoil(&in)
		if _, err := in.p.Shelf(in.n, in.c, in.count); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
}

// The early exit never drops what is within the bound, and always what is beyond.
func TestSquares(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for round := range 2000 {
		n := 3 + rnd.IntN(40)
		size := math.Pow(10, 1-6*rnd.Float64())
		level, power := make([]float64, n), make([]float64, n)
		m := &model{}
		for i := range n {
			m.x = append(m.x, 3*float64(i)/float64(n-1)-1.5)
			m.sxx += m.x[i] * m.x[i]
			level[i] = -60 + size*rnd.NormFloat64() + rnd.Float64()*m.x[i]
		}
		if round%2 == 0 {
			m.target = make([]float64, n)
			for i := range n {
				m.target[i] = rnd.NormFloat64()
			}
		}
		j := m.judge()
		order := scattered(n)
		for k, i := range order {
			power[k] = math.Pow(10, level[i]/10)
		}
		at := func(k int) float64 { return power[k] }
		ripple := m.straighten(slices.Clone(level)).ripple
		want := ripple * ripple * float64(n)
		if got := j.squares(at, math.Inf(1)); !(math.Abs(got-want) <= 1e-9*want+1e-20) {
			t.Fatalf("%d points, spread %g: %g, want %g", n, size, got, want)
		}
		if size < 1e-4 {
			continue // the bound is not finer than the rounding of levels
		}
		if got := j.squares(at, want*(1+1e-6)); math.IsInf(got, 1) {
			t.Fatalf("%d points, spread %g: dropped %g at a bound above it", n, size, want)
		}
		if got := j.squares(at, want*(1-1e-6)); !math.IsInf(got, 1) {
			t.Fatalf("%d points, spread %g: %g at a bound below it", n, size, got)
		}
	}
	m := &model{x: []float64{-1, 0, 1}, sxx: 2}
	for null := range 3 {
		got := m.judge().squares(func(k int) float64 {
			if k == null {
				return 0
			}
			return 1
		}, math.Inf(1))
		if !math.IsInf(got, 1) {
			t.Errorf("null at %d: %g", null, got)
		}
	}
}

func TestScattered(t *testing.T) {
	if got := scattered(8); !slices.Equal(got, []int{0, 4, 2, 6, 1, 5, 3, 7}) {
		t.Errorf("%v", got)
	}
}
