package crossover

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// coil is a driver with a reactive load and a pressure that turns and grows.
type coil struct{ re, le float64 }

func (c coil) Impedance(z []complex128, hz []float64) {
	for i, f := range hz {
		z[i] = complex(c.re, 2*math.Pi*f*c.le)
	}
}

func (c coil) Pressure(p []complex128, hz []float64, toward r3.Vec) {
	for i, f := range hz {
		p[i] = complex(0.3+0.1*r3.Unit(toward).Z, f/5000)
	}
}

// speaker returns three ways apart in space, with networks.
func speaker(t testing.TB, hz []float64, points ...r3.Vec) (*Field, []ladder.Network) {
	t.Helper()
	f := must[*Field](t)(Sample([]Way{
		{Name: "woofer", Radiator: coil{5.6, 0.7e-3}},
		{Name: "midrange", Radiator: coil{5.9, 0.3e-3}, Position: r3.Vec{Y: 0.2}, Inverted: true},
		{Name: "tweeter", Radiator: coil{5.1, 0.05e-3}, Position: r3.Vec{X: 0.02, Y: 0.31, Z: 0.02}},
	}, hz, sound, points...))
	lr4 := must[rational.Func](t)(filter.LinkwitzRiley(4))
	low, midLow := networks(t, lr4, 400, 6)
	midHigh, high := networks(t, lr4, 3000, 6)
	pad := must[ladder.Network](t)(filter.Pad(3, 6))
	return f, []ladder.Network{low, append(midLow, midHigh...), append(high, pad...)}
}

// One driver on wires: pressure falls as 1/r and lags by kr, exactly.
func TestDistanceLaw(t *testing.T) {
	hz := grid(50, 20, 20000)
	var points []r3.Vec
	from := r3.Vec{X: 0.1, Y: -0.2, Z: 0.3}
	distances := []float64{0.25, 1, 2, 3.7}
	for _, r := range distances {
		points = append(points, r3.Add(from, r3.Scale(r/3, r3.Vec{X: 1, Y: 2, Z: 2})))
	}
	for _, inverted := range []bool{false, true} {
		f := must[*Field](t)(Sample([]Way{{Radiator: ideal{4, 0.7}, Position: from, Inverted: inverted}}, hz, sound, points...))
		var res Result
		f.Evaluate(&res, nil)
		for k, r := range distances {
			for i, f := range hz {
				a := -2 * math.Pi * f / sound * r
				want := complex(0.7/r*math.Cos(a), 0.7/r*math.Sin(a))
				if inverted {
					want = -want
				}
				if got := res.Sum[k][i]; !(cmplx.Abs(got-want) <= 1e-12) {
					t.Fatalf("inverted %v, %g m, %g Hz: %v, want %v", inverted, r, f, got, want)
				}
			}
		}
	}
}

// The sum of the pressures from the bare networks, by the definition.
func TestEvaluate(t *testing.T) {
	hz := grid(77, 20, 20000) // more than one block of the solver
	points := []r3.Vec{{Z: 2}, {X: 0.5, Y: 0.1, Z: 1}}
	f, n := speaker(t, hz, points...)
	var res Result
	f.Evaluate(&res, n...)
	for i, f := range hz {
		var y complex128
		power := 0.0
		sum := make([]complex128, len(points))
		for w, d := range []struct {
			at   r3.Vec
			sign complex128
			coil
		}{
			{r3.Vec{}, 1, coil{5.6, 0.7e-3}},
			{r3.Vec{Y: 0.2}, -1, coil{5.9, 0.3e-3}},
			{r3.Vec{X: 0.02, Y: 0.31, Z: 0.02}, 1, coil{5.1, 0.05e-3}},
		} {
			z := complex(d.re, 2*math.Pi*f*d.le)
			s := must[ladder.State](t)(n[w].State(f, z))
			y += s.Current
			power += s.Load.Power
			for _, part := range s.Parts {
				power += part.Power
			}
			for k, point := range points {
				path := r3.Sub(point, d.at)
				r := math.Sqrt(path.X*path.X + path.Y*path.Y + path.Z*path.Z)
				p := d.sign * complex(0.3+0.1*path.Z/r, f/5000) * cmplx.Exp(complex(0, -2*math.Pi*f*r/sound)) / complex(r, 0)
				sum[k] += s.Load.Voltage * p
			}
		}
		for k := range points {
			if got := res.Sum[k][i]; !(cmplx.Abs(got-sum[k]) <= 1e-12*(1+cmplx.Abs(sum[k]))) {
				t.Errorf("point %d, %g Hz: %v, want %v", k, f, got, sum[k])
			}
		}
		if got := res.Load[i]; !(cmplx.Abs(got*y-1) <= 1e-12) {
			t.Errorf("load at %g Hz: %v, want %v", f, got, 1/y)
		}
		// What the source gives at 1 V is what parts and drivers take.
		if got := real(1 / res.Load[i]); !(math.Abs(got-power) <= 1e-12) || !(real(res.Load[i]) > 0) {
			t.Errorf("power at %g Hz: %g, want %g", f, got, power)
		}
	}
}

// With each way alone and all together, in either polarity.
func TestPolarityIsLinear(t *testing.T) {
	hz := grid(40, 20, 20000)
	lr4 := must[rational.Func](t)(filter.LinkwitzRiley(4))
	lp, hp := networks(t, lr4, 2000, load)
	sum := func(low, high bool) []complex128 {
		f := must[*Field](t)(Sample([]Way{
			{Name: "low", Radiator: coil{6, 1e-3}, Inverted: low},
			{Name: "high", Radiator: coil{5, 1e-4}, Position: r3.Vec{Y: 0.15}, Inverted: high},
		}, hz, sound, r3.Vec{Y: 0.1, Z: 2}))
		var res Result
		f.Evaluate(&res, lp, hp)
		return res.Sum[0]
	}
	same, opposite, both := sum(false, false), sum(false, true), sum(true, true)
	f := must[*Field](t)(Sample([]Way{{Name: "low", Radiator: coil{6, 1e-3}}}, hz, sound, r3.Vec{Y: 0.1, Z: 2}))
	var alone Result
	f.Evaluate(&alone, lp)
	for i := range hz {
		if both[i] != -same[i] {
			t.Errorf("%g Hz: both inverted %v, neither %v", hz[i], both[i], same[i])
		}
		if got := (same[i] + opposite[i]) / 2; !(cmplx.Abs(got-alone.Sum[0][i]) <= 1e-15) {
			t.Errorf("%g Hz: half of the sums %v, the way alone %v", hz[i], got, alone.Sum[0][i])
		}
	}
}

func TestShortedAndOpenInputs(t *testing.T) {
	const hz = 1 / (2 * math.Pi)
	short := ladder.Network{ladder.Shunt(ladder.L(1), ladder.C(1))} // at ω = 1
	open := ladder.Network{ladder.Series(ladder.L(1), ladder.C(1))}
	f := must[*Field](t)(Sample([]Way{{Radiator: ideal{8, 1}}, {Radiator: ideal{8, 1}}}, []float64{hz}, sound, r3.Vec{Z: 1}))
	var res Result
	for _, c := range []struct {
		name string
		n    [2]ladder.Network
		want complex128
	}{
		{"wires", [2]ladder.Network{}, 4},
		{"one open", [2]ladder.Network{open, nil}, 8},
		{"one shorted", [2]ladder.Network{nil, short}, 0},
		{"both shorted", [2]ladder.Network{short, short}, 0},
	} {
		if f.Evaluate(&res, c.n[:]...); !(cmplx.Abs(res.Load[0]-c.want) <= 1e-14) {
			t.Errorf("%s: load %v, want %v", c.name, res.Load[0], c.want)
		}
	}
	if f.Evaluate(&res, open, open); !cmplx.IsInf(res.Load[0]) || cmplx.IsNaN(res.Load[0]) {
		t.Errorf("both open: load %v, want infinite", res.Load[0])
	}
}

func TestReuseAllocatesNothing(t *testing.T) {
	f, n := speaker(t, grid(200, 20, 20000), r3.Vec{Z: 1}, r3.Vec{X: 1, Z: 1})
	var res Result
	f.Evaluate(&res, n...)
	if allocs := testing.AllocsPerRun(10, func() { f.Evaluate(&res, n...) }); allocs != 0 {
		t.Errorf("%g allocations", allocs)
	}
	// And the same result serves another field.
	other, n := speaker(t, grid(30, 100, 1000), r3.Vec{Z: 1})
	other.Evaluate(&res, n...)
	var fresh Result
	other.Evaluate(&fresh, n...)
	if len(res.Sum) != 1 || len(res.Load) != 30 || res.Sum[0][29] != fresh.Sum[0][29] || res.Load[29] != fresh.Load[29] {
		t.Error("a result used before differs from a fresh one")
	}
}

// A field keeps its own grid.
func TestSampleCopiesTheGrid(t *testing.T) {
	hz := []float64{100, 200}
	f := must[*Field](t)(Sample([]Way{{Radiator: ideal{8, 1}}}, hz, sound, r3.Vec{Z: 1}))
	hz[0] = 300
	if f.Hz[0] != 100 {
		t.Errorf("the field's grid begins with %g Hz", f.Hz[0])
	}
	if f.Ways() != 1 || f.Points() != 1 || f.Load(0)[1] != 8 || cmplx.Abs(f.Pressure(0, 0)[1]) != 1 {
		t.Errorf("field of %d ways and %d points, load %v, pressure %v", f.Ways(), f.Points(), f.Load(0), f.Pressure(0, 0))
	}
}

func TestSampleRefuses(t *testing.T) {
	nan := math.NaN()
	type input struct {
		ways   []Way
		hz     []float64
		c      units.Velocity
		points []r3.Vec
	}
	for want, spoil := range map[string]func(*input){
		"speed of sound 0 m/s":                     func(in *input) { in.c = 0 },
		"speed of sound NaN":                       func(in *input) { in.c = units.Velocity(nan) },
		"0 ways, 1 points":                         func(in *input) { in.ways = nil },
		"2 ways, 0 points":                         func(in *input) { in.points = nil },
		"no frequencies":                           func(in *input) { in.hz = nil },
		"frequency 2 -1 Hz":                        func(in *input) { in.hz[1] = -1 },
		"frequency 2 1 kHz: must be above 2 kHz":   func(in *input) { in.hz = []float64{2000, 1000} },
		"way 2, tweeter: distance to point 1 0 m":  func(in *input) { in.points[0] = r3.Vec{Y: 1} },
		"way 1, woofer: distance to point 1 +Inf":  func(in *input) { in.points[0].X = math.Inf(1) },
		"way 2, tweeter: distance to point 1 NaN":  func(in *input) { in.ways[1].Position.X = nan },
		"way 1, woofer: impedance at 100 Hz":       func(in *input) { in.ways[0].Radiator = ideal{math.Inf(1), 1} },
		"way 1, woofer: pressure at point 1 at 10": func(in *input) { in.ways[0].Radiator = ideal{8, nan} },
	} {
		in := input{
			ways: []Way{{Name: "woofer", Radiator: ideal{8, 1}}, {Name: "tweeter", Radiator: ideal{8, 1}, Position: r3.Vec{Y: 1}}},
			hz:   []float64{100, 1000}, c: sound, points: []r3.Vec{{Z: 1}},
		}
		spoil(&in)
		f, err := Sample(in.ways, in.hz, in.c, in.points...)
		var limit *units.RangeError
		if f != nil || !errors.As(err, &limit) || !strings.Contains(err.Error(), want) {
			t.Errorf("want a range error with %q, got %v", want, err)
		}
	}
}

func TestEvaluatePanics(t *testing.T) {
	f, n := speaker(t, []float64{100, 1000}, r3.Vec{Z: 1})
	panics(t, "two networks for three ways", func() { f.Evaluate(new(Result), n[:2]...) })
	v := []complex128{1, 1}
	panics(t, "voltages of one way", func() { f.Add(make([]complex128, 2), 0, [][]complex128{v}) })
	panics(t, "one voltage for two frequencies", func() { f.Add(make([]complex128, 2), 0, [][]complex128{v, v[:1], v}) })
	panics(t, "room for one sum", func() { f.Add(make([]complex128, 1), 0, [][]complex128{v, v, v}) })
}

func BenchmarkEvaluate(b *testing.B) {
	hz := grid(240, 20, 20000)
	f, n := speaker(b, hz, r3.Vec{Z: 1})
	var res Result
	b.ReportAllocs()
	for b.Loop() {
		f.Evaluate(&res, n...)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(hz)), "ns/point")
}
