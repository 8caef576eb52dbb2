package ladder

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/internal/nodal"
	"example.com/halfspace/units"
)

// noise is a programme over count frequencies with weights that add up to 1.
func noise(r *rand.Rand, count int) Programme {
	p := Programme{Volts: units.Voltage(1 + 20*r.Float64()), Crest: 2}
	sum := 0.0
	for k := range count {
		p.Hz = append(p.Hz, 20*math.Pow(1000, float64(k)/float64(count)))
		p.Weight = append(p.Weight, r.Float64())
		sum += p.Weight[k]
	}
	for k := range p.Weight {
		p.Weight[k] /= sum
	}
	return p
}

// TestDutyIsEnergyBalance: parts and load take what the source gives.
func TestDutyIsEnergyBalance(t *testing.T) {
	r := rand.New(rand.NewPCG(40, 0))
	worst := 0.0
	randomNetworks(40, 300, func(n Network, _ float64, load complex128) {
		p := noise(r, 20)
		loads := make([]complex128, len(p.Hz))
		for k := range loads {
			loads[k] = load * complex(1+r.Float64(), 0)
		}
		d, err := n.Duty(p, loads)
		if err != nil {
			t.Fatal(err)
		}
		sum := d.Load.Power
		for _, part := range d.Parts {
			sum += part.Power
		}
		off := math.Abs(float64(sum-d.Source.Power)) / float64(d.Source.Voltage) / float64(d.Source.Current)
		if !(off < 1e-12) {
			t.Errorf("%vinto %v: parts and load %v, source %v", n, load, sum, d.Source.Power)
		}
		worst = max(worst, off)
	})
	t.Logf("largest error %.2g of the apparent power", worst)
}

// TestDutyIsNodal: the sums over the dense solutions of all frequencies.
func TestDutyIsNodal(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 0))
	near := func(got, want, scale float64) bool { return math.Abs(got-want) < 1e-10*scale }
	var s nodal.Solution
	randomNetworks(41, 100, func(n Network, _ float64, load complex128) {
		p := noise(r, 5)
		loads := []complex128{load, 2 * load, load / 3, load, load}
		d, err := n.Duty(p, loads)
		if err != nil {
			t.Fatal(err)
		}
		all := append([]Duty{d.Source}, append(d.Parts, d.Load)...)
		volts, amperes, watts := make([]float64, len(all)), make([]float64, len(all)), make([]float64, len(all))
		for k, hz := range p.Hz {
			count, _, branches := nodes(n, hz, loads[k])
			if err := s.Solve(count, branches); err != nil {
				t.Fatal(err)
			}
			v2 := float64(p.Volts*p.Volts) * p.Weight[k]
			for b, branch := range branches {
				volts[b] += v2 * squared(s.Node[branch.From]-s.Node[branch.To])
				amperes[b] += v2 * squared(s.Branch[b])
				watts[b] += v2 * squared(s.Branch[b]) * real(branch.Impedance)
			}
			watts[0] += v2 * real(s.Branch[0])
		}
		for b, got := range all {
			// Of a part that stores more than it burns, power is the small share.
			v, i := math.Sqrt(volts[b]), math.Sqrt(amperes[b])
			if !near(float64(got.Voltage), v, max(v, float64(p.Volts))) || !near(float64(got.Current), i, max(i, float64(d.Source.Current))) ||
				!near(float64(got.Power), watts[b], max(v*i, float64(d.Source.Power))) {
				t.Errorf("%vinto %v: part %d: %+v, nodal %g V %g A %g W", n, load, b, got, v, i, watts[b])
			}
			if got.PeakVoltage != 2*got.Voltage || got.PeakCurrent != 2*got.Current {
				t.Errorf("peaks of %+v", got)
			}
		}
	})
}

// TestDutyOfTone: a programme of one frequency is the state there, and points of no
// weight do not matter, not even if the source is shorted there.
func TestDutyOfTone(t *testing.T) {
	hz, l, c := resonant(t)
	n := Network{Series(R(2)), Shunt(R(9))}
	short := Network{Shunt(l, c), n[0], n[1]}
	p := Programme{Volts: 4, Crest: math.Sqrt2, Hz: []float64{hz / 2, hz}, Weight: []float64{1, 0}}
	d, err := short.Duty(p, []complex128{6, 6})
	if err != nil {
		t.Fatal(err)
	}
	s, err := short.State(hz/2, 6)
	if err != nil {
		t.Fatal(err)
	}
	for k, part := range s.Parts {
		if !(math.Abs(float64(d.Parts[k].Power)-16*part.Power) < 1e-14) {
			t.Errorf("part %d: %v, state %g W", k, d.Parts[k].Power, 16*part.Power)
		}
	}
	p.Weight = []float64{0.5, 0.5}
	if _, err := short.Duty(p, []complex128{6, 6}); err == nil || err.Error() != "ladder: input impedance 0 Ω: must not be zero, but the source is shorted at 1.304 kHz" {
		t.Errorf("shorted: %v", err)
	}
}

func TestDutyErrors(t *testing.T) {
	good := Programme{Volts: 1, Crest: 2, Hz: []float64{100}, Weight: []float64{1}}
	for _, test := range []struct {
		change func(p *Programme)
		net    Network
		load   complex128
		want   string
	}{
		{func(p *Programme) { p.Volts = 0 }, w1, 8, "ladder: programme: voltage 0 V: must be positive and finite"},
		{func(p *Programme) { p.Crest = 0.5 }, w1, 8, "ladder: programme: crest factor 0.5: must be at least 1, and finite"},
		{func(p *Programme) { p.Crest = math.NaN() }, w1, 8, "ladder: programme: crest factor NaN: must be at least 1, and finite"},
		{func(p *Programme) { p.Hz[0] = -3 }, w1, 8, "ladder: programme: frequency -3 Hz: must be positive and finite"},
		{func(p *Programme) { p.Weight[0] = -1 }, w1, 8, "ladder: programme: weight at 100 Hz -1: must be from 0 to 1"},
		{func(p *Programme) { p.Weight[0] = math.NaN() }, w1, 8, "ladder: programme: weight at 100 Hz NaN: must be from 0 to 1"},
		{func(p *Programme) { p.Weight[0] = 0.9 }, w1, 8, "ladder: programme: sum of the weights 0.9: must be 1"},
		{func(p *Programme) {}, w1, infinite, "ladder: load at 100 Hz (+Inf+0i) Ω: must be finite"},
		{func(p *Programme) {}, Network{Series(R(-1))}, 8, "ladder: arm 1, part 1 (resistor) -1 Ω: must be positive and finite"},
		{func(p *Programme) {}, nil, 0, "ladder: input impedance 0 Ω: must not be zero, but the source is shorted at 100 Hz"},
	} {
		p := good
		p.Hz, p.Weight = []float64{100}, []float64{1}
		test.change(&p)
		_, err := test.net.Duty(p, []complex128{test.load})
		if err == nil || err.Error() != test.want || !errors.As(err, new(*units.RangeError)) {
			t.Errorf("error %v, want %s", err, test.want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	w1.Duty(good, nil)
}

// TestDutyAllocatesByPartsOnly: nothing per frequency.
// The race detector allocates a little by itself.
func TestDutyAllocatesByPartsOnly(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 0))
	count := func(points int) float64 {
		p, load := noise(r, points), make([]complex128, points)
		for k := range load {
			load[k] = 8
		}
		return testing.AllocsPerRun(10, func() {
			if _, err := w1.Duty(p, load); err != nil {
				t.Error(err)
			}
		})
	}
	if few, many := count(3), count(300); many > few+5 {
		t.Errorf("%v allocations for 3 points, %v for 300", few, many)
	}
}

func BenchmarkDuty(b *testing.B) {
	hz, woofer, _ := benchGrid()
	p := Programme{Volts: 2.83, Crest: 2, Hz: hz, Weight: make([]float64, len(hz))}
	for k := range p.Weight {
		p.Weight[k] = 1 / float64(len(hz))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := w1.Duty(p, woofer); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}
