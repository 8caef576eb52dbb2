package ts

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
)

// A Metal is what a coil is wound of: the rise of its resistance per kelvin, as a
// fraction of the resistance at 20 °C. Coefficients that refer to 0 °C, as 0.0043 of
// many textbooks, are another number for the same wire.
type Metal float64

// Metals of coils.
const (
	Copper    Metal = 0.00393 // IEC 60028, as quoted
	Aluminium Metal = 0.00403 // from memory; print has 0.0039 to 0.0043
)

// Ratio returns the resistance at a rise (K) above 20 °C over that at 20 °C.
func (m Metal) Ratio(rise float64) float64 { return 1 + float64(float64(m)*rise) }

// Compression returns by how many dB the level at constant voltage falls when the
// coil is warmer by rise (K): 20 log of the ratio of the resistances, where Re rules
// the impedance. Heat and efficiency per watt fall by half as many dB; sources mix
// the two.
func (m Metal) Compression(rise float64) float64 { return 20 * math.Log10(m.Ratio(rise)) }

// Heated returns the driver with its coil warmer than 20 °C by rise (K). Qes rises
// with Re, so the response in a box changes shape besides its level.
func (d Driver) Heated(rise float64, m Metal) Driver {
	d.Re *= units.Resistance(m.Ratio(rise))
	return d
}

// Thermal is the way of the heat from the coil to the magnet and from there to the
// room: two bodies, each one temperature (the circuit of C. A. Henricksen 1987,
// "Heat-Transfer Mechanisms in Loudspeakers", J. Audio Eng. Soc. 35, 778, from memory).
//
//	Ctv dTv/dt = P − (Tv − Tm)/Rtv
//	Ctm dTm/dt = (Tv − Tm)/Rtv − Tm/Rtm
//
// Temperatures are rises above the room in kelvins; a room of 20 °C is meant where Re
// takes part. Coils need seconds to warm, magnets tens of minutes. That a moving coil
// fans itself, so that Rtv falls with travel, is left out; so is heat that currents in
// the iron leave in the magnet.
type Thermal struct {
	Rtv float64 // from coil to magnet, K/W
	Ctv float64 // heat capacity of the coil, J/K
	Rtm float64 // from magnet to room, K/W
	Ctm float64 // heat capacity of the magnet with its iron, J/K
}

// Check refuses figures that are not positive.
func (h Thermal) Check() error {
	return cmp.Or(
		positive("ts: thermal Rtv", h.Rtv, "K/W"),
		positive("ts: thermal Ctv", h.Ctv, "J/K"),
		positive("ts: thermal Rtm", h.Rtm, "K/W"),
		positive("ts: thermal Ctm", h.Ctm, "J/K"),
	)
}

// TimeConstants returns the time constants of the two exponentials of a constant
// heat. They are not quite Rtv Ctv and Rtm Ctm, since the bodies load each other.
func (h Thermal) TimeConstants() (fast, slow units.Time) {
	a, b, _ := h.matrix(0).eigenvalues()
	return units.Time(-1 / a), units.Time(-1 / b)
}

// Rise returns how much warmer than the room coil and magnet are (K) when a constant
// heat has flowed into the coil for a time t from cold; t may be infinite. It is the
// exact solution, a sum of two exponentials.
func (h Thermal) Rise(heat units.Power, t units.Time) (coil, magnet float64) {
	steady := pair{float64(heat) * (h.Rtv + h.Rtm), float64(heat) * h.Rtm}
	if math.IsInf(float64(t), 1) {
		return steady[0], steady[1]
	}
	x := h.matrix(0).function(float64(t), math.Expm1).times(steady)
	return -x[0], -x[1]
}

// SteadyRise returns how much warmer than the room the coil gets (K) at a constant
// voltage that puts the heat cold into it while it is cold. Its resistance grows and
// the heat falls, to
//
//	ΔT = (√(1 + 4α Rth P) − 1)/(2α),  Rth = Rtv + Rtm
//
// where Re rules the impedance (the root of ΔT (1 + αΔT) = Rth P).
func (h Thermal) SteadyRise(cold units.Power, m Metal) float64 {
	p := (h.Rtv + h.Rtm) * float64(cold)
	return 2 * p / (1 + math.Sqrt(1+4*float64(m)*p)) // without cancellation for little heat
}

// RiseAtVoltage returns what [Thermal.Rise] does, for a constant voltage that puts
// the heat cold into the coil while it is cold: the heat is cold/(1 + αΔT), where Re
// rules the impedance.
func (h Thermal) RiseAtVoltage(cold units.Power, m Metal, t units.Time) (coil, magnet float64) {
	return h.RiseUnder(func(rise float64) units.Power { return cold / units.Power(m.Ratio(rise)) }, t)
}

func positive(field string, v float64, unit string) error {
	if v > 0 && !math.IsInf(v, 0) {
		return nil
	}
	return &units.RangeError{Field: field, Value: number(v) + " " + unit, Want: "must be positive and finite"}
}
