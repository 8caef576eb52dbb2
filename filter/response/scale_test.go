package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// Shifts and delays add up and undo each other.
func TestShiftAndDelayAreGroups(t *testing.T) {
	c := anyCurve(rand.New(rand.NewPCG(17, 18)), 50)
	c.Taken, c.From = onTall, 30
	shifted := must[Curve](t)(must[Curve](t)(c.Shift(7.25)).Shift(-3))
	if d := cmp.Diff(must[Curve](t)(c.Shift(4.25)), shifted, golden.Approx(1e-13, 0)); d != "" {
		t.Errorf("shifts: (-want +got)\n%s", d)
	}
	delayed := must[Curve](t)(must[Curve](t)(c.Delay(1e-3)).Delay(0.25e-3))
	if d := cmp.Diff(must[Curve](t)(c.Delay(1.25e-3)), delayed, golden.Approx(1e-11, 1e-11)); d != "" {
		t.Errorf("delays: (-want +got)\n%s", d)
	}
	back := must[Curve](t)(must[Curve](t)(must[Curve](t)(c.Delay(3)).Shift(12)).Delay(-3))
	if d := cmp.Diff(c, must[Curve](t)(back.Shift(-12)), golden.Approx(1e-11, 1e-11)); d != "" {
		t.Errorf("back: (-want +got)\n%s", d)
	}
}

// 20 dB is ten times; a quarter of a period later is a quarter of a turn back, and any
// delay turns as the exponential does.
func TestShiftAndDelayByHand(t *testing.T) {
	c := Curve{Hz: []float64{250, 1000}, H: []complex128{1, 2i}, HasPhase: true}
	if d := cmp.Diff([]complex128{10, 20i}, must[Curve](t)(c.Shift(20)).H, golden.Approx(1e-14, 1e-14)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]complex128{-1i, 2i}, must[Curve](t)(c.Delay(1e-3)).H, golden.Approx(1e-14, 1e-14)); d != "" {
		t.Error(d)
	}
	rng := rand.New(rand.NewPCG(19, 20))
	r := anyCurve(rng, 100)
	delay := 0.01 * rng.NormFloat64()
	for i, h := range must[Curve](t)(r.Delay(units.Time(delay))).H {
		if want := r.H[i] * cmplx.Exp(complex(0, -2*math.Pi*r.Hz[i]*delay)); !(cmplx.Abs(h-want) <= 1e-11*cmplx.Abs(want)) {
			t.Errorf("%v Hz: %v, want %v", r.Hz[i], h, want)
		}
	}
	if got := must[Curve](t)(c.magnitude().Shift(-20)); got.HasPhase || !(cmplx.Abs(got.H[1]-0.2) <= 1e-15) {
		t.Errorf("without phase: %v", got)
	}
}

func TestPerVolt(t *testing.T) {
	c := sample(LogGrid(20, 20000, 5), 1)
	for _, k := range []struct {
		taken, want Taken
		gain        float64
	}{
		{Taken{Mounting: OnPanel, Panel: "tall", Box: "12 L", Distance: 2, Voltage: 4}, Taken{Mounting: OnPanel, Panel: "tall", Box: "12 L"}, 0.5},
		{Taken{Mounting: HalfSpace, Distance: 0.5}, Taken{Mounting: HalfSpace}, 0.5},
		{Taken{Mounting: OnFloor, Voltage: 2}, Taken{Mounting: OnFloor}, 0.5},
		{Taken{Mounting: NearCone, Voltage: 2, Distance: 0.01}, Taken{Mounting: NearCone, Distance: 0.01}, 0.5},
		{Taken{Mounting: NearVent}, Taken{Mounting: NearVent}, 1},
	} {
		in := c
		in.Taken = k.taken
		got := must[Curve](t)(in.PerVolt())
		want := c
		want.Taken, want.H = k.want, nil
		for _, h := range c.H {
			want.H = append(want.H, complex(k.gain, 0)*h)
		}
		if d := cmp.Diff(want, got, golden.Approx(1e-15, 0)); d != "" {
			t.Errorf("%v: (-want +got)\n%s", k.taken, d)
		}
		if d := cmp.Diff(got, must[Curve](t)(got.PerVolt())); d != "" {
			t.Errorf("%v: twice (-want +got)\n%s", k.taken, d)
		}
	}
}

func TestScaleRefuses(t *testing.T) {
	c := sample(LogGrid(20, 20000, 5), 1)
	nan, inf := math.NaN(), math.Inf(1)
	for name, op := range map[string]func() (Curve, error){
		"shift of NaN":        func() (Curve, error) { return c.Shift(nan) },
		"shift of Inf":        func() (Curve, error) { return c.Shift(inf) },
		"shift of -Inf":       func() (Curve, error) { return c.Shift(-inf) },
		"shift of 1e5 dB":     func() (Curve, error) { return c.Shift(1e5) },
		"delay of NaN":        func() (Curve, error) { return c.Delay(units.Time(nan)) },
		"delay of Inf":        func() (Curve, error) { return c.Delay(units.Time(inf)) },
		"delay without phase": func() (Curve, error) { return c.magnitude().Delay(1e-3) },
		"per volt, unsaid":    func() (Curve, error) { return c.PerVolt() },
		"per volt, panel":     func() (Curve, error) { d := c; d.Taken = Taken{Mounting: HalfSpace, Panel: "x"}; return d.PerVolt() },
		"per volt, NaN voltage": func() (Curve, error) {
			d := c
			d.Taken = Taken{Mounting: HalfSpace, Voltage: units.Voltage(nan)}
			return d.PerVolt()
		},
	} {
		got, err := op()
		var e *units.RangeError
		if !errors.As(err, &e) {
			t.Errorf("%s: error %v, want a *units.RangeError", name, err)
		}
		if got.Hz != nil || got.H != nil {
			t.Errorf("%s: values beside an error", name)
		}
	}
	if _, err := (Curve{}).Shift(1); err == nil {
		t.Error("an empty curve was shifted")
	}
}
