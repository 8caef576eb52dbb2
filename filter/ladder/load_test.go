package ladder

import (
	"math"
	"math/cmplx"
	"testing"
)

// TestEPDRIsPeakDissipation takes the definition at its word: the largest product
// of the voltage across the device and its current, over a sine to the rails.
func TestEPDRIsPeakDissipation(t *testing.T) {
	peak := func(theta float64) float64 {
		p := func(x float64) float64 { return (1 - math.Sin(x)) * math.Sin(x-theta) }
		best := theta
		for k := range 2000 {
			if x := theta + math.Pi*float64(k)/2000; p(x) > p(best) {
				best = x
			}
		}
		lo, hi := best-math.Pi/2000, best+math.Pi/2000
		for range 60 { // the maximum is single between neighbours of the best point
			a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
			if p(a) < p(b) {
				lo = a
			} else {
				hi = b
			}
		}
		return p((lo + hi) / 2)
	}
	for deg := -180.0; deg <= 180; deg += 7.5 {
		theta := deg * math.Pi / 180
		want := 5 * peak(0) / peak(math.Abs(theta)) // as a resistor that heats the device as much
		if got := float64(EPDR(cmplx.Rect(5, theta))); !(math.Abs(got/want-1) < 1e-12) {
			t.Errorf("%g°: %.15g, want %.15g", deg, got, want)
		}
	}
	if got := EPDR(0); got != 0 {
		t.Errorf("EPDR of nothing is %v", got)
	}
}

func TestMinimumImpedance(t *testing.T) {
	hz := []float64{100, 200, 300, 400}
	if f, z := MinimumImpedance(hz, []complex128{10, 3 + 4i, 5, 6}); f != 200 || z != 5 {
		t.Errorf("%v at %v, want the first of two equal ones, 5 Ω at 200 Hz", z, f)
	}
	if f, z := MinimumImpedance(hz, []complex128{10, 3, complex(math.NaN(), 0), 1}); f != 300 || !math.IsNaN(float64(z)) {
		t.Errorf("%v at %v, want NaN at 300 Hz", z, f)
	}
	if f, z := MinimumImpedance(hz[:1], []complex128{infinite}); f != 100 || !math.IsInf(float64(z), 1) {
		t.Errorf("%v at %v, want +Inf at 100 Hz", z, f)
	}
}

// A load may fall to 80 % of what it is rated at: the rated impedance of the least
// modulus of a driver allows just that modulus.
func TestRatedImpedanceAllowsTheLeast(t *testing.T) {
	hz := []float64{100, 300, 1000, 3000}
	zin := make([]complex128, len(hz))
	for i, f := range hz {
		zin[i] = w1Driver.impedance(f)
	}
	_, least := MinimumImpedance(hz, zin)
	rated := RatedImpedance(least)
	for _, z := range zin {
		if !(cmplx.Abs(z) >= 0.8*float64(rated)*(1-1e-15)) {
			t.Errorf("%v is below 80 %% of %v", z, rated)
		}
	}
	if d := 0.8*float64(rated)/float64(least) - 1; !(math.Abs(d) <= 1e-15) {
		t.Errorf("rated %v for at least %v", rated, least)
	}
}
