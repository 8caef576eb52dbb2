package cabinet_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// randomStacks yields cabinets of rectangles, roundings and leaning fronts, the
// same in every run.
func randomStacks(seed uint64, test func(s Stack, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 19))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	length := func(lo, hi float64) units.Length { return units.Length(u(lo, hi)) }
	for i := range 150 {
		d, h := length(0.15, 0.6), length(0.2, 1.5)
		s := Stack{
			Wall: length(0.01, 0.06), Layers: 1 + rng.IntN(40), Thickness: length(0.003, 0.04), Cap: length(0.003, 0.04),
			GlueLine: length(1e-5, 1e-3), Density: units.Density(u(100, 2000)),
		}
		switch i % 3 {
		case 0:
			s.Profile = outline.Rectangle(d, h)
		case 1:
			s.Profile = outline.RoundedRectangle(d, h, length(0.001, 0.07))
		case 2: // the front leans back, the rear bulges
			s.Profile = outline.Outline{{}, {X: d}, {X: d * 0.9, Y: h, Rise: 0.01}, {X: d * 0.1, Y: h}}
		}
		test(s, u)
	}
}

// What is not wood or glue is air: the whole body less mass over density.
func TestWoodAndAirFillTheBody(t *testing.T) {
	randomStacks(1, func(s Stack, u func(lo, hi float64) float64) {
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		glue := float64(s.RingArea()) * float64(s.Layers+1) * float64(s.GlueLine)
		body := float64(s.CapArea()) * float64(s.OutsideWidth())
		close(t, "air", float64(s.Gross()), body-glue-float64(s.Mass())/float64(s.Density))
		if !(s.Gross() > 0) || !(s.RingArea() > 0) || !(s.Mass() > 0) {
			t.Errorf("%+v: gross %v, ring %v, mass %v", s, s.Gross(), s.RingArea(), s.Mass())
		}
	})
}

// A cabinet of k times the size has k³ times the air and the mass.
func TestCabinetScales(t *testing.T) {
	randomStacks(2, func(s Stack, u func(lo, hi float64) float64) {
		k := u(0.3, 3)
		l := s
		l.Profile = slices.Clone(s.Profile)
		for i := range l.Profile {
			c := &l.Profile[i]
			c.X, c.Y, c.Round, c.Rise = c.X*units.Length(k), c.Y*units.Length(k), c.Round*units.Length(k), c.Rise*units.Length(k)
		}
		l.Wall, l.Thickness, l.Cap, l.GlueLine = s.Wall*units.Length(k), s.Thickness*units.Length(k), s.Cap*units.Length(k), s.GlueLine*units.Length(k)
		for what, pair := range map[string][2]float64{
			"gross": {float64(l.Gross()), k * k * k * float64(s.Gross())},
			"mass":  {float64(l.Mass()), k * k * k * float64(s.Mass())},
			"ring":  {float64(l.RingArea()), k * k * float64(s.RingArea())},
			"sheet": {float64(l.SheetArea()), k * k * float64(s.SheetArea())},
			"width": {float64(l.OutsideWidth()), k * float64(s.OutsideWidth())},
		} {
			if !(math.Abs(pair[0]-pair[1]) <= 1e-10*pair[1]) {
				t.Errorf("%+v, k = %g: %s %g, want %g", s, k, what, pair[0], pair[1])
			}
		}
	})
}

// More layers hold more air, thicker walls less, and what is put inside is missing.
func TestAirTrends(t *testing.T) {
	randomStacks(3, func(s Stack, u func(lo, hi float64) float64) {
		more, thick := s, s
		more.Layers++
		thick.Wall *= units.Length(u(1.001, 1.1))
		if !(more.Gross() > s.Gross()) || !(thick.Gross() < s.Gross()) || !(thick.Mass() > s.Mass()) {
			t.Errorf("%+v: %v, one more layer %v, thicker wall %v", s, s.Gross(), more.Gross(), thick.Gross())
		}
		d := s.Gross() * units.Volume(u(0.01, 0.9))
		net, err := s.Net(Displacement{"a", d / 4}, Displacement{"b", d * 3 / 4})
		if err != nil {
			t.Fatal(err)
		}
		close(t, "net", float64(net+d), float64(s.Gross()))
	})
}

// Modes go with the speed of sound and against the size, whatever the order of the edges.
func TestModesScale(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 19))
	for range 100 {
		edge := func() units.Length { return units.Length(0.1 + rng.Float64()) }
		e := [3]units.Length{edge(), edge(), edge()}
		k := units.Length(0.5 + rng.Float64())
		modes, err := Modes(e, 345, 1500)
		scaled, err2 := Modes([3]units.Length{k * e[2], k * e[0], k * e[1]}, 345*units.Velocity(k)*2, 3000)
		if err != nil || err2 != nil || len(modes) != len(scaled) || len(modes) == 0 {
			t.Fatalf("%v: %d modes, scaled %d (%v, %v)", e, len(modes), len(scaled), err, err2)
		}
		for i := range modes {
			close(t, "mode", float64(scaled[i].Frequency), 2*float64(modes[i].Frequency))
		}
	}
}
