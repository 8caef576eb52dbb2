package spread

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
)

// Quantiles against the probability that leads to them, and both ends.
func TestQuantileInvertsProbability(t *testing.T) {
	phi := func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
	for _, d := range []Distribution{0.1, 1, 2, Normal, 8} {
		k := float64(d)
		for p := 0.0; p <= 1; p += 1.0 / 64 {
			x := d.Quantile(p)
			if got := (phi(k*x) - phi(-k)) / (phi(k) - phi(-k)); !(math.Abs(got-p) <= 1e-9) {
				t.Errorf("cut off at %g σ: %g of all lie below %g, want %g", k, got, x, p)
			}
			if got := d.Quantile(1 - p); got != -x {
				t.Errorf("cut off at %g σ: quantile of %g is %g, of %g %g", k, p, x, 1-p, got)
			}
		}
	}
	for _, d := range []Distribution{Uniform, 0.1, Normal, 8} {
		if d.Quantile(0) != -1 || d.Quantile(1) != 1 || d.Quantile(0.5) != 0 || d.Quantile(-1) != -1 || d.Quantile(2) != 1 {
			t.Errorf("%g: ends %g and %g, middle %g", float64(d), d.Quantile(0), d.Quantile(1), d.Quantile(0.5))
		}
		if !math.IsNaN(d.Quantile(math.NaN())) {
			t.Errorf("%g: the quantile of NaN is %g", float64(d), d.Quantile(math.NaN()))
		}
	}
}

// The standard deviation from the quantiles, which know nothing of its formula.
func TestSigmaFromQuantiles(t *testing.T) {
	for _, d := range []Distribution{Uniform, 0.1, 1, 2, Normal} {
		got := math.Sqrt(mean(d, 1, func(x float64) float64 { return (x - 1) * (x - 1) }))
		// At the ends of the normal one the quantile bends, which Simpson's rule feels.
		if want := d.Sigma(); !(math.Abs(got/want-1) <= 2e-4) {
			t.Errorf("%g: σ %g, want %g", float64(d), got, want)
		}
	}
	// Cut off close in, it is uniform; far out, as narrow as the cut is far.
	if d := Distribution(0.1).Sigma() - Uniform.Sigma(); !(math.Abs(d) < 1e-3) {
		t.Errorf("cut off at 0.1 σ: %g off the uniform one", d)
	}
	if d := Distribution(8).Sigma() - 1./8; !(math.Abs(d) < 1e-12) {
		t.Errorf("cut off at 8 σ: %g off", d)
	}
}

// The seeds of neighbouring draws differ by one; their numbers must not show it.
func TestDrawsAreIndependent(t *testing.T) {
	const n, parts = 20000, 4
	var columns [parts][]float64
	pcg := rand.NewPCG(0, 0)
	rng := rand.New(pcg)
	for i := range n {
		pcg.Seed(3, uint64(i))
		for j := range columns {
			columns[j] = append(columns[j], Uniform.Quantile(rng.Float64()))
		}
	}
	limit := 4.5 / math.Sqrt(n) // σ of a correlation of independent numbers, 4.5 times
	for j, a := range columns {
		mean, sd := stat.MeanStdDev(a, nil)
		if !(math.Abs(mean) < limit*Uniform.Sigma()) || !(math.Abs(sd/Uniform.Sigma()-1) < limit) {
			t.Errorf("number %d: mean %g, σ %g", j, mean, sd)
		}
		for lag := 1; lag <= 3; lag++ {
			if c := stat.Correlation(a[lag:], a[:n-lag], nil); !(math.Abs(c) < limit) {
				t.Errorf("number %d: correlation %g with that %d draws before", j, c, lag)
			}
		}
		for k, b := range columns[:j] {
			if c := stat.Correlation(a, b, nil); !(math.Abs(c) < limit) {
				t.Errorf("numbers %d and %d: correlation %g", k, j, c)
			}
		}
	}
}

// The ends of the interval, put into the binomial distribution.
func TestClopperPearsonByTails(t *testing.T) {
	tail := func(from, to, n int, p float64) float64 {
		sum := 0.0
		for i := from; i <= to; i++ {
			a, _ := math.Lgamma(float64(n + 1))
			b, _ := math.Lgamma(float64(i + 1))
			c, _ := math.Lgamma(float64(n - i + 1))
			sum += math.Exp(a - b - c + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
		}
		return sum
	}
	for _, c := range []struct {
		k, n       int
		confidence float64
	}{{0, 1, 0.95}, {1, 1, 0.95}, {3, 10, 0.9}, {9, 10, 0.99}, {0, 300, 0.95}, {150, 300, 0.5}, {299, 300, 0.95}, {950, 1000, 0.95}} {
		lo, hi, err := ClopperPearson(c.k, c.n, c.confidence)
		if err != nil {
			t.Fatal(err)
		}
		half := (1 - c.confidence) / 2
		if got := tail(c.k, c.n, c.n, lo); c.k > 0 && !(math.Abs(got/half-1) < 1e-7) || c.k == 0 && lo != 0 {
			t.Errorf("%d of %d: %d or more come up with %g, want %g", c.k, c.n, c.k, got, half)
		}
		if got := tail(0, c.k, c.n, hi); c.k < c.n && !(math.Abs(got/half-1) < 1e-7) || c.k == c.n && hi != 1 {
			t.Errorf("%d of %d: %d or fewer come up with %g, want %g", c.k, c.n, c.k, got, half)
		}
		share := float64(c.k) / float64(c.n)
		if !(0 <= lo && lo <= share && share <= hi && hi <= 1) {
			t.Errorf("%d of %d: from %g to %g", c.k, c.n, lo, hi)
		}
	}
}

// At both ends of Wilson's interval the share is off by z standard errors.
func TestWilsonByDefinition(t *testing.T) {
	for _, c := range []struct {
		k, n       int
		confidence float64
	}{{0, 5, 0.95}, {5, 5, 0.95}, {3, 10, 0.9}, {950, 1000, 0.95}} {
		lo, hi, err := Wilson(c.k, c.n, c.confidence)
		if err != nil {
			t.Fatal(err)
		}
		z := mathext.NormalQuantile((1 + c.confidence) / 2)
		share := float64(c.k) / float64(c.n)
		for _, p := range []float64{lo, hi} {
			// An end at 0 or 1 is exact and has no standard error.
			if off, se := math.Abs(share-p), math.Sqrt(p*(1-p)/float64(c.n)); !(math.Abs(off-z*se) < 1e-8) {
				t.Errorf("%d of %d: the end %g is off by %g, want %g", c.k, c.n, p, off, z*se)
			}
		}
		if !(lo < hi) {
			t.Errorf("%d of %d: from %g to %g", c.k, c.n, lo, hi)
		}
	}
}

func TestIntervalsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		k, n       int
		confidence float64
		want       string
	}{
		{0, 0, 0.9, "0 of 0"}, {-1, 5, 0.9, "-1 of 5"}, {6, 5, 0.9, "6 of 5"},
		{1, 5, 0, "confidence 0"}, {1, 5, 1, "confidence 1"}, {1, 5, nan, "confidence NaN"},
	} {
		_, _, err := ClopperPearson(c.k, c.n, c.confidence)
		refused(t, err, c.want)
		_, _, err = Wilson(c.k, c.n, c.confidence)
		refused(t, err, c.want)
	}
}
