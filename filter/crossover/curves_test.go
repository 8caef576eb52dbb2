package crossover

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

func measured() Curves {
	return Curves{
		Hz: []float64{100, 1000},
		Z:  []complex128{6, 8i},
		Directions: []Direction{
			{Toward: r3.Vec{Z: 2}, P: []complex128{1, 2}},
			{Toward: r3.Vec{X: 1, Z: 1}, P: []complex128{3, 4}},
			{Toward: r3.Vec{X: -1, Z: 1}, P: []complex128{5, 6}},
		},
	}
}

func TestCurves(t *testing.T) {
	c := measured()
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	got := make([]complex128, 2)
	for _, d := range []struct {
		degrees float64
		want    complex128
	}{
		{0, 1}, {22.4, 1}, {22.6, 3}, {45, 3}, {100, 3}, {-22.4, 1}, {-22.6, 5}, {-179, 5},
	} {
		a := d.degrees * math.Pi / 180
		for _, length := range []float64{1, 1e-3, 7} {
			c.Pressure(got, c.Hz, r3.Vec{X: length * math.Sin(a), Z: length * math.Cos(a)})
			if got[0] != d.want || got[1] != d.want+1 {
				t.Errorf("at %g°, vector of length %g: %v, want %v", d.degrees, length, got, d.want)
			}
		}
	}
	// As near to the second as to the third.
	if c.Pressure(got, c.Hz, r3.Vec{Y: 1}); got[0] != 1 {
		t.Errorf("of equally near directions: %v, want the first", got[0])
	}
	if c.Impedance(got, c.Hz); !slices.Equal(got, c.Z) {
		t.Errorf("impedance %v", got)
	}
	panics(t, "another grid", func() { c.Impedance(got, []float64{100, 1001}) })
	panics(t, "no room", func() { c.Impedance(got[:1], c.Hz) })
	panics(t, "no direction", func() { c.Pressure(got, c.Hz, r3.Vec{}) })
}

// Beyond the measured directions a driver with a radius is a piston: the second
// road adds the disc up strip by strip.
func TestCurvesBesideMeasurements(t *testing.T) {
	c := measured()
	c.Radius, c.SpeedOfSound = 0.1, 345
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	toward := func(degrees float64) r3.Vec {
		a := degrees * math.Pi / 180
		return r3.Vec{Y: 3 * math.Sin(a), Z: 3 * math.Cos(a)}
	}
	got := make([]complex128, 2)
	for _, degrees := range []float64{0, 7.4, -7.4} {
		if i, measured := c.Nearest(toward(degrees)); i != 0 || !measured {
			t.Errorf("%g°: direction %d, measured %v", degrees, i, measured)
		}
		if c.Pressure(got, c.Hz, toward(degrees)); got[0] != 1 || got[1] != 2 {
			t.Errorf("%g°: %v, want the measurement", degrees, got)
		}
	}
	for _, degrees := range []float64{7.6, -7.6, 30, 60, 90} {
		if _, measured := c.Nearest(toward(degrees)); measured {
			t.Errorf("%g° passes for measured", degrees)
		}
		c.Pressure(got, c.Hz, toward(degrees))
		for i, f := range c.Hz {
			x := 2 * math.Pi * f * 0.1 / 345 * math.Sin(degrees*math.Pi/180)
			const n = 20000 // strips, evenly spaced in angle around the disc
			sum := 0.0
			for k := range n {
				v := (float64(k) + 0.5) / n * math.Pi
				sum += math.Sin(v) * math.Sin(v) * math.Cos(x*math.Cos(v)) * 2 / n
			}
			want := real(c.Directions[0].P[i]) * sum
			if !(math.Abs(real(got[i])-want) <= 1e-9) || imag(got[i]) != 0 {
				t.Errorf("%g°, %g Hz: %v, want %v", degrees, f, got[i], want)
			}
		}
	}
	c.SpeedOfSound = 0
	if err := c.Check(); err == nil || !strings.Contains(err.Error(), "speed of sound 0 m/s") {
		t.Errorf("no speed of sound: %v", err)
	}
	c.Radius = -1
	if err := c.Check(); err == nil || !strings.Contains(err.Error(), "radius -1 m") {
		t.Errorf("radius: %v", err)
	}
}

func TestCurvesCheck(t *testing.T) {
	nan := math.NaN()
	for want, spoil := range map[string]func(*Curves){
		"no directions":          func(c *Curves) { c.Directions = nil },
		"no frequencies":         func(c *Curves) { c.Hz, c.Z = nil, nil },
		"impedance at 1 freq":    func(c *Curves) { c.Z = c.Z[:1] },
		"frequency 1 0 Hz":       func(c *Curves) { c.Hz[0] = 0 },
		"frequency 2 NaN Hz":     func(c *Curves) { c.Hz[1] = nan },
		"frequency 2 +Inf":       func(c *Curves) { c.Hz[1] = math.Inf(1) },
		"must be above 100 Hz":   func(c *Curves) { c.Hz[1] = 100 },
		"impedance at 1 kHz":     func(c *Curves) { c.Z[1] = cmplx.Inf() },
		"direction 2 {0 0 0}":    func(c *Curves) { c.Directions[1].Toward = r3.Vec{} },
		"direction 2 {NaN 0 0}":  func(c *Curves) { c.Directions[1].Toward = r3.Vec{X: nan} },
		"direction 2 {+Inf 0 0}": func(c *Curves) { c.Directions[1].Toward = r3.Vec{X: math.Inf(1)} },
		"direction 3: pressure at 1 frequencies": func(c *Curves) {
			c.Directions[2].P = c.Directions[2].P[:1]
		},
		"direction 3: pressure at 100 Hz (NaN+0i)": func(c *Curves) { c.Directions[2].P[0] = complex(nan, 0) },
	} {
		c := measured()
		spoil(&c)
		err := c.Check()
		var limit *units.RangeError
		if !errors.As(err, &limit) || !strings.Contains(err.Error(), want) {
			t.Errorf("want a range error with %q, got %v", want, err)
		}
	}
}
