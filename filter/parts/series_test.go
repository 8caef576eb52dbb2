package parts

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"example.com/halfspace/internal/golden"
)

var all = []Series{E3, E6, E12, E24, E48, E96, E192}

func TestSeriesGolden(t *testing.T) {
	count := map[Series]int{}
	golden.Run(t, "testdata/eseries.csv", func(t *testing.T, r golden.Row) {
		if r.Calculation != "value" {
			r.Unknown(t)
		}
		s := Series(r.Num(t, "series", "1"))
		got := s.Values()[int(r.Num(t, "i", "1"))]
		r.Check(t, got)
		if want := r.Value.Float(); got != want {
			t.Errorf("%v is not the number nearest to %s", got, r.Value)
		}
		count[s]++
	})
	for _, s := range all {
		if n := len(s.Values()); n != int(s) || count[s] != n {
			t.Errorf("%v: %d values, %d rows", s, n, count[s])
		}
	}
}

func TestNearestGolden(t *testing.T) {
	golden.Run(t, "testdata/nearest.csv", func(t *testing.T, r golden.Row) {
		s := Series(r.Num(t, "series", "1"))
		switch r.Calculation {
		case "nearest":
			r.Check(t, s.Nearest(r.Num(t, "v", "1")))
		case "boundary":
			r.Check(t, boundary(s, r.Num(t, "lower", "1"), r.Num(t, "upper", "1")))
		case "largest excess", "largest shortfall":
			var high, low float64
			v := append(s.Values(), 10)
			for i := range len(v) - 1 {
				b := boundary(s, v[i], v[i+1])
				high = max(high, 100*(b/v[i]-1))
				low = max(low, 100*(1-b/v[i+1]))
			}
			if r.Calculation == "largest excess" {
				r.Check(t, high)
			} else {
				r.Check(t, low)
			}
		default:
			r.Unknown(t)
		}
	})
}

// boundary finds by bisection where Nearest goes from one value to the next.
func boundary(s Series, lower, upper float64) float64 {
	a, b := lower, upper
	for range 60 {
		if m := (a + b) / 2; s.Nearest(m) == lower {
			a = m
		} else {
			b = m
		}
	}
	return b
}

// TestNearestIsNearest compares with a search over the texts of three decades, by
// the distance of the logarithms.
func TestNearestIsNearest(t *testing.T) {
	for _, s := range all {
		for _, v := range []float64{1e-12, 4.6e-6, 1.0487e-3, 0.99, 1, 1.0001, 9.97, 9.999999, 330, 3.95, 8.666, 5e7} {
			exp := int(math.Floor(math.Log10(v)))
			best := math.Inf(1)
			for e := exp - 1; e <= exp+1; e++ {
				for _, m := range s.Values() {
					c, err := strconv.ParseFloat(fmt.Sprintf("%.2fe%d", m, e), 64)
					if err != nil {
						t.Fatal(err)
					}
					if math.Abs(math.Log(v/c)) < math.Abs(math.Log(v/best)) {
						best = c
					}
				}
			}
			if got := s.Nearest(v); got != best {
				t.Errorf("%v: nearest to %v is %v, want %v", s, v, got, best)
			}
		}
	}
}

// TestNearestKeepsValues: every preferred value is nearest to itself, in the very
// bits of its decimal.
func TestNearestKeepsValues(t *testing.T) {
	for _, s := range all {
		for e := -12; e <= 6; e++ {
			for _, m := range s.Values() {
				v, err := strconv.ParseFloat(fmt.Sprintf("%.2fe%d", m, e), 64)
				if err != nil {
					t.Fatal(err)
				}
				for _, near := range []float64{v, math.Nextafter(v, 0), math.Nextafter(v, 1e9)} {
					if got := s.Nearest(near); got != v {
						t.Fatalf("%v: nearest to %v is %v, want %v", s, near, got, v)
					}
				}
			}
		}
	}
}

// TestValuesAreRoundedSteps: a decade in equal ratios, rounded to the digits of the
// series, but for the eight values of E24 that history keeps and 9.20 of E192.
func TestValuesAreRoundedSteps(t *testing.T) {
	kept := map[string]bool{"2.70": true, "3.00": true, "3.30": true, "3.60": true, "3.90": true, "4.30": true, "4.70": true, "8.20": true}
	for _, s := range all {
		places := 1
		if s > E24 {
			places = 2
		}
		scale := math.Pow10(places)
		for i, v := range s.Values() {
			exact := math.Pow(10, float64(i)/float64(s))
			step := math.Round(exact*scale) / scale
			text := fmt.Sprintf("%.2f", v)
			odd := s <= E24 && kept[text] || s == E192 && text == "9.20"
			if v == step == odd {
				t.Errorf("%v: value %d is %s, the step %.4f", s, i, text, exact)
			}
			if odd && !(math.Abs(v-exact) <= 1.6/scale) {
				t.Errorf("%v: value %d is %s, far from %.4f", s, i, text, exact)
			}
		}
	}
}

// TestSubsets: each series up to E24 holds the one before it, and so do the three
// finer ones among themselves; E24 is not in E96.
func TestSubsets(t *testing.T) {
	holds := func(big, small Series) bool {
		in := map[float64]bool{}
		for _, v := range big.Values() {
			in[v] = true
		}
		for _, v := range small.Values() {
			if !in[v] {
				return false
			}
		}
		return true
	}
	for _, p := range [][2]Series{{E6, E3}, {E12, E6}, {E24, E12}, {E96, E48}, {E192, E96}} {
		if !holds(p[0], p[1]) {
			t.Errorf("%v does not hold %v", p[0], p[1])
		}
	}
	if holds(E96, E24) {
		t.Error("E96 holds E24, but 2.7 is not in it")
	}
}

func TestSeriesPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"zero":      func() { E12.Nearest(0) },
		"negative":  func() { E12.Nearest(-1) },
		"NaN":       func() { E12.Nearest(math.NaN()) },
		"infinite":  func() { E12.Nearest(math.Inf(1)) },
		"no series": func() { Series(7).Nearest(1) },
		"values":    func() { Series(0).Values() },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

// FuzzNearest: what comes out is in the series, and no further from v than the
// widest gap allows, for every size of number.
func FuzzNearest(f *testing.F) {
	for _, v := range []float64{1, 4.6e-6, 9.99, 1e22, 1e23, 5e-324, math.MaxFloat64, 2.2e-308} {
		f.Add(v, uint8(2))
	}
	f.Fuzz(func(t *testing.T, v float64, which uint8) {
		if !(v > 0) || math.IsInf(v, 0) {
			return // a panic, held by the test above
		}
		s := all[int(which)%len(all)]
		got := s.Nearest(v)
		if !(got > 0) || math.IsInf(got, 0) {
			t.Fatalf("%v: nearest to %v is %v", s, v, got)
		}
		if v < 1e-300 || v > 1e300 {
			return // too few digits or no next value there
		}
		if again := s.Nearest(got); again != got {
			t.Fatalf("%v: nearest to %v is %v, and to that %v", s, v, got, again)
		}
		if r := max(got/v, v/got); !(r <= math.Sqrt(2.2)*(1+1e-12)) {
			t.Fatalf("%v: nearest to %v is %v", s, v, got)
		}
	})
}

func BenchmarkNearest(b *testing.B) {
	for b.Loop() {
		E192.Nearest(4.6e-6)
	}
}
