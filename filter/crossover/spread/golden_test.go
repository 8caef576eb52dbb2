package spread

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
)

func TestGolden(t *testing.T) {
	golden.Run(t, "testdata/spread.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "standard deviation within the tolerance":
			if r.Word(t, "distribution") != "uniform" {
				t.Fatal("want uniform")
			}
			r.Check(t, Uniform.Sigma())
		case "standard deviation of a normal distribution cut off":
			k := r.Num(t, "cut", "1")
			r.Check(t, k*Distribution(k).Sigma())
		case "mean of the resonance of a pair":
			m := meanRoot(Uniform, tolerance(t, r))
			r.Check(t, m*m)
		case "standard deviation of the resonance of a pair":
			m, inverse := meanRoot(Uniform, tolerance(t, r)), meanInverse(Uniform, tolerance(t, r))
			r.Check(t, math.Sqrt(inverse*inverse-m*m*m*m))
		case "standard deviation of the resonance of a pair to the first order":
			r.Check(t, math.Hypot(0.5, 0.5)*Uniform.Sigma()*tolerance(t, r))
		case "resonance of a pair in a corner":
			x := 1 + Uniform.Quantile(map[string]float64{"both low": 0, "both high": 1}[r.Word(t, "corner")])*tolerance(t, r)
			r.Check(t, 100*(1/math.Sqrt(x*x)-1))
		case "lower end of the exact interval", "upper end of the exact interval", "half of the exact interval":
			lo, hi, err := ClopperPearson(count(t, r))
			check(t, r, lo, hi, err)
		case "lower end of the score interval", "upper end of the score interval":
			lo, hi, err := Wilson(count(t, r))
			check(t, r, lo, hi, err)
		default:
			r.Unknown(t)
		}
	})
}

func tolerance(t *testing.T, r golden.Row) float64 { return r.Num(t, "tolerance", "%") / 100 }

func count(t *testing.T, r golden.Row) (kept, draws int, confidence float64) {
	return int(r.Num(t, "kept", "1")), int(r.Num(t, "draws", "1")), r.Num(t, "confidence", "%") / 100
}

func check(t *testing.T, r golden.Row, lo, hi float64, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	switch r.Calculation[:5] {
	case "lower":
		r.Check(t, lo)
	case "upper":
		r.Check(t, hi)
	default:
		r.Check(t, (hi-lo)/2)
	}
}

// mean integrates f of a part drawn from d with the tolerance over all draws, by
// Simpson's rule over the quantiles.
func mean(d Distribution, tolerance float64, f func(x float64) float64) float64 {
	const n = 2000
	sum := 0.0
	for i := range n + 1 {
		weight := 2.0 + 2*float64(i%2)
		if i == 0 || i == n {
			weight = 1
		}
		sum += weight * f(1+tolerance*d.Quantile(float64(i)/n))
	}
	return sum / (3 * n)
}

func meanRoot(d Distribution, tolerance float64) float64 {
	return mean(d, tolerance, func(x float64) float64 { return 1 / math.Sqrt(x) })
}

func meanInverse(d Distribution, tolerance float64) float64 {
	return mean(d, tolerance, func(x float64) float64 { return 1 / x })
}
