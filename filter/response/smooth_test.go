package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// along samples a function of frequency.
func along(hz []float64, h func(f float64) complex128) Curve {
	c := Curve{Hz: hz, HasPhase: true}
	for _, f := range hz {
		c.H = append(c.H, h(f))
	}
	return c
}

// slope is f^n, 1 at 1 kHz.
func slope(hz []float64, n float64) Curve {
	return along(hz, func(f float64) complex128 { return complex(math.Pow(f/1000, n), 0) })
}

// anyCurve is a random curve on random frequencies.
func anyCurve(rng *rand.Rand, points int) Curve {
	c := Curve{HasPhase: true}
	f := 20.
	for range points {
		c.Hz, c.H = append(c.Hz, f), append(c.H, cmplx.Rect(math.Pow(10, 2*rng.Float64()-1), 3*rng.Float64()))
		f *= 1.005 + 0.1*rng.Float64()
	}
	return c
}

func must[T any](t testing.TB) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func TestGoldenSmoothing(t *testing.T) {
	golden.Run(t, "testdata/smoothing.csv", func(t *testing.T, r golden.Row) {
		b := int(r.Num(t, "fraction", "1"))
		band := Bands(b, 1000, 1001)[0]
		grid := LogGrid(band.Mid/10, band.Mid*10, 200)
		var c Curve
		zero := 0. // level that the row is relative to
		switch r.Calculation {
		case "rise of a smoothed slope":
			n := r.Num(t, "slope", "1")
			c = slope(grid, n)
			zero = 20 * n * math.Log10(band.Mid/1000)
		case "smoothed low-pass":
			x := r.Num(t, "x", "1")
			c = along(grid, func(f float64) complex128 { return 1 / complex(1, f/band.Mid*x) })
		default:
			r.Unknown(t)
		}
		smooth := must[Curve](t)(c.Smooth(b))
		h := make([]complex128, 1)
		if err := smooth.Resample(h, []float64{band.Mid}); err != nil {
			t.Fatal(err)
		}
		r.Check(t, DB(h[0])-zero)

		bands := must[Curve](t)(c.InBands(b))
		i := slices.Index(bands.Hz, band.Mid)
		r.Check(t, DB(bands.H[i])-zero)

		mean := must[float64](t)(c.Mean(units.Frequency(band.Lo), units.Frequency(band.Hi)))
		r.Check(t, DB(complex(mean, 0))-zero)
	})
}

// A second road: the mean by many samples of what Resample gives.
func TestSmoothByBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, c := range []Curve{anyCurve(rng, 40), anyCurve(rng, 150), sample(LogGrid(20, 20000, 30), 5), slope([]float64{20, 2000}, 3)} {
		mean := func(lo, hi float64) float64 {
			const n = 20000
			hz, h := make([]float64, n), make([]complex128, n)
			for i := range hz {
				hz[i] = lo * math.Pow(hi/lo, (float64(i)+0.5)/n)
			}
			if err := c.Resample(h, hz); err != nil {
				t.Fatal(err)
			}
			sum := 0.
			for _, v := range h {
				sum += real(v)*real(v) + imag(v)*imag(v)
			}
			return math.Sqrt(sum / n)
		}
		first, last := c.Hz[0], c.Hz[len(c.Hz)-1]
		for _, b := range []int{1, 2, 3, 24} {
			smooth := must[Curve](t)(c.Smooth(b))
			for range 4 {
				i := rng.IntN(len(c.Hz))
				f := c.Hz[i]
				reach := min(math.Pow(10, 0.15/float64(b)), f/first, last/f)
				want := mean(f/reach, f*reach)
				if reach == 1 {
					want = cmplx.Abs(c.H[i])
				}
				if got := cmplx.Abs(smooth.H[i]); !(math.Abs(got/want-1) <= 1e-6) {
					t.Errorf("1/%d octave at %.1f Hz: %v, want %v", b, f, got, want)
				}
			}
		}
		lo, hi := first*1.1, last/1.1
		if got := must[float64](t)(c.Mean(units.Frequency(lo), units.Frequency(hi))); !(math.Abs(got/mean(lo, hi)-1) <= 1e-6) {
			t.Errorf("mean %v, want %v", got, mean(lo, hi))
		}
	}
}

// Bands add up: mean powers of neighbours, of equal width, are that of both. Between
// points up to 40 dB apart the quadrature is good to ten digits, not to all.
func TestBandsAddUp(t *testing.T) {
	c := anyCurve(rand.New(rand.NewPCG(7, 8)), 200)
	thirds := must[Curve](t)(c.InBands(3))
	for _, octave := range Bands(1, c.Hz[0], c.Hz[len(c.Hz)-1]) {
		var sum float64
		n := 0
		for i, f := range thirds.Hz {
			if f > octave.Lo && f < octave.Hi {
				sum += real(thirds.H[i]) * real(thirds.H[i])
				n++
			}
		}
		if n < 3 {
			continue
		}
		if got := must[float64](t)(c.Mean(units.Frequency(octave.Lo), units.Frequency(octave.Hi))); !(math.Abs(got*got/(sum/3)-1) <= 1e-9) {
			t.Errorf("octave at %.0f Hz: power %v, of thirds %v", octave.Mid, got*got, sum/3)
		}
	}
}

// A constant stays constant, a slope keeps its slope away from the ends, ends stay,
// and phases stay everywhere.
func TestSmoothKeeps(t *testing.T) {
	hz := slices.DeleteFunc(LogGrid(10, 30000, 53), func(f float64) bool { return f > 700 && f < 1500 })
	for _, b := range []int{1, 2, 3, 48, finest} {
		flat := along(hz, func(f float64) complex128 { return cmplx.Rect(0.37, f) })
		flat.Taken = Taken{Mounting: OnPanel, Panel: "tall", Voltage: 2.83}
		got := must[Curve](t)(flat.Smooth(b))
		if d := cmp.Diff(flat, got, golden.Approx(1e-12, 1e-12)); d != "" {
			t.Errorf("1/%d octave: constant (-want +got)\n%s", b, d)
		}

		tilt := slope(hz, -2)
		got = must[Curve](t)(tilt.Smooth(b))
		z := 0.3 * math.Ln10 * 2 / float64(b)
		for i, f := range hz {
			reach := math.Pow(10, 0.15/float64(b)) * (1 + 1e-12)
			if f < hz[0]*reach || f > hz[len(hz)-1]/reach {
				continue
			}
			if rise := real(got.H[i] / tilt.H[i]); !(math.Abs(rise*rise*z/math.Sinh(z)-1) <= 1e-12) {
				t.Errorf("1/%d octave: slope rises by %v at %v Hz", b, rise, f)
			}
		}
		c := anyCurve(rand.New(rand.NewPCG(9, 10)), 60)
		got = must[Curve](t)(c.Smooth(b))
		n := len(c.H) - 1
		if got.H[0] != c.H[0] || got.H[n] != c.H[n] {
			t.Errorf("1/%d octave: ends from %v, %v to %v, %v", b, c.H[0], c.H[n], got.H[0], got.H[n])
		}
		for i, h := range got.H {
			if d := cmplx.Phase(h / c.H[i]); !(math.Abs(d) <= 1e-14) {
				t.Errorf("1/%d octave: phase moved by %v at %v Hz", b, d, c.Hz[i])
			}
		}
	}
}

// Smoothing does not see gain, scale of frequency or direction of the axis, and a
// curve without phase is smoothed as its magnitude is.
func TestSmoothIsEquivariant(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 20 {
		c := anyCurve(rng, 30+rng.IntN(50))
		b := 1 + rng.IntN(12)
		want := must[Curve](t)(c.Smooth(b))
		near := func(name string, i, j int, got, want complex128) {
			if !(cmplx.Abs(got-want) <= 1e-10*cmplx.Abs(want)) {
				t.Errorf("%s: point %d: %v, want %v of point %d", name, j, got, want, i)
			}
		}
		n := len(c.Hz)
		loud, moved, back := Curve{Hz: c.Hz, HasPhase: true}, Curve{H: c.H, HasPhase: true}, Curve{HasPhase: true}
		gain := cmplx.Rect(math.Exp(20*rng.Float64()-10), 1)
		for i := range c.H {
			loud.H = append(loud.H, gain*c.H[i])
			moved.Hz = append(moved.Hz, 1.7*c.Hz[i])
			back.Hz, back.H = append(back.Hz, 1e5/c.Hz[n-1-i]), append(back.H, c.H[n-1-i])
		}
		loud, moved, back = must[Curve](t)(loud.Smooth(b)), must[Curve](t)(moved.Smooth(b)), must[Curve](t)(back.Smooth(b))
		level := must[Curve](t)(c.magnitude().Smooth(b))
		for i, h := range want.H {
			near("louder", i, i, loud.H[i], gain*h)
			near("moved", i, i, moved.H[i], h)
			near("mirrored", i, n-1-i, back.H[n-1-i], h)
			near("without phase", i, i, level.H[i], complex(cmplx.Abs(h), 0))
		}
	}
}

// Far below its peak a curve is smoothed as well as at the peak: 24 dB an octave over
// three decades end 240 dB down, and one over as many on the other side.
func TestSmoothFarBelowThePeak(t *testing.T) {
	for _, n := range []float64{-4, 4, 30} {
		c := slope(LogGrid(20, 20000, 40), n)
		got := must[Curve](t)(c.Smooth(6))
		z := n * 0.3 * math.Ln10 / 6
		for i := 5; i < len(c.Hz)-5; i++ {
			if r := real(got.H[i] / c.H[i]); !(math.Abs(r*r*z/math.Sinh(z)-1) <= 1e-11) {
				t.Errorf("slope %v at %v Hz: power by %v, want %v", n, c.Hz[i], r*r, math.Sinh(z)/z)
			}
		}
	}
}

// Around 1 Hz, where logarithms are small, sums of them fall short of an end by a last
// digit: the end is meant all the same.
func TestSmoothAroundOneHertz(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for range 300 {
		hz := LogGrid(0.99+0.02*rng.Float64(), 0.99+0.4*rng.Float64()+0.1, 100)
		for _, h := range must[Curve](t)(along(hz, func(float64) complex128 { return 2 }).Smooth(3)).H {
			if !(cmplx.Abs(h-2) <= 1e-12) {
				t.Fatalf("from %v Hz: %v", hz[0], h)
			}
		}
	}
}

// Bands lie wholly within the curve, and none that does is left out.
func TestInBandsStaysWithin(t *testing.T) {
	for _, c := range []struct{ lo, hi, first, last float64 }{
		{20, 20000, 25.119, 15848.932}, {17.782, 22388, 19.953, 19952.623}, {17.783, 22387, 25.119, 15848.932},
	} {
		got := must[Curve](t)(slope(LogGrid(c.lo, c.hi, 20), 0).InBands(3))
		if n := len(got.Hz); !(math.Abs(got.Hz[0]-c.first) < 1e-3 && math.Abs(got.Hz[n-1]-c.last) < 1e-3) {
			t.Errorf("%v to %v Hz: bands from %v to %v Hz", c.lo, c.hi, got.Hz[0], got.Hz[n-1])
		}
	}
}

// What is not valid enters no mean.
func TestSmoothHeedsFrom(t *testing.T) {
	hz := LogGrid(20, 20000, 40)
	c := along(hz, func(f float64) complex128 {
		if f < 200 {
			return 1e6
		}
		return 1
	})
	c.From = 260
	got := must[Curve](t)(c.Smooth(1))
	if got.From != c.From {
		t.Errorf("valid from %v, want %v", got.From, c.From)
	}
	for i, f := range hz {
		if want := c.H[i]; !(cmplx.Abs(got.H[i]-want) <= 1e-12*cmplx.Abs(want)) {
			t.Errorf("%v Hz: %v, want %v", f, got.H[i], want)
		}
	}
	if bands := must[Curve](t)(c.InBands(3)); bands.Hz[0] < 260 || real(bands.H[0]) > 1+1e-12 {
		t.Errorf("first band at %v Hz: %v", bands.Hz[0], bands.H[0])
	}
	if _, err := c.Mean(200, 1000); err == nil {
		t.Error("a mean over what is not valid")
	}
}

func TestSmoothRefuses(t *testing.T) {
	c := slope(LogGrid(20, 20000, 10), 1)
	refused := func(name string, err error, want string) {
		t.Helper()
		var e *units.RangeError
		if !errors.As(err, &e) || err.Error() != want {
			t.Errorf("%s: error %v, want %s", name, err, want)
		}
	}
	_, err := c.Smooth(0)
	refused("0", err, "response: bands 1/0 octave: must be from 1/1 to 1/1000 octave")
	_, err = c.InBands(-3)
	refused("-3", err, "response: bands 1/-3 octave: must be from 1/1 to 1/1000 octave")
	_, err = c.Smooth(1001)
	refused("1001", err, "response: bands 1/1001 octave: must be from 1/1 to 1/1000 octave")
	_, err = c.Mean(1000, 1000)
	refused("empty", err, "response: band 1000 Hz to 1000 Hz: must not be empty")
	_, err = c.Mean(units.Frequency(math.NaN()), 1000)
	refused("NaN", err, "response: band NaN Hz to 1000 Hz: must lie within the table's 20 Hz to 20000 Hz")
	narrow := slope([]float64{900, 1000, 1100}, 1)
	if _, err := narrow.InBands(1); err == nil {
		t.Error("a curve narrower than a band has bands")
	}
	for _, bad := range []Curve{{}, {Hz: []float64{1, 2}, H: []complex128{1, cmplx.NaN()}, HasPhase: true}} {
		_, err1 := bad.Smooth(3)
		_, err2 := bad.InBands(3)
		_, err3 := bad.Mean(1, 2)
		if err1 == nil || err2 == nil || err3 == nil {
			t.Errorf("%v: errors %v, %v, %v", bad, err1, err2, err3)
		}
	}
	// So far apart that the lesser has no power: an error, not a zero.
	deep := func(n float64) Curve {
		return along(LogGrid(1, 1e4, 3), func(f float64) complex128 { return complex(math.Pow(f, -n), 0) })
	}
	if _, err := deep(35).Smooth(1); err != nil {
		t.Error(err)
	}
	_, err = deep(70).Smooth(1)
	refused("5600 dB", err, "response: smoothed: response: point 9: value (0+0i): must be finite and not zero")
}

func BenchmarkSmooth(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	c := Curve{}
	for i := range 100_000 {
		c.Hz = append(c.Hz, 10+0.2*float64(i))
		c.H = append(c.H, complex(math.Exp(0.1*rng.NormFloat64()), 0))
	}
	for b.Loop() {
		if _, err := c.Smooth(3); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(c.Hz)), "ns/point")
}
