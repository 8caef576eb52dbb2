package response

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// A Curve holds complex values over frequency: pressure in pascals, impedance
// in ohms, or a plain ratio.
type Curve struct {
	Hz       []float64    // frequencies, positive, strictly ascending
	H        []complex128 // one value for each, none of them zero
	HasPhase bool         // whether the phase of H is known; if not, H is real and positive

	Taken Taken           // how, and with that what it contains; may be left out
	From  units.Frequency // what lies below is not valid, as under the lowest frequency of a gate; zero: all is
}

// A Form says how a table is to be read as a curve.
type Form struct {
	Frequency string  // column of frequencies in hertz
	Level     string  // column of levels in decibels, or of magnitudes if Linear
	Phase     string  // column of phases; empty for none
	Linear    bool    // Level holds magnitudes: ohms, pascals
	Reference float64 // magnitude at 0 dB; 0 means 1. For sound pressure levels 20e-6 Pa
	Radians   bool    // Phase is in radians, not in degrees
}

// Curve makes a curve of the columns that f names. Frequencies must be positive
// and strictly ascending, magnitudes positive, and everything finite; the error
// says in which line they are not.
func (t *Table) Curve(f Form) (Curve, error) {
	switch {
	case f.Linear && f.Reference != 0:
		return Curve{}, &units.RangeError{Field: "response: reference", Value: fmt.Sprint(f.Reference),
			Want: "must be left out, since the level is linear"}
	case f.Radians && f.Phase == "":
		return Curve{}, errors.New("response: radians, but no column of phase is named")
	case f.Reference == 0:
		f.Reference = 1
	}
	if err := units.Positive("response: reference", f.Reference); err != nil {
		return Curve{}, err
	}
	hz, err := t.Column(f.Frequency)
	if err != nil {
		return Curve{}, err
	}
	level, err := t.Column(f.Level)
	if err != nil {
		return Curve{}, err
	}
	phase := make([]float64, len(hz))
	if f.Phase != "" {
		if phase, err = t.Column(f.Phase); err != nil {
			return Curve{}, err
		}
	}
	c := Curve{Hz: append([]float64(nil), hz...), H: make([]complex128, len(hz)), HasPhase: f.Phase != ""}
	for i := range hz {
		magnitude, angle := level[i], phase[i]
		if !f.Linear {
			magnitude = f.Reference * FromDB(level[i])
		}
		if !f.Radians {
			angle *= math.Pi / 180
		}
		if !(magnitude > 0) || math.IsInf(magnitude, 0) {
			return Curve{}, fmt.Errorf("response: %s: level %v in column %q: must give a positive, finite magnitude", t.place(i), level[i], f.Level)
		}
		if math.IsNaN(angle) || math.IsInf(angle, 0) {
			return Curve{}, fmt.Errorf("response: %s: phase %v in column %q: must be finite", t.place(i), phase[i], f.Phase)
		}
		c.H[i] = cmplx.Rect(magnitude, angle)
	}
	if err := c.check(t.place); err != nil {
		return Curve{}, err
	}
	return c, nil
}

// Check returns an error unless c has at least two points, as many values as
// frequencies, frequencies positive, finite and strictly ascending, and values
// finite and not zero: those on which logarithms can be taken.
func (c Curve) Check() error {
	return c.check(func(i int) string { return fmt.Sprintf("point %d", i+1) })
}

func (c Curve) check(place func(int) string) error {
	if len(c.H) != len(c.Hz) {
		return fmt.Errorf("response: %d values for %d frequencies: must be as many", len(c.H), len(c.Hz))
	}
	if len(c.Hz) < 2 {
		return fmt.Errorf("response: a curve of %s: must have at least two", plural(len(c.Hz), "point"))
	}
	for i, f := range c.Hz {
		if !(f > 0) || math.IsInf(f, 0) {
			return fmt.Errorf("response: %s: frequency %v Hz: must be positive and finite", place(i), f)
		}
		if i > 0 && !(f > c.Hz[i-1]) {
			return fmt.Errorf("response: %s: frequency %v Hz after %v Hz: must be ascending", place(i), f, c.Hz[i-1])
		}
		if m := cmplx.Abs(c.H[i]); !(m > 0) || math.IsInf(m, 0) {
			return fmt.Errorf("response: %s: value %v: must be finite and not zero", place(i), c.H[i])
		}
		if !c.HasPhase && !(real(c.H[i]) > 0 && imag(c.H[i]) == 0) {
			return fmt.Errorf("response: %s: value %v: must be real and positive, since the phase is not known", place(i), c.H[i])
		}
	}
	return nil
}
