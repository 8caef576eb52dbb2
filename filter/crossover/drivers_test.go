package crossover

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Two different drivers behind one network, by Ohm's law.
func TestTwoDriversByHand(t *testing.T) {
	hz := grid(40, 20, 20000)
	a, b := coil{5.6, 0.7e-3}, coil{3.9, 0.2e-3}
	point := r3.Vec{X: 0.3, Z: 2}
	network := ladder.Network{
		ladder.Series(ladder.L(1 * units.Millihenry).WithResistance(0.3)),
		ladder.Shunt(ladder.C(20 * units.Microfarad)),
	}
	for _, series := range []bool{false, true} {
		for _, inverted := range []bool{false, true} {
			f := must[*Field](t)(Sample([]Way{{
				Name: "woofers", Radiator: a, Position: r3.Vec{Y: 0.1}, Inverted: inverted, Series: series,
				More: []Driver{{b, r3.Vec{Y: -0.2, Z: 0.05}, true}},
			}}, hz, sound, point))
			if f.Drivers(0) != 2 {
				t.Fatalf("%d drivers", f.Drivers(0))
			}
			var res Result
			f.Evaluate(&res, network)
			for i, f := range hz {
				w := 2 * math.Pi * f
				za, zb := complex(a.re, w*a.le), complex(b.re, w*b.le)
				load := za * zb / (za + zb)
				if series {
					load = za + zb
				}
				state := must[ladder.State](t)(network.State(f, load))
				va, vb := state.Load.Voltage, state.Load.Voltage
				if series {
					va, vb = state.Load.Current*za, state.Load.Current*zb
				}
				at := func(v complex128, y, z, sign float64) complex128 {
					path := r3.Sub(point, r3.Vec{Y: y, Z: z})
					r := r3.Norm(path)
					return v * complex(sign*(0.3+0.1*path.Z/r)/r, sign*f/5000/r) * cmplx.Exp(complex(0, -w*r/sound))
				}
				want := at(va, 0.1, 0, 1) + at(vb, -0.2, 0.05, -1)
				if inverted {
					want = -want
				}
				if got := res.Sum[0][i]; !(cmplx.Abs(got-want) <= 1e-12*(1+cmplx.Abs(want))) {
					t.Errorf("series %v, inverted %v, %g Hz: %v, want %v", series, inverted, f, got, want)
				}
				if got := res.Load[i] * state.Current; !(cmplx.Abs(got-1) <= 1e-12) {
					t.Errorf("series %v, %g Hz: load %v, want %v", series, f, res.Load[i], 1/state.Current)
				}
			}
		}
	}
}

// Two equal drivers at one place: in parallel half the impedance and 6.02 dB more
// per volt, in series twice the impedance and no more pressure than one.
func TestTwinDrivers(t *testing.T) {
	hz := grid(20, 20, 20000)
	d := coil{5.6, 0.7e-3}
	sample := func(w Way) *Field {
		w.Radiator = d
		return must[*Field](t)(Sample([]Way{w}, hz, sound, r3.Vec{Z: 1}))
	}
	single := sample(Way{})
	for _, c := range []struct {
		way  Way
		z, p complex128
	}{
		{Way{More: []Driver{{Radiator: d}}}, 0.5, 2},
		{Way{More: []Driver{{Radiator: d}}, Series: true}, 2, 1},
		{Way{More: []Driver{{Radiator: d}, {Radiator: d}, {Radiator: d}}, Series: true}, 4, 1},
		{Way{More: []Driver{{Radiator: d, Inverted: true}}}, 0.5, 0},
		{Way{Series: true}, 1, 1}, // one driver is not in series with anything
	} {
		f := sample(c.way)
		for i := range hz {
			if got, want := f.Load(0)[i], c.z*single.Load(0)[i]; !(cmplx.Abs(got-want) <= 1e-13*cmplx.Abs(want)) {
				t.Errorf("%+v: load %v, want %v", c.way, got, want)
			}
			if got, want := f.Pressure(0, 0)[i], c.p*single.Pressure(0, 0)[i]; !(cmplx.Abs(got-want) <= 1e-13*cmplx.Abs(single.Pressure(0, 0)[i])) {
				t.Errorf("%+v: pressure %v, want %v", c.way, got, want)
			}
		}
	}
}

func TestMoreDriversRefused(t *testing.T) {
	for want, way := range map[string]Way{
		"way 1, bass, driver 2: impedance at 100 Hz":     {More: []Driver{{Radiator: ideal{math.NaN(), 1}}}},
		"way 1, bass, driver 2: distance to point 1 0 m": {More: []Driver{{Radiator: ideal{8, 1}, Position: r3.Vec{Z: 1}}}},
		"way 1, bass, driver 3: pressure at point 1":     {More: []Driver{{Radiator: ideal{8, 1}}, {Radiator: ideal{8, math.Inf(1)}}}},
		"way 1, bass: impedance at 100 Hz":               {Series: true, More: []Driver{{Radiator: ideal{math.MaxFloat64, 1}}, {Radiator: ideal{math.MaxFloat64, 1}}}},
	} {
		way.Name, way.Radiator = "bass", ideal{8, 1}
		if _, err := Sample([]Way{way}, []float64{100}, sound, r3.Vec{Z: 1}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}

// pink has equal weights on a grid of equal ratios.
func pink(hz []float64, volts units.Voltage) ladder.Programme {
	p := ladder.Programme{Volts: volts, Crest: 2, Hz: hz, Weight: make([]float64, len(hz))}
	for i := range hz {
		p.Weight[i] = 1 / float64(len(hz))
	}
	return p
}

// What the amplifier gives is what parts and drivers take.
func TestDutiesAddUp(t *testing.T) {
	hz := grid(32, 20, 20000)
	a, b := coil{5.6, 0.7e-3}, coil{3.9, 0.2e-3}
	ways := []Way{
		{Name: "woofers", Radiator: a, More: []Driver{{Radiator: b}, {Radiator: a}}},
		{Name: "tweeters", Radiator: b, More: []Driver{{Radiator: a}}, Series: true},
		{Name: "super tweeter", Radiator: a},
	}
	f := must[*Field](t)(Sample(ways, hz, sound, r3.Vec{Z: 2}))
	networks := []ladder.Network{
		{ladder.Series(ladder.L(1 * units.Millihenry).WithResistance(0.3))},
		{ladder.Series(ladder.C(10 * units.Microfarad)), ladder.Shunt(ladder.R(20))},
		{ladder.Series(ladder.R(3))},
	}
	var res Result
	f.Evaluate(&res, networks...)
	p := pink(hz, 10)
	source := must[ladder.Duties](t)(ladder.Network(nil).Duty(p, res.Load)).Source
	taken := 0.0
	for w, n := range networks {
		d := must[ladder.Duties](t)(n.Duty(p, f.Load(w)))
		for _, part := range d.Parts {
			taken += float64(part.Power)
		}
		drivers := 0.0
		for k := range f.Drivers(w) {
			one := must[Duty](t)(f.Duty(&res, p, w, k, nil))
			drivers += float64(one.Power)
			if one.Travel != 0 || one.PeakVoltage != 2*one.Voltage || one.PeakCurrent != 2*one.Current {
				t.Errorf("way %d, driver %d: %+v", w, k, one)
			}
		}
		// And what the drivers of a way take is what its network gives.
		if !(math.Abs(drivers/float64(d.Load.Power)-1) <= 1e-12) {
			t.Errorf("way %d: drivers take %g W, want %v", w, drivers, d.Load.Power)
		}
		taken += drivers
	}
	if !(math.Abs(taken/float64(source.Power)-1) <= 1e-12) {
		t.Errorf("parts and drivers take %g W, the amplifier gives %v", taken, source.Power)
	}
	// A single driver has the duty of the load of its network.
	one, load := must[Duty](t)(f.Duty(&res, p, 2, 0, nil)), must[ladder.Duties](t)(networks[2].Duty(p, f.Load(2))).Load
	if !(math.Abs(float64(one.Voltage/load.Voltage)-1) <= 1e-12) || !(math.Abs(float64(one.Current/load.Current)-1) <= 1e-12) {
		t.Errorf("duty %+v, of the load %+v", one, load)
	}
	// In parallel they have one voltage, in series one current.
	first, second := must[Duty](t)(f.Duty(&res, p, 0, 0, nil)), must[Duty](t)(f.Duty(&res, p, 0, 1, nil))
	if first.Voltage != second.Voltage || first.Current == second.Current {
		t.Errorf("in parallel: %v %v, %v %v", first.Voltage, first.Current, second.Voltage, second.Current)
	}
	first, second = must[Duty](t)(f.Duty(&res, p, 1, 0, nil)), must[Duty](t)(f.Duty(&res, p, 1, 1, nil))
	if !(math.Abs(float64(first.Current/second.Current)-1) <= 1e-12) || first.Voltage == second.Voltage {
		t.Errorf("in series: %v %v, %v %v", first.Voltage, first.Current, second.Voltage, second.Current)
	}
}

// A sine moves the cone by its travel per volt, noise by the root of all squares.
func TestTravel(t *testing.T) {
	hz := []float64{100, 200, 400}
	f := must[*Field](t)(Sample([]Way{{Radiator: ideal{8, 1}}}, hz, sound, r3.Vec{Z: 1}))
	var res Result
	f.Evaluate(&res, ladder.Network{ladder.Series(ladder.R(8))}) // half the voltage
	travel := []float64{4e-3, 1e-3, 0.25e-3}
	for i := range hz {
		sine := ladder.Programme{Volts: 3, Crest: math.Sqrt2, Hz: hz, Weight: make([]float64, 3)}
		sine.Weight[i] = 1
		d := must[Duty](t)(f.Duty(&res, sine, 0, 0, travel))
		if want := 1.5 * travel[i]; !(math.Abs(float64(d.Travel)-want) <= 1e-15) {
			t.Errorf("%g Hz: %v, want %g m", hz[i], d.Travel, want)
		}
	}
	// RMS of each is its peak over √2; twice their RMS together is the peak.
	d := must[Duty](t)(f.Duty(&res, pink(hz, 3), 0, 0, travel))
	want := 2 * math.Sqrt((16+1+0.0625)/3) * 1e-3 * 1.5 / math.Sqrt2
	if !(math.Abs(float64(d.Travel)-want) <= 1e-15) {
		t.Errorf("noise: %v, want %g m", d.Travel, want)
	}
}

func TestDutyRefuses(t *testing.T) {
	hz := []float64{100, 200}
	f := must[*Field](t)(Sample([]Way{{Radiator: ideal{8, 1}}, {Radiator: ideal{0, 1}}}, hz, sound, r3.Vec{Z: 1}))
	var res Result
	f.Evaluate(&res, nil, ladder.Network{ladder.Series(ladder.R(1))})
	good := pink(hz, 1)
	silent, unequal := good, good
	silent.Volts = 0
	unequal.Weight = []float64{1, 1}
	for _, c := range []struct {
		p      ladder.Programme
		way    int
		travel []float64
		want   string
	}{
		{silent, 0, nil, "voltage 0 V"},
		{unequal, 0, nil, "sum of the weights 2"},
		{good, 1, nil, "way 2, driver 1: ladder: input impedance 0 Ω"},
		{good, 0, []float64{0, -1}, "way 1, driver 1: travel per volt at 200 Hz"},
		{good, 0, []float64{math.NaN(), 0}, "travel per volt at 100 Hz NaN"},
	} {
		if _, err := f.Duty(&res, c.p, c.way, 0, c.travel); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
	panics(t, "another grid", func() { f.Duty(&res, pink([]float64{100, 300}, 1), 0, 0, nil) })
	panics(t, "travel at one frequency", func() { f.Duty(&res, good, 0, 0, []float64{1}) })
	panics(t, "a fresh result", func() { f.Duty(new(Result), good, 0, 0, nil) })
}
