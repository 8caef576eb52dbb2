package main

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
	"example.com/halfspace/filter"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A window is what the speaker does beside the ear, with each way brought to an
// ideal slope there: Linkwitz and Riley of the fourth order, both in phase. So what is
// seen is the panel and the places of the drivers, before any network is chosen.
type window struct {
	angles               []float64   // degrees, of the maps
	horizontal, vertical [][]float64 // dB re the ear, by angle, then frequency
	average              []float64   // dB re the ear, over the listening window
	worst                float64     // largest modulus of it where the speaker plays
	at                   units.Frequency
	lobe                 float64 // degrees above the ear, of the loudest angle at the crossover
	up, down             float64 // degrees to where the crossover is 3 dB below the ear; NaN: not within the map
	height, low, high    units.Length
}

// listeningWindow is that of ANSI/CTA-2034-A (from memory): nine directions of one
// weight. All of them lie within the angles at which the panel's effect is known.
func listeningWindow() crossover.Window {
	const deg = units.Degree
	w := crossover.Window{{Horizontal: 0, Vertical: 0, Weight: 1}, {Vertical: 10 * deg, Weight: 1}, {Vertical: -10 * deg, Weight: 1}}
	for _, a := range []units.Angle{10, 20, 30} {
		w = append(w, crossover.Angle{Horizontal: a * deg, Weight: 1}, crossover.Angle{Horizontal: -a * deg, Weight: 1})
	}
	return w
}

// seat returns a driver's place, seen from the point on the panel opposite the ear.
func (f *front) seat(x *part) r3.Vec {
	_, top := f.panel.Edge.Bounds()
	return r3.Vec{X: float64(x.from.X - top.X/2), Y: float64(x.from.Y - f.project.Play.Ear)}
}

// ways returns both drivers with ideal slopes at the ear, where the flight times are
// made equal.
func (f *front) ways() ([]crossover.Way, error) {
	low, err := filter.LinkwitzRiley(4)
	if err != nil {
		return nil, err
	}
	corner := 2 * math.Pi * float64(f.project.Crossover.Frequency)
	low = low.Scaled(corner)
	ear := r3.Vec{Z: float64(f.project.Play.Distance)}
	var ways []crossover.Way
	for i, x := range f.drivers {
		m := baffle.Mounted{Hz: f.hz, Z: make([]complex128, len(f.hz)), P: make([]complex128, len(f.hz)), Panel: x.edge}
		path := r3.Sub(ear, f.seat(x))
		r := r3.Norm(path)
		there := make([]complex128, len(f.hz))
		if err := x.edge.Toward(there, f.hz, path); err != nil {
			return nil, err
		}
		for k, hz := range f.hz {
			slope := low.AtHz(hz)
			if i == 1 {
				s := complex(0, hz/float64(f.project.Crossover.Frequency))
				slope *= s * s * s * s
			}
			m.Z[k] = complex(8, 0) // of no account: there is no network
			m.P[k] = slope / there[k] * cmplx.Rect(r, 2*math.Pi*hz*r/float64(f.air.SpeedOfSound))
		}
		ways = append(ways, crossover.Way{Name: x.key, Radiator: m, Position: f.seat(x)})
	}
	return ways, nil
}

// sums returns the pressure at points, per volt at both drivers.
func (f *front) sums(ways []crossover.Way, points []r3.Vec) ([][]complex128, error) {
	field, err := crossover.Sample(ways, f.hz, f.air.SpeedOfSound, points...)
	if err != nil {
		return nil, err
	}
	ones := make([]complex128, len(f.hz))
	for i := range ones {
		ones[i] = 1
	}
	out := make([][]complex128, len(points))
	for j := range points {
		out[j] = make([]complex128, len(f.hz))
		field.Add(out[j], j, [][]complex128{ones, ones})
	}
	return out, nil
}

// listen fills in the window.
func (f *front) listen() error {
	w := &f.window
	ways, err := f.ways()
	if err != nil {
		return err
	}
	distance := float64(f.project.Play.Distance)
	for a := -30.0; a <= 30; a++ {
		w.angles = append(w.angles, a)
	}
	scan := func(point func(a float64) r3.Vec, angles []float64) ([][]float64, error) {
		points := []r3.Vec{{Z: distance}}
		for _, a := range angles {
			points = append(points, r3.Scale(distance, point(a)))
		}
		sums, err := f.sums(ways, points)
		if err != nil {
			return nil, err
		}
		var levels [][]float64
		for _, p := range sums[1:] {
			row := make([]float64, len(f.hz))
			for i := range p {
				row[i] = response.DB(p[i] / sums[0][i])
			}
			levels = append(levels, row)
		}
		return levels, nil
	}
	sideways := func(a float64) r3.Vec { return toward(a, 0) }
	upward := func(a float64) r3.Vec { return toward(0, a) }
	if w.horizontal, err = scan(sideways, w.angles); err != nil {
		return err
	}
	if w.vertical, err = scan(upward, w.angles); err != nil {
		return err
	}

	points, weights := listeningWindow().Points(f.project.Play.Distance)
	sums, err := f.sums(ways, points)
	if err != nil {
		return err
	}
	power := make([]float64, len(f.hz))
	crossover.PowerAverage(power, sums, weights)
	for i, p := range power {
		l := 10*math.Log10(p) - response.DB(sums[0][i])
		w.average = append(w.average, l)
		if hz := units.Frequency(f.hz[i]); hz >= f.drivers[0].lo && hz <= f.drivers[1].hi && math.Abs(l) > math.Abs(w.worst) {
			w.worst, w.at = l, hz
		}
	}
	return f.aim(scan)
}

// aim finds the lobe at the crossover.
func (f *front) aim(scan func(func(float64) r3.Vec, []float64) ([][]float64, error)) error {
	w := &f.window
	var fine []float64
	for a := -30.0; a <= 30; a += 0.5 {
		fine = append(fine, a)
	}
	levels, err := scan(func(a float64) r3.Vec { return toward(0, a) }, fine)
	if err != nil {
		return err
	}
	k := nearest(f.hz, f.project.Crossover.Frequency)
	best, ear := 0, len(fine)/2
	for i := range fine {
		if math.Round(levels[i][k]*1e6) > math.Round(levels[best][k]*1e6) {
			best = i
		}
	}
	w.lobe = fine[best]
	w.up, w.down = math.NaN(), math.NaN()
	for i := ear; i < len(fine); i++ {
		if levels[i][k] < -3 {
			w.up = cut(fine[i-1], fine[i], levels[i-1][k], levels[i][k])
			break
		}
	}
	for i := ear; i >= 0; i-- {
		if levels[i][k] < -3 {
			w.down = cut(fine[i+1], fine[i], levels[i+1][k], levels[i][k])
			break
		}
	}
	above := func(a float64) units.Length {
		return f.project.Play.Ear + f.project.Play.Distance*units.Length(math.Tan(a*math.Pi/180))
	}
	w.height, w.low, w.high = above(w.lobe), above(w.down), above(w.up)
	return nil
}

// cut returns where a line between two angles passes −3 dB.
func cut(a, b, la, lb float64) float64 { return a + (b-a)*(-3-la)/(lb-la) }

func nearest(hz []float64, f units.Frequency) int {
	best := 0
	for i := range hz {
		if math.Abs(math.Log(hz[i]/float64(f))) < math.Abs(math.Log(hz[best]/float64(f))) {
			best = i
		}
	}
	return best
}
