package ts_test

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

var warm = ts.Thermal{Rtv: 3.4, Ctv: 4.6, Rtm: 1.6, Ctm: 750}

func TestThermalRows(t *testing.T) {
	golden.Run(t, "testdata/thermal.csv", func(t *testing.T, r golden.Row) {
		var m ts.Metal
		if r.Has("alpha") {
			m = ts.Metal(r.Num(t, "alpha", "1/K"))
		}
		if r.Calculation == "resistance of a warm wire" {
			d := ts.Driver{Re: units.Resistance(r.Num(t, "R", "ohm"))}
			r.Check(t, float64(d.Heated(r.Num(t, "rise", "K"), m).Re))
			return
		}
		if r.Has("Rth") { // divided as one likes
			rth := r.Num(t, "Rth", "K/W")
			h := ts.Thermal{Rtv: rth * 0.7, Ctv: 5, Rtm: rth * 0.3, Ctm: 1000}
			re, p := units.Resistance(1), 0.0
			if r.Has("P") {
				p = r.Num(t, "P", "W")
			} else {
				e := r.Num(t, "E", "V")
				re = units.Resistance(r.Num(t, "Re", "ohm"))
				p = e * e / float64(re)
			}
			rise := h.SteadyRise(units.Power(p), m)
			hot := ts.Driver{Re: re}.Heated(rise, m).Re
			switch r.Calculation {
			case "steady rise at constant voltage":
				r.Check(t, rise)
			case "steady Re at constant voltage":
				r.Check(t, float64(hot))
			case "steady heat at constant voltage":
				r.Check(t, p*float64(re/hot))
			case "steady compression at constant voltage":
				r.Check(t, m.Compression(rise))
			default:
				r.Unknown(t)
			}
			return
		}
		h := ts.Thermal{
			Rtv: r.Num(t, "Rtv", "K/W"), Ctv: r.Num(t, "Ctv", "J/K"), Rtm: r.Num(t, "Rtm", "K/W"), Ctm: r.Num(t, "Ctm", "J/K"),
		}
		fast, slow := h.TimeConstants()
		switch r.Calculation {
		case "fast time constant":
			r.Check(t, float64(fast))
			return
		case "slow time constant":
			r.Check(t, float64(slow))
			return
		}
		heat, at := units.Power(r.Num(t, "heat", "W")), units.Time(r.Num(t, "t", "s"))
		coil, magnet := h.Rise(heat, at)
		stepped, steppedMagnet := h.RiseUnder(func(float64) units.Power { return heat }, at)
		switch r.Calculation {
		case "rise of the coil at constant heat":
			r.Check(t, coil)
			r.Check(t, stepped)
		case "rise of the magnet at constant heat":
			r.Check(t, magnet)
			r.Check(t, steppedMagnet)
		default:
			r.Unknown(t)
		}
	})
}

// small solves the two bodies by the classical Runge–Kutta method in small steps, and
// sums the energy that flows in and out.
func small(h ts.Thermal, heat func(rise float64) float64, t float64, n int) (coil, magnet, in, out float64) {
	flow := func(x [4]float64) [4]float64 {
		p, q := heat(x[0]), (x[0]-x[1])/h.Rtv
		return [4]float64{(p - q) / h.Ctv, (q - x[1]/h.Rtm) / h.Ctm, p, x[1] / h.Rtm}
	}
	step := t / float64(n)
	ahead := func(x, d [4]float64, k float64) [4]float64 {
		for i := range x {
			x[i] += k * d[i]
		}
		return x
	}
	var x [4]float64
	for range n {
		a := flow(x)
		b := flow(ahead(x, a, step/2))
		c := flow(ahead(x, b, step/2))
		d := flow(ahead(x, c, step))
		x = ahead(ahead(ahead(ahead(x, a, step/6), b, step/3), c, step/3), d, step/6)
	}
	return x[0], x[1], x[2], x[3]
}

// Small explicit steps find the same, for constant heat, for constant voltage, and for
// heat that grows with temperature, as at the peak of an impedance.
func TestRiseBySmallSteps(t *testing.T) {
	for _, h := range []ts.Thermal{warm, {Rtv: 8, Ctv: 0.3, Rtm: 4, Ctm: 60}, {Rtv: 1, Ctv: 100, Rtm: 1, Ctm: 100}} {
		fast, _ := h.TimeConstants()
		for _, after := range []float64{0.01, 1, 30, 300} {
			n := 200 + int(60*after/float64(fast))
			constant := func(float64) float64 { return 60 }
			coil, magnet, _, _ := small(h, constant, after, n)
			c, m := h.Rise(60, units.Time(after))
			near(t, "coil, constant heat", c, coil, 1e-7)
			near(t, "magnet, constant heat", m, magnet, 1e-7)

			voltage := func(rise float64) float64 { return 60 / (1 + 0.00393*rise) }
			coil, magnet, in, out := small(h, voltage, after, n)
			c, m = h.RiseAtVoltage(60, ts.Copper, units.Time(after))
			near(t, "coil, constant voltage", c, coil, 1e-6)
			near(t, "magnet, constant voltage", m, magnet, 1e-6)
			near(t, "energy", float64(h.Ctv*c)+float64(h.Ctm*m)+out, in, 1e-6)

			growing := func(rise float64) float64 { return 10 * (1 + 0.002*rise) }
			coil, magnet, _, _ = small(h, growing, after, n)
			c, m = h.RiseUnder(func(x float64) units.Power { return units.Power(growing(x)) }, units.Time(after))
			near(t, "coil, growing heat", c, coil, 1e-6)
			near(t, "magnet, growing heat", m, magnet, 1e-6)
		}
	}
}

// The method is of fourth order: its steps are few, and still it is much better than
// promised. A wrong weight would spoil the one or the other.
func TestRiseUnderIsOfFourthOrder(t *testing.T) {
	for _, after := range []float64{5, 40, 400} {
		voltage := func(rise float64) float64 { return 80 / (1 + 0.00393*rise) }
		coil, magnet, _, _ := small(warm, voltage, after, 20000)
		calls := 0
		c, m := warm.RiseUnder(func(rise float64) units.Power { calls++; return units.Power(voltage(rise)) }, units.Time(after))
		near(t, "coil", c, coil, 1e-9)
		near(t, "magnet", m, magnet, 1e-9)
		if calls > 1500 {
			t.Errorf("after %v s: %d calls", after, calls)
		}
	}
}

func TestThermalLimits(t *testing.T) {
	h := warm
	// At once all heat stays in the coil: P t/Ctv, and what leaves it is P t²/(2 τ Ctm …).
	const brief = 1e-6
	c, m := h.Rise(50, brief)
	near(t, "coil at once", c, 50*brief/h.Ctv, 1e-6)
	near(t, "magnet at once", m, 50*brief*brief/(2*h.Ctv*h.Rtv*h.Ctm), 1e-6)
	c, _ = h.RiseAtVoltage(50, ts.Copper, brief)
	near(t, "coil at once, constant voltage", c, 50*brief/h.Ctv, 1e-6)
	for _, rise := range []func(units.Time) (float64, float64){
		func(at units.Time) (float64, float64) { return h.Rise(50, at) },
		func(at units.Time) (float64, float64) { return h.RiseAtVoltage(50, ts.Copper, at) },
	} {
		if c, m := rise(0); c != 0 || m != 0 {
			t.Errorf("at 0: %v, %v", c, m)
		}
		last := 0.0
		for at := units.Time(0.1); at < 1e5; at *= 3 {
			c, m := rise(at)
			if !(c >= last && m < c) {
				t.Errorf("%v: coil %v after %v, magnet %v", at, c, last, m)
			}
			last = c
		}
		if c, _ := rise(units.Time(math.NaN())); !math.IsNaN(c) {
			t.Errorf("at no time: %v", c)
		}
	}
	// For good: all heat flows through both resistances.
	c, m = h.Rise(50, units.Time(math.Inf(1)))
	near(t, "coil for good", c, 50*(3.4+1.6), 1e-14)
	near(t, "magnet for good", m, 50*1.6, 1e-14)
	c, m = h.RiseAtVoltage(50, ts.Copper, units.Time(math.Inf(1)))
	steady := h.SteadyRise(50, ts.Copper)
	near(t, "coil for good, constant voltage", c, steady, 1e-6)
	near(t, "magnet for good, constant voltage", m/c, 1.6/(3.4+1.6), 1e-6)
	near(t, "heat and rise agree", steady*ts.Copper.Ratio(steady), 50*(3.4+1.6), 1e-14)
	near(t, "without feedback", h.SteadyRise(50, 0), 250, 1e-14)
	near(t, "little heat", h.SteadyRise(1e-12, ts.Copper), 5e-12, 1e-9)

	fast, slow := h.TimeConstants()
	near(t, "product", float64(fast*slow), h.Rtv*h.Ctv*h.Rtm*h.Ctm, 1e-14) // of the determinant
	near(t, "sum", float64(fast+slow), h.Rtv*h.Ctv+h.Rtm*h.Ctm+h.Rtm*h.Ctv, 1e-14)

	if c, _ := h.RiseUnder(func(float64) units.Power { return units.Power(math.NaN()) }, 1); !math.IsNaN(c) {
		t.Errorf("heat that is no number: %v", c)
	}
}

// A coil that is hot damps less: Qes grows with Re, and the level falls by as many dB.
func TestHeated(t *testing.T) {
	d := woofer
	h := d.Heated(100, ts.Copper)
	near(t, "Qes", h.Qes()/d.Qes(), 1.393, 1e-14)
	near(t, "level", float64(d.SPL283(air.Air{})-h.SPL283(air.Air{})), 20*math.Log10(1.393)-10*math.Log10(1.393)+10*math.Log10(1.393), 1e-12)
	near(t, "compression", ts.Copper.Compression(100), 20*math.Log10(1.393), 1e-14)
	near(t, "efficiency per watt", float64(d.SPL1W(air.Air{})-h.SPL1W(air.Air{})), ts.Copper.Compression(100)/2, 1e-12)
	near(t, "aluminium", ts.Aluminium.Ratio(100), 1.403, 1e-14)
}

func TestThermalRefuses(t *testing.T) {
	if err := warm.Check(); err != nil {
		t.Error(err)
	}
	for i := range 4 {
		for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
			h := warm
			*[]*float64{&h.Rtv, &h.Ctv, &h.Rtm, &h.Ctm}[i] = bad
			if h.Check() == nil {
				t.Errorf("%+v passes", h)
			}
		}
	}
	want := "ts: thermal Rtv 0 K/W: must be positive and finite"
	if err := (ts.Thermal{}).Check(); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func BenchmarkRiseAtVoltage(b *testing.B) {
	for b.Loop() {
		warm.RiseAtVoltage(100, ts.Copper, 600)
	}
}
