package ts_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// randomDrivers yields drivers from small tweeters to large woofers, the same in
// every run.
func randomDrivers(seed uint64, test func(d ts.Driver, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 7))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	for range 500 {
		test(ts.Driver{
			Re: units.Resistance(u(1, 30)), Bl: units.ForceFactor(u(1, 30)), Mms: units.Mass(u(1e-4, 0.5)),
			Cms: units.Compliance(u(1e-5, 5e-3)), Rms: units.MechanicalResistance(u(0.05, 10)), Sd: units.Area(u(3e-4, 0.15)),
			Coil: randomCoil(rng, u), Xmax: units.Length(u(1e-4, 0.03)), Power: units.Power(u(5, 1000)),
		}, u)
	}
}

func randomCoil(rng *rand.Rand, u func(lo, hi float64) float64) ts.Coil {
	var c ts.Coil
	some := func() bool { return rng.IntN(2) == 0 }
	if some() {
		c.Leb = units.Inductance(u(1e-5, 3e-3))
	}
	if some() {
		c.Le = units.Inductance(u(1e-5, 1e-2))
	}
	if some() {
		c.Ke = u(1e-3, 0.2)
	}
	if some() && (c.Le > 0 || c.Ke > 0) {
		c.Rss = units.Resistance(u(1, 300))
	}
	if some() {
		c.K, c.N = u(1e-4, 0.1), u(0.3, 1)
	}
	return c
}

// What a coil of k times the wire resistance, √k times the force factor and k
// times the inductance does: everything but the impedance stays, per watt.
func TestImpedanceScales(t *testing.T) {
	randomDrivers(1, func(d ts.Driver, u func(lo, hi float64) float64) {
		k := u(0.1, 10)
		e := d
		e.Re *= units.Resistance(k)
		e.Bl *= units.ForceFactor(math.Sqrt(k))
		e.Coil = scaledCoil(d.Coil, k)
		want := d.Sheet(air.Air{})
		want.Re *= units.Resistance(k)
		want.Zmax *= units.Resistance(k)
		want.Bl *= units.ForceFactor(math.Sqrt(k))
		want.Le1k *= units.Inductance(k)
		want.Le10k *= units.Inductance(k)
		want.SPL283 -= units.PressureLevel(10 * math.Log10(k))
		if diff := cmp.Diff(want, e.Sheet(air.Air{}), golden.Approx(1e-12, 1e-12)); diff != "" {
			t.Errorf("%+v, k = %g (-want +got):\n%s", d, k, diff)
		}
	})
}

func scaledCoil(c ts.Coil, k float64) ts.Coil {
	c.Leb *= units.Inductance(k)
	c.Le *= units.Inductance(k)
	c.Ke *= k
	c.Rss *= units.Resistance(k)
	c.K *= k
	return c
}

// A driver of k times the size in all directions, of the same materials: its Q and
// efficiency stay, its resonance falls as 1/k, its volumes grow as k³.
func TestSizeScales(t *testing.T) {
	randomDrivers(2, func(d ts.Driver, u func(lo, hi float64) float64) {
		k := u(0.2, 5)
		e := d
		e.Sd *= units.Area(k * k)
		e.Mms *= units.Mass(k * k * k)
		e.Cms /= units.Compliance(k)
		e.Rms *= units.MechanicalResistance(k * k)
		e.Bl *= units.ForceFactor(k) // with the same Re
		e.Xmax *= units.Length(k)
		want := d.Sheet(air.Air{})
		want.Sd, want.Mms, want.Cms, want.Rms, want.Bl, want.Xmax = e.Sd, e.Mms, e.Cms, e.Rms, e.Bl, e.Xmax
		want.Fs /= units.Frequency(k)
		want.Vas *= units.Volume(k * k * k)
		want.Vd *= units.Volume(k * k * k)
		if diff := cmp.Diff(want, e.Sheet(air.Air{}), golden.Approx(1e-12, 1e-12)); diff != "" {
			t.Errorf("%+v, k = %g (-want +got):\n%s", d, k, diff)
		}
	})
}

// n equal drivers side by side in parallel are one driver of n times area, mass and
// stiffness: fs and Q stay, Vas and efficiency are n times as large.
func TestSeveralDrivers(t *testing.T) {
	randomDrivers(3, func(d ts.Driver, u func(lo, hi float64) float64) {
		for n := 2.0; n <= 4; n++ {
			e := d
			e.Re /= units.Resistance(n)
			e.Sd *= units.Area(n)
			e.Mms *= units.Mass(n)
			e.Cms /= units.Compliance(n)
			e.Rms *= units.MechanicalResistance(n)
			for what, pair := range map[string][2]float64{
				"fs":  {float64(e.Fs()), float64(d.Fs())},
				"Qms": {e.Qms(), d.Qms()}, "Qes": {e.Qes(), d.Qes()}, "Qts": {e.Qts(), d.Qts()},
				"Vas":    {float64(e.Vas(air.Air{})), n * float64(d.Vas(air.Air{}))},
				"eta0":   {float64(e.Eta0(air.Air{})), n * float64(d.Eta0(air.Air{}))},
				"2.83 V": {float64(e.SPL283(air.Air{})), float64(d.SPL283(air.Air{})) + 20*math.Log10(n)},
				"Zmax":   {float64(e.Zmax()), float64(d.Zmax()) / n},
			} {
				if !(math.Abs(pair[0]-pair[1]) <= 1e-12*math.Abs(pair[1])) {
					t.Errorf("%g of %+v: %s %g, want %g", n, d, what, pair[0], pair[1])
				}
			}
		}
	})
}

// A coil takes power and stores it in a field that eddy currents push out as the
// frequency rises: resistance and reactance are not negative, the inductance falls.
func TestCoilIsPassive(t *testing.T) {
	randomDrivers(4, func(d ts.Driver, u func(lo, hi float64) float64) {
		if err := d.Check(); err != nil {
			t.Fatal(err)
		}
		last, lastRe := math.Inf(1), 0.0
		for f := 0.01; f < 1e6; f *= 3 {
			z := d.Coil.Impedance(complex(0, 2*math.Pi*f))
			l := float64(d.Coil.Inductance(units.Frequency(f)))
			if !(real(z) >= lastRe*(1-1e-12)) || !(imag(z) >= 0) || cmplx.IsInf(z) || !(l <= last*(1+1e-12)) {
				t.Errorf("%+v at %g Hz: %v after %g Ω, %g H after %g H", d.Coil, f, z, lastRe, l, last)
			}
			if back := d.Coil.Impedance(complex(0, -2*math.Pi*f)); !(cmplx.Abs(back-cmplx.Conj(z)) <= 1e-12*cmplx.Abs(z)) {
				t.Errorf("%+v at %g Hz: %v, at the negative frequency %v", d.Coil, f, z, back)
			}
			last, lastRe = l, real(z)
		}
	})
}
