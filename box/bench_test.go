package box_test

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/box"
)

func benchGrid() []float64 {
	hz := make([]float64, 512)
	for i := range hz {
		hz[i] = 10 * math.Pow(1000, float64(i)/511)
	}
	return hz
}

func BenchmarkSweep(b *testing.B) { benchmark(b, vented) }

// BenchmarkBareSweep is the same circuit written out for woofer and vented box only,
// with the same economy.
func BenchmarkBareSweep(b *testing.B) {
	hz := benchGrid()
	dst := make([]box.Point, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		bareSweep(dst, hz)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}

func BenchmarkEnclosures(b *testing.B) {
	for name, e := range enclosures {
		b.Run(name, func(b *testing.B) { benchmark(b, e) })
	}
}

func benchmark(b *testing.B, e box.Enclosure) {
	s := box.System{Driver: woofer, Enclosure: e}
	hz := benchGrid()
	dst := make([]box.Point, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		s.Sweep(dst, hz)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}

func bareReciprocal(z complex128) complex128 {
	k := 1 / (real(z)*real(z) + imag(z)*imag(z))
	return complex(real(z)*k, -imag(z)*k)
}

func bareSweep(dst []box.Point, hz []float64) {
	const (
		rho, c                    = 1.18, 345
		re, bl, mms, cms, rms, sd = 5.8, 6.7, 14.2e-3, 1.25e-3, 0.72, 136e-4
		vb, wb, leak              = 0.025, 2 * math.Pi * 39, 1.0 / 7
		area                      = 38.5e-4
	)
	cab := vb / (rho * c * c)
	dst = dst[:len(hz)]
	for i, f := range hz {
		w := 2 * math.Pi * f
		jw := complex(0, w)
		s := complex(0, w/wb)
		y := bareReciprocal(complex(leak, 0)*s + 1 + s*s)
		zm := complex(rms, w*mms-1/(w*cms)) + s*y*complex(sd*sd/(wb*cab), 0)
		all := bareReciprocal(complex(re, 0)*zm + bl*bl)
		out := all * (bl * sd)
		dst[i] = box.Point{
			Hz:        f,
			Pressure:  jw * out * (s * s * y) * (rho / (2 * math.Pi)),
			Travel:    complex(imag(all), -real(all)) * complex(bl*math.Sqrt2/w, 0),
			AirSpeed:  -out * y * (math.Sqrt2 / area),
			Current:   zm * all,
			Impedance: re + bl*bl*bareReciprocal(zm),
		}
	}
}

// The yardstick of the benchmark gives the same points.
func TestBareSweep(t *testing.T) {
	hz := benchGrid()
	got, want := make([]box.Point, len(hz)), make([]box.Point, len(hz))
	box.System{Driver: woofer, Enclosure: vented}.Sweep(got, hz)
	bareSweep(want, hz)
	for i := range hz {
		for what, pair := range map[string][2]complex128{
			"pressure": {got[i].Pressure, want[i].Pressure}, "travel": {got[i].Travel, want[i].Travel},
			"air speed": {got[i].AirSpeed, want[i].AirSpeed}, "current": {got[i].Current, want[i].Current}, "impedance": {got[i].Impedance, want[i].Impedance},
		} {
			if !(cmplx.Abs(pair[0]-pair[1]) <= 1e-13*cmplx.Abs(pair[1])) {
				t.Errorf("%g Hz: %s %v, by hand %v", hz[i], what, pair[0], pair[1])
			}
		}
	}
}
