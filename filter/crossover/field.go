package crossover

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

// A Way is one branch of the speaker: a driver, or several, behind one network.
type Way struct {
	Name     string
	Radiator Radiator
	Position r3.Vec // of the acoustic centre, in metres
	Inverted bool   // the whole way, all its drivers, is connected the other way round

	More   []Driver // further drivers behind the same network
	Series bool     // all drivers of the way are wired in series, not in parallel
}

// A Driver is one more of a way, at its own place.
type Driver struct {
	Radiator Radiator
	Position r3.Vec // of the acoustic centre, in metres
	Inverted bool   // against the first of the way
}

// A Field holds the ways as numbers: the load each puts on its network, and the
// pressure it gives at each point per volt at its own terminals.
type Field struct {
	Hz      []float64
	loads   [][]complex128   // [way]
	p       [][][]complex128 // [way][point]
	drivers [][]driver       // [way]
}

// driver is what the field keeps of a single one.
type driver struct {
	z     []complex128 // Ω
	share []complex128 // of the voltage of the way; nil for all of it
}

// Sample asks the ways for their values at the frequencies hz, in hertz and
// ascending, and at the points, in metres, and adds place and polarity: 1/r and
// e^{−jkr}, k = 2πf/c, for the distance r from acoustic centre to point, with the
// speed of sound c. All of the flight time is in. The sources do not see each
// other, and each radiates as its curve for the direction of the point says, which
// holds in the far field.
//
// Drivers of one way in parallel share its voltage, those in series its current, so
// each of them has a share of the voltage as its impedance is of the sum. As the
// sources do not see each other, the gain in radiation resistance that close ones
// have at low frequencies is in the sum of the pressures, not in the impedances.
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
		if err := f.add(fmt.Sprintf("crossover: way %d, %s", i+1, w.Name), w, c, points); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// add samples one way; field names it in errors.
func (f *Field) add(field string, w Way, c units.Velocity, points []r3.Vec) error {
	all := append([]Driver{{w.Radiator, w.Position, false}}, w.More...)
	name := func(d int) string {
		if len(all) == 1 {
			return field
		}
		return fmt.Sprintf("%s, driver %d", field, d+1)
	}
	drivers := make([]driver, len(all))
	for d, one := range all {
		z := make([]complex128, len(f.Hz))
		one.Radiator.Impedance(z, f.Hz)
		if err := checkFinite(name(d)+": impedance", f.Hz, z, "Ω"); err != nil {
			return err
		}
		drivers[d].z = z
	}
	load := wire(drivers, w.Series)
	if err := checkFinite(field+": impedance", f.Hz, load, "Ω"); err != nil {
		return err
	}

	at := make([][]complex128, len(points))
	p := make([]complex128, len(f.Hz))
	for j, point := range points {
		at[j] = make([]complex128, len(f.Hz))
		for d, one := range all {
			path := r3.Sub(point, one.Position)
			r := r3.Norm(path)
			if err := units.Positive(fmt.Sprintf("%s: distance to point %d", name(d), j+1), units.Length(r)); err != nil {
				return err
			}
			one.Radiator.Pressure(p, f.Hz, r3.Unit(path))
			gain := 1 / r
			if w.Inverted != one.Inverted {
				gain = -gain
			}
			for i, hz := range f.Hz {
				p[i] *= cmplx.Rect(gain, -2*math.Pi*hz*r/float64(c))
				if drivers[d].share != nil {
					p[i] *= drivers[d].share[i]
				}
				at[j][i] += p[i]
			}
			if err := checkFinite(fmt.Sprintf("%s: pressure at point %d", name(d), j+1), f.Hz, p, "Pa"); err != nil {
				return err
			}
		}
	}
	f.loads, f.p, f.drivers = append(f.loads, load), append(f.p, at), append(f.drivers, drivers)
	return nil
}

// wire connects drivers, sets the share of each, and returns the impedance of all.
func wire(drivers []driver, series bool) []complex128 {
	if len(drivers) == 1 {
		return drivers[0].z
	}
	load := make([]complex128, len(drivers[0].z))
	for i := range load {
		for _, d := range drivers {
			if series {
				load[i] += d.z[i]
			} else {
				load[i] += reciprocal(d.z[i])
			}
		}
		if !series {
			load[i] = reciprocal(load[i])
		}
	}
	if series {
		for d := range drivers {
			drivers[d].share = make([]complex128, len(load))
			for i, z := range drivers[d].z {
				drivers[d].share[i] = z * reciprocal(load[i])
			}
		}
	}
	return load
}

// Ways returns how many ways there are.
func (f *Field) Ways() int { return len(f.p) }

// Points returns how many points there are.
func (f *Field) Points() int { return len(f.p[0]) }

// Drivers returns how many drivers a way has.
func (f *Field) Drivers(way int) int { return len(f.drivers[way]) }

// Load returns the impedance of a way's driver, or drivers, in ohms. It is not to
// be changed.
func (f *Field) Load(way int) []complex128 { return f.loads[way] }

// Pressure returns the pressure of a way at a point, in Pa per volt at its
// terminals, its polarity included. It is not to be changed.
func (f *Field) Pressure(way, point int) []complex128 { return f.p[way][point] }
