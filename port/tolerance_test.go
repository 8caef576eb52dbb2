package port

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A thin round vent in closed form: fB goes with √(S/Leff), and its ends with the diameter.
func TestSensitivityInClosedForm(t *testing.T) {
	a := air.Air{Density: 1.2, SpeedOfSound: 343.2}
	v := Vent{Diameter: 0.08, Length: 0.17, Outer: Flanged}
	vb := 30 * units.Litre
	f := float64(v.Tuning(vb, a))
	s := v.Sensitivity(vb, a)
	all := float64(v.EffectiveLength())
	near(t, "diameter", s.Diameter, f/0.08*(1-float64(v.ends())/(2*all)), 1e-9)
	near(t, "temperature", s.Temperature, f/(2*293.15), 1e-12)
	h := 1e-6
	longer := v
	longer.Length += units.Length(h)
	near(t, "length", s.Length, (float64(longer.Tuning(vb, a))-f)/h, 1e-5)
	near(t, "volume", s.Volume, (float64(v.Tuning(vb*(1+1e-6), a))-f)/(float64(vb)*1e-6), 1e-5)
	if s.Width != 0 || s.Height != 0 {
		t.Errorf("a round vent has no width: %+v", s)
	}
}

// Tuning falls as one over the size of everything (Euler's theorem): the derivatives along
// all dimensions, each times its dimension, add to minus the tuning.
func TestSensitivityIsHomogeneous(t *testing.T) {
	randomVents(t, 5, func(v Vent, vb units.Volume, u func(lo, hi float64) float64) {
		if v.Spacing != 0 && v.Spacing < 1.01*max(v.Diameter, v.Width) || v.Section < 1.02*v.Area() || v.Clear != 0 && v.Clear < 1.02*v.Height {
			return // at the edge of what is allowed
		}
		f := float64(v.Tuning(vb, air.Air{}))
		s := v.Sensitivity(vb, air.Air{})
		sum := s.Length*float64(v.Length) + s.Diameter*float64(v.Diameter) + s.Width*float64(v.Width) + s.Height*float64(v.Height) + 3*s.Volume*float64(vb)
		const h = 1. / 2048
		along := func(set func(w *Vent, k float64)) float64 { // what is not in Sensitivity
			at := func(k float64) float64 {
				w := v
				set(&w, 1+k*h)
				return float64(w.Tuning(vb, air.Air{}))
			}
			return (8*(at(1)-at(-1)) - (at(2) - at(-2))) / (12 * h)
		}
		sum += along(func(w *Vent, k float64) {
			for _, l := range []*units.Length{&w.Wall, &w.Clear, &w.Spacing, &w.OuterRound, &w.InnerRound} {
				*l *= units.Length(k)
			}
			w.Section *= units.Area(k * k)
		})
		if !(math.Abs(sum+f) <= 1e-7*f) {
			t.Errorf("%+v in %v: derivatives add to %.9g, tuning %.9g", v, vb, sum, f)
		}
	})
}

// Small tolerances add their derivatives; large ones are the corners.
func TestTuningRange(t *testing.T) {
	a := air.Standard()
	for _, v := range vents() {
		vb := 40 * units.Litre
		s := v.Sensitivity(vb, a)
		small := Tolerance{Length: 1e-6, Section: 2e-7, Volume: 1e-5, Temperature: 1e-3}
		low, high, err := v.TuningRange(vb, a, small)
		if err != nil {
			t.Fatal(err)
		}
		want := -s.Length*1e-6 + (s.Diameter+s.Width+s.Height)*2e-7 - s.Volume*1e-5*float64(vb) + s.Temperature*1e-3
		f := float64(v.Tuning(vb, a))
		near(t, "up", float64(high)-f, want, 2e-4)
		near(t, "down", f-float64(low), want, 2e-4)

		large := Tolerance{Length: 0.005, Section: 0.0005, Volume: 0.05, Temperature: 15}
		low, high, err = v.TuningRange(vb, a, large)
		if err != nil {
			t.Fatal(err)
		}
		least, most := math.Inf(1), 0.
		for corner := range 16 {
			sign := func(bit int) float64 { return float64(corner>>bit&1)*2 - 1 }
			w, b := v, a
			w.Length += units.Length(0.005 * sign(0))
			side := units.Length(0.0005 * sign(1))
			if w.round() {
				w.Diameter += side
			} else {
				w.Width += side
				w.Height += side
			}
			b.SpeedOfSound = 345 * units.Velocity(math.Sqrt(1+15*sign(2)/(293.15*(345/343.2)*(345/343.2))))
			x := float64(w.Tuning(vb*units.Volume(1+0.05*sign(3)), b))
			least, most = min(least, x), max(most, x)
		}
		near(t, "lowest", float64(low), least, 1e-13)
		near(t, "highest", float64(high), most, 1e-13)
	}
}

func TestTuningRangeRefuses(t *testing.T) {
	v := Vent{Diameter: 0.1, Length: 0.2}
	nan := math.NaN()
	for _, c := range []struct {
		v    Vent
		vb   units.Volume
		t    Tolerance
		want string
	}{
		{Vent{Diameter: 0.1}, 0.05, Tolerance{}, "port: length 0"},
		{v, 0, Tolerance{}, "port: box volume 0"},
		{v, 0.05, Tolerance{Length: -1}, "port: tolerance of the length"},
		{v, 0.05, Tolerance{Length: 0.2}, "port: length 0"},
		{v, 0.05, Tolerance{Section: 0.2}, "port: diameter -"},
		{v, 0.05, Tolerance{Section: units.Length(nan)}, "port: tolerance of the section NaN"},
		{v, 0.05, Tolerance{Volume: 0.6}, "port: tolerance of the volume"},
		{v, 0.05, Tolerance{Temperature: nan}, "port: tolerance of the temperature NaN"},
	} {
		_, _, err := c.v.TuningRange(c.vb, air.Air{}, c.t)
		var e *units.RangeError
		if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%+v: error %v, want %s", c.t, err, c.want)
		}
	}
}
