package crossover

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

const (
	corner = 2000.0 // Hz
	load   = 8.0    // Ω
	sound  = 344.0  // m/s
)

func TestSums(t *testing.T) {
	golden.Run(t, "testdata/sums.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "level of sum", "magnitude of sum", "level of power sum", "phase of low-pass over high-pass", "modulus of load":
			checkPair(t, r)
		case "angle of peak":
			checkAngle(t, r, 0)
		case "angle of null":
			checkAngle(t, r, math.Pi)
		case "level re axis of two low-frequency drivers around one":
			checkThree(t, r)
		case "level with path difference":
			checkOffset(t, r)
		default:
			r.Unknown(t)
		}
	})
}

func prototype(t *testing.T, r golden.Row) rational.Func {
	t.Helper()
	ok := must[rational.Func](t)
	order := func() int { return int(r.Num(t, "order", "1")) }
	switch family := r.Word(t, "family"); family {
	case "Butterworth":
		return ok(filter.Butterworth(order()))
	case "Linkwitz-Riley":
		return ok(filter.LinkwitzRiley(order()))
	case "Bessel":
		return ok(filter.Bessel(order(), filter.PhaseNorm))
	case "second order":
		return ok(filter.SecondOrder(r.Num(t, "q", "1")))
	default:
		t.Fatalf("no such family: %q", family)
	}
	panic("not reached")
}

// pair returns the two ways of a row and their networks, with the high-pass at
// hi and the low-pass at lo.
func pair(t *testing.T, r golden.Row, fc float64, lo, hi r3.Vec) ([]Way, []ladder.Network) {
	t.Helper()
	lp, hp := networks(t, prototype(t, r), units.Frequency(fc), load)
	var inverted bool
	switch polarity := r.Word(t, "polarity"); polarity {
	case "same":
	case "inverted":
		inverted = true
	default:
		t.Fatalf("no such polarity: %q", polarity)
	}
	return []Way{
		{Name: "low", Radiator: ideal{load, 1}, Position: lo},
		{Name: "high", Radiator: ideal{load, 1}, Position: hi, Inverted: inverted},
	}, []ladder.Network{lp, hp}
}

func checkPair(t *testing.T, r golden.Row) {
	ways, n := pair(t, r, corner, r3.Vec{}, r3.Vec{})
	f := must[*Field](t)(Sample(ways, []float64{corner * r.Num(t, "x", "1")}, sound, r3.Vec{Z: 1}))
	var res Result
	f.Evaluate(&res, n...)
	lp, hp := res.Transfer[0][0], res.Transfer[1][0]
	switch r.Calculation {
	case "level of sum":
		r.Check(t, decibels(cmplx.Abs(res.Sum[0][0])))
	case "magnitude of sum":
		r.Check(t, cmplx.Abs(res.Sum[0][0]))
	case "level of power sum":
		r.Check(t, decibels(math.Hypot(cmplx.Abs(lp), cmplx.Abs(hp))))
	case "phase of low-pass over high-pass":
		// Both ends of (−180°, 180°] are the same phase.
		want := r.Value.Float()
		r.Check(t, want+math.Remainder(cmplx.Phase(lp/hp)*180/math.Pi-want, 360))
	case "modulus of load":
		if ohm := r.Num(t, "load", "ohm"); ohm != load {
			t.Fatalf("load %g Ω", ohm)
		}
		r.Check(t, cmplx.Abs(res.Load[0]))
	}
}

// checkAngle puts the sources on a vertical line and turns the listener until the
// two waves differ by the wanted phase.
func checkAngle(t *testing.T, r golden.Row, phase float64) {
	spacing := r.Num(t, "spacing", "1") * sound / corner
	const far = 1e4 // the path difference is then d sin θ within 1e-11
	waves := func(lo, hi, angle float64) (sum, low, high complex128) {
		ways, n := pair(t, r, corner, r3.Vec{Y: lo}, r3.Vec{Y: hi})
		f := must[*Field](t)(Sample(ways, []float64{corner}, sound, r3.Vec{Y: far * math.Sin(angle), Z: far * math.Cos(angle)}))
		var res Result
		f.Evaluate(&res, n...)
		return res.Sum[0][0] * far, res.Transfer[0][0] * f.Pressure(0, 0)[0], res.Transfer[1][0] * f.Pressure(1, 0)[0]
	}
	// The one that lags goes up: there it is nearer, so that the peak is above.
	lo, hi := -spacing/2, spacing/2
	upper := func(low, high complex128) complex128 { return high / low }
	if _, low, high := waves(0, 0, 0); imag(high/low) > 0 {
		lo, hi = hi, lo
		upper = func(low, high complex128) complex128 { return low / high }
	}
	turn := cmplx.Rect(1, -phase)
	a, b := 0.0, math.Asin(min(1, 0.6*sound/corner/spacing))
	for range 60 {
		angle := (a + b) / 2
		_, low, high := waves(lo, hi, angle)
		if cmplx.Phase(upper(low, high)*turn) < 0 {
			a = angle
		} else {
			b = angle
		}
	}
	r.Check(t, b*180/math.Pi)

	sum, low, high := waves(lo, hi, b)
	want := cmplx.Abs(low) + cmplx.Abs(high)
	if phase != 0 {
		want = 0
	}
	// One source is nearer and louder by d sin θ/r.
	if got := cmplx.Abs(sum); !(math.Abs(got-want*far) <= 1e-5) {
		t.Errorf("magnitude of the sum there is %v, want %v", got, want*far)
	}
	if phase == 0 { // and a null at the mirror angle
		if sum, _, _ := waves(lo, hi, -b); !(cmplx.Abs(sum) <= 1e-5) {
			t.Errorf("at the mirror angle the sum is %v, want a null", sum)
		}
	}
}

func checkThree(t *testing.T, r golden.Row) {
	d := r.Num(t, "spacing", "1") * sound / corner
	lp, hp := networks(t, prototype(t, r), corner, load)
	const far = 4e6 // nearer, the outer drivers lag on the axis; farther, rounding of the phase counts
	at := func(degrees float64) r3.Vec {
		a := degrees * math.Pi / 180
		return r3.Vec{Y: far * math.Sin(a), Z: far * math.Cos(a)}
	}
	f := must[*Field](t)(Sample([]Way{
		{Name: "lower", Radiator: ideal{load, 0.5}, Position: r3.Vec{Y: -d}},
		{Name: "upper", Radiator: ideal{load, 0.5}, Position: r3.Vec{Y: d}},
		{Name: "middle", Radiator: ideal{load, 1}},
	}, []float64{corner}, sound, at(0), at(r.Num(t, "angle", "deg"))))
	var res Result
	f.Evaluate(&res, lp, lp, hp)
	got := decibels(cmplx.Abs(res.Sum[1][0] / res.Sum[0][0]))
	r.Check(t, got)
	// The same with both behind one network.
	f = must[*Field](t)(Sample([]Way{
		{Name: "low", Radiator: ideal{2 * load, 0.5}, Position: r3.Vec{Y: -d}, More: []Driver{{Radiator: ideal{2 * load, 0.5}, Position: r3.Vec{Y: d}}}},
		{Name: "middle", Radiator: ideal{load, 1}},
	}, []float64{corner}, sound, at(0), at(r.Num(t, "angle", "deg"))))
	f.Evaluate(&res, lp, hp)
	if both := decibels(cmplx.Abs(res.Sum[1][0] / res.Sum[0][0])); !(math.Abs(both-got) <= 1e-9) {
		t.Errorf("behind one network %g dB, behind two %g", both, got)
	}
}

func checkOffset(t *testing.T, r golden.Row) {
	fc, d := r.Num(t, "fc", "Hz"), r.Num(t, "offset", "mm")/1000
	ways, n := pair(t, r, fc, r3.Vec{Z: d}, r3.Vec{})
	// Both sources must be as loud: the sum of phasors knows no distance.
	point := r3.Vec{Z: 1}
	ways[0].Radiator = ideal{load, 1 - d}
	f := must[*Field](t)(Sample(ways, []float64{fc}, units.Velocity(r.Num(t, "c", "m/s")), point))
	var res Result
	f.Evaluate(&res, n...)
	r.Check(t, decibels(cmplx.Abs(res.Sum[0][0])))
}
