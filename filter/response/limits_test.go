package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// By hand: a mask with a slope, a step and an open end, and a curve on a slope of its
// own whose points miss the corners.
func TestJudge(t *testing.T) {
	inf := math.Inf(1)
	l := Limits{
		Hz: []float64{100, 1000, 1000, 10000},
		Lo: []float64{-6, 0, -3, -inf},
		Hi: []float64{6, 6, 3, 3},
	}
	// 5 dB a decade through 0 dB at 1 kHz.
	c := slope([]float64{10, 300, 3000, 30000}, 0.25)
	worst, all, err := l.Judge(c)
	if err != nil {
		t.Fatal(err)
	}
	third := math.Log10(3)
	want := []Verdict{
		{100, -5, -6, 6},
		{300, 5 * (third - 1), -6 + 6*third, 6},
		{1000, 0, 0, 3}, // the tighter ones at the step
		{3000, 5 * third, -inf, 3},
		{10000, 5, -inf, 3},
	}
	if d := cmp.Diff(want, all, golden.Approx(1e-11, 1e-11)); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	if worst != all[4] || worst.Pass() || !(math.Abs(worst.Margin()+2) <= 1e-11) {
		t.Errorf("worst %+v, margin %v, pass %v", worst, worst.Margin(), worst.Pass())
	}
	for i, pass := range []bool{true, true, true, true, false} {
		if all[i].Pass() != pass {
			t.Errorf("at %v Hz pass is %v, margin %v", all[i].Hz, all[i].Pass(), all[i].Margin())
		}
	}
	if v := (Verdict{Lo: -inf, Hi: inf}); v.Margin() != inf || !v.Pass() {
		t.Errorf("without limits: margin %v", v.Margin())
	}
	for _, v := range []Verdict{{Level: math.NaN(), Hi: 1}, {Level: 1.1, Lo: -1, Hi: 1}, {Level: -1 - 1e-8, Lo: -1, Hi: 1}} {
		if v.Pass() {
			t.Errorf("%+v passes", v)
		}
	}

	// Where a limit is missing on one end of a line, and on both.
	gaps := Limits{Hz: []float64{100, 1000, 5000, 20000}, Lo: []float64{-inf, -1, -inf, -inf}, Hi: []float64{inf, 1, inf, inf}}
	if _, all, err = gaps.Judge(along([]float64{50, 300, 1000, 2000, 10000, 30000}, func(float64) complex128 { return 10 })); err != nil {
		t.Fatal(err)
	}
	for _, v := range all {
		if free := math.IsInf(v.Lo, -1) && math.IsInf(v.Hi, 1); free != (v.Hz != 1000) || v.Pass() != free {
			t.Errorf("at %v Hz limits %v and %v", v.Hz, v.Lo, v.Hi)
		}
	}

	// One side, one frequency, and levels of sound pressure.
	one := Limits{Hz: []float64{1000}, Hi: []float64{94}, Reference: 20e-6}
	worst, all, err = one.Judge(c)
	if err != nil || len(all) != 1 || !math.IsInf(worst.Lo, -1) || !(math.Abs(worst.Level-93.9794) <= 1e-4) || !worst.Pass() {
		t.Errorf("%v: %+v of %d", err, worst, len(all))
	}
	open := Limits{Hz: []float64{100, 1000}}
	if worst, _, err := open.Judge(c); err != nil || worst.Margin() != inf {
		t.Errorf("%v: %+v", err, worst)
	}
}

// A mask says the same with more points on its lines, and verdicts at more points of
// the curve do not better the margin.
func TestLimitsAgainstDenseMask(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	for range 50 {
		var l, dense Limits
		f := 40.
		for range 2 + rng.IntN(6) {
			lo := -10 * rng.Float64()
			l.Hz, l.Lo, l.Hi = append(l.Hz, f), append(l.Lo, lo), append(l.Hi, lo+8*rng.Float64())
			if rng.IntN(3) > 0 {
				f *= 1.5 + rng.Float64()
			}
			if n := len(l.Hz); n > 1 && l.Hz[n-2] == f {
				f *= 2
			}
		}
		for i := range l.Hz {
			if i > 0 && l.Hz[i] > l.Hz[i-1] {
				for _, s := range []float64{0.2, 0.5, 0.9} {
					dense.Hz = append(dense.Hz, l.Hz[i-1]*math.Pow(l.Hz[i]/l.Hz[i-1], s))
					dense.Lo = append(dense.Lo, l.Lo[i-1]+s*(l.Lo[i]-l.Lo[i-1]))
					dense.Hi = append(dense.Hi, l.Hi[i-1]+s*(l.Hi[i]-l.Hi[i-1]))
				}
			}
			dense.Hz, dense.Lo, dense.Hi = append(dense.Hz, l.Hz[i]), append(dense.Lo, l.Lo[i]), append(dense.Hi, l.Hi[i])
		}
		c := anyCurve(rng, 200)
		worst, all, err := l.Judge(c)
		if err != nil {
			t.Fatal(err)
		}
		worse, more, err := dense.Judge(c)
		if err != nil {
			t.Fatal(err)
		}
		if !(worse.Margin() <= worst.Margin()+1e-9) {
			t.Errorf("margin %v with more points, %v without", worse.Margin(), worst.Margin())
		}
		for _, v := range all {
			i := slices.IndexFunc(more, func(m Verdict) bool { return m.Hz == v.Hz })
			if d := cmp.Diff(v, more[i], golden.Approx(1e-9, 1e-9)); d != "" {
				t.Errorf("%v Hz: (-once +dense)\n%s", v.Hz, d)
			}
			if v.Margin() < worst.Margin() {
				t.Errorf("%+v is worse than the worst, %+v", v, worst)
			}
		}
		if !slices.IsSortedFunc(all, func(a, b Verdict) int { return int(math.Copysign(1, a.Hz-b.Hz)) }) {
			t.Error("not in order of frequency")
		}
	}
}

// Centred, a curve is as far from the limits above as below, whatever its height, and
// no other shift does better.
func TestCentre(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 24))
	l := Limits{Hz: []float64{50, 400, 400, 2000}, Lo: []float64{-12, -9, -6, -6}, Hi: []float64{9, 9, 6, 8}}
	for range 20 {
		c := anyCurve(rng, 150)
		shift := must[float64](t)(l.Centre(c))
		margin := func(db float64) float64 {
			worst, _, err := l.Judge(must[Curve](t)(c.Shift(db)))
			if err != nil {
				t.Fatal(err)
			}
			return worst.Margin()
		}
		best := margin(shift)
		for _, off := range []float64{-3, -0.1, 0.1, 3} {
			if got := margin(shift + off); !(math.Abs(got-(best-math.Abs(off))) <= 1e-9) {
				t.Errorf("off by %v dB: margin %v, centred %v", off, got, best)
			}
		}
		louder := must[float64](t)(l.Centre(must[Curve](t)(c.Shift(5))))
		if !(math.Abs(louder-(shift-5)) <= 1e-9) {
			t.Errorf("5 dB louder: shift %v after %v", louder, shift)
		}
	}
	var e *units.RangeError
	oneSided := Limits{Hz: l.Hz, Hi: l.Hi}
	if _, err := oneSided.Centre(anyCurve(rng, 150)); !errors.As(err, &e) {
		t.Errorf("one side: error %v", err)
	}
	if _, err := l.Centre(Curve{}); err == nil {
		t.Error("an empty curve was centred")
	}
}

func TestLimitsRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	hz := []float64{100, 1000}
	c := along(LogGrid(20, 20000, 10), func(float64) complex128 { return 1 })
	for want, l := range map[string]Limits{
		"response: limits without frequency: must have at least one":                                         {},
		"response: limits: 1 lower and 0 upper ones for 2 frequencies: must be as many, or none":             {Hz: hz, Lo: []float64{1}},
		"response: limits: 0 lower and 3 upper ones for 2 frequencies: must be as many, or none":             {Hz: hz, Hi: []float64{1, 2, 3}},
		"response: limits: point 1: frequency 0 Hz: must be positive and finite":                             {Hz: []float64{0, 1}},
		"response: limits: point 2: frequency NaN Hz: must be positive and finite":                           {Hz: []float64{1, nan}},
		"response: limits: point 2: frequency +Inf Hz: must be positive and finite":                          {Hz: []float64{1, inf}},
		"response: limits: point 2: frequency 1 Hz: must not be below the 2 Hz before it":                    {Hz: []float64{2, 1}},
		"response: limits: point 3: frequency 100 Hz: must not stand there three times":                      {Hz: []float64{100, 100, 100}},
		"response: limits: point 2: lower limit NaN dB: must be a number, or -Inf for none":                  {Hz: hz, Lo: []float64{0, nan}},
		"response: limits: point 1: lower limit +Inf dB: must be a number, or -Inf for none":                 {Hz: hz, Lo: []float64{inf, 0}},
		"response: limits: point 2: upper limit NaN dB: must be a number, or +Inf for none":                  {Hz: hz, Hi: []float64{0, nan}},
		"response: limits: point 1: upper limit -Inf dB: must be a number, or +Inf for none":                 {Hz: hz, Hi: []float64{-inf, 0}},
		"response: limits: point 2: lower limit 3 dB: must not be above the upper one, 2 dB":                 {Hz: hz, Lo: []float64{0, 3}, Hi: []float64{0, 2}},
		"response: limits: reference -1: must be positive and finite":                                        {Hz: hz, Reference: -1},
		"response: limits: reference NaN: must be positive and finite":                                       {Hz: hz, Reference: nan},
		"response: limits: response: band 10 Hz to 1000 Hz: must lie within the table's 20 Hz to 20000 Hz":   {Hz: []float64{10, 1000}},
		"response: limits: response: band 100 Hz to 30000 Hz: must lie within the table's 20 Hz to 20000 Hz": {Hz: []float64{100, 30000}},
	} {
		if _, all, err := l.Judge(c); err == nil || err.Error() != want || all != nil {
			t.Errorf("%+v:\n got %v\nwant %s", l, err, want)
		}
	}
	late := c
	late.From = 200
	if _, _, err := (Limits{Hz: hz}).Judge(late); err == nil {
		t.Error("what is not valid has passed")
	}
	bad := Curve{Hz: []float64{1, 2}, H: []complex128{1, cmplx.NaN()}, HasPhase: true}
	if _, _, err := (Limits{Hz: []float64{1}}).Judge(bad); err == nil {
		t.Error("NaN has passed")
	}
}
