package outside

import (
	"math"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"

	"gonum.org/v1/gonum/spatial/r3"
)

type sheets struct {
	Sheets []struct {
		ID    string  `json:"id"`
		Re    float64 `json:"re"`
		Zmax  float64 `json:"zmax"`
		Fs    float64 `json:"fs"`
		Qms   float64 `json:"qms"`
		Qes   float64 `json:"qes"`
		Qts   float64 `json:"qts"`
		Vas   float64 `json:"vas"`
		Sd    float64 `json:"sd"`
		Mms   float64 `json:"mms"`
		Cms   float64 `json:"cms"`
		Rms   float64 `json:"rms"`
		Bl    float64 `json:"bl"`
		Le1k  float64 `json:"le1k"`
		Le10k float64 `json:"le10k"`
	} `json:"sheets"`
}

func TestSystems(t *testing.T) {
	r := recording(t, "systems")
	drivers := cases[Drivers](t, "drivers")
	c := cases[Boxes](t, "boxes")
	for _, b := range c.Boxes {
		s, err := b.System(drivers)
		if err != nil {
			t.Fatal(err)
		}
		if s.Driver.Coil != (ts.Coil{}) {
			continue
		}
		r.equal(b.ID, "reference", s.Reference())
		f3, err := s.F3()
		if err != nil {
			t.Fatal(err)
		}
		r.equal(b.ID, "f3", float64(f3))
		if _, recorded := r.results[b.ID].Numbers["peak"]; recorded {
			_, db := s.Peak()
			r.equal(b.ID, "peak", math.Pow(10, db/20))
		}
		var delay []float64
		for _, hz := range c.Hz {
			delay = append(delay, float64(s.GroupDelay(units.Frequency(hz))))
		}
		r.within(b.ID, "delay", near, 1, delay...)

		if b.Kind == "baffle" {
			d := s.Driver
			w, q := 2*math.Pi*float64(d.Fs()), d.Qts()
			root := complex(-w/(2*q), 0)
			off := complex(0, w*math.Sqrt(1-1/(4*q*q)))
			if q <= 0.5 {
				off = complex(w*math.Sqrt(1/(4*q*q)-1), 0)
			}
			r.roots(b.ID, "poles", []complex128{root + off, root - off})
			continue
		}
		f, err := s.Functions()
		if err != nil {
			t.Fatal(err)
		}
		r.roots(b.ID, "poles", f.G.Poles)
		delay = delay[:0]
		for _, hz := range c.Hz {
			delay = append(delay, f.G.GroupDelay(hz))
		}
		r.within(b.ID, "delay", near, 1, delay...)
		if closed, ok := s.Enclosure.(box.Closed); ok && closed.QL == 0 {
			alignment, err := closed.Alignment(s.Driver, s.Air)
			if err != nil {
				t.Fatal(err)
			}
			r.equal(b.ID, "f3", float64(alignment.F3()))
		}
	}

	for _, c := range cases[sheets](t, "sheets").Sheets {
		d, _, err := ts.Sheet{
			Re: units.Resistance(c.Re), Zmax: units.Resistance(c.Zmax), Fs: units.Frequency(c.Fs), Qms: c.Qms, Qes: c.Qes, Qts: c.Qts,
			Vas: units.Volume(c.Vas), Sd: units.Area(c.Sd), Mms: units.Mass(c.Mms), Cms: units.Compliance(c.Cms),
			Rms: units.MechanicalResistance(c.Rms), Bl: units.ForceFactor(c.Bl),
			Le1k: units.Inductance(c.Le1k), Le10k: units.Inductance(c.Le10k),
		}.Driver(drivers.Medium())
		if err != nil {
			t.Fatal(err)
		}
		r.equal(c.ID, "driver", float64(d.Re), float64(d.Bl), float64(d.Mms), float64(d.Cms), float64(d.Rms), float64(d.Sd))
		r.equal(c.ID, "level at 2.83 V", float64(d.SPL283(drivers.Medium())))
		r.equal(c.ID, "efficiency", float64(d.Eta0(drivers.Medium())))
		if c.Le10k > 0 {
			r.equal(c.ID, "coil", d.Coil.K, d.Coil.N)
		}
	}
}

type speakers struct {
	Hz           []float64    `json:"hz"`
	SpeedOfSound float64      `json:"speed_of_sound"`
	Points       [][3]float64 `json:"points"`
	Speakers     []struct {
		ID   string `json:"id"`
		Ways []struct {
			Driver   string     `json:"driver"`
			Position [3]float64 `json:"position"`
			Inverted bool       `json:"inverted"`
			Arms     []Arm      `json:"arms"`
		} `json:"ways"`
	} `json:"speakers"`
}

// A radiator is a driver in an infinite baffle, alike in all directions.
type radiator struct{ box.System }

func (r radiator) Impedance(z []complex128, hz []float64) {
	for i, f := range hz {
		z[i] = r.At(units.Frequency(f)).Impedance
	}
}

func (r radiator) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for i, f := range hz {
		p[i] = r.At(units.Frequency(f)).Pressure
	}
}

func TestSpeakers(t *testing.T) {
	r := recording(t, "speakers")
	drivers := cases[Drivers](t, "drivers")
	c := cases[speakers](t, "speakers")
	vec := func(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }
	var points []r3.Vec
	for _, p := range c.Points {
		points = append(points, vec(p))
	}
	for _, x := range c.Speakers {
		var ways []crossover.Way
		var networks []ladder.Network
		for _, w := range x.Ways {
			s, err := Box{ID: x.ID, Driver: w.Driver, Kind: "baffle"}.System(drivers)
			if err != nil {
				t.Fatal(err)
			}
			n, err := Network(w.Arms)
			if err != nil {
				t.Fatal(err)
			}
			ways = append(ways, crossover.Way{Name: w.Driver, Radiator: radiator{s}, Position: vec(w.Position), Inverted: w.Inverted})
			networks = append(networks, n)
		}
		field, err := crossover.Sample(ways, c.Hz, units.Velocity(c.SpeedOfSound), points...)
		if err != nil {
			t.Fatal(err)
		}
		var result crossover.Result
		field.Evaluate(&result, networks...)
		r.same(x.ID, "load", result.Load)
		for i, h := range result.Transfer {
			r.same(x.ID, "transfer "+string(rune('1'+i)), h)
		}
		for i, p := range result.Sum {
			r.same(x.ID, "sum "+string(rune('1'+i)), p)
		}
	}
}
