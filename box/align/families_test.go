package align_test

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// ofQts returns an invented driver without coil inductance.
func ofQts(tb testing.TB, qts float64) ts.Driver {
	tb.Helper()
	d, _, err := ts.Sheet{
		Re: 6, Fs: 31, Qts: qts, Qms: 8 * qts, Vas: 70 * units.Litre, Sd: 220 * units.SquareCentimetre, Xmax: 6 * units.Millimetre,
	}.Driver(air.Standard())
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

// power returns 20 log|G| of a family at x = f/√(fs fb), from its definition and not
// from its coefficients.
func power(v align.Alignment, x float64) float64 {
	s := complex(0, x)
	square := func(q float64) complex128 { return s * s / (s*s + s/complex(q, 0) + 1) }
	switch v.Family {
	case align.B4:
		return -10 * math.Log10(1+math.Pow(x, -8))
	case align.QB3:
		return -10 * math.Log10(1+v.Parameter*v.Parameter*math.Pow(x, -6)+math.Pow(x, -8))
	case align.C4, align.SC4:
		// Poles of the low-pass; the product of all is 1 where f0 is the unit.
		var p []complex128
		scale := 1.0
		for _, deg := range []float64{112.5, 157.5} {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			pole := complex(v.Parameter*cos, sin)
			scale *= cmplx.Abs(pole)
			p = append(p, pole, cmplx.Conj(pole))
		}
		h := complex(1, 0)
		for _, pole := range p {
			h /= 1 - 1/s/(pole/complex(math.Sqrt(scale), 0))
		}
		return 20 * math.Log10(cmplx.Abs(h))
	case align.BE4:
		// The Bessel polynomial by its recursion, y(n) = (2n−1) y(n−1) + s² y(n−2).
		z := 1 / s * complex(math.Pow(105, 0.25), 0)
		last, y := complex(1, 0), z+1
		for n := 2.0; n <= 4; n++ {
			last, y = y, complex(2*n-1, 0)*y+z*z*last
		}
		return 20 * math.Log10(105/cmplx.Abs(y))
	}
	q := 2 / (1/v.Qts + inverse(v.QL))
	return 40 * math.Log10(cmplx.Abs(square(q)))
}

func inverse(q float64) float64 {
	if q == 0 {
		return 0
	}
	return 1 / q
}

func families(t *testing.T) []align.Alignment {
	t.Helper()
	var all []align.Alignment
	for _, ql := range []float64{0, 2, 5, 7, 20, 1000} {
		for f := align.B4; f <= align.TwoPairs; f++ {
			lo, hi, err := f.Range(ql)
			if err != nil {
				t.Fatal(err)
			}
			hi = min(hi, 0.8)
			for _, part := range []float64{0.01, 0.3, 0.7, 0.97} {
				qts := lo + part*(hi-lo)
				if qts < 0.1 {
					continue
				}
				v, err := f.For(qts, ql)
				if err != nil {
					t.Fatalf("%v, Qts %v, QL %v: %v", f, qts, ql, err)
				}
				near(t, f.String()+" Qts", v.Qts, qts, 1e-12)
				all = append(all, v)
				if lo == hi {
					break
				}
			}
		}
	}
	return all
}

// Design, then analyse: the circuit of driver and box has the response, cut-off and
// peak that the family is defined by.
func TestFamiliesAgainstTheCircuit(t *testing.T) {
	for _, v := range families(t) {
		d := ofQts(t, v.Qts)
		design, err := align.Vented(d, v.Family, v.QL, air.Standard())
		if err != nil {
			t.Fatalf("%+v: %v", v, err)
		}
		s := box.System{Driver: d, Enclosure: design.Box}
		f0 := math.Sqrt(float64(d.Fs() * design.Box.Fb))
		for _, x := range []float64{0.2, 0.5, 0.8, 0.95, 1.1, 1.5, 2.5, 6} {
			near(t, v.Family.String(), s.Gain(units.Frequency(x*f0)), power(design.Alignment, x), 1e-9)
		}
		f3, err := s.F3()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "f3", float64(f3/design.Cutoff), 1, 1e-9)
		near(t, v.Family.String()+" f3/fs", float64(design.Cutoff/d.Fs()), v.F3(), 1e-9)
		if math.IsNaN(v.F3()) {
			t.Fatalf("%#v", v)
		}
		near(t, "level at f10", s.Gain(d.Fs()*units.Frequency(v.Cutoff(10))), -10, 1e-9)
		if at, peak := s.Peak(); at < 10*d.Fs() || v.Ripple > 1e-4 {
			near(t, v.Family.String()+" ripple", v.Ripple, max(peak, 0), 1e-8)
		} else {
			near(t, v.Family.String()+" without ripple", v.Ripple, 0, 1e-4)
		}
	}
}

// The Chebyshev family ripples as the polynomial T4 says.
func TestChebyshevPolynomial(t *testing.T) {
	for _, ripple := range []float64{0.01, 0.1, 0.5, 1, 3} {
		k, err := align.ChebyshevK(ripple)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ripple", align.ChebyshevRipple(k), ripple, 1e-12)
		v, err := align.Chebyshev(k, 7)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ripple of the alignment", v.Ripple, ripple, 1e-12)
		e2 := math.Pow(10, ripple/10) - 1
		d := ofQts(t, v.Qts)
		s := box.System{Driver: d, Enclosure: box.Vented{Vb: d.Vas(air.Standard()) / units.Volume(v.Alpha), Fb: d.Fs() * units.Frequency(v.H), QL: 7}}
		// Half power is where T4² = (1 + 2ε²)/ε².
		edge := v.F3() * math.Cosh(math.Acosh(math.Sqrt((1+2*e2)/e2))/4)
		for _, w := range []float64{0.2, 0.5, 0.8, 1.2, 2} { // f = edge/w
			c := 8*w*w*w*w - 8*w*w + 1
			near(t, "T4", s.Gain(d.Fs()*units.Frequency(edge/w)), 10*math.Log10((1+e2)/(1+e2*c*c)), 1e-9)
		}
	}
}

// Of several frequencies of one level the highest is the cut-off.
func TestCutoffIsTheHighest(t *testing.T) {
	several := 0
	for _, v := range []align.Alignment{
		{Qts: 0.3, Alpha: 0.5, H: 0.4}, {Qts: 0.25, Alpha: 1, H: 0.5, QL: 10}, {Qts: 0.38, Alpha: 0.3, H: 0.5}, {Qts: 0.4, Alpha: 1, H: 1, QL: 7},
	} {
		d := ofQts(t, v.Qts)
		s := box.System{Driver: d, Enclosure: box.Vented{Vb: d.Vas(air.Standard()) / units.Volume(v.Alpha), Fb: d.Fs() * units.Frequency(v.H), QL: v.QL}}
		for _, db := range []float64{0.5, 1, 2, 3, 4, 5} {
			highest, crossings := 0.0, 0
			for x := 20.0; x > 0.1; x /= 1.001 {
				if (s.Gain(d.Fs()*units.Frequency(x)) < -db) != (s.Gain(d.Fs()*units.Frequency(x*1.001)) < -db) {
					highest = max(highest, x)
					crossings++
				}
			}
			if crossings > 1 {
				several++
			}
			near(t, "cut-off", v.Cutoff(db)/highest, 1, 1.1e-3)
		}
	}
	if several == 0 {
		t.Error("no level is crossed more than once")
	}
}

// Families meet where one ends and the next begins.
func TestFamiliesMeet(t *testing.T) {
	for _, ql := range []float64{0, 3, 7, 50} {
		b4, err := align.Butterworth(ql)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []align.Family{align.QB3, align.C4, align.SC4} {
			qts := b4.Qts * (1 - 1e-6)
			if f == align.C4 {
				qts = b4.Qts * (1 + 1e-6)
			}
			v, err := f.For(qts, ql)
			if err != nil {
				t.Fatal(err)
			}
			near(t, f.String()+" alpha", v.Alpha/b4.Alpha, 1, 3e-5)
			near(t, f.String()+" h", v.H, 1, 1e-5)
		}
		q1, q2 := 1/(2*math.Sin(math.Pi/8)), 1/(2*math.Cos(math.Pi/8))
		v, err := align.Pairs(q1, q2, ql)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pairs of B4, Qts", v.Qts, b4.Qts, 1e-12)
		near(t, "pairs of B4, alpha", v.Alpha, b4.Alpha, 1e-12)
		near(t, "pairs of B4, ripple", v.Ripple, 0, 1e-12)
	}
	// The leak that takes the volume of B4 to infinity: Q of its sharper pair.
	limit := 1 / (2 * math.Sin(math.Pi/8))
	if _, err := align.Butterworth(limit * (1 - 1e-9)); err == nil {
		t.Error("B4 exists below its limit")
	}
	if v, err := align.Butterworth(limit * (1 + 1e-9)); err != nil || v.Alpha > 1e-6 {
		t.Errorf("B4 just above its limit: %+v, %v", v, err)
	}
}

// Two pairs of unequal Q: the response is the product of two sections.
func TestPairsAreTwoSections(t *testing.T) {
	for _, q := range [][2]float64{{0.5176, 0.7071}, {0.6, 1.6}, {0.7071, 1.9319}, {0.4, 3}} {
		for _, ql := range []float64{0, 7} {
			v, err := align.Pairs(q[0], q[1], ql)
			if err != nil {
				t.Fatal(err)
			}
			d := ofQts(t, v.Qts)
			s := box.System{Driver: d, Enclosure: box.Vented{Vb: d.Vas(air.Standard()) / units.Volume(v.Alpha), Fb: d.Fs() * units.Frequency(v.H), QL: ql}}
			peak := 0.0
			for x := 0.3; x < 20; x *= 1.001 {
				j := complex(0, x)
				g := j * j * j * j / ((j*j + j/complex(q[0], 0) + 1) * (j*j + j/complex(q[1], 0) + 1))
				want := 20 * math.Log10(cmplx.Abs(g))
				peak = max(peak, want)
				if got := s.Gain(d.Fs() * units.Frequency(x)); !(math.Abs(got-want) < 1e-9) {
					t.Fatalf("q %v, x %v: %v, want %v", q, x, got, want)
				}
			}
			near(t, "peak", v.Ripple, peak, 1e-4)
		}
	}
}

// A source's resistance is a part of Re.
func TestSourceResistance(t *testing.T) {
	d := ofQts(t, 0.3)
	d.Re += 0.5
	v, err := align.Vented(d, align.QB3, 7, air.Standard())
	if err != nil {
		t.Fatal(err)
	}
	qms, qes := 2.4, 1/(1/0.3-1/2.4)*(6.5/6)
	near(t, "Qts", v.Qts, 1/(1/qms+1/qes), 1e-12)
}

// All lengths and times of a driver scaled, the box scales with it.
func TestScaling(t *testing.T) {
	d := ofQts(t, 0.33)
	big := d // frequencies halved, volumes eightfold
	big.Sd *= 4
	big.Cms *= 0.5
	big.Mms *= 8
	big.Rms *= 4
	big.Bl *= 2
	one, err1 := align.Vented(d, align.QB3, 7, air.Standard())
	two, err2 := align.Vented(big, align.QB3, 7, air.Standard())
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	near(t, "volume", float64(two.Box.Vb/one.Box.Vb), 8, 1e-12)
	near(t, "tuning", float64(two.Box.Fb/one.Box.Fb), 0.5, 1e-12)
	near(t, "cut-off", float64(two.Cutoff/one.Cutoff), 0.5, 1e-12)
}

func TestFamilyRefusals(t *testing.T) {
	for _, c := range []struct {
		family  align.Family
		qts, ql float64
		want    string
	}{
		{align.B4, 0.35, 7, "align: Qts 0.35: must be 0.4048 for B4 at this QL"},
		{align.BE4, 0.35, 7, "align: Qts 0.35: must be 0.3312 for BE4 at this QL"},
		{align.QB3, 0.45, 7, "align: Qts 0.45: must be between 0.007261 and 0.4048 for QB3 at this QL"},
		{align.C4, 0.35, 7, "align: Qts 0.35: must be between 0.4048 and 1.298 for C4 at this QL"},
		{align.C4, 0.65, 2, "align: Qts 0.65: must be between 0.4732 and 0.6003 for C4 at this QL"},
		{align.SC4, 0.2, 7, "align: Qts 0.2: must be between 0.2352 and 0.4048 for SC4 at this QL"},
		{align.TwoPairs, 8, 7, "align: Qts 8: must be below QL, 7"},
		{align.QB3, 0.3, 1.2, "align: QL 1.2: is too low: no volume gives this member of the family B4"},
		{align.QB3, -0.3, 7, "align: Qts -0.3: must be positive"},
		{align.QB3, math.NaN(), 7, "align: Qts NaN: must be positive"},
		{align.QB3, 0.3, math.Inf(1), "align: QL"},
		{align.C4, 0.5, -7, "align: QL -7: must be zero or positive"},
		{align.TwoPairs + 1, 0.5, 7, "align: family Family(6)"},
	} {
		_, err := c.family.For(c.qts, c.ql)
		var refused *units.RangeError
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%v, Qts %v, QL %v: %v, want %q", c.family, c.qts, c.ql, err, c.want)
		}
	}
	var errs []error
	add := func(_ align.Alignment, err error) { errs = append(errs, err) }
	add(align.Chebyshev(0, 7))
	add(align.Chebyshev(math.NaN(), 7))
	add(align.QuasiButterworth(-1, 7))
	add(align.QuasiButterworth(1e200, 7))
	add(align.Pairs(0, 1, 7))
	add(align.Pairs(1, math.Inf(1), 7))
	add(align.Bessel(math.NaN()))
	_, err := align.ChebyshevK(0)
	_, err2 := align.ChebyshevQ(-1)
	_, err3 := align.Vented(ts.Driver{}, align.QB3, 7, air.Standard())
	_, err4 := align.Vented(ofQts(t, 0.3), align.QB3, 7, air.Air{Density: -1, SpeedOfSound: 340})
	for i, err := range slices.Concat(errs, []error{err, err2, err3, err4}) {
		if err == nil {
			t.Errorf("refusal %d is missing", i)
		}
	}
	v, _ := align.Butterworth(7)
	for _, db := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got := v.Cutoff(db); !math.IsNaN(got) {
			t.Errorf("cut-off at %v dB: %v", db, got)
		}
	}
}

// A closed box of the Q has the peak.
func TestClosedPeak(t *testing.T) {
	for _, ripple := range []float64{0.001, 0.2, 1, 3, 10} {
		q, err := align.ChebyshevQ(ripple)
		if err != nil {
			t.Fatal(err)
		}
		_, peak := box.ClosedAlignment{Fc: 40, Qtc: q}.Peak()
		near(t, "peak", peak, ripple, 1e-10)
	}
	if q, err := align.ChebyshevQ(0); err != nil || q != math.Sqrt(0.5) {
		t.Errorf("no ripple: %v, %v", q, err)
	}
	near(t, "Bessel", align.BesselQ, 1/math.Sqrt(3), 2e-16)
}

// Power laws are straight in logarithms.
func TestFittedAreStraight(t *testing.T) {
	slope := func(f func(float64) float64) float64 { return math.Log2(f(0.4) / f(0.2)) }
	for _, c := range []struct {
		rule                           func(float64) (align.Fitted, error)
		volume, tuning, unity, cutoff1 float64
	}{{align.Fitted15, 2.87, -0.9, 15, 0.26}, {align.Fitted20, 3.3, -0.96, 20, 0.28}} {
		get := func(q float64) align.Fitted {
			f, err := c.rule(q)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		near(t, "volume", slope(func(q float64) float64 { return get(q).Volume }), c.volume, 1e-12)
		near(t, "tuning", slope(func(q float64) float64 { return get(q).Tuning }), c.tuning, 1e-12)
		near(t, "cut-off", slope(func(q float64) float64 { return get(q).Cutoff }), -1.4, 1e-12)
		near(t, "volume at 1", get(1).Volume, c.unity, 1e-12)
		near(t, "cut-off at 1", get(1).Cutoff, c.cutoff1, 1e-12)
		if _, err := c.rule(0); err == nil {
			t.Error("Qts 0 is accepted")
		}
	}
	f, peak, err := align.FittedOffSize(1/2.6, 1)
	if err != nil || f != (align.Fitted{Volume: 1, Tuning: 1, Cutoff: 1}) || math.Abs(peak) > 1e-12 {
		t.Errorf("off-size at 1: %+v, %v, %v", f, peak, err)
	}
	if _, _, err := align.FittedOffSize(0.3, math.NaN()); err == nil {
		t.Error("a volume that is no number is accepted")
	}
}
