package coil

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// Wire is a round copper wire.
type Wire struct {
	Diameter units.Length // of the bare copper

	// Pitch is the distance of the centres of two turns beside or above each
	// other, so with enamel and slack. Zero is 1.1 times the diameter, which a
	// careful hand reaches with enamelled wire of about 1 mm.
	Pitch units.Length
}

// Check returns a *[units.RangeError] unless the wire has a positive diameter, and
// a pitch that is zero or not below the diameter.
func (w Wire) Check() error {
	if err := units.Positive("coil: wire diameter", w.Diameter); err != nil {
		return err
	}
	if w.Pitch == 0 {
		return nil
	}
	if err := units.Positive("coil: wire pitch", w.Pitch); err != nil {
		return err
	}
	if w.Pitch < w.Diameter {
		return &units.RangeError{Field: "coil: wire pitch", Value: w.Pitch.String(), Want: "must be at least the diameter of the wire, " + w.Diameter.String()}
	}
	return nil
}

// pitch returns the pitch, or its default.
func (w Wire) pitch() units.Length { return cmp.Or(w.Pitch, 1.1*w.Diameter) }

// Area returns the area of the copper.
func (w Wire) Area() units.Area {
	d := float64(w.Diameter)
	return units.Area(math.Pi / 4 * d * d)
}

// ResistancePerMetre returns the resistance of a metre of the wire at t for direct
// current, in Ω/m.
func (w Wire) ResistancePerMetre(t units.Temperature) float64 {
	return CopperResistivity(t) / float64(w.Area())
}

// AWG returns the bare diameter of the American Wire Gauge of a number, from 0 to 40:
//
//	d = 0.127 mm · 92^((36-n)/39)
//
// The law is that of ASTM B258, Standard Nominal Diameters and Cross-Sectional
// Areas of AWG Sizes of Solid Round Wires; its tables round to a tenth of a
// thousandth of an inch. It is an error if n is out of the range.
func AWG(n int) (units.Length, error) {
	if n < 0 || n > 40 {
		return 0, &units.RangeError{Field: "coil: wire gauge", Value: fmt.Sprint(n), Want: "must be from 0 to 40"}
	}
	return 0.127 * units.Millimetre * units.Length(math.Pow(92, float64(36-n)/39)), nil
}

// Metric returns the usual bare diameters of metric winding wire from 0.2 mm to
// 2.5 mm, ascending: the preferred numbers R20, and R40 from 0.71 mm on. They are
// given from memory of IEC 60317.
func Metric() []units.Length {
	hundredths := [...]units.Length{
		20, 25, 31.5, 35.5, 40, 45, 50, 56, 63, 71, 75, 80, 85, 90, 95,
		100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250,
	}
	for i := range hundredths {
		hundredths[i] /= 1e5
	}
	return hundredths[:]
}
