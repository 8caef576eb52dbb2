package response

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

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
	Taken     Taken   // how the curve was taken, which it carries on
}

// Curve makes a curve of the columns that f names. Frequencies must be positive
// and strictly ascending, magnitudes positive, and everything finite; the error, a
// *[units.RangeError], says in which line and column they are not. What is allowed
// and yet looks like a mistake, [Table.Doubts] tells.
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
	c := Curve{Hz: slices.Clone(hz), H: make([]complex128, len(hz)), HasPhase: f.Phase != "", Taken: f.Taken}
	for i := range hz {
		magnitude, angle, unit := level[i], phase[i], ""
		if !f.Linear {
			magnitude, unit = f.Reference*FromDB(level[i]), " dB"
		}
		if !f.Radians {
			angle *= math.Pi / 180
		}
		if !(magnitude > 0) || math.IsInf(magnitude, 0) {
			return Curve{}, &units.RangeError{Field: "response: " + t.cell(i, f.Level) + ": level",
				Value: fmt.Sprint(level[i], unit), Want: "must give a positive, finite magnitude"}
		}
		if math.IsNaN(angle) || math.IsInf(angle, 0) {
			return Curve{}, &units.RangeError{Field: "response: " + t.cell(i, f.Phase) + ": phase",
				Value: fmt.Sprint(phase[i]), Want: "must be finite"}
		}
		c.H[i] = cmplx.Rect(magnitude, angle)
	}
	if err := c.check(func(i int) string { return t.cell(i, f.Frequency) }); err != nil {
		return Curve{}, err
	}
	return c, nil
}

// nearest is how far, as a share, neighbours must be apart for their logarithms to
// differ safely.
const nearest = 1e-12

// Check returns an error unless c has at least two points, as many values as
// frequencies, frequencies positive, finite and strictly ascending, and values
// finite and not zero, those on which logarithms can be taken; unless c.Taken is
// free of contradictions; and unless c.From leaves something valid.
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
	refuse := func(i int, what, value, want string) error {
		return &units.RangeError{Field: "response: " + place(i) + ": " + what, Value: value, Want: want}
	}
	for i, f := range c.Hz {
		if !(f > 0) || math.IsInf(f, 0) {
			return refuse(i, "frequency", hertz(f), "must be positive and finite")
		}
		if i > 0 && math.Abs(f-c.Hz[i-1]) <= nearest*f {
			return refuse(i, "frequency", hertz(f), "must not stand there twice")
		}
		if i > 0 && !(f > c.Hz[i-1]) {
			return refuse(i, "frequency", hertz(f), "must be above the "+hertz(c.Hz[i-1])+" before it")
		}
		if m := cmplx.Abs(c.H[i]); !(m > 0) || math.IsInf(m, 0) {
			return refuse(i, "value", fmt.Sprint(c.H[i]), "must be finite and not zero")
		}
		if !c.HasPhase && !(real(c.H[i]) > 0 && imag(c.H[i]) == 0) {
			return refuse(i, "value", fmt.Sprint(c.H[i]), "must be real and positive, since the phase is not known")
		}
	}
	var from error
	if last := c.Hz[len(c.Hz)-1]; !(float64(c.From) < last) {
		from = &units.RangeError{Field: "response: lower end of what is valid", Value: hertz(float64(c.From)),
			Want: "must be below the last frequency, " + hertz(last)}
	}
	return cmp.Or(c.Taken.Check(), units.NotNegative("response: lower end of what is valid", c.From), from)
}

// hertz writes a frequency with all its digits: two may differ in the last.
func hertz(f float64) string { return fmt.Sprint(f, " Hz") }
