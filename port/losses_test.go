package port

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// bessel is Jn(x) of complex x, n = 0 or 1, by the trapezoidal rule on Bessel's integral.
func bessel(n float64, x complex128) complex128 {
	const steps = 2000
	sum := complex128(0)
	for k := range steps {
		a := 2 * math.Pi * float64(k) / steps
		sum += cmplx.Exp(complex(0, 1) * (complex(n*a, 0) - x*complex(math.Sin(a), 0)))
	}
	return sum / steps
}

func TestLayerByBesselIntegral(t *testing.T) {
	for s := 0.5; s < 600; s *= 1.13 {
		x := complex(s/math.Sqrt2, -s/math.Sqrt2)
		want := 2 * bessel(1, x) / (x * bessel(0, x))
		if got := layer(s); !(cmplx.Abs(got-want) <= 1e-11*cmplx.Abs(want)) {
			t.Errorf("s = %v: got %v, want %v", s, got, want)
		}
	}
	// Both forms where they meet.
	if below, above := layer(30*(1-1e-12)), layer(30); !(cmplx.Abs(below-above) <= 1e-12*cmplx.Abs(above)) {
		t.Errorf("continued fraction %v, asymptotic series %v", below, above)
	}
	// So slow that the layer fills the tube: Poiseuille, 8 μ/a² against jω ρ 4/3.
	const s = 1e-2
	z := 1i / (1 - layer(s))
	near(t, "Poiseuille", real(z)*s*s, 8, 1e-6)
	near(t, "mass of Poiseuille flow", imag(z), 4./3, 1e-6)
}

// The boundary layer as a profile: velocity over the section from the wave
// equation of friction, integrated outwards from the axis.
func TestBoundaryLayerByProfile(t *testing.T) {
	const radius, hz, mu, rho = 0.004, 60., 1.8e-5, 1.2
	// u'' + u'/r − (jωρ/μ) u = −1 in units of (dp/dz)/μ: u = particular + homogeneous.
	k2 := complex(0, 2*math.Pi*hz*rho/mu)
	const n = 4000
	h := radius / float64(n)
	f := func(r float64, u, du complex128) complex128 {
		if r == 0 {
			return k2 * u / 2
		}
		return k2*u - du/complex(r, 0)
	}
	u, du, flow := complex128(1), complex128(0), complex128(0)
	for i := range n {
		r := float64(i) * h
		c := complex(h, 0)
		k1, l1 := du, f(r, u, du)
		k2, l2 := du+c/2*l1, f(r+h/2, u+c/2*k1, du+c/2*l1)
		k3, l3 := du+c/2*l2, f(r+h/2, u+c/2*k2, du+c/2*l2)
		k4, l4 := du+c*l3, f(r+h, u+c*k3, du+c*l3)
		next := u + c/6*(k1+2*k2+2*k3+k4)
		middle := u + c/2*k2
		flow += c / 6 * (u*complex(r, 0) + 4*middle*complex(r+h/2, 0) + next*complex(r+h, 0))
		u, du = next, du+c/6*(l1+2*l2+2*l3+l4)
	}
	share := 2 * flow / (u * radius * radius) // mean of what sticks, over its value at the wall
	want := 1i / (1 - share)
	q, mass := Vent{Diameter: 2 * radius}.BoundaryLayer(hz, air.Air{Density: rho, SpeedOfSound: 340}, mu)
	near(t, "Q", q, imag(want)/real(want), 1e-5)
	near(t, "mass", mass, imag(want), 1e-5)
}

// A flat slot between parallel walls, tanh z/z, and the square by its double series:
// the round vent of equal section per perimeter is near.
func TestBoundaryLayerOfRectangles(t *testing.T) {
	a := air.Standard()
	for _, h := range []units.Length{0.005, 0.02, 0.05} {
		const hz = 40.
		q, _ := Vent{Width: 1000, Height: h}.BoundaryLayer(hz, a, 0)
		z := cmplx.Sqrt(complex(0, 2*math.Pi*hz*float64(a.Density)/float64(StandardViscosity))) * complex(float64(h)/2, 0)
		w := 1i / (1 - cmplx.Tanh(z)/z)
		near(t, fmt.Sprintf("slot of %v", h), q, imag(w)/real(w), 0.6/q) // the first term that is left out is of the size of 1/2
	}
}

// Small-layer limits: Kirchhoff's attenuation, and Q as radius over layer less a half.
func TestLossesForThinLayers(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 343}
	v := Vent{Diameter: 0.2, Length: 0.3}
	const hz, mu = 400., 1.8e-5
	delta := math.Sqrt(2 * mu / (1.2 * 2 * math.Pi * hz))
	q, mass := v.BoundaryLayer(hz, a, mu)
	near(t, "Q", q, 0.1/delta-0.5, 1e-5)
	near(t, "mass", mass, 1+delta/0.1, 1e-5)
	k := 2 * math.Pi * hz / 343
	near(t, "attenuation", v.Attenuation(hz, a, mu), delta/0.2*k*(1+0.4/math.Sqrt(0.708)), 3e-3)
}

// Each loss from the power it takes, over ω times the energy that swings.
func TestLossesArePowers(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 343}
	v := Vent{Diameter: 0.08, Length: 0.3, Count: 2, Outer: Flanged}
	const hz, mu, speed = 50., 1.8e-5, 8.
	l, err := v.Losses(hz, speed, a, mu)
	if err != nil {
		t.Fatal(err)
	}
	omega := 2 * math.Pi * hz
	area, all := float64(v.Area()), float64(v.EffectiveLength())
	energy := omega * 1.2 * all * area * speed * speed / 2 // ω times twice the mean kinetic energy
	power := quad.Fixed(func(phase float64) float64 {      // ½ρv² lost with the flow, mean over half a stroke
		u := speed * math.Sin(phase)
		return 0.5 * 1.2 * u * u * u * area / math.Pi
	}, 0, math.Pi, 40, quad.Legendre{}, 0)
	near(t, "jet", l.Jet, energy/power, 1e-12)
	flow := area * speed / math.Sqrt2
	pressure := 1.2 * hz * flow // RMS at 1 m
	near(t, "radiation", l.Radiation, energy/(pressure*pressure/(1.2*343)*2*math.Pi), 1e-12)
	outer := float64(v.EndCorrection(Flanged))
	layer := math.Sqrt(2*mu/(1.2*omega)) / math.Sqrt(prandtl)
	power = quad.Fixed(func(x float64) float64 { // ωβ_s(γ−1)δ/2 · p² per area of wall
		p := 1.2 * omega * speed / math.Sqrt2 * (x + outer)
		return 2 * math.Pi * 0.08 * omega * 0.4 * layer / (2 * 1.2 * 343 * 343) * p * p
	}, 0, 0.3, 10, quad.Legendre{}, 0)
	near(t, "thermal", l.Thermal, energy/power, 1e-12)
	near(t, "total", 1/l.Total(), 1/l.Viscous+1/l.Thermal+1/l.Radiation+1/l.Jet, 1e-15)

	still, err := v.Losses(hz, 0, a, mu)
	if err != nil || still.Jet != 0 || !(still.Total() > l.Total()) {
		t.Errorf("still air: %+v, %v", still, err)
	}
	if got := (Losses{}).Total(); got != 0 {
		t.Errorf("no losses: Q %v", got)
	}
	if got := (Losses{Jet: 12}).Total(); got != 12 {
		t.Errorf("one loss: Q %v", got)
	}
}

// Friction for an N-fold size at the same frequency per size goes with √size; radiation not at all.
func TestLossesScale(t *testing.T) {
	one, err := Vent{Diameter: 0.1, Length: 0.2}.Losses(40, 5, air.Air{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	four, err := Vent{Diameter: 0.4, Length: 0.8}.Losses(10, 5, air.Air{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "viscous", four.Viscous+0.5, 2*(one.Viscous+0.5), 1e-4)
	near(t, "thermal", four.Thermal, 2*one.Thermal, 1e-12)
	near(t, "radiation", four.Radiation, one.Radiation, 1e-12)
	near(t, "jet", four.Jet, one.Jet, 1e-12)
}

// StandardViscosity is that of the standard air, to its digits.
func TestStandardViscosity(t *testing.T) {
	mu, err := air.Conditions{Temperature: units.Celsius(21.6), Pressure: 100300, Humidity: 0.5}.Viscosity()
	if err != nil || !(math.Abs(float64(mu-StandardViscosity)) <= 0.005e-5) {
		t.Errorf("viscosity %v, %v", float64(mu), err)
	}
}

// A wave that runs to and fro in the tube: what is left after each round trip says Q.
func TestResonanceQByDecay(t *testing.T) {
	a := air.Standard()
	v := Vent{Diameter: 0.05, Length: 0.3, Outer: Flanged}
	list, err := v.Resonances(2500, a, 0)
	if err != nil || len(list) != 4 {
		t.Fatal(list, err)
	}
	for i, r := range list {
		if r.N != i+1 || r.Frequency != v.PipeResonance(r.N, a) {
			t.Errorf("resonance %d: %+v", i, r)
		}
		ka := 2 * math.Pi * float64(r.Frequency) * 0.025 / 345
		_, outer := Flanged.OpenEnd(ka)
		_, inner := Free.OpenEnd(ka)
		long := float64(v.EffectiveLength())
		amplitude := 1.
		const trips = 5
		for range trips {
			amplitude *= outer * inner * math.Exp(-2*long*v.Attenuation(r.Frequency, a, 0))
		}
		seconds := trips * 2 * long / 345
		near(t, "Q", r.Q, math.Pi*float64(r.Frequency)*seconds/-math.Log(amplitude), 1e-12)
		near(t, "bandwidth", float64(r.Bandwidth()), -math.Log(amplitude)/seconds/math.Pi, 1e-12)
	}
	wide, err := Vent{Diameter: 0.2, Length: 0.1}.Resonances(1e9, a, 0)
	if err != nil || len(wide) != 1 { // the second would be across the tube
		t.Errorf("beyond plane waves: %v, %v", wide, err)
	}
	if none, err := v.Resonances(100, a, 0); err != nil || len(none) != 0 {
		t.Errorf("below the first: %v, %v", none, err)
	}
}

func TestLossesRefuse(t *testing.T) {
	v := Vent{Diameter: 0.1, Length: 0.2}
	nan := math.NaN()
	sick := air.Air{SpeedOfSound: 340}
	losses := func(v Vent, f units.Frequency, speed units.Velocity, a air.Air, mu units.Viscosity) error {
		_, err := v.Losses(f, speed, a, mu)
		return err
	}
	resonances := func(v Vent, f units.Frequency, a air.Air, mu units.Viscosity) error {
		_, err := v.Resonances(f, a, mu)
		return err
	}
	criteria := func(v Vent, f units.Frequency, a air.Air, mu units.Viscosity) error {
		_, err := v.Criteria(f, a, mu)
		return err
	}
	for _, c := range []struct {
		err  error
		want string
	}{
		{losses(Vent{Diameter: 0.1}, 30, 0, air.Air{}, 0), "port: length 0"},
		{losses(v, 0, 0, air.Air{}, 0), "port: frequency 0"},
		{losses(v, units.Frequency(nan), 0, air.Air{}, 0), "port: frequency NaN"},
		{losses(v, 30, -1, air.Air{}, 0), "port: air speed -1"},
		{losses(v, 30, units.Velocity(nan), air.Air{}, 0), "port: air speed NaN"},
		{losses(v, 30, 0, sick, 0), "air: density 0"},
		{losses(v, 30, 0, air.Air{}, -1), "port: viscosity -1"},
		{losses(v, 30, 0, air.Air{}, units.Viscosity(nan)), "port: viscosity NaN"},
		{resonances(Vent{}, 30, air.Air{}, 0), "port: diameter"},
		{resonances(v, -30, air.Air{}, 0), "port: frequency -30"},
		{resonances(v, units.Frequency(math.Inf(1)), air.Air{}, 0), "port: frequency +Inf"},
		{resonances(v, 30, sick, 0), "air: density 0"},
		{resonances(v, 30, air.Air{}, -1), "port: viscosity"},
		{criteria(Vent{}, 30, air.Air{}, 0), "port: diameter"},
		{criteria(v, 0, air.Air{}, 0), "port: frequency 0"},
		{criteria(v, 30, sick, 0), "air: density 0"},
		{criteria(v, 30, air.Air{}, units.Viscosity(nan)), "port: viscosity NaN"},
	} {
		var e *units.RangeError
		if !errors.As(c.err, &e) || !strings.HasPrefix(c.err.Error(), c.want) {
			t.Errorf("error %v, want %s", c.err, c.want)
		}
	}
}
