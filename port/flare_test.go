package port

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"

	"example.com/halfspace/units"
)

// finiteVolumes solves the potential flow out of a tube of radius 1 whose end widens
// by a quarter circle of radius r: cells of r and z, n to the radius, whose faces
// are closed where the wall crosses between their centres. It returns the effective
// length less that of the tube.
func finiteVolumes(r float64, n int, flanged bool) float64 {
	const long, out = 2., 4. // the tube, and the space beside and before it
	h := 1 / float64(n)
	nr, nz := int(out)*n, int(long+out)*n
	radius := func(i int) float64 { return (float64(i) + 0.5) * h }
	along := func(j int) float64 { return (float64(j)+0.5)*h - long }
	wall := func(j int) float64 {
		if z := along(j); z > -r {
			return 1 + r - math.Sqrt(max(0, r*r-(z+r)*(z+r)))
		}
		return 1
	}
	inside := func(i, j int) bool { return along(j) < 0 && radius(i) < wall(j) }
	outside := func(i, j int) bool { return along(j) < 0 && radius(i) >= wall(j) }
	right, up := make([]float64, nr*nz), make([]float64, nr*nz) // conductance to the next cell in r and in z
	far, b := make([]float64, nr*nz), make([]float64, nr*nz)
	for i := range nr {
		for j := range nz {
			c := i*nz + j
			if flanged && outside(i, j) {
				far[c] = 1
				continue
			}
			if i+1 < nr && inside(i, j) == inside(i+1, j) {
				right[c] = float64(i+1) * h
			}
			if j+1 < nz && !(inside(i, j) && outside(i, j+1)) && !(outside(i, j) && inside(i, j+1)) {
				up[c] = radius(i)
			}
			switch { // seen from afar the mouth is a point
			case i == nr-1:
				far[c] = h * out * out / (out*out + along(j)*along(j))
			case j == nz-1:
				far[c] = radius(i) * h * out / (out*out + radius(i)*radius(i))
			case j == 0 && outside(i, j):
				far[c] = radius(i) * h * long / (long*long + radius(i)*radius(i))
			case j == 0:
				b[c] = radius(i) * h
			}
		}
	}
	apply := func(y, x []float64) {
		floats.MulTo(y, far, x)
		for c := range x {
			if g := right[c]; g > 0 {
				d := g * (x[c] - x[c+nz])
				y[c] += d
				y[c+nz] -= d
			}
			if g := up[c]; g > 0 {
				d := g * (x[c] - x[c+1])
				y[c] += d
				y[c+1] -= d
			}
		}
	}
	x, y := make([]float64, nr*nz), make([]float64, nr*nz)
	rest, way := append([]float64(nil), b...), append([]float64(nil), b...)
	size := floats.Dot(rest, rest)
	for end := 1e-14 * size; size > end; { // conjugate gradients
		apply(y, way)
		step := size / floats.Dot(way, y)
		floats.AddScaled(x, step, way)
		floats.AddScaled(rest, -step, y)
		next := floats.Dot(rest, rest)
		floats.Scale(next/size, way)
		floats.Add(way, rest)
		size = next
	}
	return floats.Dot(x, b)/floats.Sum(b) + h/2 - long
}

func TestRoundingByFiniteVolumes(t *testing.T) {
	for m, off := range map[Mouth]float64{
		Flanged: 0.012, // what the cells are good to
		Free:    0.04,  // and the 0.03 of the comment
	} {
		few, many := finiteVolumes(0, 10, m == Flanged), finiteVolumes(0, 20, m == Flanged)
		for _, r := range []float64{0.5, 1} {
			// Closed faces err by the size of a cell.
			want := 2*(finiteVolumes(r, 20, m == Flanged)-many) - (finiteVolumes(r, 10, m == Flanged) - few)
			v := Vent{Diameter: 2}
			got := float64(v.end(m, units.Length(r)) - v.end(m, 0))
			if !(math.Abs(got-want) <= off) {
				t.Errorf("%v, rounded by %v: got %.4f, want %.4f", m, r, got, want)
			}
		}
	}
}

// Straight walls in the widening make the flow harder, equipotential slices easier:
// bounds on what rounding takes.
func TestRoundingBounds(t *testing.T) {
	for x := 0.01; x <= 2; x *= 1.1 {
		slices := quad.Fixed(func(z float64) float64 {
			r := 1 + x - math.Sqrt(x*x-z*z)
			return 1 / (r * r)
		}, 0, x, 60, quad.Legendre{}, 0)
		disc := math.Pi / 4 / (1 + x) // an equipotential over the mouth
		end := FlangedExact - (Vent{Diameter: 2}).rounding(units.Length(x))
		if !(end < FlangedExact && end+x > slices+disc) {
			t.Errorf("rounded by %v radii: %.4f, at least %.4f", x, end, slices+disc-x)
		}
	}
}

// The volume of the widening, turned round the axis.
func TestFlareVolume(t *testing.T) {
	v := Vent{Diameter: 0.1, InnerRound: 0.03}
	const a, r = 0.05, 0.03
	want := quad.Fixed(func(z float64) float64 {
		x := a + r - math.Sqrt(r*r-z*z)
		return math.Pi * (x*x - a*a)
	}, 0, r, 200, quad.Legendre{}, 0)
	near(t, "flare", v.flare(r), want, 1e-6)
	near(t, "displacement", float64(v.Displacement(0.2)), math.Pi*a*a*0.2+want, 1e-6)
}
