package filter

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

func TestThreeWayRows(t *testing.T) {
	golden.Run(t, "testdata/threeway.csv", func(t *testing.T, r golden.Row) {
		ratio := r.Num(t, "ratio", "1")
		set, err := AllPassThreeWay(int(r.Num(t, "order", "1")), 1, units.Frequency(ratio), r.Word(t, "mid") == "inverted")
		if err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "three-way constant":
			low, mid, high, err := set.Networks(1, 1, 1)
			if err != nil {
				t.Fatal(err)
			}
			i := int(r.Num(t, "element", "1")) - 1
			switch r.Word(t, "way") {
			case "low":
				r.Check(t, part(t, i)(low, nil))
			case "mid":
				r.Check(t, part(t, i)(mid, nil)*math.Sqrt(ratio))
			case "high":
				r.Check(t, part(t, i)(high, nil)*ratio)
			}
		case "three-way level of the middle":
			r.Check(t, set.MidLevel)
		default:
			r.Unknown(t)
		}
	})
}

// threeWays are all sets of some frequencies.
func threeWays(t *testing.T, check func(name string, set ThreeWay, order int, low, high float64)) {
	t.Helper()
	for order := 1; order <= 4; order++ {
		for _, inverted := range []bool{false, true} {
			if order%2 == 0 && inverted != (order == 2) {
				continue
			}
			for _, ratio := range []float64{3, 4.5, 8, 10, 30, 1000} {
				low := 350.0
				set, err := AllPassThreeWay(order, units.Frequency(low), units.Frequency(low*ratio), inverted)
				if err != nil {
					t.Errorf("order %d, %v, inverted %v: %v", order, ratio, inverted, err)
					continue
				}
				check(fmt.Sprintf("order %d, %v:1, inverted %v", order, ratio, inverted), set, order, low, low*ratio)
			}
		}
	}
}

// The three functions add up to an all-pass, and so do the three ladders, solved into
// their loads, with the middle one as loud as MidLevel says.
func TestThreeWayIsFlat(t *testing.T) {
	threeWays(t, func(name string, set ThreeWay, _ int, _, high float64) {
		low, mid, top, err := set.Networks(6, 7, 4)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		k := complex(math.Pow(10, set.MidLevel/20), 0)
		if set.MidInverted {
			k = -k
		}
		for hz := 5.0; hz < 10*high; hz *= 1.3 {
			if got := cmplx.Abs(set.At(complex(0, 2*math.Pi*hz))); !(math.Abs(got-1) <= 1e-12) {
				t.Errorf("%s at %v Hz: |sum| = %v", name, hz, got)
			}
			l, _ := solve(low, hz, 6)
			m, _ := solve(mid, hz, 7)
			h, _ := solve(top, hz, 4)
			if got := cmplx.Abs(l + k*m + h); !(math.Abs(got-1) <= 1e-10) {
				t.Errorf("%s at %v Hz: |sum of ladders| = %v", name, hz, got)
			}
			if want := set.Mid.AtHz(hz); !(cmplx.Abs(m-want) <= 1e-9*cmplx.Abs(want)) {
				t.Errorf("%s at %v Hz: middle ladder %v, function %v", name, hz, m, want)
			}
		}
	})
}

// The closed form of order 2.
func TestThreeWayClosedForm(t *testing.T) {
	for _, r := range []float64{3, 8, 10, 47} {
		a2 := (r + 1/r - 2) / (r/4 - 0.5)
		b := r + 1/r + a2
		d := math.Sqrt(a2) * (math.Sqrt(r) + 1/math.Sqrt(r))
		l3, c3 := d/(b-1), 1/d
		l2 := d - l3
		c2 := (b - 1) / l2
		set := must(AllPassThreeWay(2, 1, units.Frequency(r), true))
		if want := decibel((2/r - 4 + b) / (b - 1)); !(math.Abs(set.MidLevel-want) <= 1e-11) {
			t.Errorf("%v: middle %v dB, want %v dB", r, set.MidLevel, want)
		}
		_, mid, _, err := set.Networks(1, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []float64{c2, l2, l3, c3} {
			want /= 2 * math.Pi * math.Sqrt(r)
			if got := part(t, i)(mid, nil); !(math.Abs(got-want) <= 1e-12*want) {
				t.Errorf("%v: element %d is %v, want %v", r, i+1, got, want)
			}
		}
		q := 1 / math.Sqrt(a2)
		if got := set.Low.AtHz(1); !(math.Abs(cmplx.Abs(got)-q) <= 1e-12) {
			t.Errorf("%v: low-pass at its corner %v, want %v", r, cmplx.Abs(got), q)
		}
	}
}

// A set mirrors about the geometric mean, each kind of part becoming the other, and
// tends to the classical family as the frequencies part.
func TestThreeWayMirrorsAndTends(t *testing.T) {
	threeWays(t, func(name string, set ThreeWay, order int, low, high float64) {
		mean := math.Sqrt(low * high)
		for _, x := range []float64{0.2, 0.9, 3} {
			if l, h := set.Low.AtHz(mean*x), set.High.AtHz(mean/x); !(cmplx.Abs(l-cmplx.Conj(h)) <= 1e-12*cmplx.Abs(l)) {
				t.Errorf("%s: low at %v is %v, high at 1/%v is %v", name, x, l, x, h)
			}
			if a, b := set.Mid.AtHz(mean*x), set.Mid.AtHz(mean/x); !(cmplx.Abs(a-cmplx.Conj(b)) <= 1e-12*cmplx.Abs(a)) {
				t.Errorf("%s: middle at %v is %v, at 1/%v %v", name, x, a, x, b)
			}
		}
		if high < 500*low {
			return
		}
		limit := must(Butterworth(order))
		if order%2 == 0 {
			limit = must(LinkwitzRiley(order))
		}
		for _, x := range []float64{0.5, 1, 2} {
			want := limit.At(complex(0, x))
			if got := set.Low.AtHz(low * x); !(cmplx.Abs(got-want) <= 2e-3) {
				t.Errorf("%s: low-pass at %v: %v, limit %v", name, x, got, want)
			}
		}
		if !(math.Abs(set.MidLevel) <= 0.03) {
			t.Errorf("%s: middle %v dB", name, set.MidLevel)
		}
	})
}

// Closer together than is allowed, the middle way would have to change its polarity,
// which is not what was asked for; at a ratio of 2 there is no set at all.
func TestThreeWayTooClose(t *testing.T) {
	for _, r := range []float64{2, 2.5} {
		if p, k, err := allPassDenominator(2, r, true); err == nil {
			t.Errorf("%v apart: %v, %v", r, p, k)
		}
	}
}

// Loads only scale: coils with them, capacitors against.
func TestThreeWayLoads(t *testing.T) {
	set := must(AllPassThreeWay(3, 400, 3000, false))
	a, b, c, err := set.Networks(1, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	d, e, f, err := set.Networks(8, 6, 4)
	if err != nil {
		t.Fatal(err)
	}
	for i, pair := range [][2]ladder.Network{{a, d}, {b, e}, {c, f}} {
		r := []float64{8, 6, 4}[i]
		for _, x := range slices.Collect(func(yield func([2]ladder.Part) bool) {
			for k := range pair[0] {
				yield([2]ladder.Part{pair[0][k].Parts[0], pair[1][k].Parts[0]})
			}
		}) {
			want := x[0].Value * r
			if x[0].Kind == ladder.Capacitor {
				want = x[0].Value / r
			}
			if !(math.Abs(x[1].Value-want) <= 1e-12*want) || x[0].Kind != x[1].Kind {
				t.Errorf("way %d: %v, want %v", i+1, x[1], want)
			}
		}
	}
}

func BenchmarkAllPassThreeWay4(b *testing.B) {
	for b.Loop() {
		if _, err := AllPassThreeWay(4, 350, 3500, false); err != nil {
			b.Fatal(err)
		}
	}
}
