package baffle

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Sphere is a rigid ball with a small driver in its surface: the one cabinet whose
// diffraction is known exactly, in all directions.
type Sphere struct{ Radius units.Length }

// Effect writes to dst the pressure at a listener, in metres as seen from the driver
// with z away from the ball, over that of the driver in half space, as
// [Diffraction.Toward] does: 1/2 far below, about 1 on axis far above. On axis it
// reaches half the power between the two, 3.01 dB above 1/2, at ka = 0.992 for a far
// listener. It is
//
//	−r₀/(2ka²) e^{jkr₀} Σ (2m + 1) Pm(cos θ) hm(kr)/hm'(ka)
//
// with the Legendre polynomials and the spherical Hankel functions of the second kind,
// the listener's distances r from the middle of the ball and r₀ from the driver, and
// the angle θ between driver and listener seen from the middle (R. O. Duda and W. L.
// Martens, "Range dependence of the response of a spherical head model", Journal of
// the Acoustical Society of America 104, 1998, 3048; their time runs the other way).
//
// It is an error if radius, speed of sound or a frequency is not positive, or the
// listener is at the driver or in the ball. It panics if the slices differ in length.
func (s Sphere) Effect(dst []complex128, hz []float64, c units.Velocity, listener r3.Vec) error {
	if err := units.Positive("baffle: sphere: radius", s.Radius); err != nil {
		return err
	}
	if err := units.Positive("baffle: speed of sound", c); err != nil {
		return err
	}
	if err := checkGrid(len(dst), hz); err != nil {
		return err
	}
	a := float64(s.Radius)
	direct := r3.Norm(listener)
	middle := r3.Vec{X: listener.X, Y: listener.Y, Z: listener.Z + a}
	r := r3.Norm(middle)
	if !(direct > 0) || !(r >= a) || math.IsInf(r, 0) {
		return &units.RangeError{Field: "baffle: listener", Value: units.Length(r-a).String() + " from the ball",
			Want: "must be outside it, away from the driver, and finite"}
	}
	cos := middle.Z / r
	for i, f := range hz {
		k := 2 * math.Pi * f / float64(c)
		sum := series(k*a, k*r, cos)
		dst[i] = -complex(direct/(2*k*a*a), 0) * cmplx.Rect(1, k*(direct-r)) * sum
	}
	return nil
}

// series returns e^{jy} Σ (2m + 1) Pm(cos) hm(y)/hm'(x) for y >= x.
func series(x, y, cos float64) complex128 {
	// Functions of both arguments climb by the recursion that is stable for them; the
	// common factor of each is taken out, so that none overflows: h0(y) e^{jy} = j/y.
	var sum complex128
	hx, hx1 := hankel01(x) // hm and hm+1, times e^{jx}
	hy, hy1 := hankel01(y)
	turn := cmplx.Rect(1, x) // of hx, to be undone
	p, p1 := 1.0, cos
	small := 0
	for m := 0.0; ; m++ {
		slope := complex(m/x, 0)*hx - hx1
		term := complex((2*m+1)*p, 0) * hy / slope * turn
		sum += term
		// Legendre polynomials may pass through zero: ask for several small terms.
		if small++; !(cmplx.Abs(hy/slope)*(2*m+1) <= 1e-16*cmplx.Abs(sum)) {
			small = 0
		}
		if small > 3 || m > 20*x+2000 {
			return sum
		}
		hx, hx1 = hx1, complex((2*m+3)/x, 0)*hx1-hx
		hy, hy1 = hy1, complex((2*m+3)/y, 0)*hy1-hy
		p, p1 = p1, ((2*m+3)*cos*p1-(m+1)*p)/(m+2)
		if cmplx.Abs(hx1) > 1e150 {
			hx, hx1, hy, hy1 = hx*1e-150, hx1*1e-150, hy*1e-150, hy1*1e-150
		}
	}
}

// hankel01 returns the spherical Hankel functions of the second kind of the orders 0
// and 1, times e^{jx}.
func hankel01(x float64) (h0, h1 complex128) {
	return complex(0, 1/x), complex(-1/x, 1/(x*x))
}
