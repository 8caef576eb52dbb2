package spread_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/spread"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// dome is a source of 0.2 Pa per volt on 6 Ω, a second-order high-pass at fs below.
type dome struct{ fs float64 }

func (dome) Impedance(z []complex128, _ []float64) {
	for i := range z {
		z[i] = 6
	}
}

func (d dome) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for i, f := range hz {
		x := f / d.fs
		p[i] = complex(-0.2*x*x, 0) / complex(1-x*x, x)
	}
}

// cone is one of 0.12 Pa per volt, a second-order low-pass at 8 kHz.
type cone struct{}

func (cone) Impedance(z []complex128, hz []float64) {
	for i, f := range hz {
		z[i] = complex(6, 2*math.Pi*f*0.3e-3)
	}
}

func (cone) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for i, f := range hz {
		p[i] = 0.12 / complex(1-f*f/64e6, 1.4*f/8000)
	}
}

// twoWay is a speaker of five parts, judged from 300 Hz to 15 kHz.
func twoWay() (spread.Speaker, error) {
	hz := make([]float64, 61)
	for k := range hz {
		hz[k] = 200 * math.Pow(100, float64(k)/60)
	}
	field, err := crossover.Sample([]crossover.Way{
		{Name: "woofer", Radiator: cone{}},
		{Name: "tweeter", Radiator: dome{900}},
	}, hz, 344, r3.Vec{Z: 1})
	return spread.Speaker{
		Field: field,
		Networks: []ladder.Network{
			{
				ladder.Series(ladder.L(0.68 * units.Millihenry).WithResistance(0.3).WithTolerance(0.05)),
				ladder.Shunt(ladder.C(16 * units.Microfarad).WithTolerance(0.05)),
			},
			{
				ladder.Series(ladder.R(4.7).WithTolerance(0.05)),
				ladder.Series(ladder.C(7.5 * units.Microfarad).WithTolerance(0.05)),
				ladder.Shunt(ladder.L(0.25 * units.Millihenry).WithResistance(0.3).WithTolerance(0.05)),
			},
		},
		Lo: 300, Hi: 15000, Seed: 1,
	}, err
}

// Nine in ten speakers lie within less than a decibel, and two of a pair closer.
func ExampleSpeaker_Draw() {
	s, err := twoWay()
	if err != nil {
		fmt.Println(err)
		return
	}
	draws, err := s.Draw(2000)
	if err != nil {
		fmt.Println(err)
		return
	}
	bands, err := draws.Bands(0.05, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	widest := 0.0
	for k := range draws.Hz {
		widest = max(widest, bands[1][k]-bands[0][k])
	}
	yield, err := draws.Yield(spread.Limit{Largest: 0.5}, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	match := draws.Match()
	slices.Sort(match)
	fmt.Printf("the band is up to %.2f dB wide\n", widest)
	fmt.Printf("%.1f %% stay within 0.5 dB of a line, with 95 %% confidence from %.1f %% to %.1f %%\n", 100*yield.Share, 100*yield.Lo, 100*yield.Hi)
	fmt.Printf("nine in ten pairs match to %.2f dB\n", match[len(match)*9/10])
	// Output:
	// the band is up to 0.75 dB wide
	// 72.9 % stay within 0.5 dB of a line, with 95 % confidence from 70.8 % to 74.8 %
	// nine in ten pairs match to 0.27 dB
}

// Drivers of ±0.5 dB matter more than parts of ±5 %; among these it is the resistor,
// which sets the level of the tweeter.
func ExampleSpeaker_Rank() {
	s, err := twoWay()
	if err != nil {
		fmt.Println(err)
		return
	}
	s.Drivers = []spread.Driver{{Level: 0.5}, {Level: 0.5}}
	causes, err := s.Rank()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range causes {
		name := "part " + c.Letter
		if c.Part < 0 {
			name = fmt.Sprintf("driver %d", c.Way+1)
		}
		fmt.Printf("%-8s %.3f dB\n", name, c.Effect)
	}
	corner, err := s.Worst()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("worst of %d corners: %.2f dB\n", corner.Tried, corner.Figures.Flatness)
	// Output:
	// driver 1 0.207 dB
	// driver 2 0.182 dB
	// part C   0.086 dB
	// part B   0.076 dB
	// part A   0.046 dB
	// part D   0.019 dB
	// part E   0.015 dB
	// worst of 128 corners: 0.74 dB
}

// A tweeter whose resonance is off by 10 % (σ) does more than any part of ±5 %, though
// it is crossed over far above: its phase turns there.
func ExampleDriver() {
	s, err := twoWay()
	if err != nil {
		fmt.Println(err)
		return
	}
	s.Drivers = []spread.Driver{{}, {Vary: func(_, p []complex128, hz []float64, rng *rand.Rand) {
		fs := 900 * math.Exp(0.1*rng.NormFloat64())
		for k, f := range hz {
			x, x0 := f/fs, f/900
			p[k] *= complex(x*x/(x0*x0), 0) * complex(1-x0*x0, x0) / complex(1-x*x, x)
		}
	}}}
	causes, err := s.RankByDraws(1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range causes[:2] {
		fmt.Printf("way %d, part %q: %.2f dB\n", c.Way+1, c.Letter, c.Effect)
	}
	// Output:
	// way 2, part "": 0.15 dB
	// way 2, part "C": 0.09 dB
}

// Whether the coil is of 0.68 or 0.62 mH is lost among the tolerances.
func ExampleIndistinguishable() {
	s, err := twoWay()
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := s.Draw(1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	s.Networks[0][0].Parts[0].Value = 0.62e-3
	b, err := s.Draw(1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, same := spread.Indistinguishable(a.Flatness(), b.Flatness(), 0.9)
	fmt.Printf("B is flatter by %.2f dB, ±%.2f dB, in %.0f %% of pairs: indistinguishable %v\n", c.Gain, c.Noise, 100*c.Probability, same)
	// Output: B is flatter by 0.01 dB, ±0.03 dB, in 67 % of pairs: indistinguishable true
}

// Of 1000 speakers 950 keep a limit: what can be said of all.
func ExampleClopperPearson() {
	lo, hi, err := spread.ClopperPearson(950, 1000, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("from %.9f to %.9f\n", lo, hi)
	// Output: from 0.934609512 to 0.962664602
}

// The standard deviation of a part of ±5 %, drawn in two ways.
func ExampleDistribution_Sigma() {
	fmt.Printf("uniform %.5f, normal %.5f\n", 0.05*spread.Uniform.Sigma(), 0.05*spread.Normal.Sigma())
	// Output: uniform 0.02887, normal 0.01644
}
