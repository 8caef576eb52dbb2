package response

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// Resampling works on logarithms, so it does not see gain, delay per octave, scale
// of frequency, or whether a curve is an impedance or an admittance.
func TestResampleIsEquivariant(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 17))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	for range 50 {
		c := Curve{HasPhase: true}
		f, turn := u(5, 50), 0.0
		for range 2 + rng.IntN(60) {
			turn += 3 * (rng.Float64() - 0.5) // less than half a turn
			c.Hz, c.H = append(c.Hz, f), append(c.H, cmplx.Rect(u(1e-3, 1e3), turn))
			f *= u(1.001, 1.5)
		}
		var hz []float64
		for range 40 {
			hz = append(hz, c.Hz[0]*math.Pow(c.Hz[len(c.Hz)-1]/c.Hz[0], rng.Float64()))
		}
		resample := func(c Curve, hz []float64) []complex128 {
			h := make([]complex128, len(hz))
			if err := c.Resample(h, hz); err != nil {
				t.Fatal(err)
			}
			return h
		}
		base := resample(c, hz)
		gain, k := cmplx.Rect(u(1e-3, 1e3), 7*rng.Float64()), u(0.5, 2)
		loud, inverse, shifted := Curve{Hz: c.Hz, HasPhase: true}, Curve{Hz: c.Hz, HasPhase: true}, Curve{HasPhase: true, H: c.H}
		for i, h := range c.H {
			loud.H, inverse.H = append(loud.H, gain*h), append(inverse.H, 1/h)
			shifted.Hz = append(shifted.Hz, k*c.Hz[i])
		}
		moved := slices.Clone(hz)
		for i := range moved {
			moved[i] = min(max(k*hz[i], shifted.Hz[0]), shifted.Hz[len(shifted.Hz)-1])
		}
		for name, got := range map[string][]complex128{"louder": resample(loud, hz), "inverse": resample(inverse, hz), "shifted": resample(shifted, moved)} {
			for i, h := range base {
				want := map[string]complex128{"louder": gain * h, "inverse": 1 / h, "shifted": h}[name]
				if !(cmplx.Abs(got[i]-want) <= 1e-9*cmplx.Abs(want)) {
					t.Errorf("%s at %g Hz: %v, want %v", name, hz[i], got[i], want)
				}
			}
		}
	}
}
