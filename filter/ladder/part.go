package ladder

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// Kind is what a part is.
type Kind uint8

// The kinds of parts.
const (
	Resistor  Kind = iota // its value is in ohms
	Inductor              // a coil; its value is in henries
	Capacitor             // its value is in farads
)

// String returns the plain name: resistor, coil or capacitor.
func (k Kind) String() string {
	switch k {
	case Resistor:
		return "resistor"
	case Inductor:
		return "coil"
	case Capacitor:
		return "capacitor"
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// symbol returns the letter of the kind in formulas and net lists.
func (k Kind) symbol() string {
	switch k {
	case Resistor:
		return "R"
	case Inductor:
		return "L"
	case Capacitor:
		return "C"
	}
	return "?"
}

// Part is one resistor, coil or capacitor.
//
// Its impedance at the angular frequency ω is, with Value = R, L or C,
//
//	resistor   R
//	coil       Resistance + jωL
//	capacitor  Resistance + Loss/(ωC) + 1/(jωC)
type Part struct {
	Kind  Kind
	Value float64 // Ω, H or F; positive

	// Resistance is in series: the DC resistance of a coil, or a series
	// resistance of a capacitor that does not depend on frequency.
	Resistance units.Resistance

	// Loss is the loss factor tan δ of a capacitor, taken as equal at all
	// frequencies. Its series resistance Loss/(ωC) then falls as 1/f. In real film
	// capacitors it rises by less than a factor of two from 1 kHz to 10 kHz.
	Loss float64

	// Tolerance is how far the value of a bought part may be off, either way: 5 % is
	// 0.05. Zero is not given. Nothing that is computed for one network depends on it.
	Tolerance units.Ratio
}

// R returns a resistor.
func R(v units.Resistance) Part { return Part{Kind: Resistor, Value: float64(v)} }

// L returns a coil without losses.
func L(v units.Inductance) Part { return Part{Kind: Inductor, Value: float64(v)} }

// C returns a capacitor without losses.
func C(v units.Capacitance) Part { return Part{Kind: Capacitor, Value: float64(v)} }

// WithResistance returns the part with a series resistance.
func (p Part) WithResistance(r units.Resistance) Part {
	p.Resistance = r
	return p
}

// WithLoss returns the capacitor with a loss factor tan δ.
func (p Part) WithLoss(tanDelta float64) Part {
	p.Loss = tanDelta
	return p
}

// WithTolerance returns the part with a tolerance of its value.
func (p Part) WithTolerance(t units.Ratio) Part {
	p.Tolerance = t
	return p
}

// String writes the part as in a net list: "L 1.2 mH ±5 % 0.35 Ω". What is zero is
// left out.
func (p Part) String() string {
	s := p.Kind.symbol() + " " + p.value()
	if p.Tolerance != 0 {
		s += " ±" + percent(p.Tolerance)
	}
	if p.Resistance != 0 {
		s += " " + p.Resistance.String()
	}
	if p.Loss != 0 {
		s += fmt.Sprintf(" tan δ %.3g", p.Loss)
	}
	return s
}

// Impedance returns the impedance of the part in ohms at hz hertz.
func (p Part) Impedance(hz float64) complex128 {
	w := 2 * math.Pi * hz
	return p.rlc().at(w, 1/w)
}

func percent(r units.Ratio) string { return fmt.Sprintf("%.4g %%", r.In(units.Percent)) }

func (p Part) value() string {
	switch p.Kind {
	case Resistor:
		return units.Resistance(p.Value).String()
	case Inductor:
		return units.Inductance(p.Value).String()
	case Capacitor:
		return units.Capacitance(p.Value).String()
	}
	return fmt.Sprint(p.Value)
}

// Check returns a *[units.RangeError] unless the part can exist: a known kind, a
// positive value, losses that are zero or positive, a Resistance only with coils
// and capacitors (that of a resistor is its value), a Loss only with capacitors and
// a Tolerance below 100 %.
func (p Part) Check() error { return p.check("ladder: " + p.Kind.String()) }

func (p Part) check(field string) error {
	if p.Kind > Capacitor {
		return &units.RangeError{Field: field, Value: fmt.Sprint(p.Value), Want: "must be a resistor, coil or capacitor"}
	}
	if !(p.Value > 0) || math.IsInf(p.Value, 0) {
		return &units.RangeError{Field: field, Value: p.value(), Want: "must be positive and finite"}
	}
	if err := units.NotNegative(field+": series resistance", p.Resistance); err != nil {
		return err
	}
	if p.Kind == Resistor && p.Resistance != 0 {
		return &units.RangeError{Field: field + ": series resistance", Value: p.Resistance.String(), Want: "must be zero, a resistor's resistance is its value"}
	}
	if err := units.NotNegative(field+": loss factor", p.Loss); err != nil {
		return err
	}
	if p.Kind != Capacitor && p.Loss != 0 {
		return &units.RangeError{Field: field + ": loss factor", Value: fmt.Sprint(p.Loss), Want: "must be zero, only capacitors have one"}
	}
	if !(p.Tolerance >= 0 && p.Tolerance < 1) {
		return &units.RangeError{Field: field + ": tolerance", Value: percent(p.Tolerance), Want: "must be zero or positive, and below 100 %"}
	}
	return nil
}
