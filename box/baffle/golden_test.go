package baffle

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// With this speed of sound a frequency in hertz is a wavenumber.
const unitary = units.Velocity(2 * math.Pi)

func db(h complex128) float64 { return 20 * math.Log10(cmplx.Abs(h)) }

// root returns where a falling function passes a level.
func root(f func(float64) float64, level, lo, hi float64) float64 {
	for range 200 {
		if mid := (lo + hi) / 2; f(mid) > level {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func TestPistonRows(t *testing.T) {
	round := RoundPiston{Radius: 1}
	aside := r3.Vec{X: 1}
	pattern := func(x float64) float64 { return round.Directivity(units.Frequency(x), unitary, aside) }
	golden.Run(t, "testdata/piston.csv", func(t *testing.T, r golden.Row) {
		levels := map[string]float64{"half power": math.Sqrt(0.5), "-3 dB": math.Pow(10, -0.15), "half pressure": 0.5, "-6 dB": math.Pow(10, -0.3), "null": 0}
		ka := func() units.Frequency { return units.Frequency(r.Num(t, "ka", "1")) }
		rectangle := func() complex128 {
			ratio := r.Num(t, "ratio", "1")
			h := math.Sqrt(math.Pi / ratio)
			return RectangularPiston{Width: units.Length(ratio * h), Height: units.Length(h)}.Impedance(ka(), unitary)
		}
		switch r.Calculation {
		case "piston resistance":
			r.Check(t, real(round.Impedance(ka(), unitary)))
		case "piston reactance":
			r.Check(t, imag(round.Impedance(ka(), unitary)))
		case "piston directivity index":
			r.Check(t, round.DirectivityIndex(ka(), unitary))
		case "Struve function H1":
			x := r.Num(t, "x", "1")
			r.Check(t, imag(round.Impedance(units.Frequency(x/2), unitary))*x/2)
		case "piston directivity":
			r.Check(t, root(pattern, levels[r.Word(t, "at")], 0, 4))
		case "piston side lobe":
			r.Check(t, 20*math.Log10(-pattern(r.Num(t, "x", "1"))))
		case "rectangle directivity":
			p := RectangularPiston{Width: 2, Height: 1}
			f := func(x float64) float64 { return p.Directivity(units.Frequency(x), unitary, aside) }
			r.Check(t, root(f, levels[r.Word(t, "at")], 0, 3))
		case "rectangle resistance":
			r.Check(t, real(rectangle()))
		case "rectangle reactance":
			r.Check(t, imag(rectangle()))
		default:
			r.Unknown(t)
		}
	})
}

func TestSphereRows(t *testing.T) {
	effect := func(t *testing.T, ka float64, listener r3.Vec) float64 {
		h := make([]complex128, 1)
		if err := (Sphere{Radius: 1}).Effect(h, []float64{ka}, unitary, listener); err != nil {
			t.Fatal(err)
		}
		return db(2 * h[0])
	}
	golden.Run(t, "testdata/sphere.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "sphere, far":
			sin, cos := math.Sincos(r.Num(t, "theta", "deg") * math.Pi / 180)
			const far = 1e11 // the field nearby is gone
			r.Check(t, effect(t, r.Num(t, "ka", "1"), r3.Vec{X: far * sin, Z: far * cos}))
		case "sphere, near":
			r.Check(t, effect(t, r.Num(t, "ka", "1"), r3.Vec{Z: r.Num(t, "r", "1") - 1}))
		case "sphere half power":
			f := func(ka float64) float64 { return -effect(t, ka, r3.Vec{Z: 1e11}) }
			r.Check(t, root(f, -10*math.Log10(2), 0.5, 1.5))
		default:
			r.Unknown(t)
		}
	})
}

func TestPanelRows(t *testing.T) {
	type place struct {
		Panel
		Driver
		hz []float64
		c  units.Velocity
	}
	golden.Run(t, "testdata/panel.csv", func(t *testing.T, r golden.Row) {
		var p place
		h := make([]complex128, 1)
		switch r.Calculation {
		case "cube":
			p = place{Panel{outline.Rectangle(1, 1), 1}, Driver{At: outline.Point{X: 0.5, Y: 0.5}}, []float64{r.Num(t, "kW", "1")}, unitary}
		case "panel", "edge sum":
			m := func(key string) units.Length { return units.Length(r.Num(t, key, "m")) }
			p = place{Panel{outline.Rectangle(m("w"), m("h")), 1}, Driver{At: outline.Point{X: m("x"), Y: m("y")}},
				[]float64{r.Num(t, "f", "Hz")}, units.Velocity(r.Num(t, "c", "m/s"))}
			if r.Has("d") {
				p.Depth = m("d")
			}
		default:
			r.Unknown(t)
		}
		var err error
		if r.Calculation == "edge sum" {
			err = p.EdgeSum(h, p.hz, p.Driver, p.c, r3.Vec{Z: 1}, int(r.Num(t, "rays", "1")))
		} else {
			var d Diffraction
			if d, err = p.Panel.Diffraction(p.Driver, p.c); err == nil && r.Has("r") {
				err = d.At(h, p.hz, r3.Vec{Z: r.Num(t, "r", "m")})
			} else if err == nil {
				err = d.Toward(h, p.hz, r3.Vec{Z: 1})
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		r.Check(t, db(2*h[0]))
	})
}
