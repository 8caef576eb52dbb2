package baffle

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// The Struve function by its integral (2x/π) ∫ √(1−t²) sin xt dt, with t = sin φ.
func TestStruveByIntegral(t *testing.T) {
	for _, x := range []float64{0.01, 0.7, 2.999, 3.001, 8, 25, 39.99, 40.01, 90} {
		points, weights := gauss(80)
		want := 0.0
		for i, u := range points {
			sin, cos := math.Sincos(u * math.Pi / 2)
			want += weights[i] * x * cos * cos * math.Sin(x*sin)
		}
		if got := struve1(x); !(math.Abs(got/want-1) <= 1e-12) {
			t.Errorf("H1(%v) = %v, by integral %v", x, got, want)
		}
	}
}

// The power in the far field of half space, from the pattern, is that of the resistance:
// R = k²S/(4π²) ∫ D² dΩ. It gives the directivity index too.
func TestPowerOfThePattern(t *testing.T) {
	points, weights := gauss(60)
	integrate := func(d func(toward r3.Vec) float64) float64 {
		sum := 0.0
		for i, u := range points { // cos θ
			for j, v := range points {
				sin, cos := math.Sincos(2 * math.Pi * v)
				s := math.Sqrt(1 - u*u)
				p := d(r3.Vec{X: s * cos, Y: s * sin, Z: u})
				sum += weights[i] * weights[j] * 2 * math.Pi * p * p
			}
		}
		return sum
	}
	for _, k := range []float64{0.3, 1, 3, 7} {
		f := units.Frequency(k)
		round, rectangle := RoundPiston{Radius: 1.1}, RectangularPiston{Width: 2.2, Height: 0.7}
		for _, x := range []struct {
			name              string
			area, r, index, d float64
		}{
			{"round", math.Pi * 1.21, real(round.Impedance(f, unitary)), round.DirectivityIndex(f, unitary),
				integrate(func(u r3.Vec) float64 { return round.Directivity(f, unitary, u) })},
			{"rectangle", 2.2 * 0.7, real(rectangle.Impedance(f, unitary)), rectangle.DirectivityIndex(f, unitary),
				integrate(func(u r3.Vec) float64 { return rectangle.Directivity(f, unitary, u) })},
		} {
			if want := k * k * x.area / (4 * math.Pi * math.Pi) * x.d; !(math.Abs(x.r/want-1) <= 1e-9) {
				t.Errorf("%s, k = %v: resistance %v, from the far field %v", x.name, k, x.r, want)
			}
			if want := 10 * math.Log10(4*math.Pi/x.d); !(math.Abs(x.index-want) <= 1e-8) {
				t.Errorf("%s, k = %v: index %v, from the far field %v", x.name, k, x.index, want)
			}
		}
	}
}

// The mean of |p|² over the far sphere, from the sum, is that of the powers of its
// orders, with Hankel functions written out.
func TestPowerOfTheSphere(t *testing.T) {
	for _, ka := range []float64{0.2, 1, 4, 12} {
		points, weights := gauss(80)
		got := 0.0
		for i, u := range points {
			cos := 2*u - 1
			h := make([]complex128, 1)
			if err := (Sphere{Radius: 1}).Effect(h, []float64{ka}, unitary, r3.Vec{X: 1e9 * math.Sqrt(1-cos*cos), Z: 1e9 * cos}); err != nil {
				t.Fatal(err)
			}
			got += weights[i] * real(h[0]*cmplx.Conj(h[0])) * 4
		}
		want := 0.0
		for m := range 40 {
			slope := complex(float64(m)/ka, 0)*hankel(m, ka) - hankel(m+1, ka)
			want += float64(2*m+1) / real(slope*cmplx.Conj(slope)) / math.Pow(ka, 4)
		}
		if !(math.Abs(got/want-1) <= 1e-8) {
			t.Errorf("ka = %v: power %v, of the orders %v", ka, got, want)
		}
	}
}

// hankel is the spherical Hankel function of the second kind as a finite sum.
func hankel(m int, x float64) complex128 {
	sum, term := complex128(0), complex128(1)
	for k := 0; k <= m; k++ {
		sum += term
		term *= complex(0, -1) * complex(float64((m+k+1)*(m-k))/(float64(k+1)*2*x), 0)
	}
	return cmplx.Pow(1i, complex(float64(m+1), 0)) * cmplx.Rect(1/x, -x) * sum
}

// Bodies before the wall that count as small, from the wall's side: a pulse at the far
// end of the ball has gone around it.
func TestSphereRefuses(t *testing.T) {
	h := make([]complex128, 1)
	for name, err := range map[string]error{
		"radius":    Sphere{}.Effect(h, []float64{1}, 345, r3.Vec{Z: 1}),
		"speed":     Sphere{1}.Effect(h, []float64{1}, 0, r3.Vec{Z: 1}),
		"frequency": Sphere{1}.Effect(h, []float64{math.NaN()}, 345, r3.Vec{Z: 1}),
		"inside":    Sphere{1}.Effect(h, []float64{1}, 345, r3.Vec{Z: -0.5}),
		"at source": Sphere{1}.Effect(h, []float64{1}, 345, r3.Vec{}),
		"round":     RoundPiston{-1}.Check(),
		"rectangle": RectangularPiston{1, 0}.Check(),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
