package box

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A PassiveCone is a passive radiator, a cone on its suspension without a motor, as
// its data sheet describes it; Count of them are alike. [PassiveConeOf] makes one from
// fs, Vas and the like.
type PassiveCone struct {
	Sd  units.Area                 // effective area of one
	Mms units.Mass                 // moving mass of one with its air load, without added weight
	Cms units.Compliance           // compliance of the suspension of one
	Rms units.MechanicalResistance // mechanical losses of one; zero is none

	Added units.Mass   // weight added to each
	Count int          // how many; zero is one
	Xmax  units.Length // largest travel, peak, one way; zero is not given
}

// PassiveConeOf returns the radiator of a data sheet in air a, from any figures from
// which area, mass, compliance and losses follow: Sd or the diameter; two of Fs, Mms
// or Mmd, and Vas or Cms; Qms or Rms. Figures of a motor are not looked at. Which
// figure decides where several say the same is that of [ts.Sheet.Driver].
func PassiveConeOf(s ts.Sheet, a air.Air) (PassiveCone, error) {
	d, _, err := ts.Sheet{
		Fs: s.Fs, Qms: s.Qms, Vas: s.Vas, Sd: s.Sd, Diameter: s.Diameter, Mms: s.Mms, Mmd: s.Mmd, Cms: s.Cms, Rms: s.Rms,
		Xmax: s.Xmax, Vd: s.Vd,
		Re: 1, Qes: 1, // any motor: it decides no mechanical figure
	}.Driver(a)
	var refused *units.RangeError
	switch {
	case errors.As(err, &refused):
		return PassiveCone{}, fmt.Errorf("box: radiator: %w", err)
	case err != nil: // it would speak of the motor
		return PassiveCone{}, errors.New("box: radiator: too few figures: give area or diameter, two of fs, mass, and Vas or Cms, and Qms or Rms")
	}
	r := PassiveCone{Sd: d.Sd, Mms: d.Mms, Cms: d.Cms, Rms: d.Rms, Xmax: d.Xmax}
	return r, r.Check()
}

// Check reports the first impossible figure. A cone that moves less than the air
// load of its area on one side of a wall, half of [ts.AirMass] in standard air,
// cannot be: its sheet means another mass, or another unit.
func (r PassiveCone) Check() error {
	if err := cmp.Or(
		units.Positive("box: radiator: Sd", r.Sd),
		units.Positive("box: radiator: moving mass", r.Mms),
		units.Positive("box: radiator: Cms", r.Cms),
		units.NotNegative("box: radiator: Rms", r.Rms),
		units.NotNegative("box: radiator: added mass", r.Added),
		units.NotNegative("box: radiator: Xmax", r.Xmax),
	); err != nil {
		return err
	}
	if r.Count < 0 {
		return &units.RangeError{Field: "box: radiator: count", Value: fmt.Sprint(r.Count), Want: "must be positive, or zero for one"}
	}
	if load := ts.AirMass(r.Sd, air.Standard()) / 2; !(r.Mms > load) {
		return &units.RangeError{Field: "box: radiator: moving mass", Value: r.Mms.String(), Want: fmt.Sprintf("must be above the air load of its area, %v", load)}
	}
	return nil
}

func (r PassiveCone) count() float64 { return float64(max(r.Count, 1)) }

// area returns that of all.
func (r PassiveCone) area() units.Area { return r.Sd * units.Area(r.count()) }

// mass returns that of one, with its weight.
func (r PassiveCone) mass() float64 { return float64(r.Mms + r.Added) }

// Fp returns the resonance in open air with the added weight, 1/(2π √(M Cms)). A
// box with this radiator is silent there, but for losses.
func (r PassiveCone) Fp() units.Frequency {
	return units.Frequency(1 / (2 * math.Pi * math.Sqrt(r.mass()*float64(r.Cms))))
}

// Qmp returns the mechanical Q at [PassiveCone.Fp]; it is infinite without losses.
func (r PassiveCone) Qmp() float64 {
	return math.Sqrt(r.mass()/float64(r.Cms)) / float64(r.Rms)
}

// Vap returns the volume of air with the compliance of the suspensions of all,
// ρc² Sd² Cms times their number.
func (r PassiveCone) Vap(a air.Air) units.Volume {
	return units.Volume(float64(a.OrStandard().BulkModulus()) * float64(r.Sd*r.Sd) * float64(r.Cms) * r.count())
}
