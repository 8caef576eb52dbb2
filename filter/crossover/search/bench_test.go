package search

import (
	"context"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// sixParts is a speaker of three parts each way, 92 frequencies in the band.
func sixParts(tb testing.TB) (Problem, []ladder.Network) {
	p := speaker(tb, 125, woofer, tweeter)
	return p, []ladder.Network{
		{
			ladder.Series(ladder.L(1.1 * units.Millihenry)),
			ladder.Shunt(ladder.C(9*units.Microfarad), ladder.R(2)),
		},
		{
			ladder.Series(ladder.R(2.4)),
			ladder.Series(ladder.C(6 * units.Microfarad)),
			ladder.Shunt(ladder.L(0.35 * units.Millihenry)),
		},
	}
}

func BenchmarkTune(b *testing.B) {
	p, n := sixParts(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Tune(3, n...); err != nil {
			b.Fatal(err)
		}
	}
}

// 1728 × 1728 combinations at 92 frequencies.
func BenchmarkShelf(b *testing.B) {
	p, n := sixParts(b)
	if from, to := p.band(); to-from != 92 {
		b.Fatalf("%d frequencies", to-from)
	}
	fit, err := p.Tune(3, n...)
	if err != nil {
		b.Fatal(err)
	}
	shop := shop(parts.E24)
	for _, c := range []struct {
		name     string
		crossing units.Frequency
		load     units.Resistance
	}{
		{"free", Off, Off}, {"limited", 2200, 4.4}, {"unreachable", Off, 40},
	} {
		p := p
		p.Crossing, p.Load = c.crossing, c.load
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := p.Shelf(fit.Networks, shop, 12); (err != nil) != (c.name == "unreachable") {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(1728*1728), "ns/pair")
		})
	}
}

// All circuits of up to four parts with free values, on axis.
func BenchmarkBest(b *testing.B) {
	p := demo(b, 1)
	circuits, evaluations := 0, 0
	for b.Loop() {
		f := must[Frontier](b)(p.Best(context.Background(), Search{Parts: 4}))
		for _, n := range f.Certificate.Enumerated {
			circuits += n
		}
		evaluations += f.Certificate.Evaluations
	}
	b.ReportMetric(float64(circuits)/b.Elapsed().Seconds(), "circuits/s")
	b.ReportMetric(float64(evaluations)/b.Elapsed().Seconds(), "evaluations/s")
}

// Items for six parts at the budget, with a window.
func BenchmarkSettle(b *testing.B) {
	p := demoPair(b, "woofer_b", "tweeter_a", domeA, 1)
	p.Budget = 30
	n := []ladder.Network{
		{ladder.Series(ladder.L(1.6e-3)), ladder.Shunt(ladder.L(0.15e-3), ladder.C(6.5e-6))},
		{ladder.Series(ladder.C(5e-6)), ladder.Shunt(ladder.L(0.6e-3)), ladder.Series(ladder.R(3))},
	}
	s := newSettler(p.model(3), demoShop(b))
	for b.Loop() {
		s.settle(n, false)
	}
	b.ReportMetric(float64(s.evaluations)/b.Elapsed().Seconds(), "evaluations/s")
}

// One fit of six parts' residuals with their derivatives.
func BenchmarkJacobian(b *testing.B) {
	p, n := sixParts(b)
	t := newTuner(p.model(1), n)
	x := t.at()
	j := make([]float64, len(x)*t.problem.M)
	b.ReportAllocs()
	for b.Loop() {
		t.jacobian(j, x)
	}
}
