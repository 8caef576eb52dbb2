package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func disc(radius float64) units.Area { return units.Area(math.Pi * radius * radius) }

func TestGoldenNear(t *testing.T) {
	golden.Run(t, "testdata/near.csv", func(t *testing.T, r golden.Row) {
		piston := func() complex128 {
			// 10 cm in air of 340 m/s.
			h, err := NearPiston(disc(0.1), units.Frequency(r.Num(t, "ka", "1")*340/(2*math.Pi*0.1)), 340)
			if err != nil {
				t.Fatal(err)
			}
			return h
		}
		switch r.Calculation {
		case "limit of the near field":
			f, err := NearLimit(disc(r.Num(t, "diameter", "cm")/200), units.Velocity(r.Num(t, "speed", "m/s")))
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, f.In(units.Hertz))
		case "near to far":
			c := Curve{Hz: []float64{20, 200}, H: []complex128{1, 1}, Taken: Taken{Mounting: NearCone}}
			far, err := NearField(Source{c, disc(r.Num(t, "radius", "cm") / 100)})
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, DB(far.H[0]))
		case "error of the near field":
			r.Check(t, DB(piston()))
		case "phase of the near field":
			r.Check(t, Phase(piston()))
		default:
			r.Unknown(t)
		}
	})
}

// discPressure is Rayleigh's integral for a flush piston, per jωρu, at the distance r
// on its axis: 1/(2π) ∫ e^{−jkR}/R dS, by the midpoints of rings of equal width.
func discPressure(k, a, r float64) (sum complex128) {
	const rings = 20000
	for i := range rings {
		lo, hi := a*float64(i)/rings, a*float64(i+1)/rings
		s := (lo + hi) / 2
		R := math.Hypot(s, r)
		sum += complex(s*(hi-lo)/R, 0) * cmplx.Exp(complex(0, -k*R))
	}
	return sum
}

// A second road: Rayleigh's integral gives near and far pressure of moving discs; from
// the near ones alone the far sum comes out.
func TestNearFieldAgainstRayleigh(t *testing.T) {
	const c = 343.
	hz := LogGrid(20, 200, 10)
	a := []float64{0.08, 0.03}
	velocity := []func(f float64) complex128{
		func(f float64) complex128 { return complex(1, f/50) },
		func(f float64) complex128 { return -3 / complex(1, f/40) },
	}
	taken := Taken{Mounting: NearCone, Box: "20 L", Voltage: 2.83}
	sources := make([]Source, 2)
	want := make([]complex128, len(hz))
	for i := range sources {
		s := Source{Curve{Hz: hz, HasPhase: true, Taken: taken}, disc(a[i])}
		taken.Mounting = NearVent
		for j, f := range hz {
			k := 2 * math.Pi * f / c
			u := velocity[i](f) * complex(0, f)
			exact, err := NearPiston(disc(a[i]), units.Frequency(f), c)
			if err != nil {
				t.Fatal(err)
			}
			near := u * discPressure(k, a[i], 0)
			// The exact piston is taken out, so that what is left is the far field.
			s.Curve.H = append(s.Curve.H, near/exact)
			const r = 100.
			want[j] += u * discPressure(k, a[i], r) * r * cmplx.Exp(complex(0, k*r))
		}
		sources[i] = s
	}
	got, err := NearField(sources...)
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range got.H {
		if d := cmplx.Abs(v/want[i] - 1); !(d <= 1e-4) { // the far point is not at infinity, and (ka)²/8 of directivity at most
			t.Errorf("%.1f Hz: %v, Rayleigh %v, off by %.2g", hz[i], v, want[i], d)
		}
	}
	if d := cmp.Diff(Taken{Mounting: HalfSpace, Box: "20 L", Voltage: 2.83}, got.Taken); d != "" {
		t.Error(d)
	}
}

// The exact factor against the integral, beyond ka = 1 too.
func TestNearPistonAgainstRayleigh(t *testing.T) {
	const a, c = 0.1, 343.
	for _, ka := range []float64{0.01, 0.5, 1, 2, 3, 6} {
		got, err := NearPiston(disc(a), units.Frequency(ka*c/(2*math.Pi*a)), c)
		want := discPressure(ka/a, a, 0) / a
		if d := cmplx.Abs(got - want); err != nil || !(d <= 1e-8) {
			t.Errorf("ka = %v: %v, Rayleigh %v, %v", ka, got, want, err)
		}
	}
	for _, bad := range [][3]float64{{0, 100, 343}, {0.01, 0, 343}, {0.01, 100, math.NaN()}, {math.Inf(1), 100, 343}} {
		var e *units.RangeError
		if _, err := NearPiston(units.Area(bad[0]), units.Frequency(bad[1]), units.Velocity(bad[2])); !errors.As(err, &e) {
			t.Errorf("%v: error %v, want a *units.RangeError", bad, err)
		}
	}
}

// The limit is where ka is one, and 1.64 times as high where 1 dB is missing.
func TestNearLimit(t *testing.T) {
	for _, radius := range []float64{0.01, 0.08, 0.3} {
		limit, err := NearLimit(disc(radius), 343)
		if ka := 2 * math.Pi * float64(limit) / 343 * radius; err != nil || !(math.Abs(ka-1) <= 1e-14) {
			t.Errorf("ka = %v, %v", ka, err)
		}
		for times, want := range map[float64]float64{1: -0.365, 0.5: -0.09, 1.64: -1} {
			h, err := NearPiston(disc(radius), units.Frequency(times)*limit, 343)
			if err != nil || !(math.Abs(DB(h)-want) <= 0.005) {
				t.Errorf("%v dB at %v times the limit, want %v, %v", DB(h), times, want, err)
			}
		}
	}
	for _, bad := range [][2]float64{{0, 343}, {-1, 343}, {math.NaN(), 343}, {1, 0}, {1, math.Inf(1)}} {
		var e *units.RangeError
		if _, err := NearLimit(units.Area(bad[0]), units.Velocity(bad[1])); !errors.As(err, &e) {
			t.Errorf("%v: error %v, want a *units.RangeError", bad, err)
		}
	}
}

// What the doc says of mouths that are not round: the potential at the centre of a
// rectangle, by its integral in polar coordinates, against the disc of equal area.
func TestSlotReadsLess(t *testing.T) {
	for ratio, want := range map[float64]float64{1: -0.05, 4: -1.21, 8: -2.47} {
		const n = 100000
		sum := 0.
		for i := range n { // the distance to the edge, over all directions of a quadrant
			angle := (float64(i) + 0.5) / n * math.Pi / 2
			sum += min(ratio/2/math.Cos(angle), 0.5/math.Sin(angle)) * math.Pi / 2 / n * 4
		}
		got := 20 * math.Log10(sum/(2*math.Pi*math.Sqrt(ratio/math.Pi)))
		if !(math.Abs(got-want) <= 0.005) {
			t.Errorf("1 to %v: %.4f dB", ratio, got)
		}
	}
}

func nearby(hz []float64, law func(f float64) complex128) Curve {
	c := Curve{Hz: hz, HasPhase: true, Taken: Taken{Mounting: NearCone}}
	for _, f := range hz {
		c.H = append(c.H, law(f))
	}
	return c
}

// Readings scale, add and commute; two equal sources are twice one, and one of twice
// the area only its root.
func TestNearFieldIsLinear(t *testing.T) {
	hz := LogGrid(20, 500, 20)
	cone := Source{nearby(hz, func(f float64) complex128 { return complex(1, f/100) }), 0.02}
	vent := Source{nearby(hz, func(f float64) complex128 { return complex(-2, 30/f) }), 0.005}
	far := func(s ...Source) []complex128 {
		t.Helper()
		c, err := NearField(s...)
		if err != nil {
			t.Fatal(err)
		}
		return c.H
	}
	same := func(name string, got []complex128, want func(i int) complex128) {
		t.Helper()
		for i, v := range got {
			if d := cmplx.Abs(v/want(i) - 1); !(d <= 1e-11) {
				t.Errorf("%s: off by %.2g", name, d)
				return
			}
		}
	}
	one, two, sum := far(cone), far(vent), far(cone, vent)
	same("sum", sum, func(i int) complex128 { return one[i] + two[i] })
	same("exchanged", far(vent, cone), func(i int) complex128 { return sum[i] })
	same("twice", far(cone, cone), func(i int) complex128 { return 2 * one[i] })
	wide := cone
	wide.Area *= 2
	same("twice the area", far(wide), func(i int) complex128 { return math.Sqrt2 * one[i] })
	loud := cone
	loud.Curve.H = slices.Clone(cone.Curve.H)
	for i := range loud.Curve.H {
		loud.Curve.H[i] *= 2 - 1i
	}
	same("scaled", far(loud), func(i int) complex128 { return (2 - 1i) * one[i] })
}

// Other grids: the first's frequencies in the band common to all, from where all are
// valid.
func TestNearFieldGrids(t *testing.T) {
	law := func(f float64) complex128 { return cmplx.Rect(f, math.Log(f)) }
	a := Source{nearby(LogGrid(20, 500, 20), law), 0.01}
	b := Source{nearby(LogGrid(25, 300, 33), law), 0.01}
	b.Curve.From = 40
	got, err := NearField(a, b)
	if err != nil {
		t.Fatal(err)
	}
	if got.From != 40 || got.Hz[0] < 40 || got.Hz[0] > 45 || got.Hz[len(got.Hz)-1] > 300 || got.Hz[len(got.Hz)-1] < 260 {
		t.Errorf("from %v, %v Hz to %v Hz", got.From, got.Hz[0], got.Hz[len(got.Hz)-1])
	}
	for i, f := range got.Hz {
		if !slices.Contains(a.Curve.Hz, f) {
			t.Errorf("%v Hz is none of the first curve", f)
		}
		if want := complex(math.Sqrt(0.01/math.Pi), 0) * law(f); !(cmplx.Abs(got.H[i]/want-1) <= 1e-11) {
			t.Errorf("%v Hz: %v, want %v", f, got.H[i], want)
		}
	}
}

func TestNearFieldRefuses(t *testing.T) {
	hz := []float64{20, 50, 200}
	good := Source{nearby(hz, func(float64) complex128 { return 1 }), 0.02}
	with := func(change func(s *Source)) Source { s := good; change(&s); return s }
	loud := with(func(s *Source) { s.Area, s.Curve.H = 1000, []complex128{1e308, 1e308, 1e308} })
	for _, c := range []struct {
		want    string
		sources []Source
	}{
		{"response: near field: no source", nil},
		{"response: near field: source 1: area 0 cm²: must be positive and finite", []Source{with(func(s *Source) { s.Area = 0 })}},
		{"source 2: area NaN", []Source{good, with(func(s *Source) { s.Area = units.Area(math.NaN()) })}},
		{"source 2: taken half space: must be near the cone or near the vent", []Source{good, with(func(s *Source) { s.Curve.Taken.Mounting = HalfSpace })}},
		{"source 1: taken unsaid: must be", []Source{with(func(s *Source) { s.Curve.Taken.Mounting = Unsaid })}},
		{"source 2: has no phase: must have one", []Source{good, with(func(s *Source) { s.Curve.HasPhase = false })}},
		{"source 1: has no phase: must have one", []Source{with(func(s *Source) { s.Curve.HasPhase = false }), good}},
		{"source 2: voltage 2 V: must be that of source 1, 0 V", []Source{good, with(func(s *Source) { s.Curve.Taken.Voltage = 2 })}},
		{`source 2: box "x": must be that of source 1, ""`, []Source{good, with(func(s *Source) { s.Curve.Taken.Box = "x" })}},
		{"common band 2000 Hz to 200 Hz: must hold at least two frequencies", []Source{good, with(func(s *Source) { s.Curve.Hz = []float64{2000, 3000, 4000} })}},
		{"source 1: response: a curve of 0 points", []Source{{Curve{}, 1}}},
		{"near field, sum: response: point 1: value (+Inf", []Source{loud, loud}},
	} {
		if _, err := NearField(c.sources...); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v\n want %s", err, c.want)
		}
	}
	if _, err := NearField(with(func(s *Source) { s.Curve.HasPhase = false })); err != nil {
		t.Errorf("one source without phase: %v", err)
	}
}

// A product with a curve and then its inverse gives the first curve back.
func TestTimes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	c := Curve{Hz: LogGrid(20, 2000, 30), HasPhase: true, Taken: Taken{Mounting: HalfSpace}}
	d := Curve{Hz: LogGrid(10, 1000, 41), HasPhase: true, From: 30}
	inverse := d
	for range c.Hz {
		c.H = append(c.H, cmplx.Rect(0.1+rng.Float64(), rng.Float64()))
	}
	for range d.Hz {
		v := cmplx.Rect(0.1+rng.Float64(), rng.Float64())
		d.H, inverse.H = append(d.H, v), append(inverse.H, 1/v)
	}
	product, err := c.Times(d)
	if err != nil {
		t.Fatal(err)
	}
	back, err := product.Times(inverse)
	if err != nil {
		t.Fatal(err)
	}
	first := slices.IndexFunc(c.Hz, func(f float64) bool { return f >= 30 })
	want := Curve{Hz: c.Hz[first : first+len(back.Hz)], H: c.H[first : first+len(back.Hz)], HasPhase: true, Taken: c.Taken, From: 30}
	if diff := cmp.Diff(want, back, golden.Approx(1e-11, 1e-11)); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	if last := back.Hz[len(back.Hz)-1]; !(last <= 1000 && last > 900) {
		t.Errorf("ends at %v Hz", last)
	}
	level, err := c.Times(d.magnitude())
	if err != nil || level.HasPhase {
		t.Errorf("phase known: %v, %v", level.HasPhase, err)
	}
	for i, v := range level.H {
		if !(cmplx.Abs(v-complex(cmplx.Abs(product.H[i]), 0)) <= 1e-12) {
			t.Errorf("%v Hz: %v, want the magnitude of %v", level.Hz[i], v, product.H[i])
		}
	}
	huge := Curve{Hz: c.Hz, H: slices.Repeat([]complex128{1e200}, len(c.Hz)), HasPhase: true}
	for name, d := range map[string][2]Curve{"no band": {c, {Hz: []float64{1, 2}, H: []complex128{1, 1}}}, "empty": {c, {}}, "overflow": {huge, huge}} {
		if _, err := d[0].Times(d[1]); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
