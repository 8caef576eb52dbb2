package ladder

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/units"
)

// The circuit of the benchmarks: five parts with losses in two branches.
var (
	benchWoofer = Network{
		Series(L(1.2 * units.Millihenry).WithResistance(0.35)),
		Shunt(C(15 * units.Microfarad).WithResistance(0.05)),
	}
	benchTweeter = Network{
		Series(C(6.8 * units.Microfarad).WithResistance(0.02)),
		Shunt(L(0.35 * units.Millihenry).WithResistance(0.25)),
		Series(R(2.2)),
	}
)

func benchGrid() (hz []float64, woofer, tweeter []complex128) {
	const n = 480
	for k := range n {
		f := 20 * math.Pow(1000, float64(k)/(n-1))
		w := 2 * math.Pi * f
		hz = append(hz, f)
		woofer = append(woofer, complex(5.8, w*0.65e-3))
		tweeter = append(tweeter, complex(5.4, w*0.05e-3))
	}
	return hz, woofer, tweeter
}

func BenchmarkSolve(b *testing.B) {
	hz, woofer, tweeter := benchGrid()
	h, zin := make([]complex128, len(hz)), make([]complex128, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		benchWoofer.Solve(h, zin, hz, woofer)
		benchTweeter.Solve(h, zin, hz, tweeter)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}

// BenchmarkBareLoop is the same circuit written out by hand for this circuit only,
// with the same economy: no complex division but by a reciprocal in real numbers.
func BenchmarkBareLoop(b *testing.B) {
	hz, woofer, tweeter := benchGrid()
	h, zin := make([]complex128, len(hz)), make([]complex128, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		bareWoofer(h, zin, hz, woofer)
		bareTweeter(h, zin, hz, tweeter)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}

func bareReciprocal(z complex128) complex128 {
	d := 1 / (real(z)*real(z) + imag(z)*imag(z))
	return complex(real(z)*d, -imag(z)*d)
}

func bareWoofer(h, zin []complex128, hz []float64, load []complex128) {
	h, zin, load = h[:len(hz)], zin[:len(hz)], load[:len(hz)]
	for k, f := range hz {
		w := 2 * math.Pi * f
		i := 1 + load[k]*bareReciprocal(complex(0.05, -1/(w*15e-6)))
		v := load[k] + i*complex(0.35, w*1.2e-3)
		h[k] = load[k] * bareReciprocal(v)
		zin[k] = v * bareReciprocal(i)
	}
}

func bareTweeter(h, zin []complex128, hz []float64, load []complex128) {
	h, zin, load = h[:len(hz)], zin[:len(hz)], load[:len(hz)]
	for k, f := range hz {
		w := 2 * math.Pi * f
		v := load[k] + 2.2
		i := 1 + v*bareReciprocal(complex(0.25, w*0.35e-3))
		v += i * complex(0.02, -1/(w*6.8e-6))
		h[k] = load[k] * bareReciprocal(v)
		zin[k] = v * bareReciprocal(i)
	}
}

// TestBareLoop holds the yardstick of the benchmark to the same result.
func TestBareLoop(t *testing.T) {
	hz, woofer, tweeter := benchGrid()
	n := len(hz)
	h, zin, bh, bz := make([]complex128, n), make([]complex128, n), make([]complex128, n), make([]complex128, n)
	for _, c := range []struct {
		net  Network
		bare func(h, zin []complex128, hz []float64, load []complex128)
		load []complex128
	}{{benchWoofer, bareWoofer, woofer}, {benchTweeter, bareTweeter, tweeter}} {
		c.net.Solve(h, zin, hz, c.load)
		c.bare(bh, bz, hz, c.load)
		for k := range hz {
			if d := cmplx.Abs(h[k]/bh[k] - 1); !(d < 1e-13) {
				t.Errorf("%g Hz: h %v, by hand %v", hz[k], h[k], bh[k])
			}
			if d := cmplx.Abs(zin[k]/bz[k] - 1); !(d < 1e-13) {
				t.Errorf("%g Hz: zin %v, by hand %v", hz[k], zin[k], bz[k])
			}
		}
	}
}
