package outline_test

import (
	"encoding/binary"
	"math"
	"testing"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// Any corners must be refused or measured, never crash or give NaN.
func FuzzOutline(f *testing.F) {
	f.Add(encode(Rectangle(0.35, 0.6)), 0.038)
	f.Add(encode(RoundedRectangle(0.35, 0.6, 0.05)), -0.038)
	f.Add(encode(Circle(0.1)), 0.05)
	f.Add(encode(Outline{{}, {X: 1}, {Y: 1}, {X: 1, Y: 1}}), 0.1)
	f.Fuzz(func(t *testing.T, data []byte, d float64) {
		if len(data) > 16*12 {
			return
		}
		o := decode(data)
		if o.Check() != nil {
			return
		}
		plausible(t, o)
		m, err := o.Offset(units.Length(d))
		if err != nil {
			return
		}
		plausible(t, m)
		lo, hi := o.Bounds()
		hair := 1e-6 * float64(hi.X-lo.X+hi.Y-lo.Y)
		if a, b := float64(o.Area()), float64(m.Area()); d >= 0 && b > a+hair*hair || d <= 0 && b < a-hair*hair {
			t.Errorf("%#v: area %g, and %g moved inwards by %g", o, a, b, d)
		}
	})
}

func plausible(t *testing.T, o Outline) {
	t.Helper()
	lo, hi := o.Bounds()
	w, h := float64(hi.X-lo.X), float64(hi.Y-lo.Y)
	a, p := float64(o.Area()), float64(o.Perimeter())
	// No line encloses more than a circle of its length.
	if !(a > 0) || !(a <= w*h*(1+1e-9)) || !(4*math.Pi*a <= p*p*(1+1e-9)) {
		t.Errorf("%#v: area %g, length %g in %g by %g", o, a, p, w, h)
	}
}

func encode(o Outline) []byte {
	var data []byte
	for _, c := range o {
		for _, v := range []units.Length{c.X, c.Y, c.Round, c.Rise} {
			data = binary.LittleEndian.AppendUint32(data, math.Float32bits(float32(v)))
		}
	}
	return data
}

func decode(data []byte) Outline {
	var o Outline
	next := func() units.Length {
		v := math.Float32frombits(binary.LittleEndian.Uint32(data))
		data = data[4:]
		return units.Length(v)
	}
	for len(data) >= 16 {
		o = append(o, Corner{X: next(), Y: next(), Round: next(), Rise: next()})
	}
	return o
}
