package crossover

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Way is one branch of the speaker.
type Way struct {
	Name     string
	Radiator Radiator
	Position r3.Vec // of the acoustic centre, in metres
	Inverted bool   // connected the other way round
}

// A Field holds the ways as numbers: the load each puts on its network, and the
// pressure it gives at each point per volt at its own terminals.
type Field struct {
	Hz    []float64
	loads [][]complex128   // [way]
	p     [][][]complex128 // [way][point]
}

// Sample asks the ways for their values at the frequencies hz, in hertz and
// ascending, and at the points, in metres, and adds place and polarity: 1/r and
// e^{−jkr}, k = 2πf/c, for the distance r from acoustic centre to point, with the
// speed of sound c. All of the flight time is in. The sources do not see each
// other, and each radiates as its curve for the direction of the point says, which
// holds in the far field.
//
// It is an error, which names way, point or frequency, if there are no ways, points
// or frequencies, if hz does not ascend, if a point lies on an acoustic centre, or
// if a value is not finite.
func Sample(ways []Way, hz []float64, c units.Velocity, points ...r3.Vec) (*Field, error) {
	if err := units.Positive("crossover: speed of sound", c); err != nil {
		return nil, err
	}
	if err := checkGrid("crossover", hz); err != nil {
		return nil, err
	}
	if len(ways) == 0 || len(points) == 0 {
		return nil, &units.RangeError{Field: "crossover:", Value: fmt.Sprintf("%d ways, %d points", len(ways), len(points)),
			Want: "must be at least one of each"}
	}
	f := &Field{Hz: slices.Clone(hz)}
	for i, w := range ways {
		field := fmt.Sprintf("crossover: way %d, %s", i+1, w.Name)
		z := make([]complex128, len(hz))
		w.Radiator.Impedance(z, hz)
		if err := checkFinite(field+": impedance", hz, z, "Ω"); err != nil {
			return nil, err
		}
		f.loads = append(f.loads, z)
		at := make([][]complex128, len(points))
		for j, point := range points {
			path := r3.Sub(point, w.Position)
			r := r3.Norm(path)
			if err := units.Positive(fmt.Sprintf("%s: distance to point %d", field, j+1), units.Length(r)); err != nil {
				return nil, err
			}
			at[j] = make([]complex128, len(hz))
			w.Radiator.Pressure(at[j], hz, r3.Unit(path))
			gain := 1 / r
			if w.Inverted {
				gain = -gain
			}
			for i, hz := range hz {
				at[j][i] *= cmplx.Rect(gain, -2*math.Pi*hz*r/float64(c))
			}
			if err := checkFinite(fmt.Sprintf("%s: pressure at point %d", field, j+1), hz, at[j], "Pa"); err != nil {
				return nil, err
			}
		}
		f.p = append(f.p, at)
	}
	return f, nil
}

// Ways returns how many ways there are.
func (f *Field) Ways() int { return len(f.p) }

// Points returns how many points there are.
func (f *Field) Points() int { return len(f.p[0]) }

// Load returns the impedance of a way's driver in ohms. It is not to be changed.
func (f *Field) Load(way int) []complex128 { return f.loads[way] }

// Pressure returns the pressure of a way at a point, in Pa per volt at the
// driver's terminals, its polarity included. It is not to be changed.
func (f *Field) Pressure(way, point int) []complex128 { return f.p[way][point] }
