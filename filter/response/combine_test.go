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

var onTall = Taken{Mounting: OnPanel, Panel: "tall", Distance: 2, Voltage: 2.83}

// Equal curves have themselves as average; a power average has no phase.
func TestAverageOfEqual(t *testing.T) {
	c := sample(LogGrid(20, 20000, 20), 1)
	c.Taken, c.From = onTall, 50
	for n := 1; n <= 5; n++ {
		same := slices.Repeat([]Curve{c}, n)
		want := c
		first, _ := slices.BinarySearch(c.Hz, 50)
		want.Hz, want.H = c.Hz[first:], c.H[first:]
		if d := cmp.Diff(want, must[Curve](t)(AverageComplex(same...)), golden.Approx(1e-12, 1e-13)); d != "" {
			t.Errorf("%d curves, complex: (-want +got)\n%s", n, d)
		}
		if d := cmp.Diff(want.magnitude(), must[Curve](t)(Average(same...)), golden.Approx(1e-12, 0)); d != "" {
			t.Errorf("%d curves: (-want +got)\n%s", n, d)
		}
	}
}

// By hand, on a common grid; between points and in any order by what is known there.
func TestAverage(t *testing.T) {
	hz := []float64{100, 200, 400}
	a := Curve{Hz: hz, H: []complex128{3, 1i, -2}, HasPhase: true}
	b := Curve{Hz: hz, H: []complex128{4i, 1, -2}, HasPhase: true}
	got := must[Curve](t)(Average(a, b))
	want := Curve{Hz: hz, H: []complex128{complex(5/math.Sqrt2, 0), 1, 2}}
	if d := cmp.Diff(want, got, golden.Approx(1e-13, 0)); d != "" {
		t.Errorf("power: (-want +got)\n%s", d)
	}
	got = must[Curve](t)(AverageComplex(a, b))
	want = Curve{Hz: hz, H: []complex128{1.5 + 2i, 0.5 + 0.5i, -2}, HasPhase: true}
	if d := cmp.Diff(want, got, golden.Approx(1e-13, 1e-13)); d != "" {
		t.Errorf("complex: (-want +got)\n%s", d)
	}

	rng := rand.New(rand.NewPCG(13, 14))
	for range 10 {
		var curves []Curve
		gains := make([]complex128, 2+rng.IntN(4))
		power, sum := 0., 0i
		for i := range gains {
			gains[i] = cmplx.Rect(0.5+rng.Float64(), 2*rng.Float64())
			c := sample(LogGrid(30+40*rng.Float64(), 5000+9000*rng.Float64(), 60+rng.IntN(30)), 1)
			for j := range c.H {
				c.H[j] *= gains[i]
			}
			curves = append(curves, c)
			power += real(gains[i] * cmplx.Conj(gains[i]))
			sum += gains[i]
		}
		n := float64(len(gains))
		got, all := must[Curve](t)(Average(curves...)), must[Curve](t)(AverageComplex(curves...))
		lo, hi := 0., math.Inf(1)
		for _, c := range curves {
			lo, hi = max(lo, c.Hz[0]), min(hi, c.Hz[len(c.Hz)-1])
		}
		if got.Hz[0] < lo*(1-1e-9) || got.Hz[len(got.Hz)-1] > hi*(1+1e-9) {
			t.Errorf("average from %v to %v Hz, common band %v to %v", got.Hz[0], got.Hz[len(got.Hz)-1], lo, hi)
		}
		for i, f := range got.Hz {
			if want := math.Sqrt(power/n) * cmplx.Abs(lowPass(1, f)); !(math.Abs(real(got.H[i])/want-1) <= 1e-4) {
				t.Errorf("%v Hz: %v, want %v", f, got.H[i], want)
			}
			if want := sum / complex(n, 0) * lowPass(1, f); !(cmplx.Abs(all.H[i]/want-1) <= 3e-4) {
				t.Errorf("%v Hz: %v, want %v", f, all.H[i], want)
			}
		}
	}
}

// Gain in is gain out.
func TestCombineIsLinear(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	a, b := anyCurve(rng, 60), anyCurve(rng, 80)
	scaled := func(c Curve, g complex128) Curve {
		out := c
		out.H = slices.Clone(c.H)
		for i := range out.H {
			out.H[i] *= g
		}
		return out
	}
	g := cmplx.Rect(7.3, 1.1)
	ga, gb := scaled(a, g), scaled(b, g)
	for name, c := range map[string]struct{ want, got Curve }{
		"average":  {scaled(must[Curve](t)(Average(a, b)), 7.3), must[Curve](t)(Average(ga, gb))},
		"complex":  {scaled(must[Curve](t)(AverageComplex(a, b)), g), must[Curve](t)(AverageComplex(ga, gb))},
		"over":     {scaled(must[Curve](t)(a.Over(b)), g), must[Curve](t)(ga.Over(b))},
		"over by":  {scaled(must[Curve](t)(a.Over(b)), 1/g), must[Curve](t)(a.Over(gb))},
		"both":     {must[Curve](t)(a.Over(b)), must[Curve](t)(ga.Over(gb))},
		"shift":    {scaled(must[Curve](t)(a.Shift(3)), g), must[Curve](t)(ga.Shift(3))},
		"delay":    {scaled(must[Curve](t)(a.Delay(1e-3)), g), must[Curve](t)(ga.Delay(1e-3))},
		"smoothed": {scaled(must[Curve](t)(a.Smooth(3)), g), must[Curve](t)(ga.Smooth(3))},
	} {
		if d := cmp.Diff(c.want, c.got, golden.Approx(1e-9, 1e-9)); d != "" {
			t.Errorf("%s: (-want +got)\n%s", name, d)
		}
	}
}

// A ratio times its divisor is the dividend, a curve over itself is 1, and levels
// subtract.
func TestOver(t *testing.T) {
	a := sample(LogGrid(20, 20000, 40), 2)
	b := sample(LogGrid(30, 15000, 33), 0.7)
	a.Taken, b.Taken = onTall, Taken{Mounting: HalfSpace}
	ratio := must[Curve](t)(a.Over(b))
	if ratio.Taken != (Taken{}) || !ratio.HasPhase {
		t.Errorf("a ratio taken %v, phase %v", ratio.Taken, ratio.HasPhase)
	}
	back := must[Curve](t)(ratio.Times(b))
	want := Curve{HasPhase: true}
	for i, f := range a.Hz {
		if f >= 30 && f <= 15000 {
			want.Hz, want.H = append(want.Hz, f), append(want.H, a.H[i])
		}
	}
	if d := cmp.Diff(want, back, golden.Approx(1e-11, 1e-12)); d != "" {
		t.Errorf("back: (-want +got)\n%s", d)
	}
	for _, h := range must[Curve](t)(a.Over(a)).H {
		if !(cmplx.Abs(h-1) <= 1e-12) {
			t.Errorf("over itself %v", h)
		}
	}
	// Without one of the phases, levels only.
	for _, r := range []Curve{must[Curve](t)(a.Over(b.magnitude())), must[Curve](t)(a.magnitude().Over(b))} {
		if r.HasPhase {
			t.Error("phase from one curve")
		}
		if d := cmp.Diff(ratio.magnitude(), r, golden.Approx(1e-12, 0)); d != "" {
			t.Errorf("levels: (-want +got)\n%s", d)
		}
	}
	a.From, b.From = 100, 50
	if r := must[Curve](t)(a.Over(b)); r.From != 100 || r.Hz[0] < 100 {
		t.Errorf("valid from %v, first %v Hz", r.From, r.Hz[0])
	}
}

func TestCombineRefuses(t *testing.T) {
	c := sample(LogGrid(20, 20000, 10), 1)
	with := func(taken Taken) Curve { d := c; d.Taken = taken; return d }
	refused := func(err error, want ...string) {
		t.Helper()
		for _, w := range want {
			if err == nil || !strings.Contains(err.Error(), w) {
				t.Errorf("error %v, want one with %q", err, w)
			}
		}
	}
	_, err := Average()
	refused(err, "response: average: no curve")
	_, err = Average(c, with(onTall))
	refused(err, "response: average: curve 2 taken on a panel (tall), 2.83 V, 2 m: must be taken as curve 1 was, unsaid")
	_, err = AverageComplex(with(Taken{Mounting: HalfSpace}), with(Taken{Mounting: HalfSpace}), with(Taken{Mounting: OnPanel}))
	refused(err, "curve 3 taken on a panel: ", "curve 1 was, half space")
	for _, other := range []Taken{
		{Mounting: OnPanel, Panel: "wide", Distance: 2, Voltage: 2.83}, {Mounting: OnPanel, Panel: "tall", Distance: 1, Voltage: 2.83},
		{Mounting: OnPanel, Panel: "tall", Distance: 2, Voltage: 2}, {Mounting: OnPanel, Panel: "tall", Box: "12 L", Distance: 2, Voltage: 2.83},
		{Mounting: OnFloor, Panel: "tall", Distance: 2, Voltage: 2.83},
	} {
		var e *units.RangeError
		if _, err := Average(with(onTall), with(other)); !errors.As(err, &e) {
			t.Errorf("%v and %v: error %v", onTall, other, err)
		}
	}
	// What zeros stand for is the same.
	for _, pair := range [][2]Taken{
		{{Mounting: HalfSpace}, {Mounting: HalfSpace, Distance: 1, Voltage: 1}},
		{{Mounting: NearCone, Distance: 0.005}, {Mounting: NearCone, Distance: 0.003}},
	} {
		if _, err := Average(with(pair[0]), with(pair[1])); err != nil {
			t.Error(err)
		}
	}
	_, err = AverageComplex(c, c.magnitude())
	refused(err, "response: average: curve 2 has no phase")
	opposite := c
	opposite.H = slices.Clone(c.H)
	for i := range opposite.H {
		opposite.H[i] *= -1
	}
	if got, err := AverageComplex(c, opposite); err == nil {
		t.Errorf("curves that cancel gave %v", got.H)
	}
	far := sample(LogGrid(30000, 40000, 10), 1)
	_, err = Average(c, far)
	refused(err, "response: average: common band 30000 Hz to 20000 Hz: must hold")
	_, err = c.Over(far)
	refused(err, "response: ratio: common band 30000 Hz to 20000 Hz: must hold")
	_, err = c.Over(Curve{})
	refused(err, "response: ratio: ")
	_, err = Average(c, Curve{})
	refused(err, "response: average: ")
	huge, tiny := along(c.Hz, func(float64) complex128 { return 1e300 }), along(c.Hz, func(float64) complex128 { return 1e-300 })
	_, err = huge.Over(tiny)
	refused(err, "response: ratio: ", "must be finite")
	_, err = tiny.Over(huge)
	refused(err, "response: ratio: ", "not zero")
}
