package outside

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"
	"testing"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

type prototypes struct {
	W    []float64 `json:"w"`
	Step struct {
		Interval float64 `json:"interval"`
		Count    int     `json:"count"`
	} `json:"step"`
	Families []family `json:"families"`
	Networks struct {
		F  float64   `json:"f"`
		R  float64   `json:"r"`
		Hz []float64 `json:"hz"`
	} `json:"networks"`
}

type family struct {
	Name   string  `json:"name"`
	Norm   string  `json:"norm"` // of a Bessel filter
	Ripple float64 `json:"ripple"`
	Q      float64 `json:"q"`
	Orders []int   `json:"orders"`
}

func (f family) id(n int) string {
	parts := []string{f.Name}
	if f.Norm != "" {
		parts = append(parts, f.Norm)
	}
	for _, v := range []float64{f.Ripple, f.Q} {
		if v != 0 {
			parts = append(parts, strconv.FormatFloat(v, 'g', -1, 64))
		}
	}
	return strings.Join(parts, ", ") + fmt.Sprintf(", order %d", n)
}

func (f family) prototype(n int) (rational.Func, error) {
	switch f.Name {
	case "Butterworth":
		return filter.Butterworth(n)
	case "Linkwitz-Riley":
		return filter.LinkwitzRiley(n)
	case "Bessel":
		return filter.Bessel(n, map[string]filter.Norm{"delay": filter.DelayNorm, "phase": filter.PhaseNorm, "mag": filter.MagnitudeNorm}[f.Norm])
	case "Chebyshev":
		return filter.Chebyshev(n, f.Ripple)
	case "Legendre":
		return filter.Legendre(n)
	case "second order":
		return filter.SecondOrder(f.Q)
	}
	return rational.Func{}, fmt.Errorf("no family %q", f.Name)
}

// roots compares two sets of roots, each with the nearest that is left.
func (r *record) roots(id, name string, got []complex128) {
	r.t.Helper()
	left := append([]complex128(nil), r.curve(id, name)...)
	if len(got) != len(left) {
		r.t.Fatalf("%s: %s: %d roots, recorded are %d", id, name, len(got), len(left))
	}
	for i, z := range got {
		best := 0
		for k := range left {
			if cmplx.Abs(left[k]-z) < cmplx.Abs(left[best]-z) {
				best = k
			}
		}
		r.check(fmt.Sprintf("%s: %s: root %d", id, name, i+1), Relative(z, left[best]), near)
		left = append(left[:best], left[best+1:]...)
	}
}

func TestPrototypes(t *testing.T) {
	c := cases[prototypes](t, "prototypes")
	r := recording(t, "prototypes")
	for _, f := range c.Families {
		for _, n := range f.Orders {
			id := f.id(n)
			proto, err := f.prototype(n)
			if err != nil {
				t.Fatal(err)
			}
			r.roots(id, "poles", proto.Poles)
			var response []complex128
			var delay, step []float64
			for _, w := range c.W {
				response = append(response, proto.At(complex(0, w)))
				delay = append(delay, proto.GroupDelay(w/(2*math.Pi)))
			}
			for k := range c.Step.Count {
				step = append(step, proto.Step(float64(k)*c.Step.Interval))
			}
			r.same(id, "response", response)
			// Delay and step are sums in which larger terms cancel.
			r.within(id, "delay", near, 1, delay...)
			r.within(id, "step", near, 1, step...)

			// The response of the network between a source and a resistor is that
			// of the prototype.
			net := c.Networks
			load := make([]complex128, len(net.Hz))
			for i := range load {
				load[i] = complex(net.R, 0)
			}
			for _, side := range []struct {
				name string
				make func(rational.Func, units.Frequency, units.Resistance) (ladder.Network, error)
				as   rational.Func
			}{
				{"low-pass", filter.LowPass, proto},
				{"high-pass", filter.HighPass, proto.HighPass()},
			} {
				network, err := side.make(proto, units.Frequency(net.F), units.Resistance(net.R))
				if err != nil {
					t.Fatal(err)
				}
				h, zin := make([]complex128, len(load)), make([]complex128, len(load))
				network.Solve(h, zin, net.Hz, load)
				r.same(id, side.name, h)
				scaled := side.as.Scaled(2 * math.Pi * net.F)
				for i, f := range net.Hz {
					h[i] = scaled.AtHz(f)
				}
				r.same(id, side.name, h)
			}
		}
	}
}

type sections struct {
	Sections []struct {
		Kind  string  `json:"kind"`
		DB    float64 `json:"db"`
		R     float64 `json:"r"`
		F     float64 `json:"f"`
		Width float64 `json:"width"`
		Re    float64 `json:"re"`
		Le    float64 `json:"le"`
		Fs    float64 `json:"fs"`
		Qes   float64 `json:"qes"`
		Qms   float64 `json:"qms"`
	} `json:"sections"`
}

func TestSections(t *testing.T) {
	r := recording(t, "sections")
	for i, c := range cases[sections](t, "sections").Sections {
		load, f, re := units.Resistance(c.R), units.Frequency(c.F), units.Resistance(c.Re)
		var n ladder.Network
		var err error
		switch c.Kind {
		case "pad":
			n, err = filter.Pad(c.DB, load)
		case "series pad":
			n, err = filter.SeriesPad(c.DB, load)
		case "T pad":
			n, err = filter.TPad(c.DB, load)
		case "pi pad":
			n, err = filter.PiPad(c.DB, load)
		case "Zobel":
			n, err = filter.Zobel(re, units.Inductance(c.Le))
		case "trap":
			n, err = filter.ResonanceTrap(re, units.Frequency(c.Fs), c.Qes, c.Qms)
		case "shelf":
			n, err = filter.Shelf(c.DB, f, load)
		case "notch":
			n, err = filter.Notch(c.DB, f, units.Frequency(c.Width), load)
		default:
			t.Fatalf("no section %q", c.Kind)
		}
		if err != nil {
			t.Fatal(err)
		}
		var values []float64
		for _, p := range n.Parts() {
			values = append(values, p.Value)
		}
		r.equal(fmt.Sprintf("%s %d", c.Kind, i+1), "values", values...)
	}
}
