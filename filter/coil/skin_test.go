package coil

import (
	"math"
	"testing"

	"example.com/halfspace/units"
)

// TestKelvinBySeries: the Bessel functions by their power series.
func TestKelvinBySeries(t *testing.T) {
	for _, x := range []float64{0, 1e-3, 0.1, 0.5, 1, 2, 5, 12} {
		q := complex(0, x*x/2) // -(z/2)²
		j0, j1 := complex(0, 0), complex(0, 0)
		term := complex(1, 0)
		for m := 1.0; m < 120; m++ {
			j0 += term
			j1 += term / complex(m, 0) // times z/2
			term *= q / complex(m*m, 0)
		}
		want, got := j0/j1, kelvin(x)
		near(t, "real", real(got), real(want), 1e-11)
		near(t, "imaginary", imag(got), imag(want), 1e-11)
	}
}

// TestKelvinLimits: slow, the inductance inside a wire, µ0/(8π) a metre; fast, all
// current in one skin depth; and no step between the two ways.
func TestKelvinLimits(t *testing.T) {
	near(t, "inside", imag(kelvin(1e-3))*4, 1e-6, 1e-9)
	near(t, "slow", real(kelvin(0.1))-1, 1e-4/48, 1e-3)
	near(t, "fast", real(kelvin(2000)), 1000.25, 1e-6)
	near(t, "step", real(kelvin(10001))/real(kelvin(9999)), 10001.5/9999.5, 1e-8)
}

func TestSkinErrors(t *testing.T) {
	w := Wire{Diameter: 1e-3}
	for name, test := range map[string]struct {
		w    Wire
		f    units.Frequency
		t    units.Temperature
		want string
	}{
		"wire":        {Wire{}, 1000, 293, "coil: wire diameter 0 mm: must be positive and finite"},
		"frequency":   {w, 0, 293, "coil: frequency 0 Hz: must be positive and finite"},
		"NaN":         {w, units.Frequency(math.NaN()), 293, "coil: frequency NaN Hz: must be positive and finite"},
		"temperature": {w, 1000, 10, "coil: temperature -263.1 °C: must be one at which copper conducts by its straight line"},
	} {
		if _, err := test.w.SkinEffect(test.f, test.t); err == nil || err.Error() != test.want {
			t.Errorf("%s: %v", name, err)
		}
		c := Coil{Wire: test.w, Section: Section{1, 1, 1}, Turns: 1}
		if _, err := c.ResistanceAt([]float64{float64(test.f)}, test.t); err == nil || err.Error() != test.want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestRing: the field of a ring is the slope of the flux through another.
func TestRing(t *testing.T) {
	flux := func(r, z float64) float64 {
		return float64(must[units.Inductance](t)(Mutual(1, units.Length(r), units.Length(z))))
	}
	const h = 1e-4
	for _, p := range [][2]float64{{0.5, 0.2}, {1, 0.3}, {2, -1}, {1.05, 0.1}} {
		r, z := p[0], p[1]
		axial, radial := ring(1, r, z)
		near(t, "axial", axial, (flux(r+h, z)-flux(r-h, z))/(2*h)/(2*math.Pi*r), 1e-5)
		near(t, "radial", radial, -(flux(r, z+h)-flux(r, z-h))/(2*h)/(2*math.Pi*r), 1e-5)
	}
	axial, radial := ring(2, 0, 1)
	near(t, "on the axis", axial, mu0*4/(2*math.Pow(5, 1.5)), 1e-14)
	if radial != 0 {
		t.Errorf("on the axis: %g across it", radial)
	}
}

// TestMeanSquareField: in a long coil the field falls in even steps from that of a
// long solenoid to nothing; and a coil of two turns is two rings.
func TestMeanSquareField(t *testing.T) {
	const m, p = 6, 2.5e-3
	long := func(perLayer float64) float64 {
		c := Coil{Wire: Wire{Diameter: 2e-3, Pitch: p}, Section: Section{0.05, units.Length(perLayer) * p, m * p}, Turns: perLayer * m, Layers: m}
		return c.meanSquareField()
	}
	length, sum := 0.0, 0.0
	for i := range m {
		r := 0.05 + (float64(i)+0.5)*p
		b := mu0 / p * (m - float64(i) - 0.5)
		length += r
		sum += r * b * b
	}
	// What the ends take goes as one over the length; a turn's own field, which is
	// left out, is of the order of the pitch over the radius in one layer.
	near(t, "long", 2*long(800)-long(400), sum/length, 0.015)

	two := Coil{Wire: Wire{Diameter: 0.8e-3, Pitch: p}, Section: Section{0.1, 2 * p, p}, Turns: 2, Layers: 1}
	axial, radial := ring(0.1+p/2, 0.1+p/2, p)
	near(t, "two turns", two.meanSquareField(), axial*axial+radial*radial, 1e-14)
}

// TestMeanSquareFieldOfTurns adds up every pair of turns of a coil whose last layer
// is begun only.
func TestMeanSquareFieldOfTurns(t *testing.T) {
	c := Coil{Wire: Wire{Diameter: 1e-3, Pitch: 1.2e-3}, Section: Section{8e-3, 6 * 1.2e-3, 20. / 6 * 1.2e-3}, Turns: 20}
	at := func(i int) (r, z float64) { return 8e-3 + (float64(i/6)+0.5)*1.2e-3, float64(i%6) * 1.2e-3 }
	length, sum := 0.0, 0.0
	for i := range 20 {
		r, z := at(i)
		var axial, radial float64
		for k := range 20 {
			if a, h := at(k); k != i {
				x, y := ring(a, r, z-h)
				axial += x
				radial += y
			}
		}
		length += r
		sum += r * (axial*axial + radial*radial)
	}
	near(t, "turns", c.meanSquareField(), sum/length, 1e-12)
}

// TestResistanceByDowell: at low frequency, and with the field of a long coil in
// place of its own, the eddies are 3/π of Dowell's for square wire. With its own
// field those of the coil of Brooks are far less.
func TestResistanceByDowell(t *testing.T) {
	const f = 100
	c := must[Coil](t)(Design(1e-3, Wire{Diameter: 1e-3}))
	delta := must[units.Length](t)(SkinDepth(f, units.Celsius(20)))
	side := float64(c.Wire.Diameter) * math.Sqrt(math.Pi) / 2
	p := float64(c.Wire.pitch())
	x := side / float64(delta) * math.Sqrt(side/p)
	layers := float64(c.Layers*c.Layers - 1)
	dowell := x * 2 / 3 * layers * (math.Sinh(x) - math.Sin(x)) / (math.Cosh(x) + math.Cos(x))

	dc := float64(c.Resistance(units.Celsius(20)))
	skin := must[float64](t)(c.Wire.SkinEffect(f, units.Celsius(20)))
	eddies := must[[]float64](t)(c.ResistanceAt([]float64{f}, units.Celsius(20)))[0]/dc - skin
	long := mu0 / p * mu0 / p * layers / 3
	near(t, "long", eddies*long/c.meanSquareField(), 3/math.Pi*dowell, 1e-4)
	if q := dowell / eddies; !(q > 6 && q < 7.5) {
		t.Errorf("coil of Brooks: Dowell's term is %.2f times as much", q)
	}
}

// TestResistanceAt: it begins at the direct current's and rises, at first with the
// square of the frequency.
func TestResistanceAt(t *testing.T) {
	c := must[Coil](t)(Design(0.5e-3, Wire{Diameter: 0.8e-3}))
	dc := float64(c.Resistance(units.Celsius(20)))
	r := must[[]float64](t)(c.ResistanceAt([]float64{1, 50, 100, 1e3, 1e4, 1e5}, units.Celsius(20)))
	near(t, "slow", r[0], dc, 1e-6)
	near(t, "square", (r[2]-dc)/(r[1]-dc), 4, 1e-3)
	for i := range r[1:] {
		if !(r[i+1] > r[i]) {
			t.Errorf("falls: %v", r)
		}
	}
	if _, err := (Coil{Wire: c.Wire, Section: c.Section}).ResistanceAt(nil, 293); err == nil {
		t.Error("no turns: no error")
	}
}

func BenchmarkResistanceAt(b *testing.B) {
	c, err := Design(1e-3, Wire{Diameter: 1e-3})
	if err != nil {
		b.Fatal(err)
	}
	hz := make([]float64, 200)
	for i := range hz {
		hz[i] = 100 * float64(i+1)
	}
	for b.Loop() {
		c.ResistanceAt(hz, units.Celsius(20))
	}
}
