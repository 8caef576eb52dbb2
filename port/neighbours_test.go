package port

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// Two discs by series: the potential of one in powers of 1/r, averaged over the other
// by its Laplacians.
func TestMutualEndBySeries(t *testing.T) {
	series := func(d float64) float64 {
		sum := 0.
		legendre := 1. // P2n(0)
		for n := range 60 {
			potential := 2 * math.Pi * legendre * legendre / float64(2*n+2) // times 1/r^(2n+1)
			term, mean := 1., 0.
			for m := range 60 {
				mean += term * math.Pow(d, -float64(2*n+1+2*m))
				p := float64(2*n + 1 + 2*m)
				term *= p * p / (4 * float64(m+1) * float64(m+2))
			}
			sum += potential * mean
			legendre *= -(2*float64(n) + 1) / (2*float64(n) + 2)
		}
		return sum / (2 * math.Pi)
	}
	for _, d := range []float64{3, 4, 7, 20, 100, 2e4} {
		near(t, fmt.Sprintf("distance %v", d), MutualEnd(d), series(d), 1e-9)
	}
	near(t, "where the sum gets longer", MutualEnd(2.5), MutualEnd(math.Nextafter(2.5, 0)), 1e-13)
	near(t, "touching", MutualEnd(2), 2*MutualEnd(2.001)-MutualEnd(2.002), 1e-5)
	defer func() {
		if recover() == nil {
			t.Error("overlapping mouths: no panic")
		}
	}()
	MutualEnd(math.NaN())
}

// Rectangles side by side: touching ones are a wider piston, and apart they are what
// the integral over both says.
func TestNeighboursOfRectangles(t *testing.T) {
	const w, h = 0.2, 0.03
	v := Vent{Width: w, Height: h, Count: 2}
	near(t, "where the sum gets longer", MutualEnd(2.5), MutualEnd(math.Nextafter(2.5, 0)), 1e-13)
	near(t, "touching", rectangle(w, h)+v.mutual(w), rectangle(2*w, h), 1e-13)
	for _, d := range []float64{0.25, 0.6, 3, 19, 21, 100} {
		// The differences x, y of two points occur as often as triangles say.
		half := func(a, b float64) float64 {
			return quad.Fixed(func(x float64) float64 {
				return 2 * quad.Fixed(func(y float64) float64 {
					return (w - math.Abs(x)) * (h - y) / math.Hypot(d+x, y)
				}, 0, h, 30, quad.Legendre{}, 0)
			}, a, b, 60, quad.Legendre{}, 0)
		}
		near(t, fmt.Sprintf("%v apart", d), v.mutual(d), (half(-w, 0)+half(0, w))/(2*math.Pi*w*h), 1e-8)
	}
}

// A row of vents: every pair counts, twice over the number of vents; free ends feel
// half of it, ends in a cell of their own nothing.
func TestRowOfVents(t *testing.T) {
	v := Vent{Diameter: 0.1, Count: 3, Length: 0.2, Spacing: 0.15, Outer: Flanged, Section: 1}
	want := 0.05 * (4*MutualEnd(3) + 2*MutualEnd(6)) / 3
	near(t, "flush", float64(v.neighbours(Flanged)), want, 1e-14)
	near(t, "free", float64(v.neighbours(Free)), want/2, 1e-14)
	if v.neighbours(InDuct) != 0 || v.neighbours(AcrossBox) != 0 {
		t.Error("neighbours beyond a wall")
	}
	alone := v
	alone.Spacing = 0
	near(t, "both ends", float64(v.EffectiveLength()-alone.EffectiveLength()), 1.5*want, 1e-12)
}

// A round mouth in a corner has three images, and three of its kind in a square do the same.
func TestRoundMouthInCorner(t *testing.T) {
	v := Vent{Diameter: 0.1, ToWall: 0.08}
	want := 0.05 * (FlangedExact + 2*MutualEnd(3.2) + MutualEnd(3.2*math.Sqrt2))
	near(t, "corner", float64(v.EndCorrection(InCorner)), want, 1e-13)
	far := v
	far.ToWall = 1e6
	near(t, "walls far away", float64(far.EndCorrection(InCorner)), float64(v.EndCorrection(Flanged)), 1e-6)
}
