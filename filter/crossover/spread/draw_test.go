package spread

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func refused(t *testing.T, err error, want string) {
	t.Helper()
	var limit *units.RangeError
	if !errors.As(err, &limit) || !strings.Contains(err.Error(), want) {
		t.Errorf("want a range error with %q, got %v", want, err)
	}
}

// shifted moves impedance and pressure of a driver by one number: no real driver, but
// both hang together.
func shifted(z, p []complex128, hz []float64, rng *rand.Rand) {
	u := 2*rng.Float64() - 1
	for k, f := range hz {
		z[k] *= complex(1+0.1*u, 0.05*u*f/20000)
		p[k] *= cmplx.Rect(1-0.05*u, 0.1*u)
	}
}

// Every draw by the documented order of numbers, through other code: new networks,
// new ways, and the sum of the ways by Evaluate.
func TestDrawByHand(t *testing.T) {
	points := []r3.Vec{{Z: 2}, {X: 1, Z: 2}, {Y: 0.5, Z: 2}}
	weights := []float64{2, 1, 0.5}
	s := sixParts(t, 70, points...)
	s.Window, s.Point, s.Parts, s.Seed = weights, 1, Normal, 12345
	s.Inverted = true
	s.Drivers = []Driver{{Level: 1}, {Level: 0.5, Vary: shifted}}
	s.Target = make([]float64, 70)
	for k := range s.Target {
		s.Target[k] = -0.02 * float64(k)
	}
	d := must[*Draws](t)(s.Draw(40))
	for i, level := range d.Level {
		rng := rand.New(rand.NewPCG(12345, uint64(i)))
		gains := []float64{math.Pow(10, (2*rng.Float64()-1)/20), 0}
		gains[1] = math.Pow(10, 0.5*(2*rng.Float64()-1)/20)
		z, p := make([]complex128, 70), make([]complex128, 70)
		for k := range z {
			z[k], p[k] = 1, 1
		}
		shifted(z, p, s.Field.Hz, rng)
		networks := sixNetworks()
		for w := range networks {
			for a := range networks[w] {
				for k := range networks[w][a].Parts {
					part := &networks[w][a].Parts[k]
					part.Value *= 1 + float64(part.Tolerance)*Normal.Quantile(rng.Float64())
				}
			}
		}
		// A driver of the curves that were drawn.
		at := func(f float64) int { return slices.Index(s.Field.Hz, f) }
		varied := source{
			z: func(f float64) complex128 { return tweeter.z(f) * z[at(f)] },
			p: func(f float64) complex128 { return tweeter.p(f) * p[at(f)] * complex(gains[1], 0) },
		}
		louder := source{z: woofer.z, p: func(f float64) complex128 { return woofer.p(f) * complex(gains[0], 0) }}
		f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
			{Name: "woofer", Radiator: louder, Position: r3.Vec{Y: -0.14}},
			{Name: "tweeter", Radiator: varied}, // inverted twice
		}, s.Field.Hz, 344, points...))
		var r crossover.Result
		f.Evaluate(&r, networks...)
		power := make([]float64, 70)
		crossover.PowerAverage(power, r.Sum, weights)
		var axis, window []float64
		for k, f := range s.Field.Hz {
			want := 20 * math.Log10(cmplx.Abs(r.Sum[1][k]))
			if !(math.Abs(level[k]-want) <= 1e-11) {
				t.Fatalf("draw %d at %g Hz: %.14g dB, want %.14g", i, f, level[k], want)
			}
			if f >= 300 && f <= 15000 {
				axis = append(axis, want-s.Target[k])
				window = append(window, 10*math.Log10(power[k])-s.Target[k])
			}
		}
		middle := stat.Mean(axis, nil)
		want := Figures{Ripple: stat.PopStdDev(axis, nil), Window: stat.PopStdDev(window, nil), Largest: max(slices.Max(axis)-middle, middle-slices.Min(axis))}
		want.Flatness = math.Hypot(want.Ripple, want.Window) / math.Sqrt2
		_, want.Load = ladder.MinimumImpedance(f.Hz, r.Load)
		if diff := cmp.Diff(want, d.Figures[i], golden.Approx(1e-11, 0)); diff != "" {
			t.Errorf("draw %d (-want +got):\n%s", i, diff)
		}
	}
}

// The line that serves as target against a regression, and its limits.
func TestLine(t *testing.T) {
	s := one(t, grid(30, 200, 16000), nil)
	j := s.judge()
	for _, c := range []struct{ slope, want float64 }{{0.5, 0}, {0, 0}, {-0.3, -0.3}, {-1, -1}, {-2, -1}} {
		var level, rest []float64
		for k, hz := range s.Field.Hz {
			bump := math.Sin(float64(k))
			level = append(level, 7+c.slope*math.Log10(hz)+bump)
		}
		// The bumps have a slope of their own.
		_, slope := stat.LinearRegression(j.x, level, nil, false)
		slope = min(max(slope, -1), 0)
		for k, v := range level {
			rest = append(rest, v-slope*j.x[k])
		}
		rms, largest := j.deviation(level)
		middle := stat.Mean(rest, nil)
		if !(math.Abs(rms-stat.PopStdDev(rest, nil)) < 1e-12) || !(math.Abs(largest-max(slices.Max(rest)-middle, middle-slices.Min(rest))) < 1e-12) {
			t.Errorf("slope %g: RMS %g dB, largest %g dB", c.slope, rms, largest)
		}
		for k := range level {
			level[k] = 7 + c.want*j.x[k]
		}
		if rms, largest := j.deviation(level); !(rms < 1e-12) || !(largest < 1e-12) {
			t.Errorf("a straight line of %g dB per decade: RMS %g dB, largest %g", c.want, rms, largest)
		}
	}
}

// A target is kept to as it is: no line is fitted beside it.
func TestTargetKeepsItsSlope(t *testing.T) {
	s := one(t, grid(30, 200, 16000), nil)
	s.Target = make([]float64, 30)
	j := s.judge()
	level := make([]float64, 30)
	for k := range level {
		level[k] = -0.5 * j.x[k]
	}
	if rms, _ := j.deviation(level); !(math.Abs(rms-stat.PopStdDev(level, nil)) < 1e-12) || !(rms > 0.2) {
		t.Errorf("a fall of half a dB per decade from a flat target: RMS %g dB, want %g", rms, stat.PopStdDev(level, nil))
	}
}

// Of three ways it is the third that Inverted turns round.
func TestInvertedTurnsTheHighestWay(t *testing.T) {
	hz := grid(20, 200, 16000)
	level := func(inField, inverted bool) []float64 {
		f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
			{Name: "low", Radiator: woofer}, {Name: "middle", Radiator: ideal}, {Name: "high", Radiator: tweeter, Inverted: inField},
		}, hz, 344, r3.Vec{Z: 1}))
		return must[*Draws](t)(Speaker{Field: f, Inverted: inverted, Networks: make([]ladder.Network, 3)}.Draw(1)).Level[0]
	}
	if !slices.Equal(level(true, false), level(false, true)) || slices.Equal(level(true, false), level(true, true)) {
		t.Error("inverted in the field and by Inverted differ")
	}
}

// The design itself is what comes without tolerances.
func TestExactPartsMakeOneSpeaker(t *testing.T) {
	s := sixParts(t, 30)
	for _, n := range s.Networks {
		for _, tol := range tolerances(n) {
			*tol = 0
		}
	}
	d := must[*Draws](t)(s.Draw(5))
	for i := range d.Level {
		if !slices.Equal(d.Level[i], d.Nominal) {
			t.Errorf("draw %d differs from the design", i)
		}
	}
	for _, m := range d.Match() {
		if m != 0 {
			t.Errorf("a pair of equal speakers differs by %g dB", m)
		}
	}
	if causes := must[[]Cause](t)(s.Rank()); len(causes) != 0 {
		t.Errorf("causes %v", causes)
	}
	c := must[Corner](t)(s.Worst())
	if c.Tried != 1 || c.Figures != d.Figures[0] {
		t.Errorf("worst of %d corners has %+v, want %+v", c.Tried, c.Figures, d.Figures[0])
	}
}

// A draw is the same in any company.
func TestSameOnAnyNumberOfProcessors(t *testing.T) {
	s := sixParts(t, 60)
	s.Drivers = []Driver{{Level: 1, Vary: shifted}, {Level: 1}}
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	type answer struct {
		Draws  *Draws
		Bands  [][]float64
		Causes []Cause
		Corner Corner
	}
	var first answer
	for _, cores := range []int{1, 2, 8} {
		runtime.GOMAXPROCS(cores)
		var a answer
		a.Draws = must[*Draws](t)(s.Draw(333))
		a.Bands = must[[][]float64](t)(a.Draws.Bands(0.1, 0.9))
		a.Causes = must[[]Cause](t)(s.RankByDraws(20))
		a.Corner = must[Corner](t)(s.Worst())
		if cores == 1 {
			first = a
			continue
		}
		if diff := cmp.Diff(first, a, cmpopts.EquateEmpty(), cmp.AllowUnexported(Draws{})); diff != "" {
			t.Errorf("%d processors (-1 +%d):\n%s", cores, cores, diff)
		}
	}
	few := must[*Draws](t)(s.Draw(7))
	if !slices.Equal(few.Level[6], first.Draws.Level[6]) {
		t.Error("draw 6 depends on how many there are")
	}
	s.Seed++
	if other := must[*Draws](t)(s.Draw(1)); slices.Equal(other.Level[0], few.Level[0]) {
		t.Error("another seed gives the same draw")
	}
}

// The same drivers for two designs with as many ways.
func TestDriversComeFirst(t *testing.T) {
	a := sixParts(t, 40)
	a.Drivers = []Driver{{Level: 1, Vary: shifted}, {Level: 1}}
	for _, n := range a.Networks {
		for _, tol := range tolerances(n) {
			*tol = 0
		}
	}
	b := a
	b.Networks = []ladder.Network{a.Networks[0], append(slices.Clone(a.Networks[1]), ladder.Series(ladder.R(1e-12)))}
	da, db := must[*Draws](t)(a.Draw(10)), must[*Draws](t)(b.Draw(10))
	for i := range da.Level {
		for k, x := range da.Level[i] {
			if !(math.Abs(db.Level[i][k]-x) <= 1e-9) {
				t.Fatalf("draw %d: %g and %g dB", i, x, db.Level[i][k])
			}
		}
	}
}

func TestNothingAllocatedPerDraw(t *testing.T) {
	s := sixParts(t, 20)
	s.Drivers = []Driver{{Level: 1, Vary: shifted}, {Level: 1}}
	allocs := func(n int) float64 {
		return testing.AllocsPerRun(5, func() {
			if _, err := s.Draw(n); err != nil {
				t.Fatal(err)
			}
		})
	}
	// The scheduler may allocate now and then, too.
	if few, many := allocs(16), allocs(1600); math.Abs(many-few) > 8 {
		t.Errorf("%g allocations for 16 draws, %g for 1600", few, many)
	}
}

// A resistor in front of 8 Ω: the quantiles of the level have a closed form, and by
// the inequality of Dvoretzky, Kiefer and Wolfowitz the shares are off by more than
// 0.02 once in 2 exp(-2·10⁴·0.02²) = 7e-4 seeds.
func TestBandsOfADivider(t *testing.T) {
	const n, r, tol = 10000, 4.0, 0.2
	s := one(t, []float64{100, 300, 1000}, ladder.Network{ladder.Series(ladder.R(r).WithTolerance(tol))})
	for _, parts := range []Distribution{Uniform, Normal} {
		s.Parts = parts
		d := must[*Draws](t)(s.Draw(n))
		level := func(p float64) float64 { return 20 * math.Log10(8/(8+r*(1-tol*parts.Quantile(p)))) }
		shares := []float64{0.95, 0.05, 0.5, 0.5}
		bands := must[[][]float64](t)(d.Bands(shares...))
		for i, p := range shares {
			for k, got := range bands[i] {
				if !(level(p-0.02) <= got && got <= level(p+0.02)) {
					t.Errorf("distribution %g: share %g at %g Hz: %g dB, want from %g to %g", float64(parts), p, d.Hz[k], got, level(p-0.02), level(p+0.02))
				}
			}
		}
	}
}

// Bands against sorted columns, at odd shares.
func TestBandsBySorting(t *testing.T) {
	for _, n := range []int{1, 2, 10, 101} {
		d := must[*Draws](t)(sixParts(t, 19).Draw(n))
		d.Level[n/2][3] = math.Inf(-1)
		shares := []float64{1, 0.07, 0.1, 0, 0.999, 0.5}
		bands := must[[][]float64](t)(d.Bands(shares...))
		for k := range d.Hz {
			var column []float64
			for _, level := range d.Level {
				column = append(column, level[k])
			}
			slices.Sort(column)
			for i, p := range shares {
				want := column[slices.IndexFunc(column, func(x float64) bool {
					kept := 0
					for _, y := range column {
						if y <= x {
							kept++
						}
					}
					return float64(kept) >= p*float64(n)-1e-9
				})]
				if got := bands[i][k]; got != want {
					t.Errorf("%d draws, share %g at %g Hz: %g dB, want %g", n, p, d.Hz[k], got, want)
				}
			}
		}
	}
	d := must[*Draws](t)(sixParts(t, 19).Draw(3))
	_, err := d.Bands(0.5, 1.1)
	refused(t, err, "share of the draws 1.1")
	_, err = d.Bands(math.NaN())
	refused(t, err, "share of the draws NaN")
}

// Ranks against sorting, with equal values, outliers and infinite ones.
func TestPicker(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var p picker
	for range 500 {
		x := make([]float64, 1+rng.IntN(60))
		spread := math.Pow(10, float64(rng.IntN(20)))
		for i := range x {
			x[i] = float64(rng.IntN(1+rng.IntN(40))) + rng.NormFloat64()*float64(rng.IntN(2))
			if rng.IntN(30) == 0 {
				x[i] *= spread
			}
			if spread == 1 && rng.IntN(9) == 0 {
				x[i] = math.Inf(-1)
			}
		}
		sorted := slices.Sorted(slices.Values(x))
		ranks := []int{rng.IntN(len(x)), 0, len(x) - 1, rng.IntN(len(x))}
		got := make([]float64, len(ranks))
		p.values(got, x, ranks)
		for i, r := range ranks {
			if got[i] != sorted[r] {
				t.Fatalf("value %d of %v: %g", r, sorted, got[i])
			}
		}
	}
}

// Levels of ±1 dB alone: the difference of two has a triangular density to 2 dB, so
// its modulus a mean of 2/3 dB and a standard deviation of √2/3 dB.
func TestMatchOfLevels(t *testing.T) {
	s := one(t, []float64{100, 300, 1000}, ladder.Network{ladder.Series(ladder.R(1))})
	s.Drivers = []Driver{{Level: 1}}
	match := must[*Draws](t)(s.Draw(10001)).Match()
	if len(match) != 5000 {
		t.Fatalf("%d pairs", len(match))
	}
	mean, sd := stat.MeanStdDev(match, nil)
	if !(math.Abs(mean-2./3) < 4*math.Sqrt2/3/math.Sqrt(5000)) || !(math.Abs(sd/(math.Sqrt2/3)-1) < 4/math.Sqrt(2*5000)) {
		t.Errorf("mean %g dB, σ %g dB", mean, sd)
	}
}

func TestMatchByHand(t *testing.T) {
	d := must[*Draws](t)(sixParts(t, 50).Draw(6))
	for i, got := range d.Match() {
		var squares []float64
		for k, f := range d.Hz {
			if f >= 300 && f <= 15000 {
				squares = append(squares, math.Pow(d.Level[2*i][k]-d.Level[2*i+1][k], 2))
			}
		}
		if want := math.Sqrt(stat.Mean(squares, nil)); !(math.Abs(got-want) <= 1e-12) || !(want > 0.01) {
			t.Errorf("pair %d: %g dB, want %g", i, got, want)
		}
	}
}

func TestYield(t *testing.T) {
	d := must[*Draws](t)(sixParts(t, 50).Draw(400))
	var ripples, loads []float64
	for _, f := range d.Figures {
		ripples, loads = append(ripples, f.Ripple), append(loads, float64(f.Load))
	}
	slices.Sort(ripples)
	slices.Sort(loads)
	flatness := slices.Sorted(slices.Values(d.Flatness()))
	for _, c := range []struct {
		l    Limit
		kept int // -1: not known beforehand
	}{
		{Limit{Ripple: ripples[199]}, 200}, {Limit{Flatness: flatness[9]}, 10}, {Limit{Largest: 2}, -1}, {Limit{Load: units.Resistance(loads[397])}, 3},
		{Limit{Ripple: ripples[300], Largest: 3, Load: units.Resistance(loads[50])}, -1}, {Limit{Ripple: 1e-6}, 0}, {Limit{Ripple: 100}, 400},
	} {
		want := 0
		for _, f := range d.Figures {
			keeps := true
			if c.l.Ripple > 0 && f.Ripple > c.l.Ripple || c.l.Largest > 0 && f.Largest > c.l.Largest || c.l.Load > 0 && f.Load < c.l.Load || c.l.Flatness > 0 && f.Flatness > c.l.Flatness {
				keeps = false
			}
			if keeps {
				want++
			}
		}
		y := must[Yield](t)(d.Yield(c.l, 0.95))
		lo, hi, _ := ClopperPearson(want, 400, 0.95)
		if y != (Yield{want, 400, float64(want) / 400, lo, hi}) || c.kept >= 0 && y.Kept != c.kept {
			t.Errorf("%+v: %+v, want %d", c.l, y, want)
		}
	}
	nan := math.NaN()
	for want, l := range map[string]Limit{
		"limit: none": {}, "flatness in dB -1": {Flatness: -1}, "ripple in dB -1": {Ripple: -1}, "ripple in dB NaN": {Ripple: nan},
		"largest deviation in dB +Inf": {Largest: math.Inf(1)}, "load -1 Ω": {Load: -1},
	} {
		_, err := d.Yield(l, 0.95)
		refused(t, err, want)
	}
	_, err := d.Yield(Limit{Ripple: 1}, 1)
	refused(t, err, "confidence 1")
}

// A shunt that shorts the driver at one frequency of the grid: no level, no NaN.
func TestNulls(t *testing.T) {
	const hz = 1 / (2 * math.Pi) // ω = 1
	trap := ladder.Network{ladder.Series(ladder.R(4).WithTolerance(0.1)), ladder.Shunt(ladder.L(1), ladder.C(1))}
	s := one(t, []float64{0.1, hz, 1, 2}, trap)
	d := must[*Draws](t)(s.Draw(4))
	for i, f := range d.Figures {
		if !math.IsInf(d.Level[i][1], -1) || !math.IsInf(f.Ripple, 1) || !math.IsInf(f.Largest, 1) || !math.IsInf(f.Flatness, 1) || math.IsNaN(float64(f.Load)) {
			t.Errorf("draw %d: level %g dB, %+v", i, d.Level[i][1], f)
		}
	}
	for _, m := range d.Match() {
		if math.IsNaN(m) {
			t.Error("a match is NaN")
		}
	}
	_, err := s.Rank()
	refused(t, err, "Hz 0 Pa: must not be a null")
	_, err = s.RankByDraws(5)
	refused(t, err, "Hz 0 Pa: must not be a null")
	_, err = s.Worst()
	refused(t, err, "Hz 0 Pa: must not be a null")
}

// Inputs that are shorted or open, by the parallel impedance of the ways.
func TestLoadOfShortsAndOpens(t *testing.T) {
	hz := []float64{0.1, 1 / (2 * math.Pi), 1} // ω = 1 in the middle
	short := ladder.Network{ladder.Shunt(ladder.L(1), ladder.C(1))}
	open := ladder.Network{ladder.Series(ladder.L(1), ladder.C(1))}
	for _, c := range []struct {
		name string
		n    [2]ladder.Network
		want float64 // Ω, in the middle
	}{
		{"wires", [2]ladder.Network{}, 4},
		{"one open", [2]ladder.Network{open, nil}, 8},
		{"one shorted", [2]ladder.Network{nil, short}, 0},
		{"both shorted", [2]ladder.Network{short, short}, 0},
		{"both open", [2]ladder.Network{open, open}, math.Inf(1)},
	} {
		f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{{Radiator: ideal}, {Radiator: ideal}}, hz, 344, r3.Vec{Z: 1}))
		s := Speaker{Field: f, Networks: c.n[:], Lo: 0.1, Hi: 1}
		b := s.builder()
		b.solve(make([]float64, 3))
		b.zin[0], b.zin[1], b.sum = b.zin[0][1:2], b.zin[1][1:2], b.sum[:1]
		if got := float64(b.load()); got != c.want && !(math.Abs(got-c.want) < 1e-14) {
			t.Errorf("%s: %g Ω, want %g", c.name, got, c.want)
		}
	}
}

func TestSpeakerRefuses(t *testing.T) {
	nan := math.NaN()
	for want, spoil := range map[string]func(*Speaker){
		"1 networks":                   func(s *Speaker) { s.Networks = s.Networks[:1] },
		"way 2: ladder: arm 1":         func(s *Speaker) { s.Networks[1][0].Parts[0].Value = -1 },
		"cut off at -1 σ":              func(s *Speaker) { s.Parts = -1 },
		"cut off at NaN σ":             func(s *Speaker) { s.Parts = Distribution(nan) },
		"drivers: 1":                   func(s *Speaker) { s.Drivers = make([]Driver, 1) },
		"way 2: level in dB -1":        func(s *Speaker) { s.Drivers = []Driver{{}, {Level: -1}} },
		"way 1: level in dB NaN":       func(s *Speaker) { s.Drivers = []Driver{{Level: nan}, {}} },
		"point -1":                     func(s *Speaker) { s.Point = -1 },
		"point 1: must be from 0 to 0": func(s *Speaker) { s.Point = 1 },
		"window: 2 weights":            func(s *Speaker) { s.Window = []float64{1, 1} },
		"weight of point 0 -1":         func(s *Speaker) { s.Window = []float64{-1} },
		"sum of the weights 0":         func(s *Speaker) { s.Window = []float64{0} },
		"lower end of the band -1 Hz":  func(s *Speaker) { s.Lo = -1 },
		"upper end of the band NaN":    func(s *Speaker) { s.Hi = units.Frequency(nan) },
		"band from 300 Hz to 500 Hz:":  func(s *Speaker) { s.Hi = 500 },
		"band from 300 Hz to 200 Hz:":  func(s *Speaker) { s.Hi = 200 },
		"target: at 1 frequencies":     func(s *Speaker) { s.Target = []float64{0} },
		"target at 100 Hz NaN dB":      func(s *Speaker) { s.Target = make([]float64, 20); s.Target[0] = nan },
	} {
		s := sixParts(t, 20)
		spoil(&s)
		_, err := s.Draw(2)
		refused(t, err, want)
		_, err = s.Rank()
		refused(t, err, want)
		_, err = s.RankByDraws(2)
		refused(t, err, want)
		_, err = s.Worst()
		refused(t, err, want)
	}
	s := sixParts(t, 20)
	_, err := s.Draw(0)
	refused(t, err, "draws: 0")
	_, err = s.RankByDraws(1)
	refused(t, err, "draws: 1")
	if _, err := (Speaker{}).Draw(1); err == nil || !strings.Contains(err.Error(), "no field") {
		t.Errorf("no field: %v", err)
	}
	// The first draw that goes wrong is named, whoever makes it.
	s.Drivers = []Driver{{}, {Vary: func(z, p []complex128, _ []float64, rng *rand.Rand) {
		if rng.Float64() < 0.05 {
			p[3] = cmplx.NaN()
		}
	}}}
	first := 0
	for {
		rng := rand.New(rand.NewPCG(s.Seed, uint64(first)))
		rng.Float64()
		rng.Float64()
		if rng.Float64() < 0.05 {
			break
		}
		first++
	}
	if _, err := s.Draw(500); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("draw %d:", first)) {
		t.Errorf("want draw %d named, got %v", first, err)
	}
}
