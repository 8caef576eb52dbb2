package box

import (
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// An Enclosure is the air behind the cone.
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
// per outward flow of the cone.
type Flow struct {
	Za  complex128 // acoustic impedance on the cone, Pa·s/m³
	Net complex128 // all flow to the outside: cone, vents, radiator and leak, as far as they reach it

	Vent     complex128 // flow out of the vent; of the front chamber if there are two
	Rear     complex128 // flow out of the vent of the rear chamber, if it has one besides
	Radiator complex128 // flow of the passive radiator
}

// Openings are the areas that turn flows into air speed and travel; zero where
// there is no such opening, or nobody wants to know.
type Openings struct {
	Vent     units.Area // of all vents together; of the front chamber if there are two
	Rear     units.Area // of the vents of the rear chamber, if it has some besides
	Radiator units.Area // effective, of the passive radiator
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

// inverse returns 1/q, and 0 for the q = 0 that means no loss.
func inverse(q float64) float64 {
	if q == 0 {
		return 0
	}
	return 1 / q
}

// acousticCompliance returns Vb/(ρc²) in m³/Pa.
func acousticCompliance(vb units.Volume, a air.Air) float64 {
	return float64(vb) / float64(a.BulkModulus())
}
