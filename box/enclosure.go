package box

import (
	"errors"
	"fmt"
	"strings"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Enclosure is the air around the cone.
type Enclosure interface {
	// Flow returns what the enclosure does at s = jω; s is not zero and the air
	// is not the zero air.
	Flow(s complex128, a air.Air) Flow
	// Openings returns what the flows of Flow pass through.
	Openings() Openings
	// Check reports the first impossible figure.
	Check() error
}

// A Flow is the effect of an enclosure at one frequency. Flows are outward and
// per outward flow of the cone; in a band-pass box the cone's outward is towards
// the front chamber.
type Flow struct {
	Za  complex128 // acoustic impedance on the cone, Pa·s/m³
	Net complex128 // all flow to the outside: cone, vents, radiator and leak, as far as they reach it

	Vent     complex128 // flow out of the vent; of the front chamber if there are two
	Rear     complex128 // flow out of the vent of the rear chamber, if it has one besides
	Radiator complex128 // flow of the passive radiators together
}

// Openings are the areas that turn flows into air speed and travel; zero where
// there is no such opening, or nobody wants to know.
type Openings struct {
	Vent     units.Area // of all vents together; of the front chamber if there are two
	Rear     units.Area // of the vents of the rear chamber, if it has some besides
	Radiator units.Area // effective, of the passive radiators together
}

// InfiniteBaffle is a wall that parts front from rear: no air load but that in
// Mms. Driver curves in half space are measured so.
type InfiniteBaffle struct{}

// Flow implements [Enclosure].
func (InfiniteBaffle) Flow(complex128, air.Air) Flow { return Flow{Net: 1} }

// Openings implements [Enclosure].
func (InfiniteBaffle) Openings() Openings { return Openings{} }

// Check implements [Enclosure].
func (InfiniteBaffle) Check() error { return nil }

func (InfiniteBaffle) polynomials(air.Air) polynomials {
	return polynomials{den: poly{1}, net: poly{1}}
}

// A side is a chamber on one side of the cone, by itself, with flows outward and per
// flow of the cone out of that chamber; net is 1 + vent + leak.
type side struct{ za, net, vent, leak complex128 }

// between returns the flows of a cone that pushes into the front chamber and pulls
// from the rear one, where both have openings to the outside.
//
// What leaves is rear.net − front.net. Written as here, nothing cancels far below
// or above the resonances, where both are nearly 0 or 1.
func between(rear, front side) Flow {
	return Flow{
		Za:   rear.za + front.za,
		Net:  front.net*(rear.vent+rear.leak) - rear.net*(front.vent+front.leak),
		Vent: -front.vent,
		Rear: rear.vent,
	}
}

// inChamber says in which chamber a figure was refused.
func inChamber(chamber string, err error) error {
	if err == nil {
		return nil
	}
	var refused *units.RangeError
	if !errors.As(err, &refused) {
		return fmt.Errorf("box: %s: %w", chamber, err)
	}
	e := *refused
	e.Field = "box: " + chamber + strings.TrimPrefix(e.Field, "box")
	return &e
}

// reciprocal returns 1/z, in half the time of a complex quotient, for moduli from
// 1e-150 to 1e150, beyond which no circuit goes.
//
// Only a lossless resonance makes z zero. There the load is infinite; what the cone
// then does is the limit of a large load, which is reached long before numbers end.
func reciprocal(z complex128) complex128 {
	if z == 0 {
		z = 1e-120
	}
	k := 1 / (real(z)*real(z) + imag(z)*imag(z))
	return complex(real(z)*k, -imag(z)*k)
}

// inverse returns 1/q, and 0 for the q = 0 that means no loss.
func inverse(q float64) float64 {
	if q == 0 {
		return 0
	}
	return 1 / q
}

// scale returns k z.
func scale(z complex128, k float64) complex128 { return complex(real(z)*k, imag(z)*k) }

// acousticCompliance returns Vb/(ρc²) in m³/Pa.
func acousticCompliance(vb units.Volume, a air.Air) float64 {
	return float64(vb) / float64(a.BulkModulus())
}
