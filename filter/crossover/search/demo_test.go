package search

import (
	"encoding/csv"
	"math"
	"math/cmplx"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// table reads an invented driver, with the directions that it has, of the grid every
// so many points from its end.
func table(t testing.TB, name string, every int) crossover.Curves {
	t.Helper()
	file := must[*os.File](t)(os.Open("testdata/" + name + ".csv"))
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	rows := must[[][]string](t)(r.ReadAll())
	head := rows[0]
	var c crossover.Curves
	toward := map[string]r3.Vec{
		"axis": {Z: 1}, "right15": {X: math.Sin(math.Pi / 12), Z: math.Cos(math.Pi / 12)}, "right30": {X: 0.5, Z: math.Sqrt(0.75)},
		"up10": {Y: math.Sin(math.Pi / 18), Z: math.Cos(math.Pi / 18)}, "down10": {Y: -math.Sin(math.Pi / 18), Z: math.Cos(math.Pi / 18)},
	}
	for i := 3; i < len(head); i += 2 {
		c.Directions = append(c.Directions, crossover.Direction{Toward: toward[head[i][:len(head[i])-3]]})
	}
	if len(rows) < 100 { // every second point is in the file
		every = max(1, every/2)
	}
	for k, row := range rows[1:] {
		if (len(rows)-2-k)%every != 0 {
			continue
		}
		v := make([]float64, len(row))
		for i, text := range row {
			v[i] = must[float64](t)(strconv.ParseFloat(text, 64))
		}
		c.Hz = append(c.Hz, v[0])
		c.Z = append(c.Z, cmplx.Rect(v[1], v[2]*math.Pi/180))
		for i := range c.Directions {
			pa := 20e-6 * math.Pow(10, v[3+2*i]/20) / 2.83
			c.Directions[i].P = append(c.Directions[i].P, cmplx.Rect(pa, v[4+2*i]*math.Pi/180))
		}
	}
	return c
}

// A dome is the moving parts of a tweeter.
type dome struct{ re, bl, mms, cms, rms, xmax, fs float64 }

var (
	domeA = dome{5.3, 3.1, 0.34e-3, 0.11e-3, 0.85, 0.4e-3, 823}
	domeC = dome{3.3, 2.75, 0.37e-3, 0.1217e-3, 0.79, 0.5e-3, 750}
)

// travel for a sine of some volts, peak, from the circuit of the driver.
func (d dome) travel(hz []float64, volts units.Voltage) Travel {
	t := Travel{Volts: volts, Limit: units.Length(d.xmax)}
	for _, f := range hz {
		s := complex(0, 2*math.Pi*f)
		zm := complex(d.rms, 0) + s*complex(d.mms, 0) + 1/(s*complex(d.cms, 0))
		u := complex(d.bl, 0) / (complex(d.re, 0)*zm + complex(d.bl*d.bl, 0))
		t.PerVolt = append(t.PerVolt, math.Sqrt2*cmplx.Abs(u/s))
	}
	return t
}

// demo is woofer B with tweeter A 20 mm ahead: on axis only, far away, wanted flat.
func demo(t testing.TB, every int) Problem {
	w, tw := table(t, "woofer_b", every), table(t, "tweeter_a", every)
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: w, Position: r3.Vec{Z: -0.02}}, {Name: "tweeter", Radiator: tw},
	}, w.Hz, 345, r3.Vec{Z: 100}))
	return Problem{
		Field: f, Lo: 200, Hi: 16000, Target: make([]float64, len(w.Hz)),
		Crossing: 1700, Load: 4.5, Travel: []Travel{{}, domeA.travel(w.Hz, 12.65)},
	}
}

// radius of the cone in metres.
var radius = map[string]float64{"woofer_a": 0.052, "woofer_c": 0.102}

// demoPair is a woofer and a tweeter on the panel, heard at 2 m, with a window.
func demoPair(t testing.TB, woofer, tweeter string, d dome, every int) Problem {
	w, tw := table(t, woofer, every), table(t, tweeter, every)
	at := func(right, up float64) r3.Vec {
		return r3.Vec{X: 2 * math.Sin(right*math.Pi/180) * math.Cos(up*math.Pi/180), Y: 2 * math.Sin(up*math.Pi/180),
			Z: 2 * math.Cos(right*math.Pi/180) * math.Cos(up*math.Pi/180)}
	}
	if len(w.Directions) == 1 { // beside it, a piston
		w.Radius, w.SpeedOfSound = units.Length(radius[woofer]), 345
	}
	f := must[*crossover.Field](t)(crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: w, Position: r3.Vec{X: -0.02, Y: -0.138, Z: -0.028}},
		{Name: "tweeter", Radiator: tw, Position: r3.Vec{Z: -0.008}},
	}, w.Hz, 345, at(0, 0), at(15, 0), at(30, 0), at(0, 10), at(0, -10)))
	return Problem{Field: f, Resonance: units.Frequency(d.fs), Travel: []Travel{{}, d.travel(w.Hz, 12.65)}}
}

func demoShop(t testing.TB) parts.Catalogue {
	file := must[*os.File](t)(os.Open("testdata/parts.csv"))
	defer file.Close()
	c := must[parts.Catalogue](t)(parts.ReadCatalogue(file))
	var some parts.Catalogue
	for _, i := range c { // a tweeter's resistor has to bear 10 W
		if i.Kind != parts.Resistor || i.Rating.Power >= 10 {
			some = append(some, i)
		}
	}
	return some
}
