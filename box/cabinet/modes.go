package cabinet

import (
	"cmp"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// A Mode is a standing wave of a rectangular inside, with so many half waves along
// each of its three edges.
type Mode struct {
	N         [3]int
	Frequency units.Frequency
}

// Modes returns the standing waves between rigid walls of a rectangular inside up to
// and including the given frequency, in rising order (equal ones in the order of N):
//
//	f = (c/2) sqrt((n₁/l₁)² + (n₂/l₂)² + (n₃/l₃)²)
//
// at the speed of sound c. Errors: an edge, c or limit that is not positive and
// finite, or a limit that would list more than about a hundred thousand modes.
//
// These are the exact solutions of the wave equation for a closed empty box. Below
// about c/(10 l) of the longest edge the air is a plain spring; filling damps and
// lowers the modes and is not accounted for.
func Modes(edges [3]units.Length, c units.Velocity, limit units.Frequency) ([]Mode, error) {
	for _, l := range edges {
		if err := units.Positive("cabinet: inside edge", l); err != nil {
			return nil, err
		}
	}
	if err := units.Positive("cabinet: speed of sound", c); err != nil {
		return nil, err
	}
	if err := units.Positive("cabinet: frequency limit", limit); err != nil {
		return nil, err
	}
	var most [3]int
	count := 1.0
	for i, l := range edges {
		n := 2 * float64(limit) * float64(l) / float64(c)
		count *= 1 + n
		if !(count < 2e5) {
			return nil, &units.RangeError{Field: "cabinet: frequency limit", Value: limit.String(), Want: "must be lower: too many modes"}
		}
		most[i] = int(n) + 1
	}
	var modes []Mode
	for i := range most[0] + 1 {
		for j := range most[1] + 1 {
			for k := range most[2] + 1 {
				f := units.Frequency(float64(c) / 2 * math.Hypot(float64(i)/float64(edges[0]),
					math.Hypot(float64(j)/float64(edges[1]), float64(k)/float64(edges[2]))))
				// A hair above, so that a limit on a mode keeps it.
				if n := [3]int{i, j, k}; n != [3]int{} && f <= limit*(1+1e-12) {
					modes = append(modes, Mode{N: n, Frequency: f})
				}
			}
		}
	}
	slices.SortFunc(modes, func(a, b Mode) int {
		// Modes that are equal on paper may differ in the last bits.
		if math.Abs(float64(a.Frequency-b.Frequency)) > 1e-12*float64(a.Frequency) {
			return cmp.Compare(a.Frequency, b.Frequency)
		}
		return slices.Compare(a.N[:], b.N[:])
	})
	return modes, nil
}
