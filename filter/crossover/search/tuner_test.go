package search

import (
	"math"
	"slices"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// The derivatives of all residuals are those of differences, with every kind of part
// and with every limit in force.
func TestJacobianAgainstDifferences(t *testing.T) {
	p := demoPair(t, "woofer_b", "tweeter_a", domeA, 4)
	networks := []ladder.Network{
		{
			ladder.Series(ladder.L(1.2e-3), ladder.C(1e-6), ladder.R(40)),
			ladder.Shunt(ladder.L(0.1e-3), ladder.C(12e-6).WithLoss(0.02), ladder.R(1)),
		},
		{
			ladder.Series(ladder.C(9e-6)), ladder.Series(ladder.R(2)),
			ladder.Shunt(ladder.L(0.5e-3), ladder.R(0.5)), ladder.Shunt(ladder.R(30)),
		},
	}
	noise := slices.Repeat([]float64{2}, len(p.Field.Hz))
	for _, c := range []struct {
		name string
		set  func(*Problem)
	}{
		{"as it is", func(p *Problem) {}},
		{"inverted", func(p *Problem) { p.Inverted = true }},
		{"target", func(p *Problem) { p.Target = make([]float64, len(p.Field.Hz)) }},
		{"window", func(p *Problem) { p.Window = []float64{0, 1, 2, 3, 4} }},
		{"limits", func(p *Problem) {
			p.Crossing, p.Highest, p.Load = 2900, 3000, 9
			p.Travel[1].Limit /= 30
		}},
		{"late", func(p *Problem) { p.Crossing, p.Highest = 400, 450 }},
		{"noise", func(p *Problem) {
			p.Travel[1].Spectrum = noise
			p.Travel[1].Limit /= 100
		}},
	} {
		p := p
		p.Travel = slices.Clone(p.Travel)
		c.set(&p)
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		tu := newTuner(p.model(1), clone(networks))
		tu.coils = wire{0.4}
		x := tu.at()
		for k := range tu.push {
			tu.push[k] = 0.01
		}
		n, m := len(x), tu.problem.M
		j := make([]float64, n*m)
		tu.jacobian(j, x)
		up, down := make([]float64, m), make([]float64, m)
		active := 0
		for v := range x {
			const h = 1e-5
			y := slices.Clone(x)
			y[v] += h
			tu.residuals(up, y)
			y[v] -= 2 * h
			tu.residuals(down, y)
			largest := 0.0
			for r := range m {
				largest = max(largest, math.Abs(up[r]-down[r])/(2*h))
			}
			for r := range m {
				want := (up[r] - down[r]) / (2 * h)
				if (up[r] == 0) != (down[r] == 0) {
					continue // just at a limit
				}
				if r > m-len(tu.push) && want != 0 {
					active++
				}
				if got := j[r*n+v]; !(math.Abs(got-want) <= 1e-6*largest+1e-9) {
					t.Fatalf("%s: residual %d of %d, part %d: %g, by differences %g", c.name, r, m, v, got, want)
				}
			}
		}
		if c.name != "as it is" && c.name != "inverted" && c.name != "target" && c.name != "window" && active < n/2 {
			t.Errorf("%s: only %d derivatives of limits", c.name, active)
		}
	}
}

// A resistance that grows with a coil is that of one thickness of wire.
func TestWire(t *testing.T) {
	if r := (wire{0.5}).of(1e-3); !(math.Abs(float64(r-0.5)) <= 1e-15) {
		t.Errorf("1 mH: %v", r)
	}
	if r := (wire{0.5}).of(10e-3); !(math.Abs(float64(r)-0.5*math.Pow(10, 0.6)) <= 1e-14) {
		t.Errorf("10 mH: %v", r)
	}
	// Of one wire in the shop it holds within 5 %.
	for _, item := range demoShop(t) {
		if item.Kind == parts.AirCoil && item.Rating.Current == 4.7*units.Ampere {
			if r := (wire{0.488}).of(item.Part.Value); !(math.Abs(float64(r/item.Part.Resistance)-1) <= 0.05) {
				t.Errorf("%s: %v, the wire gives %v", item.ID, item.Part.Resistance, r)
			}
		}
	}
}
