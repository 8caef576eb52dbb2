package port

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/halfspace/units"
)

// Tubes of flow side by side in the bend, each with the length of its own arc: their
// conductances add. Both are exact for this flow.
func TestBendsByTubesOfFlow(t *testing.T) {
	const angle = 1.1
	for _, radius := range []float64{0.05, 0.0500001, 0.07, 0.1, 0.4, 10} {
		const a = 0.05
		conductance := quad.Fixed(func(u float64) float64 { // chord across the section at radius − a cos u
			s, c := math.Sincos(u)
			return 2 * a * s * a * s / (angle * (radius - a*c))
		}, 0, math.Pi, 400, quad.Legendre{}, 0)
		got, err := BendLength(2*a, units.Length(radius), angle)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "round", float64(got), math.Pi*a*a/conductance, 1e-4)
		if !(got <= units.Length(angle*radius)) {
			t.Errorf("bend of %v m counts for more than its centre line", radius)
		}

		conductance = quad.Fixed(func(r float64) float64 { return 1 / (angle * r) }, radius, radius+0.03, 40, quad.Legendre{}, 0)
		got, err = SlotBendLength(units.Length(radius), units.Length(radius+0.03), angle)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "slot", float64(got), 0.03/conductance, 1e-12)
	}
	far, err := SlotBendLength(1e6, 1e6+0.03, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "hardly bent", float64(far), 1e6, 1e-6)
}

// The square corner by cells: two legs of twice the width, successive
// over-relaxation, two sizes of cell; the corner makes the error fall with the power 4/3.
func TestMitreByFiniteVolumes(t *testing.T) {
	corner := func(n int) float64 {
		const leg = 2
		size := (leg + 1) * n
		// Cells of a square of (leg+1) widths that lie in the lower or the left strip.
		// Flow enters at the far right of the lower leg and leaves at the top of the left one.
		phi := make([]float64, size*size)
		in := func(i, j int) bool { return i >= 0 && j >= 0 && i < size && j < size && (i < n || j < n) }
		w := 2 / (1 + math.Pi/(2*5*float64(n))) // for a path of five widths
		for range 120 * n {
			for i := range size {
				for j := range size {
					if !in(i, j) {
						continue
					}
					sum, g, source := 0., 0., 0.
					for _, d := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
						if in(i+d[0], j+d[1]) {
							sum += phi[(i+d[0])*size+j+d[1]]
							g++
						}
					}
					if i == size-1 {
						source = 1 / float64(n) // unit velocity over the width 1
					}
					if j == size-1 {
						g += 2 // to the face, half a cell away, where the potential is 0
					}
					c := i*size + j
					phi[c] += w * ((sum+source)/g - phi[c])
				}
			}
		}
		mean := 0.
		for j := range n {
			mean += phi[(size-1)*size+j] / float64(n)
		}
		return mean + 0.5/float64(n) - 2*leg
	}
	few, many := corner(8), corner(16)
	got := float64(MitreLength(1))
	if want := many + (many-few)/(math.Pow(2, 4./3)-1); !(math.Abs(got-want) <= 1e-3) {
		t.Errorf("got %.5f, want %.5f (cells of 1/8 %.5f, of 1/16 %.5f)", got, want, few, many)
	}
}

func TestBendsRefuse(t *testing.T) {
	nan, inf := units.Length(math.NaN()), units.Length(math.Inf(1))
	bend := func(d, r units.Length, a units.Angle) error { _, err := BendLength(d, r, a); return err }
	slot := func(d, r units.Length, a units.Angle) error { _, err := SlotBendLength(d, r, a); return err }
	for _, c := range []struct {
		err  error
		want string
	}{
		{bend(0, 1, 1), "port: diameter 0"}, {bend(nan, 1, 1), "port: diameter NaN"},
		{bend(0.1, 0.049, 1), "port: radius of the bend 49 mm: must be at least that of the tube, 50 mm"},
		{bend(0.1, nan, 1), "port: radius of the bend NaN"}, {bend(0.1, inf, 1), "port: radius of the bend +Inf"},
		{bend(0.1, 1, -1), "port: angle"}, {bend(0.1, 1, units.Angle(nan)), "port: angle of the bend NaN"},
		{slot(0, 1, 1), "port: inner radius"}, {slot(nan, 1, 1), "port: inner radius"},
		{slot(0.1, 0.1, 1), "port: outer radius of the bend 100 mm: must be above the inner one, 100 mm"},
		{slot(0.1, nan, 1), "port: outer radius"}, {slot(0.1, inf, 1), "port: outer radius"},
		{slot(0.1, 1, -1), "port: angle"},
	} {
		var e *units.RangeError
		if !errors.As(c.err, &e) || !strings.HasPrefix(c.err.Error(), c.want) {
			t.Errorf("error %v, want %s", c.err, c.want)
		}
	}
}
