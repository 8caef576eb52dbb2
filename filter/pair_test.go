package filter

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// pairOf returns the pair of a prototype with its corner at 1 rad/s.
func pairOf(proto rational.Func, inverted bool) Pair {
	return Pair{Low: proto, High: proto.HighPass(), Inverted: inverted}
}

func rowPair(t *testing.T, r golden.Row) Pair {
	t.Helper()
	return pairOf(prototype(t, r), r.Has("polarity") && r.Word(t, "polarity") == "inverted")
}

func TestSumRows(t *testing.T) {
	golden.Run(t, "testdata/sums.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "delay of sum":
			r.Check(t, rowPair(t, r).GroupDelay(r.Num(t, "x", "1")/(2*math.Pi)))
		case "greatest delay of sum":
			r.Check(t, rowPair(t, r).GroupDelay(slowest(rowPair(t, r))/(2*math.Pi)))
		case "frequency of greatest delay of sum":
			r.Check(t, slowest(rowPair(t, r)))
		case "impedance of pair at the corner":
			r.Check(t, 1/rowPair(t, r).Power(1/(2*math.Pi)))
		case "level of three-way that splits twice":
			r.Check(t, decibel(cmplx.Abs(tree(t, r, false))))
		case "level of three-way that splits twice, with all-pass":
			r.Check(t, decibel(cmplx.Abs(tree(t, r, true))))
		default:
			r.Unknown(t)
		}
	})
}

// slowest returns the angular frequency of the greatest delay between 0.3 and 1.2, by
// golden section.
func slowest(p Pair) float64 {
	lo, hi := 0.3, 1.2
	for range 80 {
		a, b := hi-(hi-lo)/math.Phi, lo+(hi-lo)/math.Phi
		if p.GroupDelay(a/(2*math.Pi)) > p.GroupDelay(b/(2*math.Pi)) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

// tree is a low way against the rest of two, all of fourth-order Linkwitz-Riley.
func tree(t *testing.T, r golden.Row, withAllPass bool) complex128 {
	t.Helper()
	s := complex(0, r.Num(t, "x", "1"))
	lower := pairOf(must(LinkwitzRiley(4)), false)
	w := r.Num(t, "ratio", "1")
	upper := Pair{Low: lower.Low.Scaled(w), High: lower.High.Scaled(w)}
	low := lower.Low.At(s)
	if withAllPass {
		low *= must(AllPass(must(Butterworth(2)))).Scaled(w).At(s)
	}
	return low + lower.High.At(s)*upper.At(s)
}

func TestLobeRows(t *testing.T) {
	golden.Run(t, "testdata/lobes.csv", func(t *testing.T, r golden.Row) {
		p := rowPair(t, r)
		if r.Calculation == "level with path difference" {
			fc := r.Num(t, "fc", "Hz")
			p.Low, p.High = p.Low.Scaled(2*math.Pi*fc), p.High.Scaled(2*math.Pi*fc)
			p.Delay = units.Time(r.Num(t, "offset", "mm") / 1000 / r.Num(t, "c", "m/s"))
			r.Check(t, decibel(cmplx.Abs(p.AtHz(fc))))
			return
		}
		// A corner of 1 rad/s has a wavelength of 2π m at 1 m/s.
		const hz, c = 1 / (2 * math.Pi), units.Velocity(1)
		spacing := units.Length(2 * math.Pi * r.Num(t, "spacing", "1"))
		lobes, nulls, err := p.Lobes(hz, spacing, c)
		if err != nil {
			t.Fatal(err)
		}
		// The one closest to the axis, above or below.
		first := func(angles []units.Angle) float64 {
			best := math.Inf(1)
			for _, a := range angles {
				best = min(best, math.Abs(a.In(units.Degree)))
			}
			return best
		}
		angle := func() units.Angle { return units.Angle(r.Num(t, "angle", "°")) * units.Degree }
		level := func(z complex128) float64 { return decibel(cmplx.Abs(z)) }
		switch r.Calculation {
		case "angle of lobe":
			r.Check(t, first(lobes))
		case "angle of null":
			r.Check(t, first(nulls))
		case "level toward":
			// Up or down, whichever side the lobe tilts to.
			r.Check(t, max(level(p.Toward(hz, spacing, angle(), c)), level(p.Toward(hz, spacing, -angle(), c))))
		case "level toward, low ways above and below":
			r.Check(t, level(p.TowardSymmetric(hz, spacing, angle(), c)))
		default:
			r.Unknown(t)
		}
	})
}

// pairs are the classical ones, each with the polarity that the package comment names.
func pairs() map[string]Pair {
	return map[string]Pair{
		"Butterworth 1":            pairOf(must(Butterworth(1)), false),
		"Butterworth 2, inverted":  pairOf(must(Butterworth(2)), true),
		"Butterworth 3":            pairOf(must(Butterworth(3)), false),
		"Butterworth 3, inverted":  pairOf(must(Butterworth(3)), true),
		"Butterworth 4":            pairOf(must(Butterworth(4)), false),
		"Linkwitz-Riley 2":         pairOf(must(LinkwitzRiley(2)), true),
		"Linkwitz-Riley 4":         pairOf(must(LinkwitzRiley(4)), false),
		"Linkwitz-Riley 8":         pairOf(must(LinkwitzRiley(8)), false),
		"Linkwitz-Riley 24":        pairOf(must(LinkwitzRiley(24)), false),
		"Bessel 2, inverted":       pairOf(must(Bessel(2, PhaseNorm)), true),
		"Bessel 4":                 pairOf(must(Bessel(4, PhaseNorm)), false),
		"Chebyshev 5 against LR 2": {Low: must(Chebyshev(5, 1)), High: must(LinkwitzRiley(2)).HighPass()},
		"second order, Q = 1":      pairOf(must(SecondOrder(1)), true),
	}
}

// The sum of two functions and the function of the sum are one, and so are its
// delay over the roots, over the derivative and as a difference of phase.
func TestSumAsFunction(t *testing.T) {
	for name, p := range pairs() {
		f := must(p.Func())
		if err := f.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for _, hz := range []float64{0, 0.01, 0.05, 0.13, 0.2, 0.4, 3} {
			got, want := f.AtHz(hz), p.AtHz(hz)
			if !(cmplx.Abs(got-want) <= 1e-10*max(1e-3, cmplx.Abs(want))) {
				t.Errorf("%s at %v Hz: function %v, sum %v", name, hz, got, want)
			}
			d := p.GroupDelay(hz)
			if !(math.Abs(f.GroupDelay(hz)-d) <= 1e-8*(1+math.Abs(d))) {
				t.Errorf("%s at %v Hz: delay of function %v, of sum %v", name, hz, f.GroupDelay(hz), d)
			}
			if hz == 0 {
				continue
			}
			const step = 1e-6
			turned := cmplx.Phase(p.AtHz(hz*(1+step)) / p.AtHz(hz*(1-step)))
			if numeric := -turned / (4 * math.Pi * hz * step); !(math.Abs(numeric-d) <= 1e-5*(1+math.Abs(d))) {
				t.Errorf("%s at %v Hz: delay %v, from phase %v", name, hz, d, numeric)
			}
		}
	}
}

// A delay of one way: the sum of both, its delay, and no function.
func TestDelayedSum(t *testing.T) {
	p := pairOf(must(LinkwitzRiley(4)), false)
	p.Delay = 0.7
	for _, x := range []float64{0.3, 1, 2.5} {
		want := p.Low.At(complex(0, x)) + p.High.At(complex(0, x))*cmplx.Rect(1, -0.7*x)
		if got := p.At(complex(0, x)); !(cmplx.Abs(got-want) <= 1e-14) {
			t.Errorf("at %v: %v, want %v", x, got, want)
		}
		const step = 1e-6
		turned := cmplx.Phase(p.At(complex(0, x*(1+step))) / p.At(complex(0, x*(1-step))))
		if d := p.GroupDelay(x / (2 * math.Pi)); !(math.Abs(d+turned/(2*x*step)) <= 1e-5) {
			t.Errorf("at %v: delay %v, from phase %v", x, d, -turned/(2*x*step))
		}
	}
	// Far above its corner the high way is alone, as late as it is.
	if d := p.GroupDelay(1e4); !(math.Abs(d-0.7) <= 1e-6) {
		t.Errorf("far above: delay %v", d)
	}
	if _, err := p.Func(); err == nil {
		t.Error("a delay became rational")
	}
}

// What is known to be flat is an all-pass, with half of its roots left; the rest is
// not.
func TestIsAllPass(t *testing.T) {
	flat := map[string]int{ // and the order that is left
		"Butterworth 1": 0, "Butterworth 3": 2, "Butterworth 3, inverted": 1,
		"Linkwitz-Riley 2": 1, "Linkwitz-Riley 4": 2, "Linkwitz-Riley 8": 4, "Linkwitz-Riley 24": 12,
	}
	for name, p := range pairs() {
		f := must(p.Func())
		order, want := flat[name]
		if IsAllPass(f) != want || want && len(f.Poles) != order {
			t.Errorf("%s: all-pass %v, %d poles", name, IsAllPass(f), len(f.Poles))
		}
		most, least := 0.0, math.Inf(1)
		for x := 0.05; x < 20; x *= 1.05 {
			g := cmplx.Abs(p.At(complex(0, x)))
			most, least = max(most, g), min(least, g)
		}
		if (most-least < 1e-12) != want {
			t.Errorf("%s: |sum| from %v to %v", name, least, most)
		}
	}
}

// The polarity by which level there is, and by name.
func TestPolarity(t *testing.T) {
	const corner = 1 / (2 * math.Pi)
	for name, want := range map[string]Polarity{
		"Butterworth 1": Either, "Butterworth 3": Either, "Butterworth 2, inverted": Inverted, "Butterworth 4": Same,
		"Linkwitz-Riley 2": Inverted, "Linkwitz-Riley 4": Same, "Bessel 2, inverted": Inverted, "Bessel 4": Same,
	} {
		p := pairs()[name]
		if got := p.Polarity(corner); got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
		same, inverted := p, p
		same.Inverted, inverted.Inverted = false, true
		a, b := cmplx.Abs(same.AtHz(corner)), cmplx.Abs(inverted.AtHz(corner))
		louder := Either
		if a > b*(1+1e-9) {
			louder = Same
		} else if b > a*(1+1e-9) {
			louder = Inverted
		}
		if louder != want {
			t.Errorf("%s: %v is louder, want %v", name, louder, want)
		}
	}
	late := pairOf(must(LinkwitzRiley(4)), false)
	late.Delay = math.Pi // half a period at the corner
	if got := late.Polarity(corner); got != Inverted {
		t.Errorf("half a period late: %v", got)
	}
}

// Both ladders together take what Power says, at any frequency, and at the corner
// their impedance is the load over it.
func TestPowerIsConductance(t *testing.T) {
	const f, r = 700.0, 6.0
	for name, proto := range families(4) {
		w := 2 * math.Pi * f
		p := Pair{Low: proto.Scaled(w), High: proto.HighPass().Scaled(w)}
		low, high := must(LowPass(proto, f, r)), must(HighPass(proto, f, r))
		for _, hz := range []float64{70, 500, f, 900, 5000} {
			_, zl := solve(low, hz, r)
			_, zh := solve(high, hz, r)
			y := 1/zl + 1/zh
			if !(math.Abs(real(y)*r-p.Power(hz)) <= 1e-10*p.Power(hz)) {
				t.Errorf("%s at %v Hz: conductance %v/r, power %v", name, hz, real(y)*r, p.Power(hz))
			}
			if hz == f && !(math.Abs(imag(y)) <= 1e-10*real(y)) {
				t.Errorf("%s: admittance at the corner %v", name, y)
			}
		}
	}
}

// The angles that Lobes gives are those of extremes of the level, all of them, and
// the sum there is that and the difference of both levels.
func TestLobesAreExtremes(t *testing.T) {
	const c = units.Velocity(343)
	for name, p := range pairs() {
		p.Low, p.High = p.Low.Scaled(2*math.Pi*2000), p.High.Scaled(2*math.Pi*2000)
		for _, hz := range []float64{1300, 2000, 3500} {
			for _, d := range []units.Length{0.05, 0.17, 0.4} {
				lobes, nulls, err := p.Lobes(hz, d, c)
				if err != nil {
					t.Fatal(err)
				}
				level := func(a units.Angle) float64 { return cmplx.Abs(p.Toward(hz, d, a, c)) }
				l, h := cmplx.Abs(p.Low.AtHz(hz)), cmplx.Abs(p.High.AtHz(hz))
				for _, a := range lobes {
					if !(math.Abs(level(a)-(l+h)) <= 1e-12*(l+h)) {
						t.Errorf("%s, %v Hz, %v: lobe at %v: %v, want %v", name, hz, d, a, level(a), l+h)
					}
				}
				for _, a := range nulls {
					if !(math.Abs(level(a)-math.Abs(l-h)) <= 1e-9*(l+h)) {
						t.Errorf("%s, %v Hz, %v: null at %v: %v, want %v", name, hz, d, a, level(a), math.Abs(l-h))
					}
				}
				// Turning points of the level on a fine grid in sin θ.
				peaks, dips := 0, 0
				const n = 4000
				at := func(i int) float64 { return level(units.Angle(math.Asin(float64(i) / n))) }
				for i := -n + 1; i < n; i++ {
					before, now, after := at(i-1), at(i), at(i+1)
					if now > before && now >= after {
						peaks++
					}
					if now < before && now <= after {
						dips++
					}
				}
				if len(lobes) != peaks || len(nulls) != dips {
					t.Errorf("%s, %v Hz, %v: %d lobes and %d nulls, counted %d and %d", name, hz, d, len(lobes), len(nulls), peaks, dips)
				}
			}
		}
	}
}

// Three sources in a row, added one by one.
func TestTowardSymmetric(t *testing.T) {
	const c = units.Velocity(343)
	for name, p := range pairs() {
		p.Low, p.High = p.Low.Scaled(2*math.Pi*2000), p.High.Scaled(2*math.Pi*2000)
		for _, deg := range []float64{-70, -10, 0, 33, 90} {
			hz, d, a := 1700.0, 0.14, deg*math.Pi/180
			late := cmplx.Rect(1, -2*math.Pi*hz*d*math.Sin(a)/float64(c))
			sign := complex(1, 0)
			if p.Inverted {
				sign = -1
			}
			want := p.Low.AtHz(hz)/2*late + p.Low.AtHz(hz)/2/late + sign*p.High.AtHz(hz)
			if got := p.TowardSymmetric(hz, units.Length(d), units.Angle(a), c); !(cmplx.Abs(got-want) <= 1e-12) {
				t.Errorf("%s at %v°: %v, want %v", name, deg, got, want)
			}
			// With two sources, and the middle between them as the place for time.
			half := cmplx.Rect(1, -2*math.Pi*hz*d/2*math.Sin(a)/float64(c))
			want = p.Low.AtHz(hz)*half + sign*p.High.AtHz(hz)/half
			if got := p.Toward(hz, units.Length(d), units.Angle(a), c); !(cmplx.Abs(got-want) <= 1e-12) {
				t.Errorf("%s, two sources at %v°: %v, want %v", name, deg, got, want)
			}
		}
	}
}
