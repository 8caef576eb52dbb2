package port

import (
	"cmp"
	"math"
	"slices"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Criterion is one limit that somebody sets to the speed of the air in a vent.
type Criterion struct {
	Name   string
	Limit  units.Velocity
	RMS    bool   // whether Limit is RMS; else it is peak
	Source string // who says so, and how well that is known
}

// Peak returns the limit as a peak speed of a sine, √2 times an RMS one.
func (c Criterion) Peak() units.Velocity {
	if c.RMS {
		return math.Sqrt2 * c.Limit
	}
	return c.Limit
}

// Criteria returns the limits that are in use for a vent at frequency f, the strictest
// first, for a report to put beside the speed that the air has. They disagree by a factor
// of four and more since they limit different things: the onset of turbulence, noise, compression,
// or nothing stated. Zero air is standard air, zero mu [StandardViscosity]. It is an error
// unless the vent's section passes its check, f is positive and mu not negative.
func (v Vent) Criteria(f units.Frequency, a air.Air, mu units.Viscosity) ([]Criterion, error) {
	a = a.OrStandard()
	if err := cmp.Or(v.checkSection(), units.Positive("port: frequency", f), a.Check(), units.NotNegative("port: viscosity", mu)); err != nil {
		return nil, err
	}
	omega, c := 2*math.Pi*float64(f), a.SpeedOfSound
	nu := float64(cmp.Or(mu, StandardViscosity)) / float64(a.Density)
	list := []Criterion{
		{Name: "turbulent boundary layer", Limit: units.Velocity(200 * math.Sqrt(nu*omega)),
			Source: "Merkli and Thomann, Journal of Fluid Mechanics 68 (1975) 567: 2 v/√(νω) = 400; value from memory"},
		{Name: "10 m/s", Limit: 10,
			Source: "attributed to Salvatti, Devantier and Button, Journal of the Audio Engineering Society 50 (2002) 19; read at second hand; taken as peak"},
		{Name: "Reynolds number 50 000", Limit: units.Velocity(5e4 / v.Reynolds(1, a, mu)),
			Source: "trade article, read at second hand: compression begins; taken as peak"},
		{Name: "17 m/s", Limit: 17,
			Source: "common practice, no source: 5 % of the speed of sound, misread as peak"},
		{Name: "20 m/s", Limit: 20, Source: "common practice, no source: straight vents; taken as peak"},
		{Name: "5 % of the speed of sound", Limit: 0.05 * c, RMS: true,
			Source: "Small, Journal of the Audio Engineering Society 21 (1973) 438, from memory; RMS by the coefficient of his rule"},
		{Name: "25 m/s", Limit: 25, Source: "common practice, no source: vents with rounded ends; taken as peak"},
		{Name: "30 m/s", Limit: 30, Source: "common practice, no source: well flared vents; taken as peak"},
		{Name: "10 % of the speed of sound", Limit: 0.1 * c, Source: "common practice, no source; taken as peak"},
	}
	if r := v.edge(); r > 0 {
		list = append(list, Criterion{Name: "stroke of one edge radius", Limit: units.Velocity(omega * float64(r)),
			Source: "scaling from first principles: flow leaves an edge once the stroke exceeds its radius by order one; the factor is not confirmed"})
	}
	slices.SortStableFunc(list, func(x, y Criterion) int { return cmp.Compare(x.Peak(), y.Peak()) })
	return list, nil
}

// edge is the sharper of the two roundings, 0 if an end is sharp.
func (v Vent) edge() units.Length { return min(v.OuterRound, v.InnerRound) }
