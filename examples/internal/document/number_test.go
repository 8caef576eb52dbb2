package document

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0, 0, "0"}, {0, 3, "0.000"}, {math.Copysign(0, -1), 2, "0.00"}, {-0.0004, 3, "0.000"}, {-0.0006, 3, "-0.001"},
		{1.25, 1, "1.2"}, {20, 6, "20.000000"}, {20000, 6, "20000.0000"}, {123456.7890123, 6, "123456.789"},
		{99999.99999, 6, "100000.000"}, // rounding up gives one digit more
		{999999999.4, 2, "999999999"}, {999999999.6, 2, "1e+09"}, {-123456789012, 3, "-1.23456789e+11"},
		{1e-12, 4, "0.0000"}, {0.000123456789012, 20, "0.000123456789"},
		{math.NaN(), 2, ""}, {math.Inf(1), 2, ""}, {math.Inf(-1), 2, ""},
	} {
		if got := Number(c.x, c.decimals); got != c.want {
			t.Errorf("Number(%v, %d): got %q, want %q", c.x, c.decimals, got, c.want)
		}
	}
}

func TestNumberProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		x := (r.Float64() - 0.5) * math.Pow10(r.IntN(16)-4)
		decimals := r.IntN(10)
		s := Number(x, decimals)
		mantissa, _, _ := strings.Cut(s, "e")
		if n := len(strings.TrimLeft(strings.ReplaceAll(mantissa, ".", ""), "-0")); n > 9 {
			t.Fatalf("Number(%v, %d): %q has %d digits", x, decimals, s, n)
		}
		got, err := strconv.ParseFloat(s, 64)
		if err != nil || got == 0 && strings.HasPrefix(s, "-") {
			t.Fatalf("Number(%v, %d): %q, %v", x, decimals, s, err)
		}
		if d := math.Abs(got - x); d > 0.5000001*math.Max(math.Pow10(-decimals), math.Abs(x)*1e-8) {
			t.Fatalf("Number(%v, %d): %q is off by %g", x, decimals, s, d)
		}
	}
}

func TestNum(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", math.Copysign(0, -1): "0", 1.0 / 3: "0.3333333", -2e-9 / 3: "-6.666667e-10", 12345678: "12345680", 6.26: "6.26", 1e300 / 3: "3.333333e+299",
	} {
		got, err := json.Marshal(Num(x))
		if err != nil || string(got) != want {
			t.Errorf("%v: got %s, %v, want %s", x, got, err, want)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got, err := json.Marshal(Num(x)); err == nil {
			t.Errorf("%v: got %s", x, got)
		}
	}
}
