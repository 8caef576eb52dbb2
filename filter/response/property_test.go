package response

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
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

// What is written as a table, in any form, comes back as the curve it was: to all
// digits in linear values, to those of the logarithm in decibels.
func TestTableRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(27, 28))
	for range 20 {
		c := Curve{HasPhase: true, Taken: Taken{Mounting: NearVent, Box: "12 L", Voltage: 2}}
		table := Table{Names: []string{"Hz", "dB", "Pa", "deg", "rad"}, Columns: make([][]float64, 5)}
		f := 1 + 20*rng.Float64()
		for range 2 + rng.IntN(50) {
			h := cmplx.Rect(math.Exp(10*rng.NormFloat64()), 3*(2*rng.Float64()-1))
			c.Hz, c.H = append(c.Hz, f), append(c.H, h)
			for i, v := range []float64{f, DB(h / 20e-6), cmplx.Abs(h), Phase(h), cmplx.Phase(h)} {
				table.Columns[i] = append(table.Columns[i], v)
			}
			f *= 1 + rng.Float64()
		}
		read, err := Read(strings.NewReader(strings.Join(table.Names, ";") + "\n" + plain(&table)))
		if err != nil {
			t.Fatal(err)
		}
		for _, form := range []Form{
			{Frequency: "Hz", Level: "dB", Phase: "deg", Reference: 20e-6, Taken: c.Taken},
			{Frequency: "Hz", Level: "Pa", Phase: "rad", Linear: true, Radians: true, Taken: c.Taken},
		} {
			got, err := read.Curve(form)
			if err != nil {
				t.Fatal(err)
			}
			for i, h := range got.H {
				if got.Hz[i] != c.Hz[i] || !(cmplx.Abs(h-c.H[i]) <= 1e-13*cmplx.Abs(c.H[i])) {
					t.Errorf("%+v: %v at %v Hz, want %v at %v Hz", form, h, got.Hz[i], c.H[i], c.Hz[i])
				}
			}
			if got.Taken != c.Taken || !got.HasPhase {
				t.Errorf("%+v: taken %v, phase %v", form, got.Taken, got.HasPhase)
			}
		}
	}
}

// Up to a finer grid that holds the old points and down again, nothing is lost.
func TestResampleUpAndDown(t *testing.T) {
	rng := rand.New(rand.NewPCG(29, 30))
	for range 20 {
		c := anyCurve(rng, 50)
		c.HasPhase = true
		fine := Curve{HasPhase: true}
		for i, f := range c.Hz {
			fine.Hz = append(fine.Hz, f)
			if i+1 < len(c.Hz) {
				fine.Hz = append(fine.Hz, f+(c.Hz[i+1]-f)/3, f+(c.Hz[i+1]-f)*0.7)
			}
		}
		fine.H = make([]complex128, len(fine.Hz))
		if err := c.Resample(fine.H, fine.Hz); err != nil {
			t.Fatal(err)
		}
		back := c
		back.H = make([]complex128, len(c.Hz))
		if err := fine.Resample(back.H, c.Hz); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(c, back, golden.Approx(1e-11, 1e-11)); d != "" {
			t.Errorf("(-want +got)\n%s", d)
		}
	}
}
