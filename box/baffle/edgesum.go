package baffle

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// EdgeSum writes to dst what the classical sum of sources along the edge gives for the
// far pressure of a driver on the panel in full space toward a direction within 30° of
// the axis, over that on axis in half space, at the frequencies hz:
//
//	D(ka sin ψ) − D(ka)/(2n) Σ e^{−jk(rᵢ − e·n)},  D(x) = 2 J1(x)/x
//
// over n rays of the lengths rᵢ at equal angles about the driver, where e·n is how far
// the end of the ray lies toward the listener, ψ his angle to the axis and a the
// radius of the piston. It spreads the solution of a disc, 1 − e^{−jkr}/2, over any
// outline; it is common practice, whose origin is not known to us. Neither the depth
// of the cabinet nor the angle of its edges is in it.
//
// Against boundary-element solutions of nine boxes of the width W, up to kW = 10 and
// 30° off axis, it is 0.6 dB off in the mean square and 1.1 dB in one of twenty values:
// 1 dB too high around kW = 1. [Diffraction] is better by a factor of three. With 72
// rays it is within 0.03 dB of the sum of very many up to 2 kHz on a panel of
// 0.4 m × 0.64 m, with 360 within 0.001 dB.
//
// It is an error if the driver does not fit on the panel, the speed of sound or a
// frequency is not positive, the direction is too far from the axis, or there are fewer
// than 8 rays. It panics if dst and hz differ in length.
func (p Panel) EdgeSum(dst []complex128, hz []float64, d Driver, c units.Velocity, toward r3.Vec, n int) error {
	if n < 8 {
		return &units.RangeError{Field: "baffle: rays", Value: fmt.Sprint(n), Want: "must be 8 at least"}
	}
	if err := p.ready(d, c); err != nil {
		return err
	}
	if err := checkGrid(len(dst), hz); err != nil {
		return err
	}
	if err := checkToward("direction", toward, Reach); err != nil {
		return err
	}
	u := r3.Unit(toward)
	sin := math.Hypot(u.X, u.Y)
	list := rays(p.Edge, d.At, n)
	for i, f := range hz {
		k := 2 * math.Pi * f / float64(c)
		var edge complex128
		for _, e := range list {
			edge += cmplx.Rect(1, -k*(e.r-float64(e.x*u.X)-float64(e.y*u.Y)))
		}
		ka := k * float64(d.Radius)
		dst[i] = complex(disc(ka*sin), 0) - complex(disc(ka)/(2*float64(n)), 0)*edge
	}
	return nil
}

// ready checks what a calculation starts from.
func (p Panel) ready(d Driver, c units.Velocity) error {
	if err := p.Check(); err != nil {
		return err
	}
	if err := p.fits("baffle: driver: ", d); err != nil {
		return err
	}
	return units.Positive("baffle: speed of sound", c)
}

// checkGrid panics if there is no room for one value per frequency.
func checkGrid(room int, hz []float64) error {
	if room != len(hz) {
		panic(fmt.Sprintf("baffle: slices of different lengths: %d for %d frequencies", room, len(hz)))
	}
	for i, f := range hz {
		if !(f > 0) || math.IsInf(f, 0) {
			return units.Positive(fmt.Sprintf("baffle: frequency %d", i+1), units.Frequency(f))
		}
	}
	return nil
}

func checkToward(what string, toward r3.Vec, reach units.Angle) error {
	n := r3.Norm(toward)
	if !(n > 0) || math.IsInf(n, 0) {
		return &units.RangeError{Field: "baffle: " + what, Value: fmt.Sprint(toward), Want: "must be finite and not zero"}
	}
	if !(toward.Z > 0) {
		return &units.RangeError{Field: "baffle: " + what, Value: fmt.Sprint(toward), Want: "must not be behind the panel or in its plane: z must be positive"}
	}
	angle := math.Atan2(math.Hypot(toward.X, toward.Y), toward.Z)
	if !(angle <= float64(reach)+1e-9) {
		return &units.RangeError{Field: "baffle: " + what, Value: fmt.Sprintf("%.1f° from the axis", angle*180/math.Pi),
			Want: fmt.Sprintf("must be within %.0f°, beyond which the method does not hold", float64(reach)*180/math.Pi)}
	}
	return nil
}
