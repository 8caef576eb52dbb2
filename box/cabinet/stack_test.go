package cabinet_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

func close(t *testing.T, name string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-12*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g", name, got, want)
	}
}

// A box of rectangles, counted by hand.
func TestStackByHand(t *testing.T) {
	s := stack()
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	close(t, "inside width", float64(s.InsideWidth()), 13*0.0146)
	close(t, "outside width", float64(s.OutsideWidth()), 15*0.0146)
	close(t, "gross", float64(s.Gross()), 0.274*0.524*13*0.0146)
	close(t, "ring", float64(s.RingArea()), 2*0.038*(0.35+0.6)-4*0.038*0.038)
	close(t, "cap", float64(s.CapArea()), 0.35*0.6)
	close(t, "sheet", float64(s.SheetArea()), 13*(0.35*0.6-0.274*0.524)+2*0.35*0.6)
	// All solid less the air.
	close(t, "mass", float64(s.Mass()), 680*(0.35*0.6*15*0.0146-0.274*0.524*13*0.0146))

	s.Cap, s.GlueLine = 18*mm, 0.1*mm
	close(t, "inside width with glue", float64(s.InsideWidth()), 13*0.0146+14*0.0001)
	close(t, "outside width with glue", float64(s.OutsideWidth()), 13*0.0146+14*0.0001+0.036)
	close(t, "gross with glue", float64(s.Gross()), 0.274*0.524*(13*0.0146+14*0.0001))
	close(t, "mass without glue", float64(s.Mass()), 680*(13*0.0146*(0.35*0.6-0.274*0.524)+2*0.018*0.35*0.6))
}

func TestCheckRefuses(t *testing.T) {
	nan := math.NaN()
	for field, change := range map[string]func(s *Stack){
		"cabinet: wall":            func(s *Stack) { s.Wall = 175 * mm },
		"cabinet: wall ":           func(s *Stack) { s.Wall = 0 },
		"cabinet: wall  ":          func(s *Stack) { s.Wall = units.Length(nan) },
		"cabinet: layers":          func(s *Stack) { s.Layers = 0 },
		"cabinet: layers ":         func(s *Stack) { s.Layers = -3 },
		"cabinet: layer thickness": func(s *Stack) { s.Thickness = 0 },
		"cabinet: cap thickness":   func(s *Stack) { s.Cap = -1 },
		"cabinet: glue line":       func(s *Stack) { s.GlueLine = units.Length(nan) },
		"cabinet: density":         func(s *Stack) { s.Density = units.Density(math.Inf(1)) },
		"outline: corners":         func(s *Stack) { s.Profile = nil },
	} {
		s := stack()
		change(&s)
		var e *units.RangeError
		err := s.Check()
		if !errors.As(err, &e) || e.Field != strings.TrimSpace(field) {
			t.Errorf("got %v, want a RangeError of %s", err, field)
		}
		if _, err := s.Net(); err == nil {
			t.Errorf("%s: Net must refuse what Check refuses", field)
		}
		if _, err := s.Pieces(); err == nil {
			t.Errorf("%s: Pieces must refuse what Check refuses", field)
		}
	}
	s := stack()
	s.Wall = 175 * mm
	if got, want := s.Check().Error(), "cabinet: wall 175 mm: must be below 175 mm, where the outline closes up"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := float64(s.Gross()); !math.IsNaN(got) {
		t.Errorf("volume of a stack without an inside: got %g, want NaN", got)
	}
}

func TestNet(t *testing.T) {
	s := stack()
	net, err := s.Net(Displacement{"woofer", 0.8 * units.Litre}, Displacement{"vent", Frustum(75*mm, 75*mm, 216*mm)})
	if err != nil {
		t.Fatal(err)
	}
	close(t, "net", float64(net), 0.274*0.524*13*0.0146-0.0008-math.Pi/4*0.075*0.075*0.216)
	for _, c := range []struct {
		volume units.Volume
		want   string
	}{
		{-0.001, "cabinet: displacement of brick -1 L: must be zero or positive, and finite"},
		{0.03, "cabinet: displacement 30 L: must be below the 27.25 L inside the empty cabinet"},
		{s.Gross(), "cabinet: displacement 27.25 L: must be below the 27.25 L inside the empty cabinet"},
		{units.Volume(math.NaN()), "cabinet: displacement of brick"},
		{units.Volume(math.Inf(1)), "cabinet: displacement of brick"},
	} {
		if _, err := s.Net(Displacement{"brick", c.volume}); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// The two stacks must enclose the wanted volume and be one layer apart, whatever is inside.
func TestLayersFor(t *testing.T) {
	for _, glue := range []units.Length{0, 0.2 * mm} {
		for litres := 1.0; litres < 60; litres += 0.37 {
			s := stack()
			s.GlueLine = glue
			d := Displacement{"woofer", 2.2 * units.Litre}
			want := units.Volume(litres) * units.Litre
			fewer, more, err := s.LayersFor(want, d)
			if err != nil {
				t.Fatal(err)
			}
			low, err := fewer.Net(d)
			high, err2 := more.Net(d)
			if err != nil || err2 != nil {
				t.Fatal(err, err2)
			}
			smallest := fewer
			smallest.Layers--
			_, none := smallest.Net(d)
			switch {
			case fewer.Layers == more.Layers:
				if !(low > want) || none == nil {
					t.Errorf("%v: only %d layers of %v, but fewer are possible", want, fewer.Layers, low)
				}
			case more.Layers != fewer.Layers+1 || !(low <= want && want <= high):
				t.Errorf("%v: %d layers of %v and %d layers of %v", want, fewer.Layers, low, more.Layers, high)
			}
		}
	}
	s := stack()
	for n := 1; n < 40; n++ {
		s.Layers = n
		fewer, more, err := s.LayersFor(s.Gross())
		if err != nil || fewer.Layers != n || more.Layers != n {
			t.Errorf("volume of exactly %d layers: got %d and %d, %v", n, fewer.Layers, more.Layers, err)
		}
	}
	for n := 1; n < 200; n++ {
		s.Layers = n
		d := Displacement{"woofer", 1.1 * units.Litre}
		net, err := s.Net(d)
		fewer, more, err2 := s.LayersFor(net, d)
		if err != nil || err2 != nil || fewer.Layers != n || more.Layers != n {
			t.Errorf("net volume of exactly %d layers: got %d and %d, %v, %v", n, fewer.Layers, more.Layers, err, err2)
		}
	}
	for _, bad := range []float64{0, -0.01, math.NaN(), math.Inf(1), 1e9} {
		if _, _, err := s.LayersFor(units.Volume(bad)); err == nil {
			t.Errorf("%g m³ must be refused", bad)
		}
	}
	if _, _, err := s.LayersFor(0.02, Displacement{"brick", -1}); err == nil {
		t.Error("a negative displacement must be refused")
	}
	s.Wall = 0.3
	if _, _, err := s.LayersFor(0.02); err == nil {
		t.Error("a stack without an inside must be refused")
	}
}

// A frustum is what a stack of thin discs adds up to.
func TestFrustumAsDiscs(t *testing.T) {
	const d1, d2, h, n = 0.172, 0.06, 0.05, 2000
	sum := 0.0
	for i := range n {
		d := d1 + (d2-d1)*(float64(i)+0.5)/n
		sum += math.Pi / 4 * d * d * h / n
	}
	if got := float64(Frustum(d1, d2, h)); !(math.Abs(got/sum-1) < 1e-6) {
		t.Errorf("got %.9g, discs add up to %.9g", got, sum)
	}
}

func TestInsideKeepsRoundings(t *testing.T) {
	s := stack()
	s.Profile = outline.RoundedRectangle(350*mm, 600*mm, 50*mm)
	in, err := s.Inside()
	if err != nil {
		t.Fatal(err)
	}
	close(t, "inner rounding", float64(in[0].Round), 0.012)
	close(t, "gross", float64(s.Gross()), (0.274*0.524-(4-math.Pi)*0.012*0.012)*13*0.0146)
}
